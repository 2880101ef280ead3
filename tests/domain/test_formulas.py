"""Formulas in grams: totals, ranges, and one error for every line that cannot be weighed."""

import math
from collections.abc import Callable
from fractions import Fraction
from functools import partial

import pytest
from hypothesis import given
from hypothesis import strategies as st

import tests.formulas
from domain.errors import DomainError, DomainErrors, MismatchError, NeededError, OutOfRangeError
from domain.formulas.formula import Component, Formula, Line, Mass, total, weigh_formula
from domain.formulas.kinds import RISING
from domain.measures.quantities import parse_quantity
from domain.pieces.counts import Division
from domain.things.conversion import Thing
from domain.things.eggs import EGG_CLASSES
from domain.tins.text import parse_tin
from tests.strategies import HEAVY_LAW, LAW, converted, formulas

EU_M = EGG_CLASSES["eu_m"]
masses = st.builds(
    lambda g, low, high: Mass(grams=g, low=g * low, high=g * high),
    st.floats(0.01, 1e5),
    st.floats(0.5, 1),
    st.floats(1, 2),
)


line = partial(tests.formulas.line, measures="us", egg_class=EU_M)
component = partial(tests.formulas.component, name="dough", measures="us", egg_class=EU_M)


@HEAVY_LAW
@given(formulas())
def test_totals_are_sums_and_ranges_contain_the_central_value(formula: Formula) -> None:
    weighed = weigh_formula(formula)
    for part in weighed.components:
        for name in ("grams", "low", "high"):
            assert getattr(part.mass, name) == math.fsum(getattr(each.mass, name) for each in part.lines)
        for each in part.lines:
            assert 0 < each.mass.low <= each.mass.grams <= each.mass.high
    for name in ("grams", "low", "high"):
        assert getattr(weighed.mass, name) == math.fsum(getattr(part.mass, name) for part in weighed.components)
    assert weighed.mass.low <= weighed.mass.grams <= weighed.mass.high


@HEAVY_LAW
@given(formulas())
def test_a_line_has_the_mass_that_convert_gives(formula: Formula) -> None:
    for part in weigh_formula(formula).components:
        for each in part.lines:
            expected = converted(each.quantity, "g", each.thing)
            assert (each.mass.grams, each.mass.low, each.mass.high) == (expected.amount, expected.low, expected.high)
            assert each.cited == expected.cited


@HEAVY_LAW
@given(formulas(eggs=True))
def test_eggs_of_a_formula_are_summed_by_part(formula: Formula) -> None:
    weighed = weigh_formula(formula)
    lines = [each for part in weighed.components for each in part.lines if each.egg_part]
    assert {eggs.part for eggs in weighed.eggs} == {each.egg_part for each in lines}
    for eggs in weighed.eggs:
        of_part = [each for each in lines if each.egg_part == eggs.part]
        assert eggs.mass == total(each.mass for each in of_part)
        counted = [each.quantity.amount for each in of_part if each.quantity.unit.id == "each"]
        assert eggs.count == (sum(counted) if len(counted) == len(of_part) else None)


@LAW
@given(st.lists(masses, max_size=20), st.floats(0.01, 100))
def test_the_scaled_sum_is_the_sum_of_the_scaled_lines(summands: list[Mass], factor: float) -> None:
    first, other = total(summands).times(factor), total(mass.times(factor) for mass in summands)
    assert (first.grams, first.low, first.high) == pytest.approx((other.grams, other.low, other.high), rel=1e-14)
    assert total(summands).times(1.0) == total(summands)


@LAW
@given(masses, st.floats(0.001, 1_000))
def test_a_range_stays_in_order_when_scaled(mass: Mass, factor: float) -> None:
    scaled = mass.times(factor)
    assert scaled.low <= scaled.grams <= scaled.high


def test_a_dough_divided_by_count_or_by_mass() -> None:
    dough = [("strong-white-flour", "500 g"), ("water", "300 g")]
    by_count, by_mass = (
        weigh_formula(Formula(name="x", components=(component(*dough, pieces=division),))).components[0].pieces
        for division in (Division(count=12), Division(grams_each=65))
    )
    assert by_count is not None
    assert by_mass is not None
    assert (by_count.count, by_count.grams_each) == (12, 800 / 12)
    assert by_count.leftover_grams == pytest.approx(0, abs=1e-9)
    assert (by_mass.count, by_mass.grams_each) == (12, 800 / 12)
    assert (by_mass.whole_count, by_mass.leftover_grams) == (12, 800 - 12 * 65)


def test_a_division_says_count_or_mass() -> None:
    for nothing_or_both in ({}, {"count": 4, "grams_each": 20.0}):
        with pytest.raises(NeededError) as refusal:
            Division(**nothing_or_both)  # type: ignore[arg-type]  # the names are the fields'
        assert refusal.value.code == "pieces_needed"


