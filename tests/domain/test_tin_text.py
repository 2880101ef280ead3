"""Tins as text: the short form of every shape, and similar text that is rejected."""

from fractions import Fraction

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.errors import DomainError
from domain.tins.shapes import CavitiesTin, PolygonTin, RectangleTin, RingTin, RoundTin, SquareTin, Tin
from domain.tins.text import NAMED_TINS, parse_tin, tin_notices
from tests.strategies import LAW

WRITTEN: list[tuple[str, Tin]] = [
    ("square 20 cm", SquareTin(side_mm=200)),
    ("square 10 in", SquareTin(side_mm=254)),
    ('square 8"', SquareTin(side_mm=25.4 * 8)),
    ("square 8″", SquareTin(side_mm=25.4 * 8)),
    ("Square tin 200mm", SquareTin(side_mm=200)),
    ("square 20 x 5 cm", SquareTin(side_mm=200, depth_mm=50)),
    ("square: 20 cm", SquareTin(side_mm=200)),
    ("square 9½ in", SquareTin(side_mm=241.3)),
    ("square 9 1/2 x 2 inches", SquareTin(side_mm=241.3, depth_mm=50.8)),
    ("rectangle 20 x 30 x 5 cm", RectangleTin(length_mm=200, width_mm=300, depth_mm=50)),
    ("rectangle 9 x 13 in", RectangleTin(length_mm=25.4 * 9, width_mm=330.2)),
    ("rectangle 9x13in", RectangleTin(length_mm=25.4 * 9, width_mm=330.2)),
    ('rectangle 9" x 13"', RectangleTin(length_mm=25.4 * 9, width_mm=330.2)),
    ("rectangle 20 × 30 cm", RectangleTin(length_mm=200, width_mm=300)),
    ("rectangle 20 * 30 cm", RectangleTin(length_mm=200, width_mm=300)),
    ("rectangle 20 by 30 cm", RectangleTin(length_mm=200, width_mm=300)),
    ("rectangle 20 cm x 300 mm x 2 in", RectangleTin(length_mm=200, width_mm=300, depth_mm=50.8)),
    ("  RECTANGLE\t20  x 30\ncm ", RectangleTin(length_mm=200, width_mm=300)),
    ("round 23 x 7 cm", RoundTin(diameter_mm=230, depth_mm=70)),
    ("round 9 in", RoundTin(diameter_mm=25.4 * 9)),
    ("round ½ in", RoundTin(diameter_mm=12.7)),
    ("ring 25 x 8 x 9 cm", RingTin(diameter_mm=250, hole_mm=80, depth_mm=90)),
    ("ring 25 x 8 cm", RingTin(diameter_mm=250, hole_mm=80)),
    ("hexagon 20 x 6 cm", PolygonTin(sides=6, across_flats_mm=200, depth_mm=60)),
    ("octagon 8 in", PolygonTin(sides=8, across_flats_mm=25.4 * 8)),
    ("cavities 12 x 80 ml", CavitiesTin(count=12, volume_ml=80)),
    ("cavities 12 x 80 ml x 35 mm", CavitiesTin(count=12, volume_ml=80, depth_mm=35)),
    ("cavities 6 x 1/2 us_cup", CavitiesTin(count=6, volume_ml=118.29411825)),
]


@pytest.mark.parametrize(("written", "tin"), WRITTEN, ids=[ascii(row[0]) for row in WRITTEN])
def test_a_short_form_is_the_tin_it_says(written: str, tin: Tin) -> None:
    assert parse_tin(written) == tin
    assert tin_notices(tin) == ()


SPOKEN = [(spoken, tin.name) for tin in NAMED_TINS.values() for spoken in (tin.name, *tin.other_names)]


@pytest.mark.parametrize(("spoken", "name"), SPOKEN, ids=[row[0] for row in SPOKEN])
def test_named_tins_are_found_by_every_name_with_and_without_depth(spoken: str, name: str) -> None:
    expected = NAMED_TINS[name]
    for dressed in (spoken, spoken.upper(), spoken.replace("-", " "), f" {spoken} "):
        tin = parse_tin(dressed)
        assert tin == RectangleTin(length_mm=expected.length_mm, width_mm=expected.width_mm, nominal=name)
        assert [notice.code for notice in tin_notices(tin)] == ["nominal_size"]
    deep = parse_tin(f"{spoken} x 65 mm")
    assert deep == RectangleTin(length_mm=expected.length_mm, width_mm=expected.width_mm, depth_mm=65, nominal=name)


