"""Laws of labels: independence of scale, higher figures after a higher loss, order of the list, data gaps."""

import math
from collections.abc import Callable
from dataclasses import replace

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from domain.errors import DomainErrors, Path
from domain.shop.allergens import ALLERGENS, LISTS
from domain.shop.goods import Good, Part, make_book
from domain.shop.ingredient_list import list_text
from domain.shop.label import LabelFigures, Sold, label
from domain.shop.label_rules import label_lines, round_for_label
from domain.shop.nutrition import energy_of, make_composition, merged
from tests.domain.shop_kitchen import good, labelled, reference, weighed
from tests.strategies import LAW

WET = ["whole milk", "egg", "water", "orange juice"]
DRY = ["plain flour", "butter", "caster sugar", "ground almonds", "rolled oats", "dark chocolate"]
masses = st.floats(1, 3_000)


@st.composite
def bakes(draw: st.DrawFn) -> dict[str, float | str]:
    lines = draw(st.dictionaries(st.sampled_from(WET), masses, min_size=1))
    return {**lines, **draw(st.dictionaries(st.sampled_from(DRY), masses, min_size=1))}


def refused(ask: Callable[[], object]) -> list[tuple[Path, str]]:
    with pytest.raises(DomainErrors) as errors:
        ask()
    return [(error.path, error.code) for error in errors.value.errors]


def printed(figures: LabelFigures) -> dict[str, str | None]:
    return {
        line.line.nutrient: line.printed_per_100g.text if line.printed_per_100g else None for line in figures.declared
    }


def text_of(figures: object) -> str:
    return "".join(run.text for run in list_text(figures.entries))  # type: ignore[attr-defined]


@LAW
@given(lines=bakes(), factor=st.floats(0.05, 40))
def test_a_larger_batch_has_the_same_label(lines: dict[str, float | str], factor: float) -> None:
    more = {name: grams * factor for name, grams in lines.items() if not isinstance(grams, str)}
    first, second = labelled(lines, 0), labelled(more, 0)
    for nutrient, content in first.contents_per_100g.items():
        assert second.contents_per_100g[nutrient].amount == pytest.approx(content.amount, rel=1e-9, abs=1e-9)
    assert [entry.percent_of_mix for entry in second.entries] == pytest.approx(
        [entry.percent_of_mix for entry in first.entries]
    )


@LAW
@given(lines=bakes(), losses=st.tuples(st.floats(0, 60), st.floats(0, 60)))
def test_more_bake_loss_raises_every_figure_but_water(
    lines: dict[str, float | str], losses: tuple[float, float]
) -> None:
    less, more = sorted(losses)
    mix = labelled(lines, 0)
    water_share = mix.contents_per_100g["water_g"].amount
    assume(less + 1e-6 < more < water_share * 0.98)
    first, second = labelled(lines, less), labelled(lines, more)
    for nutrient, content in first.contents_per_100g.items():
        after = second.contents_per_100g[nutrient].amount
        if nutrient == "water_g":
            assert after < content.amount
        else:
            assert after >= content.amount
            # Solids are conserved: the total in the whole bake does not change.
            assert after * second.finished_g == pytest.approx(content.amount * first.finished_g, abs=1e-6)


@LAW
@given(lines=bakes(), loss=st.floats(0, 5))
def test_entries_descend_and_percentages_add_up(lines: dict[str, float | str], loss: float) -> None:
    try:
        figures = labelled(lines, loss, market="us")
    except DomainErrors:
        assume(False)
        raise
    orders = [entry.order_grams for entry in figures.entries]
    assert orders == sorted(orders, reverse=True)
    assert math.fsum(entry.percent_of_mix for entry in figures.entries) == pytest.approx(100)


@LAW
@given(lines=bakes(), portions=st.integers(1, 60))
def test_portions_add_up_to_the_bake(lines: dict[str, float | str], portions: int) -> None:
    figures = labelled(lines, 0, portions=portions)
    for declared in figures.declared:
        assert declared.per_portion is not None
        assert declared.per_100g is not None
        whole = declared.per_100g * figures.finished_g / 100
        assert declared.per_portion * portions == pytest.approx(whole, abs=1e-9)


