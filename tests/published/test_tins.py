"""Tin areas and volumes, calculated by hand and compared with shapely's polygons and scipy's integrals."""

import math

import pytest
import shapely
from scipy import integrate, optimize

from domain.tins.geometry import capacity_ml, depth_mm, measure_tin, tin_factor, volume_ml
from domain.tins.shapes import (
    PolygonTin,
    RectangleTin,
    RingTin,
    RoundTin,
    SquareTin,
    TaperedRectangleTin,
    TaperedRoundTin,
    Tin,
    walls_of,
)
from domain.tins.text import NAMED_TINS, parse_tin
from tests.published.printed import printed

IN2 = 645.16  # mm² in a square inch: 25.4²
PAN_AREA = "plane geometry, worked in worked_examples.csv"

AREAS = [  # tin, area, mm² in its unit, calculation
    ("square 8 in", "64", IN2, "8 × 8; " + PAN_AREA),
    ("round 9 in", "63.617", IN2, "π × 4.5²; " + PAN_AREA),
    ("rectangle 9 x 13 in", "117", IN2, "9 × 13; " + PAN_AREA),
    ("rectangle 9 x 13 in", "754.8", 100.0, "117 × 6.4516 cm²; " + PAN_AREA),
    ("square 20 cm", "400", 100.0, "20 × 20"),
    ("square 10 in", "100", IN2, "10 × 10"),
    ("round 20 cm", "314.16", 100.0, "π × 10²"),
    ("round 23 cm", "415.48", 100.0, "π × 11.5² = 3.14159 × 132.25"),
    ("ring 25 x 8 cm", "440.61", 100.0, "π × (12.5² − 4²) = 3.14159 × 140.25"),
    ("hexagon 20 cm", "346.41", 100.0, "2√3 × 10²"),
    ("octagon 20 cm", "331.37", 100.0, "8 (√2 − 1) × 10²"),
]


@pytest.mark.parametrize(("written", "area", "unit_mm2", "working"), AREAS, ids=[f"{r[0]}: {r[3]}" for r in AREAS])
def test_areas_worked_by_hand(written: str, area: str, unit_mm2: float, working: str) -> None:
    base = measure_tin(parse_tin(written)).base_area_mm2
    assert base is not None
    assert base / unit_mm2 == printed(area), working


VOLUMES = [  # tin, millilitres, calculation
    ("square 20 x 5 cm", "2000", "20 × 20 × 5"),
    ("rectangle 20 x 30 x 5 cm", "3000", "20 × 30 × 5"),
    ("round 23 x 7 cm", "2908.3", "415.476 × 7"),
    ("ring 25 x 8 x 9 cm", "3965.5", "440.61 × 9"),
    ("cavities 12 x 80 ml", "960", "12 × 80"),
    ("hexagon 20 x 6 cm", "2078.5", "346.410 × 6"),
    ("full-steam-table-pan x 2.5 in", "9832", "20 × 12 × 2.5 × 16.387064; scoops.csv, gross box"),
    ("full-steam-table-pan x 4 in", "15732", "20 × 12 × 4 × 16.387064; scoops.csv, gross box"),
    ("full-steam-table-pan x 6 in", "23597", "20 × 12 × 6 × 16.387064; scoops.csv, gross box"),
]


@pytest.mark.parametrize(("written", "millilitres", "working"), VOLUMES, ids=[f"{r[0]}: {r[2]}" for r in VOLUMES])
def test_capacities_worked_by_hand(written: str, millilitres: str, working: str) -> None:
    assert capacity_ml(parse_tin(written)) == printed(millilitres), working


FRUSTA: list[tuple[Tin, str, str]] = [
    (
        TaperedRoundTin(top_diameter_mm=230, base_diameter_mm=200, depth_mm=60),
        "2181.8",
        "π/3 × 6 × (11.5² + 10² + 11.5 × 10) = 6.28319 × 347.25",
    ),
    (
        TaperedRectangleTin(top_length_mm=300, top_width_mm=200, base_length_mm=270, base_width_mm=180, depth_mm=50),
        "2710.0",
        "similar ends: 5/3 × (600 + 486 + √(600 × 486)) = 5/3 × 1626",
    ),
    (
        TaperedRectangleTin(top_length_mm=230, top_width_mm=130, base_length_mm=200, base_width_mm=100, depth_mm=70),
        "1736.0",
        "unlike ends, prismatoid: 7/6 × (23 × 13 + 4 × 21.5 × 11.5 + 20 × 10) = 7/6 × 1488",
    ),
]


