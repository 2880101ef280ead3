"""Printed figures as expected values: the tolerance is half of the last printed digit."""

from decimal import Decimal
from typing import Any

import pytest

_SLACK = 1 + 1e-9  # accepts a figure exactly half a digit away in spite of rounding errors of doubles


def half_a_digit(text: str) -> float:
    """Half of the last printed digit: 0.05 for "14.2", 0.5 for "125"."""
    exponent = Decimal(text).as_tuple().exponent
    assert isinstance(exponent, int)
    return float(Decimal(1).scaleb(exponent) / 2)


def printed(text: str, *, step: str = "") -> Any:
    """A figure as its source prints it, for comparison.

    `step` is for tables that round more coarsely than their last digit: "240" ml is rounded to tens.
    """
    tolerance = float(Decimal(step)) / 2 if step else half_a_digit(text)
    return pytest.approx(float(text), rel=0, abs=tolerance * _SLACK)
