"""The closed list of units: exact, complete, and rejecting everything else."""

from fractions import Fraction
from importlib.resources import as_file, files

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.errors import AmbiguousError, DomainError, MismatchError, UnknownError
from domain.measures.units import BASE_UNIT, KITCHEN_WORDS, MEASURES, UNITS, Measures, Unit, expect, resolve_unit
from domain.reference import rows, words
from tests.strategies import LAW, units_of


@pytest.fixture(scope="module")
def registry() -> "pint.UnitRegistry[Fraction]":
    """A registry from the project's definition file that computes with fractions."""
    with as_file(files("domain.reference") / "units.txt") as path:
        return pint.UnitRegistry(str(path), non_int_type=Fraction)


LINEAR = units_of("mass", "volume", "length", "area", "count")


@pytest.mark.parametrize("unit", LINEAR, ids=lambda unit: unit.id)
def test_factors_equal_pints_own_answer_for_every_pair(unit: Unit, registry: "pint.UnitRegistry[Fraction]") -> None:
    quantity = registry.Quantity(Fraction(1), unit.id)
    for other in LINEAR:
        if other.dimension == unit.dimension:
            assert quantity.to(other.id).magnitude == unit.factor / other.factor


@pytest.mark.parametrize("degrees", [-40, 0, Fraction("36.6"), 180, 250])
def test_temperatures_equal_pints_own_answer(degrees: Fraction, registry: "pint.UnitRegistry[Fraction]") -> None:
    celsius, fahrenheit = UNITS["celsius"], UNITS["fahrenheit"]
    theirs = registry.Quantity(Fraction(degrees), "celsius").to("fahrenheit").magnitude
    assert theirs == (degrees * celsius.factor + celsius.offset - fahrenheit.offset) / fahrenheit.factor


def test_every_factor_is_an_exact_fraction_above_zero() -> None:
    for unit in UNITS.values():
        assert isinstance(unit.factor, Fraction)
        assert 0 < unit.low <= unit.factor <= unit.high
        assert (unit.low == unit.high) is not unit.vague
        assert unit.dimension in BASE_UNIT


def test_the_list_contains_every_documented_unit() -> None:
    promised = """mg g kg oz lb ml cl dl l us_tsp us_tbsp us_fl_oz us_cup us_gill us_pint us_quart us_gallon
        us_dry_pint us_dry_quart imperial_fl_oz imperial_gill imperial_pint imperial_quart imperial_gallon metric_tsp
        metric_dessertspoon metric_tbsp metric_cup au_tbsp jp_cup mm cm in celsius fahrenheit gas_mark each"""
    assert set(promised.split()) <= set(UNITS)


SPELLINGS = [
    (spelling, row["unit"])
    for row in (*rows("units"), *rows("vague_measures"))
    for spelling in (row["unit"], *words(row["spellings"]))
]


@pytest.mark.parametrize(("spelling", "unit"), SPELLINGS, ids=[row[0] for row in SPELLINGS])
def test_every_spelling_finds_its_unit_in_any_case_and_spacing(spelling: str, unit: str) -> None:
    for dressed in (
        spelling,
        spelling.upper(),
        f" {spelling} ",
        spelling.replace("_", " "),
        spelling.replace("_", "-"),
    ):
        assert resolve_unit(dressed).id == unit
    assert resolve_unit(spelling, "us").id == unit  # a qualified word has the same meaning in all measures


MEANINGS: list[tuple[str, dict[Measures, str]]] = [  # the uk has metric spoons and no cup
    ("tsp", {"us": "us_tsp", "uk": "metric_tsp", "metric": "metric_tsp", "au": "metric_tsp", "jp": "metric_tsp"}),
    ("tbsp", {"us": "us_tbsp", "uk": "metric_tbsp", "metric": "metric_tbsp", "au": "au_tbsp", "jp": "metric_tbsp"}),
    ("cup", {"us": "us_cup", "metric": "metric_cup", "au": "metric_cup", "jp": "jp_cup"}),
    ("fl_oz", {"us": "us_fl_oz", "uk": "imperial_fl_oz"}),
    ("gill", {"us": "us_gill", "uk": "imperial_gill"}),
    ("pint", {"us": "us_pint", "uk": "imperial_pint"}),
    ("quart", {"us": "us_quart", "uk": "imperial_quart"}),
    ("gallon", {"us": "us_gallon", "uk": "imperial_gallon"}),
]