@pytest.mark.parametrize(("tin", "millilitres", "working"), FRUSTA, ids=[row[2] for row in FRUSTA])
def test_frusta_worked_by_hand(tin: Tin, millilitres: str, working: str) -> None:
    assert capacity_ml(tin) == printed(millilitres), working


def box(length: float, width: float, radius: float = 0.0) -> shapely.Geometry:
    """A rectangle with round corners: the inner rectangle, buffered by the radius."""
    inner = shapely.box(radius, radius, length - radius, width - radius)
    return inner.buffer(radius, quad_segs=2_000) if radius else inner


def disc(diameter: float) -> shapely.Geometry:
    return shapely.Point(0, 0).buffer(diameter / 2, quad_segs=2_000)


def polygon(sides: int, across_flats: float, radius: float = 0.0) -> shapely.Geometry:
    """A regular polygon; its corners lie on a circle of the inner radius over cos(π/n)."""
    reach = (across_flats / 2 - radius) / math.cos(math.pi / sides)
    turns = [2 * math.pi * i / sides for i in range(sides)]
    inner = shapely.Polygon([(reach * math.cos(turn), reach * math.sin(turn)) for turn in turns])
    return inner.buffer(radius, quad_segs=2_000) if radius else inner


SHAPELY = [
    (SquareTin(side_mm=203, corner_radius_mm=25), box(203, 203, 25)),
    (SquareTin(side_mm=180, corner_radius_mm=90), disc(180)),
    (RectangleTin(length_mm=330, width_mm=229, corner_radius_mm=19), box(330, 229, 19)),
    (RectangleTin(length_mm=900, width_mm=100), box(900, 100)),
    (RoundTin(diameter_mm=229), disc(229)),
    (RingTin(diameter_mm=250, hole_mm=80), disc(250) - disc(80)),
    (PolygonTin(sides=3, across_flats_mm=150), polygon(3, 150)),
    (PolygonTin(sides=5, across_flats_mm=210), polygon(5, 210)),
    (PolygonTin(sides=6, across_flats_mm=200, corner_radius_mm=30), polygon(6, 200, 30)),
    (PolygonTin(sides=8, across_flats_mm=240), polygon(8, 240)),
    (PolygonTin(sides=20, across_flats_mm=300, corner_radius_mm=10), polygon(20, 300, 10)),
]


@pytest.mark.parametrize(("tin", "outline"), SHAPELY, ids=[f"shapely: {row[0]}" for row in SHAPELY])
def test_areas_equal_shapelys(tin: Tin, outline: shapely.Geometry) -> None:
    walls = walls_of(tin)
    assert walls is not None
    assert walls.a0 == pytest.approx(outline.area, rel=1e-6)  # shapely's circles are fine polygons


def test_across_flats_is_the_distance_between_opposite_sides() -> None:
    for sides in (4, 6, 8, 12):  # the distance across the middle from shapely, not from a formula of ours
        half = polygon(sides, 200).boundary.distance(shapely.Point(0, 0))
        assert half == pytest.approx(100)


def section_area(tin: TaperedRectangleTin | TaperedRoundTin, height: float) -> float:
    """Area of the section at a height, from widths that change linearly from base to rim."""
    share = height / tin.depth_mm
    if isinstance(tin, TaperedRoundTin):
        return float(disc(tin.base_diameter_mm + share * (tin.top_diameter_mm - tin.base_diameter_mm)).area)
    length = tin.base_length_mm + share * (tin.top_length_mm - tin.base_length_mm)
    width = tin.base_width_mm + share * (tin.top_width_mm - tin.base_width_mm)
    return float(box(length, width, tin.corner_radius_mm).area)


