"""Names of ingredients against the words of Regulation (EU) No 1169/2011, Annex II.

A name that contains the word of an allergen must have that allergen in the table, or be an exception listed here with
its reason. Annex II is the outside source of the groups and of most words (cereals containing gluten, namely wheat
such as spelt and khorasan wheat, rye, barley, oats; crustaceans; eggs; fish; peanuts; soybeans; milk; nuts by name;
celery; mustard; sesame; sulphites; lupin; molluscs). The names of foods made from them, such as malt, couscous or
ghee, are common knowledge.
"""

import re

import pytest

from domain.shop.allergens import PLAIN
from domain.things.ingredients import INGREDIENTS, find_ingredient, normal_name

WORDS = {
    "wheat": "wheat spelt khorasan kamut durum semolina couscous bulgur bulghur farina freekeh seitan wholewheat"
    " wheatgerm graham breadcrumb bread cracker biscuit wafer filo gluten",
    "rye": "rye pumpernickel triticale",
    "barley": "barley malt malted beer ale lager stout porter",
    "oats": "oat oatmeal oatcake",
    "milk": "milk butter buttermilk cream cheese ghee whey casein lactose yoghurt yogurt kefir quark custard curd"
    " ricotta mascarpone cheddar parmesan mozzarella feta emmental creme",
    "egg": "egg albumen meringue mayonnaise",
    "soybeans": "soya soy soybean soymilk tofu edamame miso tempeh",
    "peanuts": "peanut groundnut",
    "almond": "almond marzipan frangipane",
    "hazelnut": "hazelnut filbert cobnut gianduja",
    "walnut": "walnut",
    "cashew": "cashew",
    "pecan": "pecan",
    "brazil_nut": "brazil",
    "pistachio": "pistachio",
    "macadamia": "macadamia queensland",
    "mixed_nuts": "nut",
    "sesame": "sesame tahini halva",
    "mustard": "mustard",
    "celery": "celery celeriac",
    "fish": "fish cod anchovy tuna salmon",
    "crustaceans": "prawn crab lobster shrimp crayfish langoustine",
    "molluscs": "mollusc oyster mussel squid clam snail",
    "lupin": "lupin lupine",
    "sulphites": "sulphite sulphited sulfite sulfited",
}

# Names that contain the word although the food is not in them, each with the reason.
NOT_THE_FOOD = {
    "gluten": {"gluten free": "says that there is none"},
    "egg": {
        "egg replacer": "stands in for egg and holds none",
        "egg replacement powder": "stands in for egg and holds none",
    },
    "bread": {"bread soda": "bicarbonate of soda", "bread machine yeast": "a yeast"},
    "milk": {
        "coconut milk": "pressed from coconut",
        "rice milk": "made from rice",
        "almond milk": "made from almonds",
        "soya milk": "made from soya",
        "soy milk": "made from soya",
        "oat milk": "made from oats",
    },
    "butter": {
        "peanut butter": "a paste of peanuts",
        "almond butter": "a paste of almonds",
        "cashew butter": "a paste of cashews",
        "cashew nut butter": "a paste of cashews",
        "hazelnut butter": "a paste of hazelnuts",
        "pistachio butter": "a paste of pistachios",
        "sunflower butter": "a paste of sunflower seeds",
        "sunflower seed butter": "a paste of sunflower seeds",
        "coconut butter": "the flesh of coconut",
        "cookie butter": "a spread of biscuits",
        "sesame butter": "a paste of sesame",
        "cocoa butter": "the fat of cocoa beans",
        "apple butter": "a spread of apples",
        "vegan butter": "a fat without milk",
        "dairy free butter": "a fat without milk",
        "plant based butter": "a fat without milk",
    },
    "cream": {
        "coconut cream": "pressed from coconut",
        "cream of coconut": "pressed from coconut",
        "cream of tartar": "a salt of tartaric acid",
        "chestnut cream": "a sweet spread of chestnuts",
        "marshmallow cream": "a foam of egg white and sugar",
        "cream filled": "filled with fat and sugar",
        "cream cracker": "a plain cracker",
        "cream sherry": "a sweet sherry",
        "vegan cream": "a cream without milk",
        "dairy free cream": "a cream without milk",
        "non dairy cream": "a cream without milk",
        "plant based cream": "a cream without milk",
        "soya cream": "made from soya",
        "soy cream": "made from soya",
        "oat cream": "made from oats",
    },
    "creme": {
        "creme de marrons": "a sweet spread of chestnuts",
        "marshmallow creme": "a foam of egg white and sugar",
    },
    "malted": {"malted wheat": "wheat that was malted", "malted flakes": "flakes of malted wheat"},
    "nut": {
        "ginger nut": "a biscuit",
        "pecan nut": "named by itself",
        "cashew nut": "named by itself",
        "brazil nut": "named by itself",
        "macadamia nut": "named by itself",
        "pistachio nut": "named by itself",
        "pine nut": "not on the EU's list; on the list of the USA",
        "monkey nut": "a peanut",
    },
}

