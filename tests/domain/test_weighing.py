"""Masses as a scale shows them, and spoon measures with their error."""

import math
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.errors import OutOfRangeError
from domain.measures.units import MEASURES, Measures
from domain.measures.weighing import (
    EIGHTHS,
    SPOONS_UP_TO_TSP,
    Scales,
    error_percent,
    spoons_for,
    weigh,
    weigh_grams,
    weigh_total,
)
from tests.strategies import LAW

steps = st.sampled_from([Fraction(text) for text in ("1/1000", "0.01", "0.1", "0.2", "0.5", "1", "2", "5", "10")])
densities = st.floats(0.1, 1.5)


def printed_steps(shown: float, step: Fraction) -> Fraction:
    """The printed weight as a number of steps; it has no more decimals than the step."""
    decimals = len(repr(shown).removesuffix(".0").partition(".")[2])
    assert decimals <= len(repr(float(step)).removesuffix(".0").partition(".")[2])
    return Fraction(repr(shown)) / step


@LAW
@given(st.floats(0, 1e5), steps, steps)
def test_a_scale_shows_a_multiple_of_its_step_within_half_a_step(grams: float, step: Fraction, small: Fraction) -> None:
    scales = Scales(step_g=step, small_step_g=small)
    shown, on_small = weigh(grams, scales)
    used = small if on_small else step
    assert shown == float(round(shown / used) * used)  # the double nearest to a whole number of steps
    assert printed_steps(shown, used).denominator == 1
    assert abs(Fraction(shown) - Fraction(grams)) <= used / 2 * (1 + Fraction(1, 10**9))


@LAW
@given(st.floats(0, 1_000), steps, steps, st.sampled_from([Fraction(0), Fraction(50), Fraction(200)]))
def test_the_small_scale_is_used_where_the_other_errs_more(
    grams: float, step: Fraction, small: Fraction, most: Fraction
) -> None:
    shown, on_small = weigh(grams, Scales(step_g=step, small_step_g=small, small_max_g=most))
    coarse = round(Fraction(grams) / step) * step
    fine = round(Fraction(grams) / small) * small
    if on_small:
        assert grams <= most
        assert abs(fine - Fraction(grams)) <= abs(coarse - Fraction(grams)) * (1 + Fraction(1, 10**9))
    elif grams <= most and abs(coarse - Fraction(grams)) > Fraction(grams) / 99:
        assert abs(Fraction(shown) - Fraction(grams)) <= abs(fine - Fraction(grams)) * (1 + Fraction(1, 10**9))


@LAW
@given(st.lists(st.floats(0, 1e5), max_size=40), steps, steps)
def test_a_total_is_a_whole_number_of_the_smaller_steps(grams: list[float], step: Fraction, small: Fraction) -> None:
    scales = Scales(step_g=step, small_step_g=small)
    weighed = [weigh_grams(line, scales) for line in grams]
    total = weigh_total(weighed)
    finest = Fraction(math.gcd(int(1000 * step), int(1000 * small)), 1000)
    assert printed_steps(total, finest).denominator == 1
    assert Fraction(repr(total)) == sum(Fraction(repr(line)) for line in weighed)


@LAW
@given(st.floats(0, 1e5), st.floats(0, 1e5))
def test_a_larger_mass_is_never_shown_as_less(first: float, second: float) -> None:
    scales = Scales()
    low, high = sorted((first, second))
    assert weigh_grams(low, scales) <= weigh_grams(high, scales)


@LAW
@given(st.floats(0, 1e5), steps, steps)
def test_rounding_twice_equals_rounding_once(grams: float, step: Fraction, small: Fraction) -> None:
    scales = Scales(step_g=step, small_step_g=small)
    shown, on_small = weigh(grams, scales)
    again, again_on_small = weigh(shown, scales)
    if on_small == again_on_small:
        assert again == shown


SHOWN = [  # by hand
    (250.4, "1", "0.1", 250.0),
    (250.6, "1", "0.1", 251.0),
    (9.96, "1", "0.1", 10.0),
    (9.94, "1", "0.1", 9.9),
    (0.04, "1", "0.1", 0.0),
    (3.14159, "1", "0.01", 3.14),
    (12.4, "5", "0.1", 12.4),
    (212.4, "5", "0.1", 210.0),
    (212.6, "5", "0.1", 215.0),
    (10.5, "1", "0.1", 10.5),  # bicarbonate of soda: 10 g would be 4.8 % short
    (12.5, "5", "0.1", 12.5),  # xanthan gum: 10 g would be a fifth short
    (12.5, "5", "5", 10.0),
    (250.5, "1", "0.1", 250.0),
    (251.5, "1", "0.1", 252.0),
    (10.0, "1", "0.1", 10.0),
    (0.3, "1", "0.1", 0.3),
    (294.38, "0.1", "0.1", 294.4),
]


