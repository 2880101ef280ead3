"""Labels print no figure that is not known: coverage, estimates, parts and wholes, markets, what is asked for."""

from collections.abc import Mapping
from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.shop.allergens import Market
from domain.shop.goods import EMPTY_BOOK, Book, Good, Part, make_book
from domain.shop.ingredient_list import list_text
from domain.shop.label import LabelFigures, Sold, label
from domain.shop.label_rules import omissions, rules
from domain.shop.nutrition import PARTS, Nutrient, make_composition
from domain.shop.reference_compositions import RECORDS, UNKNOWN
from domain.things.ingredients import INGREDIENTS
from tests.domain.shop_kitchen import good, labelled, reference, weighed
from tests.strategies import LAW

Lines = Mapping[str, float | str]
COMPLETE = ["plain flour", "butter", "caster sugar", "egg", "whole milk", "rolled oats", "cheddar", "courgette", "cola"]
SUGARS: Nutrient = "sugars_g"


def line_of(figures: LabelFigures, nutrient: Nutrient) -> tuple[str | None, tuple[str, ...]]:
    """What a label prints for a nutrient, and the ingredients without a figure for it."""
    declared = next(line for line in figures.declared if line.line.nutrient == nutrient)
    printed = declared.printed_per_100g
    return (printed.text if printed else None), tuple(use.name for use in declared.missing)


def estimated(lines: Lines, book: Book, market: Market = "eu") -> LabelFigures:
    return label(weighed(lines), Sold(name="bake", market=market, bake_loss_percent=0, estimate=True), book)


def test_a_nutrient_without_full_coverage_is_not_printed() -> None:
    figures = labelled({"plain flour": 100, "quinoa": 2}, portions=4)  # usda-sr28 prints no sugars of quinoa
    assert line_of(figures, SUGARS) == (None, ("quinoa",))
    assert line_of(figures, "fat_g") == ("1.1 g", ())
    declared = next(line for line in figures.declared if line.line.nutrient == SUGARS)
    assert (declared.per_100g, declared.per_portion, declared.printed_per_portion) == (None, None, None)
    assert (declared.intake_percent_per_100g, declared.intake_percent_per_portion) == (None, None)
    notice = next(notice for notice in figures.formula_notices if notice.code == "nutrition_incomplete")
    assert notice.path == ("components", 0, "lines", 1)
    assert "of which sugars" in notice.message
    own = Good(name="WHARF DUST", composition=make_composition({"fat_g": 6.0}, own=True))
    figures = labelled({"plain flour": 100, "WHARF DUST": 2}, book=make_book([own]))
    notice = next(notice for notice in figures.formula_notices if notice.code == "nutrition_incomplete")
    assert notice.message.count("energy") == 1, "kJ and kcal are lines of one name"


def test_a_borrowed_figure_is_named_where_it_is_printed() -> None:
    def borrowed(market: Market) -> list[str]:
        notices = labelled({"plain flour": 100, "butter": 50, "orange zest": 3}, market=market).formula_notices
        return [notice.message.partition(":")[0] for notice in notices if notice.code == "analogy"]

    # usda-sr28 has no sugars of orange peel and no trans fat of unsalted butter
    assert borrowed("eu") == ["orange zest"]
    assert borrowed("us") == ["butter", "orange zest"]
    assert "borrowed" in {cited.confidence for cited in reference("orange zest").cited}


def test_the_composition_of_the_packet_makes_the_label_complete() -> None:
    lines = {"plain flour": 100, "quinoa": 2}
    own = replace(good("quinoa"), composition=make_composition({"sugars_g": 0.0}, own=True))
    assert line_of(labelled(lines, book=make_book([own])), SUGARS) == ("<0.5 g", ())


def test_an_ingredient_without_a_composition_prints_nothing_and_says_why() -> None:
    figures = labelled({"plain flour": 100, "oat milk": 50})
    assert {line.printed_per_100g for line in figures.declared} == {None}
    message = next(notice.message for notice in figures.formula_notices if notice.code == "no_composition")
    assert UNKNOWN["oat-milk"].reason in message