REFUSED = [
    "",
    " ",
    "square",
    "20 cm",
    "square 20",
    "square cm",
    "square 20 cm 5",
    "square 20 x 30 x 5 cm",
    "round 23 x 7",
    "round 23 cm x 7",
    "ring 25 cm",
    "ring 8 x 25 cm",
    "ring 25 x 25 cm",
    "rectangle 20 cm",
    "rectangle 20 x 30",
    "rectangle 1 x 2 x 3 x 4 cm",
    "triangle 20 cm",
    "square -20 cm",
    "square 0 cm",
    "square 1,5,5 cm",
    "square 1e2 cm",
    "square nan cm",
    "square inf cm",
    "square 9**9**9 cm",
    "square ٢٠ cm",
    "square 20 kg",
    "square 20 us_cup",
    "square 20 furlongs",
    "square 3000 mm",
    "square 0.5 mm",
    "square 20 cm; round 5 cm",
    "round 8'",
    "round 1e400 cm",
    "cavities 12",
    "cavities 12 x 80",
    "cavities 1.5 x 80 ml",
    "cavities 0 x 80 ml",
    "cavities 12 x 80 cm",
    "cavities 12 x 1/3 cup",
    "cavities 9999 x 80 ml",
    "gn-1-5",
    "gn 1/1 x 65",
    "gn-1-1 x 65 g",
    "sheets",
    "\x00",
    "\ud800",
    "square \ud800 cm",
    "x",
    " x ",
    "square 20 cm" + " " * 200 + "!",
    "square " + "9" * 10_000 + " cm",
    "round " + "1 " * 5_000 + "cm",
    "rectangle " + "1 x " * 5_000 + "1 cm",
    "a" * 10_000,
    "½" * 10_000,
]


@pytest.mark.parametrize("text", REFUSED, ids=lambda t: f"{ascii(t)[:30]} {len(t)}")
def test_invalid_tins_are_rejected(text: str) -> None:
    with pytest.raises(DomainError) as refusal:
        parse_tin(text)
    assert len(text) < 40 or text not in refusal.value.detail  # never echoed


# A sign that is not understood must not be ignored: half a sheet is not a sheet.
HALF_READ = [
    "½ sheet",
    "¼ sheet",
    "½ full sheet pan",
    "gn ½ x 65 mm",
    "½ gn-1-1",
    "半 sheet",
    "² sheet",
    "gn-1-1 ½",
    "sheet ⅔",
]


@pytest.mark.parametrize("text", HALF_READ, ids=ascii)
def test_half_a_sheet_is_never_read_as_a_sheet(text: str) -> None:
    try:
        tin = parse_tin(text)
    except DomainError:
        return
    full = NAMED_TINS["full-sheet"]
    assert isinstance(tin, RectangleTin)
    assert tin.nominal not in {"full-sheet", "gn-1-1"}
    assert tin.length_mm * tin.width_mm < full.length_mm * full.width_mm


@LAW
@given(st.text(alphabet='square ringod tn0123456789.x×½/"cm i', max_size=24))
def test_text_close_to_a_tin_is_a_tin_or_an_error(text: str) -> None:
    try:
        parse_tin(text)
    except DomainError as refusal:
        assert refusal.detail  # noqa: PT017 - both outcomes are right


@LAW
@given(st.integers(5, 1_900), st.integers(5, 1_900), st.sampled_from(["mm", "cm", "in"]))
def test_sizes_are_exact(length: int, width: int, unit: str) -> None:
    mm = {"mm": Fraction(1), "cm": Fraction(10), "in": Fraction("25.4")}[unit]
    if max(length, width) * mm > 2_000:
        return
    tin = parse_tin(f"rectangle {length} x {width} {unit}")
    assert tin == RectangleTin(length_mm=float(length * mm), width_mm=float(width * mm))


# Everyday words of kitchens for shapes without a formula here.
@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("oval 30 x 20 cm", "oval"),
        ("30 x 20 cm oval dish", "oval"),
        ("ovale Form 30 cm", "oval"),
        ("Herzform", "heart"),
    ],
)
def test_a_shape_without_a_formula_is_refused_by_name(text: str, name: str) -> None:
    with pytest.raises(DomainError) as refusal:
        parse_tin(text)
    assert refusal.value.code == "unknown_shape"
    assert name in refusal.value.detail
