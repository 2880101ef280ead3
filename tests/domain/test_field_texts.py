"""Amounts as people write them into a field: decimal signs by language, units, percent signs."""

import contextlib
from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.errors import DomainError
from domain.reading.fields import grams_in, percent_in, with_points
from domain.reading.values import Decimal
from tests.strategies import LAW

decimals = st.sampled_from(["point", "comma"])
# DIN 1333 and English usage: a comma or a point is the decimal sign, the other one may separate thousands.
SIGNS: list[tuple[str, Decimal, str]] = [
    ("812,5", "point", "812.5"),
    ("812,5", "comma", "812.5"),
    ("812.5", "comma", "812.5"),
    ("1.500", "comma", "1500"),
    ("1.500", "point", "1.5"),
    ("1,500", "point", "1500"),
    ("1,500", "comma", "1.5"),
    ("1.250,5", "point", "1250.5"),
    ("1,250.5", "comma", "1250.5"),
    (",5 cm", "point", "0.5 cm"),
    ("27,5 x 18 cm", "point", "27.5 x 18 cm"),
    ("27,5x18,25 cm", "comma", "27.5x18.25 cm"),
    ("round 23 cm", "comma", "round 23 cm"),
    ("1,2,3", "point", "1,2,3"),  # no number: the parser says so
]


@pytest.mark.parametrize(("text", "decimal", "written"), SIGNS)
def test_decimal_commas_become_points_and_thousands_signs_go(text: str, decimal: Decimal, written: str) -> None:
    assert with_points(text, decimal) == written


# Definitions: the kilogram, and the pound of 453.59237 g (NIST Handbook 44, appendix C).
MASSES = [
    ("812,5", Fraction(1625, 2)),
    ("65", Fraction(65)),
    ("65 g", Fraction(65)),
    (" 1 kg ", Fraction(1000)),
    ("1,2 kg", Fraction(1200)),
    ("½ kg", Fraction(500)),
    ("1 1/2 kg", Fraction(1500)),
    ("2 lb", Fraction(90718474, 100_000)),
]


@pytest.mark.parametrize(("text", "grams"), MASSES)
def test_masses_with_and_without_a_unit(text: str, grams: Fraction) -> None:
    assert grams_in(text, "point") == grams_in(text, "comma") == grams


@pytest.mark.parametrize(
    ("text", "code"),
    [
        ("5 cm", "unit_mismatch"),
        ("x", "unreadable"),
        ("", "unreadable"),
        ("3 stones", "unknown_unit"),
        ("1 - 2", "unreadable"),
    ],
)
def test_what_is_no_mass_is_refused(text: str, code: str) -> None:
    with pytest.raises(DomainError) as refusal:
        grams_in(text, "point")
    assert refusal.value.code == code


@pytest.mark.parametrize(("text", "percent"), [("11", 11), ("11 %", 11), ("11%", 11), ("11,5 %", Fraction(23, 2))])
def test_percentages_with_and_without_a_sign(text: str, percent: Fraction) -> None:
    assert percent_in(text, "point") == percent


@LAW
@given(text=st.text(max_size=60) | st.from_regex(r"[0-9.,' ]{1,60}"), decimal=decimals)
def test_any_text_is_read_or_refused(text: str, decimal: Decimal) -> None:
    written = with_points(text, decimal)
    assert with_points(written, "point") == written
    for read in (grams_in, percent_in):
        with contextlib.suppress(DomainError):
            read(text, decimal)


@LAW
@given(hundredths=st.integers(0, 9_999_999), decimal=decimals)
def test_two_decimals_mean_the_same_with_either_sign(hundredths: int, decimal: Decimal) -> None:
    point = f"{hundredths // 100}.{hundredths % 100:02}"
    assert grams_in(point, decimal) == grams_in(point.replace(".", ","), decimal) == Fraction(point)