@pytest.mark.parametrize(("word", "meanings"), MEANINGS, ids=[row[0] for row in MEANINGS])
def test_kitchen_words_need_measures(word: str, meanings: dict[Measures, str]) -> None:
    for measures in MEASURES:
        if measures in meanings:
            assert resolve_unit(word, measures).id == meanings[measures]
            assert resolve_unit(f"{word}s".title(), measures).id == meanings[measures]
        else:
            with pytest.raises(UnknownError) as none_such:
                resolve_unit(word, measures)
            assert set(none_such.value.candidates) == set(meanings.values())
    with pytest.raises(AmbiguousError) as unclear:
        resolve_unit(word)
    assert set(unclear.value.candidates) == set(meanings.values())
    assert unclear.value.code == "ambiguous_unit"


def test_every_candidate_offered_is_accepted() -> None:
    for kitchen in KITCHEN_WORDS.values():
        for unit in kitchen.meanings.values():
            assert resolve_unit(unit).id == unit


# Words that a general unit library reads differently (pint: pico-inch, light speed, tesla, farad, grain,
# megalitre, centiday, astronomical unit) from a kitchen, or that a kitchen does not use.
TRAPS = {
    "pinch": "pinch",
    "pinches": "pinch",
    "dash": "dash",
    "ML": "ml",
    "mL": "ml",
    "Ml": "ml",
    "MG": "mg",
    "KG": "kg",
    "G": "g",
    "L": "l",
    "cc": "ml",
    "LBS": "lb",
    "OZ": "oz",
    "gas": "gas_mark",
    "in.": "in",
    "°C": "celsius",
    "whole": "each",
    "each": "each",
    "ozs": "oz",
    "Ounces": "oz",
    "c": None,
    "C": None,
    "T": None,
    "t": None,
    "F": None,
    "f": None,
    "gr": None,
    "grain": None,
    "K": None,
    "kelvin": None,
    "m": None,
    "M": None,
    "k": None,
    "au": None,
    "cd": None,
    "ft": None,
    "foot": None,
    "'": None,
    "stick": None,
    "knob": None,
    "handful": None,
    "drop": None,
    "can": None,
    "tin": None,
    "packet": None,
    "ton": None,
    "stone": None,
    "pound_force": None,
    "g/ml": None,
    "kg m": None,
    "cup*2": None,
    "cup^2": None,
    "g**2": None,
    "9**9**9": None,
    "__class__": None,
    "": None,
    " ": None,
    "_": None,
    ".": None,
    "s": None,
    "1": None,
    "g\x00": None,
    "us_tsp;us_tbsp": None,
    "ｇ": None,
    "г": None,
    "\ud800": None,
    "g" * 10_000: None,
    "µg": None,
    "dag": None,
}


@pytest.mark.parametrize("trap", TRAPS, ids=[ascii(trap)[:24] for trap in TRAPS])
def test_misleading_words_are_read_as_a_kitchen_means_them_or_rejected(trap: str) -> None:
    meant = TRAPS[trap]
    if meant is not None:
        assert resolve_unit(trap).id == meant
        return
    with pytest.raises(UnknownError) as refusal:
        resolve_unit(trap)
    assert len(trap) < 4 or trap not in refusal.value.detail  # never echoed


def test_a_pinch_is_a_small_volume_and_not_a_length() -> None:
    # Common practice: a sixteenth of a teaspoon, from one twenty-fourth to one eighth.
    pinch, teaspoon = UNITS["pinch"], UNITS["us_tsp"].factor
    assert (pinch.dimension, pinch.vague) == ("volume", True)
    assert pinch.factor / teaspoon == pytest.approx(1 / 16, rel=0.02)
    assert pinch.low / teaspoon == pytest.approx(1 / 24, rel=0.03)
    assert pinch.high / teaspoon == pytest.approx(1 / 8, rel=0.02)


@LAW
@given(st.text(max_size=30), st.none() | st.sampled_from(MEASURES))
def test_any_text_is_a_unit_or_an_error(text: str, measures: Measures | None) -> None:
    try:
        assert resolve_unit(text, measures) in UNITS.values()
    except DomainError as refusal:
        assert isinstance(refusal, AmbiguousError | UnknownError)  # noqa: PT017 - both outcomes are right


def test_expect_accepts_the_right_dimension_and_otherwise_lists_its_units() -> None:
    assert expect(UNITS["g"], "mass", "volume") is UNITS["g"]
    with pytest.raises(MismatchError) as refusal:
        expect(UNITS["cm"], "mass")
    assert {UNITS[unit].dimension for unit in refusal.value.candidates} == {"mass"}