@LAW
@given(
    lines=st.dictionaries(st.sampled_from(COMPLETE), st.floats(1, 1000), min_size=2),
    withheld=st.sets(st.sampled_from(["fat_g", "saturates_g", "sugars_g", "protein_g", "sodium_mg"]), min_size=1),
)
def test_an_estimate_holds_the_figure_that_was_withheld(lines: dict[str, float | str], withheld: set[Nutrient]) -> None:
    first = next(iter(lines))
    derived = {"total_carbohydrate_g", "salt_g"}
    complete: dict[Nutrient, float] = {
        key: value
        for key, value in reference(first, "eu").per_100g.items()
        if key not in derived and not key.startswith("energy_")
    }
    partly = {key: value for key, value in complete.items() if key not in withheld}
    whole, part = (
        make_book([Good(name=first.upper(), composition=make_composition(figures, own=True))])
        for figures in (complete, partly)
    )
    renamed = {first.upper() if name == first else name: grams for name, grams in lines.items()}
    truth, estimate = estimated(renamed, whole), estimated(renamed, part)
    for true, given_as in zip(truth.declared, estimate.declared, strict=True):
        assert true.per_100g is not None
        if given_as.estimate_per_100g is None:
            assert given_as.per_100g == pytest.approx(true.per_100g)
        else:
            assert given_as.printed_per_100g is None
            bounds = given_as.estimate_per_100g
            assert bounds.low - 1e-9 <= true.per_100g <= bounds.high + 1e-9


def test_an_estimate_is_only_given_when_it_is_asked_for_and_needed() -> None:
    lines: Lines = {"plain flour": 100, "WHARF DUST": 10}
    assert {line.estimate_per_100g for line in labelled(lines).declared} == {None}
    sugars = next(line for line in estimated(lines, EMPTY_BOOK).declared if line.line.nutrient == SUGARS)
    assert sugars.estimate_per_100g is not None
    # All of the 10 g of 110 g may be sugar.
    assert sugars.estimate_per_100g.high - sugars.estimate_per_100g.low == pytest.approx(10 / 110 * 100)
    assert {line.estimate_per_100g for line in estimated({"plain flour": 100}, EMPTY_BOOK).declared} == {None}


@LAW
@given(
    names=st.lists(st.sampled_from(sorted(RECORDS)), min_size=1, max_size=12, unique=True),
    market=st.sampled_from(["eu", "uk", "us"]),
)
def test_no_part_exceeds_its_whole_on_a_label(names: list[str], market: Market) -> None:
    figures = labelled({INGREDIENTS[name].british: 10.0 for name in names}, market=market)
    amounts = {line.line.nutrient: line.per_100g for line in figures.declared if line.per_100g is not None}
    for part, whole in PARTS:
        if part in amounts and whole in amounts:
            assert amounts[part] <= amounts[whole] + 1e-9


def test_sugars_of_milk_are_cut_to_its_carbohydrate() -> None:
    # usda-sr28, NDB 01077 prints 5.05 g of sugars and 4.80 g of carbohydrate
    per_100g = reference("whole milk").per_100g
    assert per_100g["sugars_g"] == per_100g["carbohydrate_g"] == 4.8


def test_a_part_of_nothing_is_nothing() -> None:
    per_100g = make_composition({"fat_g": 0, "carbohydrate_g": 0}).per_100g
    assert (per_100g["saturates_g"], per_100g["sugars_g"]) == (0, 0)
    assert "sugars_g" not in make_composition({"fat_g": 0, "carbohydrate_g": 5}).per_100g


def test_a_label_uses_the_product_of_its_market() -> None:
    # cocoa: 13.7 g of fat in usda-sr28, 24.5 g in swiss-fcd, 21.7 g in cofid-2021; vegetable oil is soya oil in the USA
    assert reference("cocoa powder", "us").per_100g["fat_g"] == 13.7
    assert reference("cocoa powder", "eu").per_100g["fat_g"] == 24.5
    assert reference("cocoa powder", "uk").per_100g["fat_g"] == 21.7
    assert reference("vegetable oil", "us").per_100g["saturates_g"] == 15.65
    assert reference("vegetable oil", "uk").per_100g["saturates_g"] == 7.365
    markets: tuple[Market, ...] = ("eu", "uk", "us")
    for market in markets:
        for name, is_borrowed in (("cocoa powder", False), ("golden syrup", True)):
            codes = {notice.code for notice in labelled({name: 10}, market=market).formula_notices}
            assert ("other_market" in codes) == is_borrowed, (name, market)


def test_every_ingredient_has_a_composition_or_a_reason() -> None:
    assert RECORDS.keys() | UNKNOWN.keys() == INGREDIENTS.keys()
    assert not RECORDS.keys() & UNKNOWN.keys()


