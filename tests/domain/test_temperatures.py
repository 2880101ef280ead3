"""Laws of temperatures: exact between scales, in order between gas marks, rejected outside the range of kitchens."""

from fractions import Fraction
from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.errors import MismatchError, OutOfRangeError
from domain.measures.quantities import Quantity, parse_quantity
from domain.measures.temperatures import COLDEST_C, GAS_MARKS, HOTTEST_C, convert_temperature
from domain.measures.units import UNITS, Unit
from tests.strategies import LAW

CELSIUS, FAHRENHEIT, GAS = (UNITS[name] for name in ("celsius", "fahrenheit", "gas_mark"))
degrees = st.fractions(-60, 600, max_denominator=100)
marks = st.fractions(Fraction(1, 4), 10, max_denominator=100)


def amount(value: Fraction, unit: Unit, to: Unit) -> Fraction:
    return convert_temperature(Quantity(amount=value, unit=unit), to).amount


@LAW
@given(degrees)
def test_celsius_and_fahrenheit_convert_there_and_back_exactly(celsius: Fraction) -> None:
    fahrenheit = amount(celsius, CELSIUS, FAHRENHEIT)
    assert fahrenheit == celsius * 9 / 5 + 32  # by definition
    assert amount(fahrenheit, FAHRENHEIT, CELSIUS) == celsius


@LAW
@given(marks, st.sampled_from([CELSIUS, FAHRENHEIT]))
def test_gas_marks_convert_there_and_back_exactly(mark: Fraction, unit: Unit) -> None:
    assert amount(amount(mark, GAS, unit), unit, GAS) == mark == amount(mark, GAS, GAS)


@LAW
@given(marks, marks)
def test_a_higher_mark_is_hotter(first: Fraction, second: Fraction) -> None:
    low, high = sorted((first, second))
    if low < high:
        assert amount(low, GAS, CELSIUS) < amount(high, GAS, CELSIUS)


@LAW
@given(marks)
def test_the_range_of_a_mark_contains_its_central_value(mark: Fraction) -> None:
    reading = convert_temperature(Quantity(amount=mark, unit=GAS), CELSIUS)
    assert reading.low <= reading.amount <= reading.high
    assert reading.cited


def test_the_table_rises_by_25_fahrenheit_a_mark() -> None:
    rises = [b.celsius - a.celsius for a, b in pairwise(GAS_MARKS)]
    assert {rise * 9 / 5 for rise in rises} == {25}
    assert all(mark.low <= mark.celsius <= mark.high for mark in GAS_MARKS)


BEYOND = [
    ("-61 celsius", FAHRENHEIT),
    ("601 celsius", FAHRENHEIT),
    ("-77 fahrenheit", CELSIUS),
    ("1113 fahrenheit", CELSIUS),
    ("100 celsius", GAS),
    ("261 celsius", GAS),
    ("0 gas_mark", CELSIUS),
    ("1/8 gas_mark", CELSIUS),
    ("11 gas_mark", CELSIUS),
    ("-500 celsius", CELSIUS),
    ("5000 celsius", CELSIUS),
    ("5000 fahrenheit", FAHRENHEIT),
    ("11 gas_mark", GAS),
]


@pytest.mark.parametrize(("written", "to"), BEYOND, ids=[f"{row[0]} as {row[1].id}" for row in BEYOND])
def test_temperatures_outside_the_range_of_kitchens_are_rejected(written: str, to: Unit) -> None:
    with pytest.raises(OutOfRangeError):
        convert_temperature(parse_quantity(written), to)


def test_the_limits_themselves_are_accepted() -> None:
    for limit in (COLDEST_C, HOTTEST_C):
        assert amount(limit, CELSIUS, FAHRENHEIT) == limit * 9 / 5 + 32


@pytest.mark.parametrize(("written", "to"), [("1 g", CELSIUS), ("180 celsius", UNITS["g"]), ("1 each", GAS)], ids=str)
def test_invalid_temperatures_are_rejected(written: str, to: Unit) -> None:
    with pytest.raises(MismatchError):
        convert_temperature(parse_quantity(written), to)
