"""Oven settings as people write them, on every scale, and settings that are rejected."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.baking.oven import (
    OVEN_WORDS,
    OvenScale,
    conventional_c,
    fahrenheit,
    nearest_half_mark,
    parse_oven,
    read_oven,
)
from domain.errors import DomainError, MismatchError, OutOfRangeError, UnreadableError
from domain.measures.temperatures import GAS_MARKS
from tests.strategies import LAW


@pytest.mark.parametrize(
    ("written", "celsius"),
    [
        ("180 celsius", 180),
        ("180 °C", 180),
        ("180C", 180),
        ("180 degrees c", 180),
        ("356 F", 180),
        ("356 fahrenheit", 180),
        ("gas mark 4", Fraction(530, 3)),
        ("Gas 4", Fraction(530, 3)),
        ("4 gas_mark", Fraction(530, 3)),
        ("mark ½", Fraction(1090, 9)),
        ("gas mark 4 1/2", Fraction(3305, 18)),
    ],
)
def test_a_setting_as_people_write_it(written: str, celsius: Fraction) -> None:
    assert read_oven(parse_oven(written)).celsius.amount == celsius


@pytest.mark.parametrize(
    "written", ["", "180", "4 cup", "warmish", "c 180", "180 kelvins", "1e2 c", "gas", "__class__"]
)
def test_invalid_settings_are_rejected_with_an_example(written: str) -> None:
    with pytest.raises(UnreadableError, match=r"[Ww]rite"):
        parse_oven(written)


@pytest.mark.parametrize("written", ["gas mark 11", "gas mark 1/8", "29 c", "501 c", "-5 celsius"])
def test_settings_outside_the_range_of_ovens_are_rejected(written: str) -> None:
    with pytest.raises(OutOfRangeError):
        parse_oven(written)


def test_a_gas_mark_has_no_fan() -> None:
    with pytest.raises(MismatchError, match="without a fan"):
        parse_oven("gas mark 4", fan=True)


def test_fan_offsets_outside_their_limits_are_rejected() -> None:
    with pytest.raises(OutOfRangeError):
        parse_oven("180 c", fan_offset_c=Fraction(51))


@given(celsius=st.integers(60, 480), offset=st.integers(0, 50))
@LAW
def test_fan_and_conventional_settings_convert_there_and_back(celsius: int, offset: int) -> None:
    with_fan = read_oven(parse_oven(f"{celsius} c", fan=True, fan_offset_c=Fraction(offset)))
    assert with_fan.fan_celsius.amount == celsius
    conventional = with_fan.celsius.amount
    assert conventional == celsius + offset
    if conventional <= 500:
        back = read_oven(parse_oven(f"{conventional} c", fan_offset_c=Fraction(offset)))
        assert back.fan_celsius.amount == celsius
        assert back.celsius == with_fan.celsius


@given(quarters=st.integers(1, 40))
@LAW
def test_gas_marks_with_fractions_convert_there_and_back(quarters: int) -> None:
    mark = Fraction(quarters, 4)
    celsius = read_oven(parse_oven(f"gas mark {mark.numerator}/{mark.denominator}")).celsius
    assert celsius.amount is not None
    assert celsius.low <= celsius.amount <= celsius.high
    steps = [g.celsius for g in GAS_MARKS]
    assert min(steps) <= celsius.amount <= max(steps)
    scale = fahrenheit(celsius).amount
    assert scale is not None
    gas = read_oven(parse_oven(f"{float(scale):.10f} F")).gas_mark
    assert gas is not None
    assert gas.amount is not None
    assert float(gas.amount) == pytest.approx(float(mark), abs=1e-9)


def test_the_setting_of_the_other_oven_is_a_range_unless_the_offset_is_given() -> None:
    without_offset = read_oven(parse_oven("180 c"))
    assert without_offset.fan_celsius == OvenScale(amount=Fraction(160), low=Fraction(152), high=Fraction(160))
    with_offset = read_oven(parse_oven("180 c", fan_offset_c=Fraction(25)))
    assert with_offset.fan_celsius == OvenScale(amount=Fraction(155), low=Fraction(155), high=Fraction(155))
    assert {c.source for c in without_offset.cited} >= {"au-nsw-health", "gasmark-2nd", "us-afrs"}


@pytest.mark.parametrize("word", sorted(OVEN_WORDS))
def test_oven_words_are_always_ranges(word: str) -> None:
    oven = parse_oven(f"{word.title()} oven")
    reading = read_oven(oven)
    assert reading.celsius.amount is None
    assert reading.fan_celsius.amount is None
    assert reading.celsius.low <= reading.celsius.high
    assert {entry.word for entry in reading.words} == {word}
    with pytest.raises(DomainError, match="range"):
        conventional_c(oven, 20)


def test_temperatures_outside_the_gas_marks_get_a_warning_and_no_mark() -> None:
    for written in ("100 c", "270 c"):
        reading = read_oven(parse_oven(written))
        assert reading.gas_mark is None
        assert [notice.code for notice in reading.notices] == ["no_gas_mark"]


def test_the_nearest_setting_of_a_gas_oven() -> None:
    near = {"0.1": "1/4", "0.4": "1/2", "0.8": "1", "4.24": "4", "4.26": "9/2", "9.9": "10"}
    assert {k: str(nearest_half_mark(Fraction(k))) for k in near} == near