def test_two_lines_of_an_ingredient_are_listed_once() -> None:
    both = weighed({"plain flour": 100, "all-purpose flour": 60, "water": 50})
    figures = label(both, Sold(name="bake", market="eu", bake_loss_percent=0), make_book([]))
    assert [entry.grams for entry in figures.entries] == [160, 50]


def test_an_unknown_ingredient_makes_every_figure_incomplete() -> None:
    figures = labelled({"plain flour": 100, "WHARF DUST": 100}, 0)
    assert {tuple(use.name for use in line.missing) for line in figures.declared} == {("WHARF DUST",)}
    assert {line.coverage_percent for line in figures.declared} == {50.0}
    codes = {notice.code for notice in (*figures.formula_notices, *figures.sold_notices)}
    assert {"no_composition", "nutrition_incomplete", "allergens_unknown"} <= codes


def test_each_figure_of_the_shop_replaces_the_reference_figure() -> None:
    own = make_composition({"salt_g": 2.0, "fat_g": 80.0}, own=True)
    both = merged(own, reference("butter"))
    assert both is not None
    assert (both.per_100g["salt_g"], both.per_100g["sodium_mg"], both.per_100g["fat_g"]) == (2.0, 800.0, 80.0)
    assert both.per_100g["water_g"] == reference("butter").per_100g["water_g"]
    assert both.per_100g["energy_kj"] == pytest.approx(80 * 37 + 0.85 * 17 + 0.06 * 17)


def test_the_packets_total_carbohydrate_replaces_the_references_carbohydrate() -> None:
    # usda-sr28, NDB 20081: 2.7 g of fibre, which is subtracted from the total on the packet.
    both = merged(make_composition({"total_carbohydrate_g": 80.0}, own=True), reference("plain flour"))
    assert both is not None
    assert both.per_100g["total_carbohydrate_g"] == 80.0
    assert both.per_100g["carbohydrate_g"] == pytest.approx(80 - 2.7)


def test_salted_butter_has_a_record_of_its_own() -> None:
    salted = labelled({"salted butter": 100}).contents_per_100g["salt_g"].amount
    assert salted > 10 * labelled({"butter": 100}).contents_per_100g["salt_g"].amount


def test_a_loss_above_the_water_is_rejected() -> None:
    assert refused(lambda: labelled({"granulated sugar": 90, "water": 10}, 30)) == [
        (("bake_loss_percent",), "loss_over_water")
    ]


def test_a_loss_above_the_known_water_is_a_warning_if_some_water_is_unknown() -> None:
    figures = labelled({"granulated sugar": 50, "WHARF SYRUP": 50}, 30)
    assert "loss_unchecked" in {notice.code for notice in (*figures.formula_notices, *figures.sold_notices)}


def test_a_label_needs_the_loss_and_a_portion_is_lighter_than_the_bake() -> None:
    mix = weighed({"plain flour": 100})
    needed = (("bake_loss_percent",), "bake_loss_needed")
    assert refused(lambda: Sold(name="bake", market="eu", may_contain=("dust", "milk", "fog"))) == [
        (("may_contain", 0), "unknown_allergen"),
        (("may_contain", 2), "unknown_allergen"),
        needed,
    ]
    too_heavy = Sold(name="bake", market="eu", baked_grams=101, portion_grams=102)
    assert refused(lambda: label(mix, too_heavy, make_book([]))) == [
        (("baked_grams",), "out_of_range"),
        (("portion_grams",), "out_of_range"),
    ]
    heavy_portion = Sold(name="bake", market="eu", baked_grams=90, portion_grams=91)
    assert refused(lambda: label(mix, heavy_portion, make_book([]))) == [(("portion_grams",), "out_of_range")]


def test_added_water_is_counted_by_what_remains_after_baking() -> None:
    # Regulation (EU) 1169/2011, Annex VII part A point 1: 100 g finished minus 95 g of others is 5 g of water.
    figures = labelled({"plain flour": 95, "water": 25}, 100 / 6)
    water = next(entry for entry in figures.entries if entry.name == "water")
    assert water.order_grams == pytest.approx(5)
    assert water.may_be_left_out
    us = labelled({"plain flour": 95, "water": 25}, 100 / 6, market="us")
    assert us.entries[-1].order_grams == 25
    gone = labelled({"plain flour": 100, "water": 20}, 100 / 6)
    assert [entry.name for entry in gone.entries] == ["plain flour"]


