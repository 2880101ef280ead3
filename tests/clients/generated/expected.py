"""The output that every shop program must print, in any language; the figures are from geometry and definitions."""

import math
from fractions import Fraction
from typing import Any

import pytest

POUND_G = Fraction("453.59237")  # exact: international avoirdupois pound, NIST SP 811 (2008), B.8
US_CUP_ML = Fraction("236.5882365")  # exact: 1/16 of a gallon of 231 in3, NIST Handbook 44, app. C


def about(value: float) -> Any:
    """Equal except for the last bits of a double."""
    return pytest.approx(value, rel=1e-12)


def check(printed: dict[str, Any]) -> None:
    """Compare what a program printed with the expected figures."""
    # Equal to the last bit: a client that reads numbers in single precision fails here.
    assert printed["conversion"] == {
        "grams": float(POUND_G / 3),
        "warning": "packing_assumed",
        "status": 422,
        "parameter": "unit",
        "code": "ambiguous_unit",
        "candidates": ["us_cup", "metric_cup", "jp_cup"],
    }
    assert printed["column"] == {
        "amounts": [float(POUND_G), float(2 * US_CUP_ML), float(POUND_G), float(2 * POUND_G)],
        "pointer": "/items/1/ingredient",
        "code": "unknown_ingredient",
        "nearest": "plain-flour",
    }
    # A regular hexagon has the area 2 sqrt(3) r2, r being that of the circle inside; a cone's frustum by its radii.
    hexagon, bucket = 2 * math.sqrt(3) * 10**2 * 5, math.pi * 6 / 3 * (10**2 + 10 * 5 + 5**2)
    assert printed["shapes"] == {"polygon": about(hexagon), "tapered_round": about(bucket)}
    _check_sizes(printed["all_sizes"])
    assert printed["refused"] == {
        "status": 422,
        "pointer": "/formula/components/0/lines/0/ingredient",
        "code": "unknown_ingredient",
        "nearest": "plain-flour",
    }


def _check_sizes(printed: dict[str, Any]) -> None:
    # The depth is kept, so the factor is that of the base areas.
    written = printed["written_grams"]
    factors = {"tray": 30 * 20 / 20**2, "round": math.pi * 11.5**2 / 20**2, "two squares": 2, "half": 0.5}
    assert printed["factors"] == {label: about(factor) for label, factor in factors.items()} | {
        "a kilogram": about(1000 / written)
    }
    assert printed["grams"] == {label: about(factor * written) for label, factor in printed["factors"].items()}
    assert (printed["butter_grams"], printed["eggs"], printed["pieces"]) == (about(150 * 1.5), 6, 24)
    assert (printed["echoed_shape"], printed["echoed_length"]) == ("rectangle", "30 cm")