@pytest.mark.parametrize(("grams", "step", "small", "shown"), SHOWN, ids=str)
def test_weights_rounded_by_hand(grams: float, step: str, small: str, shown: float) -> None:
    assert weigh_grams(grams, Scales(step_g=Fraction(step), small_step_g=Fraction(small))) == shown


@LAW
@given(st.floats(0.01, 100), densities, st.none() | st.sampled_from(MEASURES))
def test_spoons_are_the_nearest_eighth_of_a_teaspoon(grams: float, g_per_ml: float, measures: Measures | None) -> None:
    spoons = spoons_for(grams, g_per_ml, measures)
    if spoons is None:
        tsp_ml = 4.92892159375 if measures == "us" else 5
        eighths = grams / (tsp_ml * g_per_ml) * EIGHTHS
        too_far = abs(round(eighths) - eighths) >= 0.2499999 * eighths
        assert too_far or eighths >= SPOONS_UP_TO_TSP * EIGHTHS + 0.4999999
        return
    eighth_g = float(spoons.teaspoon.factor) * g_per_ml / EIGHTHS
    eighths_ml = spoons.tablespoons * spoons.tablespoon.factor + spoons.teaspoon.factor * Fraction(
        spoons.teaspoon_eighths, EIGHTHS
    )
    assert spoons.grams == pytest.approx(float(eighths_ml) * g_per_ml, rel=1e-12)
    assert abs(spoons.grams - grams) <= eighth_g / 2 * (1 + 1e-9)
    assert spoons.error_percent == pytest.approx((spoons.grams - grams) / grams * 100, rel=1e-9, abs=1e-9)
    assert 0 <= spoons.teaspoon_eighths < spoons.tablespoon.factor / spoons.teaspoon.factor * EIGHTHS
    assert eighths_ml <= SPOONS_UP_TO_TSP * spoons.teaspoon.factor


SPOONED: list[tuple[float, float, Measures | None, int, int]] = [  # tablespoons, eighths of a teaspoon
    (6.0, 6 / 4.92892159375, "us", 0, 8),  # table salt 6 g a US teaspoon: USDA SR28, NDB 02047
    (18.0, 18 / 14.78676478125, "us", 1, 0),  # and 18 g a tablespoon
    (4.6, 4.6 / 4.92892159375, "us", 0, 8),  # baking powder 4.6 g: NDB 18369
    (2.3, 4.6 / 4.92892159375, "us", 0, 4),  # and 2.3 g the half
    (20.0, 1.0, "au", 1, 0),  # an Australian tablespoon is 20 ml: NSW Health
    (20.0, 1.0, "metric", 1, 8),  # elsewhere 15 ml and 5 ml
    (15.0, 1.0, None, 1, 0),
    (5.0, 1.0, "jp", 0, 8),
]


@pytest.mark.parametrize(("grams", "g_per_ml", "measures", "tablespoons", "eighths"), SPOONED, ids=str)
def test_spoons_of_common_ingredients(
    grams: float, g_per_ml: float, measures: Measures | None, tablespoons: int, eighths: int
) -> None:
    spoons = spoons_for(grams, g_per_ml, measures)
    assert spoons is not None
    assert (spoons.tablespoons, spoons.teaspoon_eighths) == (tablespoons, eighths)
    assert spoons.error_percent == pytest.approx(0, abs=1e-9)


def test_masses_outside_the_range_of_spoons_have_no_spoons() -> None:
    assert spoons_for(0.3, 1.0, "metric") is None  # under a sixteenth of a teaspoon
    assert spoons_for(500.0, 1.0, "metric") is None


@pytest.mark.parametrize(("shown", "exact", "percent"), [(11.0, 10.0, 10.0), (9.0, 10.0, -10.0), (0.0, 0.0, 0.0)])
def test_the_rounding_error_is_a_percentage_of_the_exact_mass(shown: float, exact: float, percent: float) -> None:
    assert error_percent(shown, exact) == pytest.approx(percent)


def test_a_scale_that_carries_less_than_nothing_is_rejected() -> None:
    with pytest.raises(OutOfRangeError):
        Scales(small_max_g=Fraction(-1))