def test_quantities_are_of_the_finished_product_and_in_grams_above_a_hundred_percent() -> None:
    # Annex VIII points 3 and 4
    cake = labelled({"blueberries": 30, "plain flour": 70}, 20, name="Blueberry cake")
    assert next(e for e in cake.entries if e.name == "blueberries").quantity_percent == pytest.approx(37.5)
    jam = labelled({"blueberries": 120, "granulated sugar": 10}, 30, name="Blueberry spread")
    berry = jam.entries[0]
    assert berry.quantity_percent is None
    assert berry.grams_per_100g == pytest.approx(120 / 91 * 100)
    assert "132 g per 100 g" in text_of(jam)


def test_descriptive_words_do_not_name_an_ingredient() -> None:
    figures = labelled({"ground almonds": 50, "dark chocolate": 30, "plain flour": 20}, name="Dark ground plain bake")
    assert all(entry.quantity_percent is None for entry in figures.entries)


def test_allergens_are_emphasised_in_the_list() -> None:
    figures = labelled({"butter": 100, "egg": 90, "ground almonds": 80, "plain flour": 70, "soya milk": 5})
    assert text_of(figures) == "butter (MILK), EGG, ground ALMONDS, plain flour (WHEAT), SOYA milk"
    assert [group.group for group in figures.allergens] == ["milk", "eggs", "tree_nuts", "gluten_cereals", "soybeans"]


def test_lists_differ_by_market() -> None:
    lines: dict[str, float | str] = {"dark rye flour": 100, "pine nuts": 50, "mustard powder": 5}
    eu, us = labelled(lines), labelled(lines, market="us")
    assert [group.group for group in eu.allergens] == ["gluten_cereals", "mustard"]
    assert [group.group for group in us.allergens] == ["tree_nuts"]


def test_compound_ingredients_list_their_parts_and_emphasise_allergens() -> None:
    crumbs = Good(
        name="wharf crumbs",
        label_name="oat biscuit",
        contains=("oats", "wheat", "milk"),
        may_contain=("sesame",),
        parts=(Part(name="rolled oats", percent=38), Part(name="wheat flour"), Part(name="butter")),
    )
    mix = weighed({"plain flour": 10, "WHARF CRUMBS": 90})
    figures = label(mix, Sold(name="bake", market="uk", bake_loss_percent=0), make_book([crumbs]))
    assert "OAT biscuit (rolled OATS 38 %, WHEAT flour, butter) (MILK)" in text_of(figures)
    assert figures.may_contain == ("sesame",)


def test_every_allergen_is_on_a_list_and_every_label_word_is_lower_case() -> None:
    assert ALLERGENS.keys() == LISTS["eu"].keys() | LISTS["us"].keys()
    for table in LISTS.values():
        for listed in table.values():
            assert listed.words
            assert all(word == word.lower() for word in listed.words)


@pytest.mark.parametrize("market", ["eu", "us"])
def test_every_line_of_a_label_is_cited(market: str) -> None:
    assert all(line.cited.record for line in label_lines("us" if market == "us" else "eu"))


def test_a_good_that_names_no_allergens_keeps_those_of_its_ingredient() -> None:
    own = replace(good("plain flour"), contains=())
    mix = weighed({"plain flour": 10})
    figures = label(mix, Sold(name="bake", market="eu", bake_loss_percent=0), make_book([own]))
    assert [group.allergens for group in figures.allergens] == [("wheat",)]


def test_a_figure_that_cannot_be_worked_out_is_left_out() -> None:
    assert "sugars_g" not in make_composition({"fat_g": 1.0}).per_100g


def test_energy_is_the_sum_of_grams_times_factors() -> None:
    assert energy_of({"fat_g": 2.0}, {"fat_g": 37.0}) == 74.0


def test_zero_is_printed_as_zero() -> None:
    assert round_for_label(0, "fat_g", "eu").text == "0 g"
