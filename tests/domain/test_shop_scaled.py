"""Cost, label and balance of a formula at a factor: money scales with it, shares and figures per 100 g do not."""

from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.errors import OutOfRangeError
from domain.formulas.formula import WeighedFormula, weigh_formula
from domain.formulas.rescaling import Bench, rescale
from domain.formulas.targets import Target
from domain.shop.balance import balance
from domain.shop.costing import Costing, Extra, cost
from domain.shop.goods import EMPTY_BOOK, make_book
from domain.shop.label import Sold, label
from domain.shop.money import find_currency
from domain.shop.scaled import scaled
from tests.domain.shop_kitchen import good, weighed
from tests.strategies import HEAVY_LAW, LAW, formulas

GBP = find_currency("GBP")
COSTING = Costing(currency=GBP)
LINES: dict[str, float | str] = {
    "plain flour": 400,
    "butter": "1 us_cup",
    "egg": "3 each",
    "whole milk": "2 metric_tbsp",
}
BOOK = make_book(
    [
        good("plain flour", ("1.5 kg", "1.29")),
        good("butter", ("250 g", "1.99")),
        good("egg", ("12 each", "2.70")),
        good("whole milk", ("2 l", "1.55")),
    ]
)
factors = st.floats(0.01, 100)


@HEAVY_LAW
@given(formula=formulas(), factor=factors)
def test_masses_are_those_of_rescaling_to_the_last_digit(formula: object, factor: float) -> None:
    mix = weigh_formula(formula)  # type: ignore[arg-type]
    (target,) = rescale(mix, [Target(label="", factor=factor)], Bench())
    at_factor = scaled(mix, factor)
    assert at_factor.mass == target.mass
    for component, rescaled in zip(at_factor.components, target.components, strict=True):
        assert component.mass == rescaled.mass
        assert component.pieces == rescaled.pieces
        assert [line.mass for line in component.lines] == [line.mass for line in rescaled.lines]


def test_factor_one_is_the_formula_as_written() -> None:
    mix = weighed(LINES, tins=2)
    assert scaled(mix, 1) is mix
    sold = Sold(name="bake", market="uk", bake_loss_percent=9, portions=7)
    assert cost(mix, COSTING, BOOK, 1) == cost(mix, COSTING, BOOK)
    assert label(mix, sold, BOOK, 1) == label(mix, sold, BOOK)
    assert balance(mix, BOOK, factor=1) == balance(mix, BOOK)


@LAW
@given(factor=st.sampled_from([2, 4, 0.5, 1024]))
def test_cost_before_rounding_scales_with_the_factor(factor: float) -> None:
    # Powers of two do not round doubles, so the exact costs are equal.
    mix = weighed(LINES)
    single, more = cost(mix, COSTING, BOOK), cost(mix, COSTING, BOOK, factor)
    assert more.exact == single.exact * Fraction(factor)
    assert (more.low, more.high) == (single.low * Fraction(factor), single.high * Fraction(factor))
    assert more.low < more.exact < more.high


@LAW
@given(factor=factors)
def test_lines_of_any_factor_add_up_and_keep_their_ranges(factor: float) -> None:
    costs = cost(weighed(LINES), COSTING, BOOK, factor)
    assert sum(line.units or 0 for line in costs.lines) == costs.units
    single = cost(weighed(LINES), COSTING, BOOK)
    for figure, before in ((costs.low, single.low), (costs.exact, single.exact), (costs.high, single.high)):
        assert float(figure) == pytest.approx(float(before) * factor)


def test_packaging_of_a_batch_does_not_scale() -> None:
    extra = Extra(name="box", kind="packaging", amount=Fraction("1.10"), per="batch")
    costing = Costing(currency=GBP, extras=(extra,))
    single, double = cost(weighed(LINES), costing, BOOK), cost(weighed(LINES), costing, BOOK, 2)
    assert double.exact - double.ingredients_exact == single.exact - single.ingredients_exact == Fraction("1.10")


@LAW
@given(factor=factors, weigh_the_bake=st.booleans())
def test_a_label_per_100_g_does_not_change_with_the_factor(factor: float, *, weigh_the_bake: bool) -> None:
    mix = weighed(LINES)
    loss, baked_g = (None, 640.0) if weigh_the_bake else (12.5, None)
    how = Sold(name="butter bake", market="uk", bake_loss_percent=loss, baked_grams=baked_g)
    larger = replace(how, baked_grams=None if baked_g is None else baked_g * factor)
    first, more = label(mix, how, EMPTY_BOOK), label(mix, larger, EMPTY_BOOK, factor)
    assert more.finished_g == pytest.approx(first.finished_g * factor)
    assert more.bake_loss_percent == pytest.approx(first.bake_loss_percent)
    for line, other in zip(first.declared, more.declared, strict=True):
        assert other.per_100g == pytest.approx(line.per_100g)
    for entry, other_entry in zip(first.entries, more.entries, strict=True):
        assert other_entry.name == entry.name
        assert other_entry.quantity_percent == (
            None if entry.quantity_percent is None else pytest.approx(entry.quantity_percent)
        )


@LAW
@given(factor=factors)
def test_percentages_do_not_change_with_the_factor(factor: float) -> None:
    mix = weighed(LINES)
    first, more = balance(mix, EMPTY_BOOK), balance(mix, EMPTY_BOOK, factor=factor)
    assert [line.percent for line in more.lines] == pytest.approx([line.percent for line in first.lines])
    assert more.total_percent == pytest.approx(first.total_percent)
    assert more.hydration.percent == pytest.approx(first.hydration.percent)
    assert (more.mass.low, more.mass.high) == pytest.approx((first.mass.low * factor, first.mass.high * factor))


@pytest.mark.parametrize("factor", [0, -1, float("inf"), float("nan")])
def test_a_factor_is_above_zero_and_finite(factor: float) -> None:
    mix: WeighedFormula = weighed(LINES)
    with pytest.raises(OutOfRangeError):
        scaled(mix, factor)