# Ingredients that contain the food in some makes only: the table must list it under `depends`.
DEPENDS = {
    ("almond-extract", "almond"): "the flavouring often comes from apricot kernels or is made without any nut",
    ("rice-syrup", "malt"): "rice malt is made with enzymes that may come from barley",
    ("custard-powder", "custard"): "a thickener to which milk is added; some makes hold milk powder",
    ("pastry-cream-powder", "cream"): "a thickener to which milk is added; some makes hold milk powder",
    ("pastry-cream-powder", "creme"): "a thickener to which milk is added; some makes hold milk powder",
    ("pastry-cream-powder", "custard"): "a thickener to which milk is added; some makes hold milk powder",
    ("amaretti", "biscuit"): "of almonds or apricot kernels, sugar and egg white; some makes hold wheat flour",
    ("amaretto", "almond"): "often made from apricot kernels",
}


def names_of(ingredient_id: str) -> list[str]:
    ingredient = INGREDIENTS[ingredient_id]
    names = (ingredient.id, ingredient.british, ingredient.american, *ingredient.other_names)
    return [normal_name(name) for name in names]


def holds_word(name: str, word: str) -> bool:
    for phrase in NOT_THE_FOOD.get(word, {}):
        name = re.sub(rf"\b{normal_name(phrase)}s?\b", " ", name)
    return re.search(rf"\b{word}(s|es)?\b", name) is not None


@pytest.mark.parametrize("allergen", WORDS)
def test_a_name_with_the_word_of_an_allergen_has_the_allergen(allergen: str) -> None:
    missing = [
        (ingredient_id, name, word)
        for ingredient_id in INGREDIENTS
        for name in names_of(ingredient_id)
        for word in WORDS[allergen].split()
        if holds_word(name, word)
        and allergen not in PLAIN[ingredient_id].contains
        and not ((ingredient_id, word) in DEPENDS and allergen in PLAIN[ingredient_id].depends)
    ]
    assert not missing


def test_every_exception_to_an_allergen_word_occurs_in_a_name() -> None:
    names = {name for ingredient_id in INGREDIENTS for name in names_of(ingredient_id)}
    for phrases in NOT_THE_FOOD.values():
        for phrase in phrases:
            assert any(re.search(rf"\b{normal_name(phrase)}s?\b", name) for name in names), phrase
    for ingredient_id, word in DEPENDS:
        assert any(holds_word(name, word) for name in names_of(ingredient_id)), (ingredient_id, word)


@pytest.mark.parametrize(
    ("name", "contains", "depends"),
    [
        ("distilled malt vinegar", {"barley"}, set()),
        ("distilled vinegar", set(), {"barley"}),
        ("self-raising cornmeal", set(), {"wheat"}),
        ("gluten-free plain flour", set(), {"lupin", "soybeans"}),
        ("gluten-free self-raising flour", set(), {"lupin", "soybeans"}),
        ("beer", {"barley"}, {"wheat", "oats", "rye", "sulphites"}),
        ("stout", {"barley"}, {"wheat", "oats", "milk", "sulphites"}),
        ("apricot jam", set(), {"sulphites"}),
        ("marmalade", set(), {"sulphites"}),
        ("coconut milk", set(), {"sulphites"}),
        ("soya oil", {"soybeans"}, set()),
        ("soya cream", {"soybeans"}, set()),
        ("oat cream", {"oats"}, {"wheat"}),
        ("suet", set(), {"wheat"}),
        ("leaf gelatine", set(), {"sulphites", "fish"}),
        ("triticale flour", {"wheat", "rye"}, set()),
        ("wheat starch", {"wheat"}, set()),
        ("lupin flour", {"lupin"}, set()),
        ("soy sauce", {"soybeans", "wheat"}, set()),
        ("panko", {"wheat"}, {"soybeans", "milk"}),
        ("meringue powder", {"egg"}, {"wheat"}),
        ("royal icing", {"egg"}, set()),
        ("marshmallow fluff", {"egg"}, set()),
        ("praline", {"hazelnut"}, {"almond", "soybeans"}),
        ("speculoos spread", {"wheat", "soybeans"}, {"milk"}),
        ("savoiardi", {"wheat", "egg"}, {"milk"}),
        ("celery", {"celery"}, set()),
        ("curry powder", set(), {"mustard", "celery"}),
        ("prosecco", set(), {"sulphites"}),
        ("prunes", set(), {"sulphites"}),
        ("marzipan", {"almond"}, {"egg", "sulphites"}),
        ("soya lecithin", {"soybeans"}, set()),
        ("irish cream", {"milk"}, set()),
    ],
)
def test_ingredients_whose_names_do_not_show_their_allergens(name: str, contains: set[str], depends: set[str]) -> None:
    plain = PLAIN[find_ingredient(name).id]
    assert set(plain.contains) == contains
    assert set(plain.depends) == depends
    assert plain.cited.confidence == "own"