MUST_NAME: dict[Market, set[str]] = {
    # Regulation (EU) 1169/2011, Article 9, and 21 CFR 101; from memory
    "eu": {"net quantity", "storage conditions", "name and address of the business"},
    "uk": {"net quantity", "storage conditions", "name and address of the business"},
    "us": {"added sugars", "serving size", "net quantity"},
}


@pytest.mark.parametrize(("market", "names"), MUST_NAME.items())
def test_what_is_not_computed_is_named(market: Market, names: set[str]) -> None:
    assert names <= {omission.name for omission in omissions(market)}
    assert {"language", "coverage"} <= {rule.id for rule in rules(market)}
    assert ("flour_additions" in {rule.id for rule in rules(market)}) == (market == "uk")


def test_the_us_panel_has_the_nutrients_of_the_law() -> None:
    # 21 CFR 101.9(c), from memory; added sugars are not in the tables
    figures = labelled({"plain flour": 100, "whole milk": 100, "salted butter": 50}, market="us")
    names = {line.line.label_name for line in figures.declared}
    assert names >= {"Trans Fat", "Cholesterol", "Vitamin D", "Calcium", "Iron", "Potassium"}
    # usda-sr28, calcium in 100 g: flour 15 mg, whole milk 113 mg, salted butter 24 mg; so 140 mg in these 250 g
    assert line_of(figures, "calcium_mg") == ("60 mg", ())
    assert line_of(figures, "cholesterol_mg") == ("45 mg", ())


NAMED = [
    pytest.param("Oat slice", "rolled oats", id="plural in the ingredient"),
    pytest.param("Oats and honey bar", "medium oatmeal", id="plural in the product; part of a word"),
    pytest.param("Ginger parkin with oat-and-treacle nuggets", "black treacle", id="hyphens"),
    pytest.param("Gingerbread", "ground ginger", id="part of the product's word"),
    pytest.param("Blueberry muffin", "blueberries", id="berries"),
    pytest.param("Berry crumble", "raspberries", id="kind of berry"),
    pytest.param("Nut loaf", "hazelnuts", id="kind of nut"),
    pytest.param("Peaches and cream tart", "peach", id="peaches"),
    pytest.param("Cheesecake", "cream cheese", id="cheesecake"),
]
NOT_NAMED = [
    pytest.param("Orange cake", "cake flour", id="cake"),
    pytest.param("Rye bread", "strong white flour", id="bread flour, its American name"),
    pytest.param("Nut loaf", "desiccated coconut", id="coconut is no nut"),
    pytest.param("Pear tart", "pearl barley", id="pear and pearl"),
]


@pytest.mark.parametrize(("product", "ingredient"), NAMED)
def test_a_product_name_mentions_an_ingredient(product: str, ingredient: str) -> None:
    figures = labelled({ingredient: 40, "salt": 1}, name=product)
    assert figures.entries[0].quantity_percent == pytest.approx(40 / 41 * 100)
    assert figures.entries[1].quantity_percent is None


@pytest.mark.parametrize(("product", "ingredient"), NOT_NAMED)
def test_a_product_name_does_not_mention_an_ingredient(product: str, ingredient: str) -> None:
    assert labelled({ingredient: 40}, name=product).entries[0].quantity_percent is None


def test_the_statutory_additions_of_flour_are_asked_for_in_the_uk_only() -> None:
    def paths_of_additions(market: Market, book: Book = EMPTY_BOOK) -> list[object]:
        figures = labelled({"plain flour": 100, "wholemeal flour": 50}, market=market, book=book)
        return [notice.path for notice in figures.formula_notices if notice.code == "flour_additions"]

    assert paths_of_additions("uk") == [("components", 0, "lines", 0)]
    assert paths_of_additions("eu") == paths_of_additions("us") == []
    listed = replace(good("plain flour"), parts=(Part(name="wheat flour"), Part(name="calcium carbonate")))
    assert paths_of_additions("uk", make_book([listed])) == []


@pytest.mark.parametrize(
    ("market", "text"),
    [("eu", "raising agent (sodium bicarbonate)"), ("uk", "raising agent (sodium bicarbonate)"), ("us", "baking soda")],
)
def test_raising_agents_are_listed_by_class_in_the_eu(market: Market, text: str) -> None:
    entries = labelled({"bicarbonate of soda": 5}, market=market).entries
    assert "".join(run.text for run in list_text(entries)) == text
