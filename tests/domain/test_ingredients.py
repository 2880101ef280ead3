"""Ingredients: every name finds its entry, no name is guessed, and every figure has its range and source."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.errors import AmbiguousError, UnknownError
from domain.reference import rows
from domain.sources import SOURCES
from domain.things.ingredients import (
    INGREDIENTS,
    NO_DENSITY,
    PACKINGS,
    SPREAD,
    Density,
    Ingredient,
    density_of,
    find_ingredient,
    nearest_names,
)
from tests.strategies import LAW

NAMES = [
    (name, ingredient.id)
    for ingredient in INGREDIENTS.values()
    for name in (ingredient.id, ingredient.british, ingredient.american, *ingredient.other_names)
]


def test_there_are_at_least_480_ingredients() -> None:
    assert len(INGREDIENTS) >= 480


@pytest.mark.parametrize("ingredient", INGREDIENTS.values(), ids=INGREDIENTS)
def test_every_name_finds_its_entry_in_any_case_and_spacing(ingredient: Ingredient) -> None:
    for name in (ingredient.id, ingredient.british, ingredient.american, *ingredient.other_names):
        for dressed in (name, name.upper(), name.title(), f"  {name} ", name.replace(" ", "-"), name.replace("'", "’")):
            assert find_ingredient(dressed) is ingredient, dressed


def test_no_name_belongs_to_two_ingredients() -> None:
    owners: dict[str, str] = {}
    for name, owner in NAMES:
        assert owners.setdefault(name.casefold().replace("-", " "), owner) == owner


PAIRS = [  # British, American: common practice
    ("plain flour", "all-purpose flour"),
    ("self-raising flour", "self-rising flour"),
    ("strong white flour", "bread flour"),
    ("wholemeal flour", "whole wheat flour"),
    ("cornflour", "cornstarch"),
    ("caster sugar", "superfine sugar"),
    ("icing sugar", "powdered sugar"),
    ("icing sugar", "confectioners' sugar"),
    ("bicarbonate of soda", "baking soda"),
    ("sultanas", "golden raisins"),
    ("single cream", "light cream"),
    ("soured cream", "sour cream"),
    ("natural yoghurt", "plain yogurt"),
    ("skimmed milk", "skim milk"),
    ("semi-skimmed milk", "reduced-fat milk"),
    ("white vegetable fat", "shortening"),
    ("rapeseed oil", "canola oil"),
    ("groundnut oil", "peanut oil"),
    ("ground almonds", "almond flour"),
    ("flaked almonds", "sliced almonds"),
    ("glacé cherries", "candied cherries"),
    ("linseed", "flaxseed"),
    ("courgette", "zucchini"),
    ("beetroot", "beet"),
    ("dark chocolate", "semisweet chocolate"),
    ("apple purée", "applesauce"),
    ("gram flour", "chickpea flour"),
    ("fast-action dried yeast", "instant yeast"),
    ("active dried yeast", "active dry yeast"),
    ("fresh yeast", "compressed yeast"),
    ("rolled oats", "old-fashioned oats"),
    ("wheatgerm", "wheat germ"),
    ("desiccated coconut", "unsweetened shredded coconut"),
    ("egg yolks", "egg yolk"),
    ("eggs", "whole egg"),
    ("skimmed milk powder", "nonfat dry milk"),
    ("crystallised ginger", "candied ginger"),
]


@pytest.mark.parametrize(("british", "american"), PAIRS, ids=[f"{b} = {a}" for b, a in PAIRS])
def test_british_and_american_names_find_the_same_ingredient(british: str, american: str) -> None:
    assert find_ingredient(british) is find_ingredient(american)


EVERYDAY = [  # what bakers write: common practice
    ("AP flour", "plain-flour"),
    ("SR flour", "self-raising-flour"),
    ("self raising", "self-raising-flour"),
    ("GF flour", "gluten-free-flour"),
    ("wholemeal", "wholemeal-flour"),
    ("xanthan", "xanthan-gum"),
    ("caster", "caster-sugar"),
    ("granulated", "granulated-sugar"),
    ("icing", "icing-sugar"),
    ("choc chips", "dark-chocolate-chips"),
    ("hazelnut spread", "chocolate-hazelnut-spread"),
    ("mixed fruit", "mixed-dried-fruit"),
    ("chopped nuts", "mixed-nuts"),
    ("kosher salt", "kosher-salt"),
    ("very strong flour", "very-strong-white-flour"),
    ("tipo 0", "tipo-0-flour"),
    ("Tipo 00", "tipo-00-flour"),
    ("type 550", "type-550-flour"),
    ("sea salt flakes", "flaky-sea-salt"),
    ("marshmallows", "marshmallows"),
    ("figs", "fresh-figs"),
    ("ginger in syrup", "stem-ginger"),
    ("frozen raspberries", "raspberries"),
    ("vanilla paste", "vanilla-paste"),
    ("vanilla pods", "vanilla-pod"),
    ("vanilla bean", "vanilla-pod"),
    ("pouring cream", "single-cream"),
    ("thickened cream", "thickened-cream"),
    ("UHT milk", "whole-milk"),
    ("blackstrap molasses", "molasses"),
    ("dutch cocoa", "dutch-process-cocoa-powder"),
    ("natural cocoa powder", "cocoa-powder"),
    ("large eggs", "egg"),
    ("mustard", "prepared-mustard"),
    ("lemons", "lemon"),
    ("orange", "orange"),
    ("limes", "lime"),
    ("creme fraîche", "creme-fraiche"),
    ("crème fraiche", "creme-fraiche"),
    ("suet", "beef-suet"),
    ("ready-to-roll icing", "sugarpaste"),
    ("T45 flour", "type-45-flour"),
    ("T65", "type-65-flour"),
    ("405 flour", "type-405-flour"),
    ("manitoba", "very-strong-white-flour"),
    ("savoiardi", "sponge-fingers"),
    ("speculoos", "speculoos-biscuits"),
    ("copha", "hydrogenated-coconut-fat"),
    ("panko", "panko"),
    ("psyllium", "psyllium-husk"),
    ("levain", "sourdough-starter"),
    ("pearl sugar", "nib-sugar"),
    ("baker's ammonia", "ammonium-bicarbonate"),
    ("puff pastry", "puff-pastry"),
    ("phyllo", "filo-pastry"),
    ("prosecco", "sparkling-wine"),
    ("matcha powder", "matcha"),
    ("70% dark chocolate", "high-cocoa-dark-chocolate"),
    ("marg", "margarine"),
    ("grated cheddar", "cheddar"),
    ("bramley apples", "apple"),
]


@pytest.mark.parametrize(("name", "meant"), EVERYDAY, ids=[row[0] for row in EVERYDAY])
def test_an_everyday_name_finds_its_ingredient(name: str, meant: str) -> None:
    assert find_ingredient(name).id == meant


APART = [  # similar names of different ingredients: common practice
    ("black treacle", "golden syrup"),
    ("black treacle", "molasses"),
    ("cornflour", "maize flour"),
    ("double cream", "whipping cream"),
    ("digestive biscuits", "graham crackers"),
    ("currants", "blackcurrants"),
    ("baking powder", "baking soda"),
    ("condensed milk", "evaporated milk"),
    ("milk", "buttermilk"),
    ("fresh ginger", "ground ginger"),
    ("fresh yeast", "instant yeast"),
    ("vanilla extract", "vanilla essence"),
    ("natural cocoa powder", "dutch-process cocoa powder"),
    ("kosher salt", "table salt"),
    ("powdered gelatine", "leaf gelatine"),
    ("desiccated coconut", "creamed coconut"),
]


@pytest.mark.parametrize(("first", "second"), APART, ids=[f"{a} | {b}" for a, b in APART])
def test_similar_names_of_different_ingredients_are_kept_apart(first: str, second: str) -> None:
    assert find_ingredient(first) is not find_ingredient(second)


UNCLEAR = [  # an ambiguous name, and the candidates that must be offered
    ("flour", {"plain-flour", "self-raising-flour"}),
    ("sugar", {"granulated-sugar", "caster-sugar"}),
    ("corn flour", {"cornflour", "maize-flour"}),
    ("yeast", {"instant-yeast", "fresh-yeast"}),
    ("cream", {"single-cream", "whipping-cream"}),
    ("sea salt", {"fine-sea-salt", "flaky-sea-salt"}),
    ("breadcrumbs", {"dried-breadcrumbs", "fresh-breadcrumbs"}),
    ("milk powder", {"whole-milk-powder", "skimmed-milk-powder"}),
    ("caramel", {"caramel-sauce", "dulce-de-leche"}),
    ("spelt", {"spelt-flour", "spelt-grain"}),
    ("malted flour", {"malted-grain-flour", "malted-barley-flour"}),
    ("cheese", {"cheddar", "cream-cheese"}),
    ("fondant", {"sugarpaste", "poured-fondant"}),
    ("couverture", {"dark-couverture", "milk-couverture"}),
    ("tomato puree", {"tomato-paste", "passata"}),
    ("cider", {"dry-cider", "apple-juice"}),
    ("food colouring", {"liquid-food-colouring", "gel-food-colouring"}),
    ("shredded coconut", {"desiccated-coconut", "sweetened-shredded-coconut"}),
    ("chocolate", {"dark-chocolate"}),
    ("rice", {"white-rice"}),
    ("ginger", {"ground-ginger", "fresh-ginger"}),
    ("syrup", {"golden-syrup"}),
]


@pytest.mark.parametrize(("name", "offered"), UNCLEAR, ids=[row[0] for row in UNCLEAR])
def test_an_ambiguous_name_is_rejected_with_candidates(name: str, offered: set[str]) -> None:
    with pytest.raises((AmbiguousError, UnknownError)) as refusal:
        find_ingredient(name)
    assert offered <= set(refusal.value.candidates) <= set(INGREDIENTS)


def test_ambiguous_words_are_no_ingredients_and_offer_real_ones() -> None:
    for row in rows("ambiguous_names"):
        with pytest.raises(AmbiguousError) as refusal:
            find_ingredient(row["word"].upper())
        assert len(refusal.value.candidates) >= 2
        assert set(refusal.value.candidates) <= set(INGREDIENTS)


TYPOS = [
    ("plain flower", "plain-flour"),
    ("all purpose flower", "plain-flour"),
    ("whole wheat flower", "wholemeal-flour"),
    ("self rasing flour", "self-raising-flour"),
    ("granulted suger", "granulated-sugar"),
    ("muscavado sugar", "muscovado-sugar"),
    ("golden sirup", "golden-syrup"),
    ("bakng powder", "baking-powder"),
    ("bicarbonate of sodium", "bicarbonate-of-soda"),
    ("cinammon", "ground-cinnamon"),
    ("buter", "butter"),
    ("vanila extract", "vanilla-extract"),
    ("desicated coconut", "desiccated-coconut"),
    ("milkk", "whole-milk"),
    ("choclate chips", "dark-chocolate-chips"),
    ("sultannas", "sultanas"),
    ("yogart", "natural-yoghurt"),
    ("grond almonds", "ground-almonds"),
    ("cocoa powdr", "cocoa-powder"),
    ("currents", "currants"),
    ("samolina", "semolina"),
]


@pytest.mark.parametrize(("typo", "meant"), TYPOS, ids=[row[0] for row in TYPOS])
def test_a_misspelling_is_rejected_and_the_intended_name_is_the_first_candidate(typo: str, meant: str) -> None:
    with pytest.raises(UnknownError) as refusal:
        find_ingredient(typo)
    assert refusal.value.candidates[0] == meant, refusal.value.candidates


@pytest.mark.parametrize(
    ("name", "meant"),
    [
        ("Mehl", "plain-flour"),
        ("Zucker", "granulated-sugar"),
        ("beurre", "butter"),
        ("Eier", "egg"),
        ("lait", "whole-milk"),
    ],
)
def test_a_name_in_another_language_is_rejected_with_what_it_means(name: str, meant: str) -> None:
    with pytest.raises(UnknownError) as refusal:
        find_ingredient(name)
    assert refusal.value.candidates[0] == meant


@pytest.mark.parametrize("name", ["moon dust", "alfalfa flour", "qwertz"])
def test_nothing_is_suggested_rather_than_nonsense(name: str) -> None:
    with pytest.raises(UnknownError) as refusal:
        find_ingredient(name)
    assert refusal.value.candidates == ()


@pytest.mark.parametrize(
    "name", ["", " ", "-", "\x00", "\ud800", "🍞", "١٢", "qqqqxxxxzzzz", "x" * 10_000, "ab " * 3_000]
)
def test_an_unknown_name_is_rejected_with_at_most_five_candidates(name: str) -> None:
    with pytest.raises(UnknownError) as refusal:
        find_ingredient(name)
    assert len(refusal.value.candidates) <= 5
    assert len(refusal.value.detail) < 300  # the name is not echoed


@LAW
@given(st.text(max_size=40))
def test_any_text_is_an_ingredient_or_an_error_with_real_candidates(name: str) -> None:
    assert set(nearest_names(name)) <= set(INGREDIENTS)
    try:
        assert find_ingredient(name).id in INGREDIENTS
    except (AmbiguousError, UnknownError) as refusal:
        assert set(refusal.candidates) <= set(INGREDIENTS)  # noqa: PT017 - both outcomes are right


@pytest.mark.parametrize("ingredient", INGREDIENTS.values(), ids=INGREDIENTS)
def test_every_figure_lies_in_its_range_and_is_cited(ingredient: Ingredient) -> None:
    assert bool(ingredient.densities) != (ingredient.id in NO_DENSITY)
    for packing, density in ingredient.densities.items():
        assert density.packing == packing
        assert Fraction(1, 20) <= density.low < density.g_per_ml < density.high < 2
        assert density.cited
        assert {cited.source for cited in density.cited} <= set(SOURCES)
        floor = SPREAD[ingredient.form] * (2 if density.basis == "analogy" else 1)
        assert density.high >= density.g_per_ml * (1 + floor)
        assert density.low <= density.g_per_ml * (1 - floor)
        assert density.note or density.basis != "analogy"
    for piece in ingredient.pieces.values():
        assert 0 < piece.low <= piece.grams <= piece.high


def test_a_looser_packing_is_never_heavier() -> None:
    order = ("sifted", "spooned", "scooped"), ("loose", "packed"), ("sifted", "unsifted"), ("ground", "whole")
    for ingredient in INGREDIENTS.values():
        for packings in order:
            densities = [ingredient.densities[p].g_per_ml for p in packings if p in ingredient.densities]
            assert densities == sorted(densities), (ingredient.id, packings)


def test_a_packing_of_the_ingredient_is_used_and_others_are_rejected() -> None:
    butter, flour, cocoa = (INGREDIENTS[name] for name in ("butter", "plain-flour", "cocoa-powder"))
    assert density_of(butter, "melted")[0].packing == "melted"
    # The only source for cocoa does not state the packing.
    assert density_of(cocoa, "sifted") == (cocoa.densities["unstated"], True)
    assert density_of(cocoa)[1] is False
    assert density_of(flour)[1] is True
    for packing in ("", "Sifted", "banana", "melted"):
        with pytest.raises(UnknownError) as refusal:
            density_of(flour, packing)
        assert set(refusal.value.candidates) == set(flour.densities)
    assert "sifted" in PACKINGS


@pytest.mark.parametrize(
    ("low", "central", "high"), [("0.6", "0.5", "0.7"), ("0.4", "0.5", "0.45"), ("0.01", "0.5", "1"), ("1", "2", "3")]
)
def test_impossible_densities_are_rejected(low: str, central: str, high: str) -> None:
    with pytest.raises(ValueError, match="not a density"):
        Density(
            packing="loose",
            g_per_ml=Fraction(central),
            low=Fraction(low),
            high=Fraction(high),
            basis="single",
            cited=(),
            note="",
        )


@pytest.mark.parametrize("key", NO_DENSITY)
def test_an_ingredient_without_a_density_says_why_and_what_to_do(key: str) -> None:
    ingredient = INGREDIENTS[key]
    for packing in (None, "spooned", "no such packing"):
        with pytest.raises(UnknownError) as refusal:
            density_of(ingredient, packing)
        assert refusal.value.code == "no_density"
        assert NO_DENSITY[key] in refusal.value.detail
        assert "Weigh it" in refusal.value.detail
