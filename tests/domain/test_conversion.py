"""Laws of conversion: there and back, sums, order, and a range that always contains the central value."""

import math
from decimal import Decimal, localcontext
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.errors import MismatchError, NeededError, OutOfRangeError, UnknownError
from domain.measures.quantities import Quantity
from domain.measures.units import UNITS, Unit
from domain.things.conversion import Thing, convert, grams_per, rate_between
from domain.things.eggs import EggClass
from domain.things.ingredients import INGREDIENTS, Ingredient
from tests.strategies import LAW, amounts, converted, egg_classes, measured, units_of

LINEAR = units_of("mass", "volume", "length", "area", "count")
PAIRS = st.sampled_from([(a, b) for a in LINEAR for b in LINEAR if a.dimension == b.dimension])
WEIGHABLE = st.sampled_from(units_of("mass", "volume"))


def thing_of(ingredient_and_packing: tuple[Ingredient, str | None]) -> Thing:
    return Thing(ingredient=ingredient_and_packing[0], packing=ingredient_and_packing[1])


@pytest.mark.parametrize("unit", UNITS.values(), ids=UNITS)
def test_converting_to_the_same_unit_returns_the_identical_double(unit: Unit) -> None:
    for amount in (Fraction(1), Fraction(1, 3), Fraction(7, 2)):
        same = converted(Quantity(amount=amount, unit=unit), unit)
        assert (same.amount, same.low, same.high) == (float(amount),) * 3


@LAW
@given(amounts, PAIRS)
def test_the_result_is_the_double_nearest_to_the_exact_value(amount: Fraction, pair: tuple[Unit, Unit]) -> None:
    unit, to = pair
    result = converted(Quantity(amount=amount, unit=unit), to).amount
    with localcontext(prec=60):  # an independent calculation in decimals
        exact = Decimal(amount.numerator) / amount.denominator
        exact = exact * unit.factor.numerator / unit.factor.denominator
        exact = exact * to.factor.denominator / to.factor.numerator
        miss = abs(Decimal(result) - exact)
        assert miss <= abs(Decimal(math.nextafter(result, math.inf)) - exact)
        assert miss <= abs(Decimal(math.nextafter(result, 0)) - exact)


@LAW
@given(st.lists(amounts, min_size=1, max_size=5), measured, WEIGHABLE)
def test_several_amounts_equal_exact_fractions(
    several: list[Fraction], ingredient_and_packing: tuple[Ingredient, str | None], unit: Unit
) -> None:
    rate = grams_per(unit, thing_of(ingredient_and_packing))
    ratios = [amount.as_integer_ratio() for amount in several]
    # Fractions are an independent calculation: the nearest double of each exact product.
    expected = [tuple(float(amount * factor) for factor in (rate.factor, rate.low, rate.high)) for amount in several]
    assert rate.of_all(ratios) == [rate.of(*ratio) for ratio in ratios] == expected
    for rejected in ((-1, 1), (1_000_001, 1)):
        with pytest.raises(OutOfRangeError):
            rate.of_all([*ratios, rejected])


@LAW
@given(PAIRS)
def test_the_factors_there_and_back_multiply_to_exactly_one(pair: tuple[Unit, Unit]) -> None:
    unit, to = pair
    there, back = rate_between(unit, to, Thing()), rate_between(to, unit, Thing())
    assert there.factor * back.factor == 1


@LAW
@given(measured, WEIGHABLE, WEIGHABLE, WEIGHABLE)
def test_converting_through_a_third_unit_gives_the_same_result(
    ingredient_and_packing: tuple[Ingredient, str | None], a: Unit, b: Unit, c: Unit
) -> None:
    thing = thing_of(ingredient_and_packing)
    direct = rate_between(a, c, thing).factor
    assert rate_between(a, b, thing).factor * rate_between(b, c, thing).factor == direct
    assert rate_between(a, b, thing).factor * rate_between(b, a, thing).factor == 1


@LAW
@given(amounts, measured, WEIGHABLE, WEIGHABLE)
def test_converting_the_printed_number_back_gives_the_original(
    amount: Fraction, ingredient_and_packing: tuple[Ingredient, str | None], unit: Unit, to: Unit
) -> None:
    thing = thing_of(ingredient_and_packing)
    there = converted(Quantity(amount=amount, unit=unit), to, thing).amount
    top, bottom = there.as_integer_ratio()
    if top <= 1_000_000 * bottom:
        assert convert((top, bottom), to, unit, thing).amount == pytest.approx(float(amount), rel=1e-14)


HEAVY = [ingredient for ingredient in INGREDIENTS.values() if ingredient.densities]


@pytest.mark.parametrize("ingredient", HEAVY, ids=lambda ingredient: ingredient.id)
def test_low_central_and_high_are_in_order_for_every_packing(ingredient: Ingredient) -> None:
    for packing in (None, *ingredient.densities):
        thing = thing_of((ingredient, packing))
        for written, to in (("1 us_cup", "g"), ("100 g", "ml"), ("1 pinch", "g"), ("1 g", "dash")):
            result = converted(written, to, thing)
            assert 0 < result.low < result.amount < result.high
            assert result.cited
        by_mass = converted("1 kg", "lb", thing)
        assert by_mass.low == by_mass.amount == by_mass.high  # mass needs no density


@LAW
@given(amounts, amounts, measured, WEIGHABLE, WEIGHABLE)
def test_conversion_is_monotonic_and_additive(
    first: Fraction, second: Fraction, ingredient_and_packing: tuple[Ingredient, str | None], unit: Unit, to: Unit
) -> None:
    part_a, part_b, both = (
        converted(Quantity(amount=amount, unit=unit), to, thing_of(ingredient_and_packing))
        for amount in (first, second, first + second)
    )
    for name in ("amount", "low", "high"):
        parts = getattr(part_a, name), getattr(part_b, name)
        assert getattr(both, name) == pytest.approx(sum(parts), rel=1e-15)
        assert getattr(both, name) > max(parts)


