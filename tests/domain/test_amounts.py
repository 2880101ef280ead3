"""Amounts that no kitchen uses in one line; the limits are the service's own, the laws are not."""

from datetime import date

import pytest

from domain.formulas.amounts import FIRST_DATE, LAST_DATE, amount_notice, largest_likely_amount
from domain.measures.units import UNITS, Unit


def test_the_days_of_dates_are_those_of_a_calendar() -> None:
    # Spreadsheets count days from 1899-12-30; common practice.
    start = date(1899, 12, 30)
    assert (date(2000, 1, 1) - start).days == FIRST_DATE
    assert (date(2099, 12, 31) - start).days == LAST_DATE


@pytest.mark.parametrize("unit", [unit for unit in UNITS.values() if unit.dimension in {"mass", "volume", "count"}])
def test_an_amount_has_a_warning_above_the_limit_only(unit: Unit) -> None:
    most = largest_likely_amount(unit, None)
    assert most is not None
    assert most > 0
    assert amount_notice(most, unit, None) is None
    notice = amount_notice(most * 1.01, unit, None)
    assert notice is not None
    assert (notice.value, notice.limit) == (most * 1.01, most)


@pytest.mark.parametrize("unit", ["celsius", "mm", "cm2"])
def test_other_units_have_no_limit(unit: str) -> None:
    assert amount_notice(1e6, UNITS[unit], None) is None


def test_a_raising_agent_has_a_smaller_limit() -> None:
    assert amount_notice(40_000, UNITS["g"], "baking-powder") is not None
    assert amount_notice(40_000, UNITS["g"], "plain-flour") is None


@pytest.mark.parametrize(
    ("amount", "is_date"), [(46_024.0, True), (46_024.5, False), (3_000.0, False), (80_000.0, False)]
)
def test_a_date_is_named_as_one(amount: float, *, is_date: bool) -> None:
    notice = amount_notice(amount, UNITS["us_cup"], "rolled-oats")
    assert notice is not None
    assert ("spreadsheet" in notice.message) is is_date
