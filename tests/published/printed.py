"""What a printed figure claims: itself, give or take half of the last digit it prints."""

from decimal import Decimal
from typing import Any

import pytest

_SLACK = 1 + 1e-9  # a figure exactly half a digit away counts, whatever the rounding of doubles


def half_a_digit(text: str) -> float:
    """Half of the last digit printed: 0.05 of "14.2", 0.5 of "125"."""
    exponent = Decimal(text).as_tuple().exponent
    assert isinstance(exponent, int)
    return float(Decimal(1).scaleb(exponent) / 2)


def printed(text: str, *, step: str = "") -> Any:
    """A figure as its source prints it, to compare with.

    `step` is for tables that round to more than their last digit: "240" ml stands for tens.
    """
    tolerance = float(Decimal(step)) / 2 if step else half_a_digit(text)
    return pytest.approx(float(text), rel=0, abs=tolerance * _SLACK)