TAPERED = [
    TaperedRoundTin(top_diameter_mm=230, base_diameter_mm=200, depth_mm=60),
    TaperedRoundTin(top_diameter_mm=70, base_diameter_mm=48, depth_mm=35),
    TaperedRoundTin(top_diameter_mm=180, base_diameter_mm=220, depth_mm=80),
    TaperedRectangleTin(top_length_mm=230, top_width_mm=130, base_length_mm=200, base_width_mm=100, depth_mm=70),
    TaperedRectangleTin(
        top_length_mm=340, top_width_mm=240, base_length_mm=310, base_width_mm=215, depth_mm=45, corner_radius_mm=20
    ),
    TaperedRectangleTin(top_length_mm=300, top_width_mm=90, base_length_mm=260, base_width_mm=110, depth_mm=65),
]


@pytest.mark.parametrize("tin", TAPERED, ids=[f"scipy quad: {tin}" for tin in TAPERED])
@pytest.mark.parametrize("share", [0.25, 0.5, 1.0])
def test_volume_below_a_height_equals_scipys_integral(tin: TaperedRectangleTin | TaperedRoundTin, share: float) -> None:
    walls, height = walls_of(tin), share * tin.depth_mm
    assert walls is not None
    integral, _ = integrate.quad(lambda z: section_area(tin, z), 0, height, limit=20)
    assert volume_ml(walls, height) == pytest.approx(integral / 1_000, rel=1e-6)


@pytest.mark.parametrize("tin", TAPERED, ids=[f"scipy brentq: {tin}" for tin in TAPERED])
@pytest.mark.parametrize("share", [0.1, 0.6, 0.95])
def test_depth_of_a_volume_equals_scipys_root(tin: TaperedRectangleTin | TaperedRoundTin, share: float) -> None:
    walls, full = walls_of(tin), capacity_ml(tin)
    assert walls is not None
    assert full is not None
    root = optimize.brentq(lambda height: volume_ml(walls, height) - share * full, 0, tin.depth_mm, xtol=1e-12)
    assert depth_mm(walls, share * full) == pytest.approx(root, rel=1e-9)


FACTORS = [  # tin of the formula, wanted tin, factor, calculation
    ("square 8 in", "round 9 in", "0.994", "63.617 / 64; " + PAN_AREA),
    ("square 8 in", "rectangle 9 x 13 in", "1.828", "117 / 64; " + PAN_AREA),
    ("round 9 in", "rectangle 9 x 13 in", "1.839", "117 / 63.617; " + PAN_AREA),
    ("square 20 cm", "square 10 in", "1.6129", "(254 / 200)²"),
    ("round 20 cm", "round 23 cm", "1.3225", "(23 / 20)²"),
    ("square 20 cm", "round 20 cm", "0.7854", "π / 4"),
    ("square 20 cm", "ring 25 x 8 cm", "1.1015", "440.61 / 400"),
    ("half-sheet", "full-sheet", "2.00", "26 × 18 over 18 × 13 in, nominal; common practice: two halves a full"),
    ("quarter-sheet", "half-sheet", "1.895", "18 × 13 over 13 × 9.5 in, nominal, from memory"),
]


@pytest.mark.parametrize(
    ("have", "want", "factor", "working"), FACTORS, ids=[f"{r[0]} to {r[1]}: {r[3]}" for r in FACTORS]
)
def test_factors_between_tins_are_ratios_of_area(have: str, want: str, factor: str, working: str) -> None:
    assert tin_factor(parse_tin(have), parse_tin(want)).factor == printed(factor), working


EN631 = "EN 631-1 as quoted by reference pages"
GASTRONORM = [
    ("gn-2-1", 650, 530),
    ("gn-1-1", 530, 325),
    ("gn-2-3", 354, 325),
    ("gn-2-4", 530, 162),
    ("gn-1-2", 325, 265),
    ("gn-1-3", 325, 176),
    ("gn-1-4", 265, 162),
    ("gn-1-6", 176, 162),
    ("gn-1-9", 176, 108),
]


