"""Temperatures: the scales by definition, and gas marks and oven names as printed in kitchens' tables."""

import pytest

from domain.measures.temperatures import GAS_MARKS
from domain.things.conversion import Converted
from tests.published.printed import printed
from tests.strategies import converted

GAS = "gas-mark table of general reference pages, secondary"
NSW = "NSW Health, oven temperatures"


def reading(written: str, to: str) -> Converted:
    return converted(written, to)


FIXED = [
    ("200 celsius", "fahrenheit", "392", "worked conversion beside a gas-mark table"),
    ("0 celsius", "fahrenheit", "32", "from memory: NIST Handbook 44, temperature scales"),
    ("100 celsius", "fahrenheit", "212", "from memory: NIST Handbook 44, temperature scales"),
    ("-40 celsius", "fahrenheit", "-40", "arithmetic: -40 × 9/5 + 32"),
    ("63 celsius", "fahrenheit", "145.4", "arithmetic: 63 × 9/5 + 32"),
    ("165 fahrenheit", "celsius", "73.9", "arithmetic: (165 − 32) × 5/9"),
]


@pytest.mark.parametrize(("written", "to", "figure", "source"), FIXED, ids=str)
def test_the_scales_agree_at_their_known_points(written: str, to: str, figure: str, source: str) -> None:
    assert reading(written, to).amount == printed(figure), source


MARKS = [  # mark, °F, exact °C computed from it, lowest and highest °C printed for it, where
    ("1/4", "225", "107.2", 110, 110, GAS),
    ("1/2", "250", "121.1", 120, 130, GAS),
    ("1", "275", "135.0", 140, 140, GAS),
    ("2", "300", "148.9", 150, 150, GAS),
    ("3", "325", "162.8", 160, 170, GAS),
    ("4", "350", "176.7", 180, 180, GAS),
    ("5", "375", "190.6", 190, 190, GAS),
    ("6", "400", "204.4", 200, 200, GAS),
    ("7", "425", "218.3", 220, 220, GAS),
    ("8", "450", "232.2", 230, 230, GAS),
    ("9", "475", "246.1", 240, 240, GAS),
    ("10", "500", "260.0", 260, 260, "GNU units, gasmark"),
]
MARK_IDS = [f"gas {row[0]} - {row[5]}" for row in MARKS]


@pytest.mark.parametrize(("mark", "fahrenheit", "celsius", "low", "high"), [row[:5] for row in MARKS], ids=MARK_IDS)
def test_gas_marks_as_printed(mark: str, fahrenheit: str, celsius: str, low: int, high: int) -> None:
    assert reading(f"{mark} gas_mark", "fahrenheit").amount == float(fahrenheit)
    shown = reading(f"{mark} gas_mark", "celsius")
    assert shown.amount == printed(celsius)
    assert shown.low <= low <= high <= shown.high
    assert reading(f"{fahrenheit} fahrenheit", "gas_mark").amount == pytest.approx(reading_of(mark))


def reading_of(mark: str) -> float:
    top, _, bottom = mark.partition("/")
    return int(top) / int(bottom or 1)


def test_every_gas_mark_of_the_table_is_checked() -> None:
    assert [float(mark.mark) for mark in GAS_MARKS] == [reading_of(row[0]) for row in MARKS]


def test_a_gas_mark_says_how_it_is_known() -> None:
    assert {cited.source for cited in reading("10 gas_mark", "celsius").cited} == {"gnu-units"}
    assert {cited.confidence for cited in reading("4 gas_mark", "celsius").cited} == {"quoted"}


OVEN_NAMES = [  # °F and the °C printed beside it, rounded to tens
    ("very slow", 250, "120"),
    ("slow, low end", 275, "140"),
    ("slow, high end", 300, "150"),
    ("moderately slow", 325, "160"),
    ("moderate", 350, "180"),
    ("moderately hot", 375, "190"),
    ("hot, low end", 400, "200"),
    ("hot, high end", 450, "230"),
    ("very hot, low end", 475, "250"),
    ("very hot, high end", 500, "260"),
]


@pytest.mark.parametrize(("name", "fahrenheit", "celsius"), OVEN_NAMES, ids=[f"{NSW}: {row[0]}" for row in OVEN_NAMES])
def test_kitchen_pairs_of_fahrenheit_and_celsius_agree_to_tens(name: str, fahrenheit: int, celsius: str) -> None:
    assert reading(f"{fahrenheit} fahrenheit", "celsius").amount == printed(celsius, step="10"), name