@LAW
@given(amounts, st.fractions(Fraction(1, 10), 2, max_denominator=1_000))
def test_the_callers_own_density_is_used_exactly(amount: Fraction, g_per_ml: Fraction) -> None:
    thing = Thing(ingredient=INGREDIENTS["plain-flour"], g_per_ml=g_per_ml)
    result = converted(Quantity(amount=amount, unit=UNITS["ml"]), "g", thing)
    assert result.amount == result.low == result.high == float(amount * g_per_ml)
    assert result.cited == ()
    assert result.notices == ()


@LAW
@given(egg_classes, st.integers(1, 500), st.sampled_from(["egg", "egg-yolk", "egg-white"]))
def test_eggs_by_count_and_by_gram(egg_class: EggClass, count: int, part: str) -> None:
    thing = Thing(ingredient=INGREDIENTS[part], egg_class=egg_class)
    grams = converted(f"{count} each", "g", thing)
    assert grams.low <= grams.amount <= grams.high
    top, bottom = grams.amount.as_integer_ratio()
    assert convert((top, bottom), UNITS["g"], UNITS["each"], thing).amount == pytest.approx(count, rel=1e-14)
    assert {notice.code for notice in grams.notices} == ({"assumed_class_weight"} if egg_class.open_end else set())


PIECES = [ingredient for ingredient in INGREDIENTS.values() if ingredient.piece]


@pytest.mark.parametrize("ingredient", PIECES, ids=lambda ingredient: ingredient.id)
def test_counted_things_warn_that_sizes_differ(ingredient: Ingredient) -> None:
    result = converted("3 each", "g", Thing(ingredient=ingredient))
    assert result.low <= result.amount <= result.high
    assert "wide_range" in {notice.code for notice in result.notices}


REFUSED = [
    ("1 g", "cm", Thing(), MismatchError, "unit_mismatch"),
    ("1 cm", "g", Thing(ingredient=INGREDIENTS["water"]), MismatchError, "unit_mismatch"),
    ("1 cm", "cm2", Thing(), MismatchError, "unit_mismatch"),
    ("1 g", "celsius", Thing(), MismatchError, "unit_mismatch"),
    ("1 celsius", "g", Thing(), MismatchError, "unit_mismatch"),
    ("1 us_cup", "g", Thing(), NeededError, "ingredient_needed"),
    ("1 g", "us_cup", Thing(), NeededError, "ingredient_needed"),
    ("1 each", "g", Thing(), NeededError, "ingredient_needed"),
    ("1 each", "g", Thing(g_per_ml=Fraction(1)), NeededError, "ingredient_needed"),
    ("1 each", "g", Thing(ingredient=INGREDIENTS["egg"]), NeededError, "egg_class_needed"),
    ("1 each", "g", Thing(ingredient=INGREDIENTS["plain-flour"]), UnknownError, "no_piece_weight"),
    ("1 us_cup", "g", Thing(ingredient=INGREDIENTS["fresh-yeast"]), UnknownError, "no_density"),
    ("1 us_cup", "g", Thing(ingredient=INGREDIENTS["butter"], packing="sifted"), UnknownError, "unknown_packing"),
    ("-1 g", "kg", Thing(), OutOfRangeError, "out_of_range"),
]


@pytest.mark.parametrize(
    ("written", "to", "thing", "error", "code"), REFUSED, ids=[f"{r[0]} as {r[1]}: {r[4]}" for r in REFUSED]
)
def test_a_conversion_without_a_density_or_piece_mass_is_rejected(
    written: str, to: str, thing: Thing, error: type[Exception], code: str
) -> None:
    with pytest.raises(error) as refusal:
        converted(written, to, thing)
    assert getattr(refusal.value, "code", None) == code


def test_assumptions_are_warned_about() -> None:
    def codes(written: str, name: str, packing: str | None = None) -> set[str]:
        thing = Thing(ingredient=INGREDIENTS[name], packing=packing)
        return {notice.code for notice in converted(written, "g", thing).notices}

    assert codes("1 us_cup", "water") == set()
    assert "packing_assumed" in codes("1 us_cup", "plain-flour")
    assert "packing_assumed" not in codes("1 us_cup", "plain-flour", "spooned")
    assert "analogy" in codes("1 us_cup", "caster-sugar")
    assert "vague_measure" in codes("1 pinch", "salt")
    assert "wide_range" in codes("1 us_cup", "soya-flour", "unstated")


def test_a_range_without_a_packing_spans_every_packing_but_whipped() -> None:
    for ingredient in INGREDIENTS.values():
        meant = [p for p in ingredient.densities if p != "whipped" or p == ingredient.default_packing]
        if meant:
            rates = [grams_per(UNITS["ml"], Thing(ingredient=ingredient, packing=p)) for p in meant]
            spanning = grams_per(UNITS["ml"], Thing(ingredient=ingredient))
            assert spanning.low == min(rate.low for rate in rates)
            assert spanning.high == max(rate.high for rate in rates)


@pytest.mark.parametrize("g_per_ml", [Fraction(0), Fraction(-1)], ids=str)
def test_impossible_densities_are_rejected(g_per_ml: Fraction) -> None:
    with pytest.raises(OutOfRangeError):
        Thing(g_per_ml=g_per_ml)


def test_equal_things_are_equal_cache_keys() -> None:
    first, second = (Thing(ingredient=INGREDIENTS["plain-flour"], packing="spooned") for _ in range(2))
    assert first == second
    assert len({first, second, Thing(ingredient=INGREDIENTS["plain-flour"])}) == 2
