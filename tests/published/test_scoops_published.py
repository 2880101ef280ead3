"""Numbered scoops compared with the level measures that two sources print."""

import pytest

from domain.measures.units import UNITS
from domain.pieces.scoops import SCOOPS, find_scoop
from tests.published.printed import half_a_digit

ICN = "Institute of Child Nutrition, Basics at a Glance, Scoops table"
BOOK = "open textbook on the cold kitchen (LibreTexts), 2.3 Scoop Sizes"

# Number, level measure as printed, its unit, and the digits of its decimal form in reference/scoops.csv.
PRINTED = [
    (6, "0.6667", "us_cup", ICN),
    (8, "0.5", "us_cup", ICN),
    (10, "0.375", "us_cup", ICN),
    (12, "0.3333", "us_cup", ICN),
    (16, "0.25", "us_cup", ICN),
    (20, "3.3333", "us_tbsp", ICN),
    (24, "2.6667", "us_tbsp", ICN),
    (30, "2.0000", "us_tbsp", ICN),
    (40, "1.6667", "us_tbsp", ICN),
    (50, "3.7500", "us_tsp", ICN),
    (60, "3.2500", "us_tsp", ICN),
    (70, "2.7500", "us_tsp", ICN),
    (100, "2.0000", "us_tsp", ICN),
    (10, "0.4", "us_cup", BOOK),
    (20, "3.2", "us_tbsp", BOOK),
    (30, "2.2", "us_tbsp", BOOK),
    (40, "1.6", "us_tbsp", BOOK),
]
ROUNDED = 0.005  # relative: kitchen fractions of a spoon are rounded (No. 70: 2 3/4 tsp for 2.743)


@pytest.mark.parametrize(("number", "amount", "unit", "source"), PRINTED, ids=[f"No. {p[0]}, {p[3]}" for p in PRINTED])
def test_printed_measures_lie_in_the_range(number: int, amount: str, unit: str, source: str) -> None:
    scoop = find_scoop(number)
    ml, slack = float(amount) * float(UNITS[unit].factor), half_a_digit(amount) * float(UNITS[unit].factor)
    slack = min(slack, ml * ROUNDED)
    assert float(scoop.low_ml) * (1 - ROUNDED) - slack <= ml <= float(scoop.high_ml) * (1 + ROUNDED) + slack, source


# The rule in millilitres, quart 946.352946 ml (NIST Handbook 44) over the number, computed in reference/scoops.csv.
RULE = [(6, 157.725), (8, 118.294), (10, 94.635), (16, 59.147), (20, 47.318), (30, 31.545), (40, 23.659), (100, 9.464)]


@pytest.mark.parametrize(("number", "ml"), RULE)
def test_the_number_is_the_number_of_scoops_in_a_quart(number: int, ml: float) -> None:
    assert float(SCOOPS[number].ml) == pytest.approx(ml, abs=0.0005)


def test_a_scoops_number_is_its_portions_of_a_quart() -> None:
    """Open textbook, portion table: the number of portions in a quart is the number of the scoop that holds one."""
    for fl_oz, portions in ((1, 32), (2, 16), (8 / 3, 12), (4, 8)):
        assert float(find_scoop(portions).ml) == pytest.approx(fl_oz * float(UNITS["us_fl_oz"].factor))