@pytest.mark.parametrize(("name", "length", "width"), GASTRONORM, ids=[f"{row[0]} - {EN631}" for row in GASTRONORM])
def test_gastronorm_containers_have_the_sizes_of_the_standard(name: str, length: int, width: int) -> None:
    tin = NAMED_TINS[name]
    assert (tin.length_mm, tin.width_mm) == (length, width)
    assert tin.depths_mm == (20, 40, 65, 100, 150, 200)


SHEETS = [  # nominal outer inches
    ("full-sheet", 26, 18, "US Armed Forces Recipe Service, card G-12"),
    ("two-thirds-sheet", 22, 16, "trade pages"),
    ("three-quarter-sheet", 21, 15, "trade pages"),
    ("half-sheet", 18, 13, "trade pages"),
    ("quarter-sheet", 13, 9.5, "trade pages"),
    ("eighth-sheet", 9.5, 6.5, "trade pages"),
]


@pytest.mark.parametrize(("name", "length", "width", "source"), SHEETS, ids=[f"{r[0]} - {r[3]}" for r in SHEETS])
def test_sheet_pans_have_the_printed_sizes(name: str, length: float, width: float, source: str) -> None:
    tin = NAMED_TINS[name]
    assert (tin.length_mm, tin.width_mm) == pytest.approx((length * 25.4, width * 25.4)), source
    assert (tin.cited.confidence == "quoted") == (source == "trade pages")
    assert tin.size == "outer"


STEAM_TABLE = [  # outer inches as two kitchen-supply guides print them
    ("full-steam-table-pan", 20.75, 12.75),
    ("two-thirds-steam-table-pan", 20.75 * 2 / 3, 12.75),  # computed: the guides leave it out
    ("half-steam-table-pan", 12.75, 10.375),
    ("third-steam-table-pan", 12.75, 6.875),
    ("quarter-steam-table-pan", 10.375, 6.375),
    ("sixth-steam-table-pan", 6.875, 6.25),
    ("ninth-steam-table-pan", 6.75, 4.25),
]


@pytest.mark.parametrize(
    ("name", "length", "width"), STEAM_TABLE, ids=[f"{r[0]} - kitchen-supply guides" for r in STEAM_TABLE]
)
def test_the_opening_of_a_steam_table_pan_is_the_outer_size_without_its_rim(
    name: str, length: float, width: float
) -> None:
    tin, rim = NAMED_TINS[name], 20.75 - 20  # the guides call the full pan 20 x 12 in
    assert tin.size == "inside"
    assert tin.length_mm == pytest.approx((length - rim) * 25.4, abs=0.03)
    assert tin.width_mm == pytest.approx((width - rim) * 25.4, abs=0.01)


def test_the_continental_bakery_tray_is_600_by_400_mm() -> None:
    tin = NAMED_TINS["bakery-tray"]  # a catering-equipment guide: 600 x 400 mm
    assert (tin.length_mm, tin.width_mm, tin.size) == (600, 400, "outer")
    assert parse_tin("600 x 400 tray") == parse_tin("bakery-tray")


def test_every_named_tin_says_what_its_sizes_measure() -> None:
    assert {tin.size for tin in NAMED_TINS.values()} == {"outer", "inside"}


BRIMS = [  # typical brim volumes in litres; from memory, makers differ by 10 to 20 %
    ("gn-1-1 x 65 mm", 9),
    ("gn-1-1 x 100 mm", 14),
    ("gn-1-1 x 150 mm", 21),
    ("gn-1-2 x 65 mm", 4),
    ("gn-1-2 x 100 mm", 6.5),
    ("gn-1-3 x 100 mm", 4),
    ("gn-1-4 x 100 mm", 2.8),
    ("gn-1-6 x 100 mm", 1.6),
]


@pytest.mark.parametrize(("written", "litres"), BRIMS, ids=[f"{row[0]} - from memory" for row in BRIMS])
def test_nominal_boxes_are_an_upper_bound_of_the_capacity(written: str, litres: float) -> None:
    nominal = capacity_ml(parse_tin(written))
    assert nominal is not None
    assert litres * 1_000 < nominal < litres * 1_000 * 1.85
