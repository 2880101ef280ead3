"""Household measures against printed tables and the definitions of the measures, and their laws."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.formulas.formula import Line
from domain.measures.household import cascade, marked_cup, marked_cup_notice
from domain.measures.quantities import parse_quantity
from domain.measures.units import MEASURES, UNITS, Measures, resolve_unit
from domain.things.conversion import Thing
from domain.things.ingredients import INGREDIENTS
from tests.strategies import LAW

EXCHANGE = "NIST SP 430, table 1: 3 tsp a tbsp, 16 tbsp a cup, 2 cups a pint, 2 pints a quart, 4 quarts a gallon"
SCALED = "a card of the US Armed Forces Recipe Service with a factor: the amount as such cards write it, from memory"
US_CARDS = [
    ("96 us_tsp", "1 pt", EXCHANGE),
    ("4 us_tsp", "1 tbsp + 1 tsp", EXCHANGE),
    ("7 us_tbsp", "7 tbsp", EXCHANGE),
    ("48 us_tbsp", "1 pt + 1 cup", EXCHANGE),
    ("6 us_cup", "1 qt + 1 pt", EXCHANGE),
    ("18 us_cup", "1 gal + 1 pt", EXCHANGE),
    ("0.75 us_tsp", "3/4 tsp", SCALED),
    ("2.25 us_tbsp", "2 tbsp + 3/4 tsp", SCALED),
    ("37.5 us_cup", "2 gal + 1 qt + 1 cup + 8 tbsp", SCALED),
]


@pytest.mark.parametrize(("quantity", "text", "source"), US_CARDS, ids=[card[0] for card in US_CARDS])
def test_us_cascades_are_those_of_printed_tables(quantity: str, text: str, source: str) -> None:
    result = cascade(parse_quantity(quantity).base, "us")
    assert result is not None, source
    assert (result.text, result.error_percent) == (text, 0.0)


AUSTRALIA = "NSW Health, metric cup and spoon sizes: cup 250 ml, tablespoon 20 ml, teaspoon 5 ml"


@pytest.mark.parametrize(
    ("ml", "text"), [(250, "1 cup"), (20, "1 tbsp"), (5, "1 tsp"), (295, "1 cup + 2 tbsp + 1 tsp")], ids=str
)
def test_millilitres_are_shown_in_australian_cups_and_spoons(ml: int, text: str) -> None:
    result = cascade(Fraction(ml), "au")
    assert result is not None, AUSTRALIA
    assert (result.text, result.error_percent) == (text, 0.0)


@LAW
@given(st.fractions(Fraction(1), Fraction(200_000), max_denominator=1_000), st.sampled_from(MEASURES))
def test_the_measures_add_up_and_are_within_a_sixteenth_of_a_teaspoon(ml: Fraction, measures: Measures) -> None:
    result = cascade(ml, measures)
    assert result is not None
    assert sum(part.amount * part.unit.factor for part in result.measures) == result.ml
    teaspoon = resolve_unit("tsp", measures).factor
    assert abs(result.ml - ml) <= teaspoon / 16
    assert result.error_percent == pytest.approx(float((result.ml - ml) / ml * 100))
    sizes = [part.unit.factor for part in result.measures]
    assert sizes == sorted(sizes, reverse=True)
    for i, part in enumerate(result.measures[1:], start=1):
        assert part.amount * part.unit.factor < result.measures[i - 1].unit.factor


@LAW
@given(st.integers(1, 40_000), st.sampled_from(MEASURES))
def test_a_cascade_of_a_cascade_is_the_same(eighths: int, measures: Measures) -> None:
    first = cascade(eighths * resolve_unit("tsp", measures).factor / 8, measures)
    assert first is not None
    again = cascade(first.ml, measures)
    assert again is not None
    assert (again.text, again.error_percent) == (first.text, 0.0)


def test_less_than_half_an_eighth_of_a_teaspoon_has_no_measure() -> None:
    assert cascade(Fraction(1, 5), "us") is None


# Australian household measures, from memory: the sets are marked 1 cup 250 ml, 1/2 cup 125, 1/3 cup 80, 1/4 cup 60.
@pytest.mark.parametrize(("part", "ml"), [("1/3", 80), ("1/4", 60)])
def test_australian_part_cups_differ_from_the_exact_part(part: str, ml: int) -> None:
    for whole in (0, 1, 3):
        marked = marked_cup(whole + Fraction(part), UNITS["metric_cup"])
        assert marked is not None
        assert marked.ml == ml
        assert marked.exact_ml == 250 * Fraction(part)
    assert marked_cup(Fraction(1, 2), UNITS["metric_cup"]) is None  # 125 ml is exactly half


def test_the_warning_says_both_volumes() -> None:
    notice = marked_cup_notice(Fraction(1, 3), UNITS["metric_cup"])
    assert notice is not None
    assert (notice.code, notice.value, notice.unit) == ("marked_cup_differs", 80.0, "ml")
    assert notice.limit == pytest.approx(83.333, abs=1e-3)
    assert marked_cup_notice(Fraction(1, 3), UNITS["us_cup"]) is None
    line = Line(
        name="milk", thing=Thing(ingredient=INGREDIENTS["whole-milk"]), quantity=parse_quantity("1/3 cup", "au")
    )
    assert "marked_cup_differs" in [each.code for each in line.weight.notices]


# NIST Handbook 44, appendix C: the gill is 4 fluid ounces, the dry pint 33.600 3125 in3, the dry quart two of them.
@pytest.mark.parametrize(
    ("unit", "ml"), [("us_gill", 118.29411825), ("us_dry_pint", 550.6104713575), ("us_dry_quart", 1101.220942715)]
)
def test_the_us_gill_and_dry_measures_hold_the_published_millilitres(unit: str, ml: float) -> None:
    assert float(UNITS[unit].factor) == pytest.approx(ml, rel=1e-12)