def test_every_line_that_cannot_be_weighed_is_reported() -> None:
    first = component(("plain-flour", "200 g"), ("nothing known", "1 cup"), ("plain-flour", "2 each"))
    second = component(("fresh-yeast", "1 tsp"), ("water", "1 cup"), pieces=Division(grams_each=5_000))
    third = component(("water", "1 cup"), pieces=Division(grams_each=5_000))
    with pytest.raises(DomainErrors) as refusals:
        weigh_formula(Formula(name="x", components=(first, second, third)))
    assert [(error.path[:4], error.code) for error in refusals.value.errors] == [
        (("components", 0, "lines", 1), "ingredient_needed"),
        (("components", 0, "lines", 2), "no_piece_weight"),
        (("components", 1, "lines", 0), "no_density"),  # its mass is unknown, and therefore its pieces too
        (("components", 2, "pieces", "grams_each"), "out_of_range"),
    ]


def test_warnings_name_their_line() -> None:
    part = component(("caster-sugar", "1 cup"), ("salt", "1 pinch"), ("my own mix", "100 g"))
    weighed = weigh_formula(Formula(name="x", components=(part,), tin=parse_tin("half-sheet")))
    warnings = {(notice.path, notice.code) for notice in weighed.notices}
    assert (("components", 0, "lines", 0), "analogy") in warnings
    assert (("components", 0, "lines", 1), "vague_measure") in warnings
    assert (("components", 0, "lines", 2), "own_ingredient") in warnings
    assert (("tin",), "nominal_size") in warnings


def test_a_line_of_the_shops_own_good_is_not_reported_as_unknown() -> None:
    stranger = Line(name="house mix", thing=Thing(), quantity=parse_quantity("100 g", "us"))
    listed = Line(name="house mix", thing=Thing(), quantity=parse_quantity("100 g", "us"), shop_good=True)
    weighed = weigh_formula(Formula(name="x", components=(Component(name="dough", lines=(stranger, listed)),)))
    assert [(notice.path, notice.code) for notice in weighed.notices] == [
        (("components", 0, "lines", 0), "own_ingredient")
    ]


@pytest.mark.parametrize(
    ("name", "rises"), [("baking-powder", True), ("instant-yeast", True), ("self-raising-flour", True), ("salt", False)]
)
def test_raising_agents_are_recognised(name: str, rises: bool) -> None:
    assert (weigh_formula(Formula(name="x", components=(component((name, "10 g")),))).kind in RISING) is rises


def test_fill_of_the_tin_of_the_formula() -> None:
    for depth, percent, code in ((25.0, 50.0, None), (60.0, 120.0, "past_rim"), (8.0, 16.0, "shallow_fill")):
        part, tin = component(("water", f"{40 * depth} g")), parse_tin("square 20 x 5 cm")
        weighed = weigh_formula(Formula(name="x", components=(part,), tin=tin, filled_depth_mm=depth))
        assert weighed.fill_percent == pytest.approx(percent)
        assert weighed.batter_ml == pytest.approx(400 * depth / 10)
        assert [notice.code for notice in weighed.notices] == ([code] if code else [])


@pytest.mark.parametrize("quantity", ["0 g", "-1 g"])
def test_a_line_of_zero_or_less_is_rejected(quantity: str) -> None:
    with pytest.raises(OutOfRangeError):
        line("water", quantity)


@pytest.mark.parametrize("quantity", ["20 cm", "100 cm2", "180 celsius"])
def test_a_line_without_an_amount_of_food_is_rejected(quantity: str) -> None:
    with pytest.raises(MismatchError):
        line("water", quantity)


ONE = (component(("water", "1 kg")),)
IMPOSSIBLE: list[tuple[str, Callable[[], object]]] = [
    ("no pieces", lambda: Division(count=0)),
    ("pieces below nothing", lambda: Division(count=-1)),
    ("pieces of nothing", lambda: Division(grams_each=0.0)),
    ("pieces of no number", lambda: Division(grams_each=math.nan)),
    ("no tins", lambda: Formula(name="x", components=ONE, tins=0)),
    ("a depth of nothing", lambda: Formula(name="x", components=ONE, filled_depth_mm=0.0)),
    ("a depth below nothing", lambda: Formula(name="x", components=ONE, filled_depth_mm=-5.0)),
    ("a depth of no number", lambda: Formula(name="x", components=ONE, filled_depth_mm=math.nan)),
]


@pytest.mark.parametrize("make", [row[1] for row in IMPOSSIBLE], ids=[row[0] for row in IMPOSSIBLE])
def test_invalid_values_cannot_be_constructed(make: Callable[[], object]) -> None:
    with pytest.raises(DomainError):
        make()


def test_grams_are_the_nearest_double_of_the_exact_product() -> None:
    weighed = weigh_formula(Formula(name="x", components=(component(("plain-flour", "1/3 cup")),)))
    assert weighed.mass.grams == float(Fraction(125, 3))  # a cup is 125 g (USDA SR28, NDB 20081)
