"""Areas and shifts of grids, wedges and rounded corners, compared with shapely."""

import math
import random

import pytest
import shapely
from shapely import affinity
from shapely.geometry import LineString, Point, Polygon, box

from domain.cutting.budget import CutBudget
from domain.cutting.cuts import cut_slab
from domain.cutting.layouts import Cell, Cutting
from domain.cutting.offset_grids import best_shift
from domain.cutting.plane import clip, disc_overlap, polygon_area
from domain.cutting.ring_radii import wedge_mm2
from domain.cutting.slabs import PolygonSlab, RectangleSlab, RingSlab, RoundSlab
from domain.cutting.tin_slabs import slab_of
from domain.cutting.wishes import GridWish, SizeWish, WedgesWish
from domain.errors import MismatchError, OutOfRangeError
from domain.tins.shapes import (
    CavitiesTin,
    MeasuredTin,
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

CASES = 500
SEGMENTS = 4_096  # segments in shapely's quarter circle; its polygon is then too small by (π/2/4096)²/6, about 2.5e-8
CIRCLE = 1e-7  # relative to the disc: the tolerance for that error


def disc(radius: float, x: float = 0.0, y: float = 0.0) -> Polygon:
    return Point(x, y).buffer(radius, quad_segs=SEGMENTS)


def polygon_of(slab: PolygonSlab) -> Polygon:
    """The polygon built with shapely: a corner rotated about the middle, a flat side at the bottom, y downwards."""
    reach = slab.across_flats_mm / 2 / math.cos(math.pi / slab.sides)
    first = Point(0, reach)
    turns = [180 / slab.sides + i * 360 / slab.sides for i in range(slab.sides)]
    return Polygon([affinity.rotate(first, turn, origin=(0, 0)) for turn in turns])


def test_500_cells_clipped_by_a_disc() -> None:
    rng = random.Random(20)  # noqa: S311 - reproducible cases, not a secret
    for _ in range(CASES):
        radius, size = rng.uniform(20, 300), rng.uniform(5, 300)
        x, y = rng.uniform(-400, 400), rng.uniform(-400, 400)
        cell = box(x, y, x + size, y + rng.uniform(5, 300))
        area = disc_overlap([(p[0], p[1]) for p in shapely.normalize(cell).exterior.coords[:-1]][::-1], radius)
        expected = disc(radius).intersection(cell).area
        assert abs(area) == pytest.approx(expected, abs=CIRCLE * math.pi * radius**2)
        x0, y0, x1, y1 = cell.bounds
        assert RoundSlab(diameter_mm=2 * radius).cell_mm2(x0, y0, x1, y1) == pytest.approx(
            expected, abs=CIRCLE * math.pi * radius**2
        )


def test_500_cells_clipped_by_polygons() -> None:
    rng = random.Random(21)  # noqa: S311
    for _ in range(CASES):
        slab = PolygonSlab(sides=rng.randint(3, 20), across_flats_mm=rng.uniform(50, 400))
        x, y = rng.uniform(-300, 250), rng.uniform(-300, 250)
        cell = box(x, y, x + rng.uniform(5, 200), y + rng.uniform(5, 200))
        expected = polygon_of(slab).intersection(cell).area
        assert slab.cell_mm2(*cell.bounds) == pytest.approx(expected, rel=1e-9, abs=1e-7)


def test_the_overlap_of_convex_polygons_equals_shapelys() -> None:
    rng = random.Random(22)  # noqa: S311
    for _ in range(CASES):
        first, second = (
            shapely.MultiPoint([(rng.uniform(0, 100), rng.uniform(0, 100)) for _ in range(8)]).convex_hull
            for _ in range(2)
        )
        points = [[(p[0], p[1]) for p in hull.exterior.coords[:-1]] for hull in (first, second)]
        turned = [p if polygon_area(p) > 0 else p[::-1] for p in points]
        assert polygon_area(clip(*turned)) == pytest.approx(first.intersection(second).area, rel=1e-9, abs=1e-9)


def test_500_cells_clipped_by_rounded_corners() -> None:
    rng = random.Random(23)  # noqa: S311
    for i in range(CASES):
        length, width = rng.uniform(60, 400), rng.uniform(60, 400)
        radius = rng.uniform(1, min(length, width) / 2)
        if i % 2:
            slab: RectangleSlab | PolygonSlab = RectangleSlab(length_mm=length, width_mm=width, corner_radius_mm=radius)
            outline = box(0, 0, length, width)
        else:
            slab = PolygonSlab(sides=rng.randint(3, 20), across_flats_mm=2 * length, corner_radius_mm=radius)
            outline = polygon_of(slab)
        rounded = outline.buffer(-radius).buffer(radius, quad_segs=SEGMENTS)
        x0, y0, x1, y1 = outline.bounds
        x, y = rng.uniform(x0, x1 - 5), rng.uniform(y0, y1 - 5)
        cell = box(x, y, rng.uniform(x + 1, x1), rng.uniform(y + 1, y1))
        allowed = CIRCLE * outline.area
        assert slab.cell_mm2(*cell.bounds) == pytest.approx(rounded.intersection(cell).area, abs=allowed)


TINS: list[Tin] = [
    SquareTin(side_mm=200, corner_radius_mm=20),
    RectangleTin(length_mm=300, width_mm=200),
    RoundTin(diameter_mm=230),
    RingTin(diameter_mm=250, hole_mm=80),
    PolygonTin(sides=7, across_flats_mm=220, corner_radius_mm=30),
]


@pytest.mark.parametrize("tin", TINS, ids=lambda tin: type(tin).__name__)
def test_a_slab_has_the_area_of_its_tin(tin: Tin) -> None:
    slab, notices = slab_of(tin)
    walls = walls_of(tin)
    assert walls is not None
    assert slab.area_mm2 == pytest.approx(walls.a0, rel=1e-12)
    assert notices == ()


@pytest.mark.parametrize("depth", [None, 0.1, 20, 50])
def test_a_tapered_slab_has_the_section_at_its_depth(depth: float | None) -> None:
    tins: list[TaperedRectangleTin | TaperedRoundTin] = [
        TaperedRectangleTin(top_length_mm=220, top_width_mm=120, base_length_mm=200, base_width_mm=100, depth_mm=50),
        TaperedRoundTin(top_diameter_mm=230, base_diameter_mm=200, depth_mm=50),
    ]
    for tin in tins:
        slab, [notice] = slab_of(tin, depth)
        walls = walls_of(tin)
        assert walls is not None
        assert slab.area_mm2 == pytest.approx(walls.area_mm2(50 if depth is None else depth), rel=1e-9)
        assert notice.code == "tapered_face"
        with pytest.raises(OutOfRangeError):
            slab_of(tin, 51)


@pytest.mark.parametrize(
    ("tin", "code"),
    [(CavitiesTin(count=12, volume_ml=80), "nothing_to_cut"), (MeasuredTin(volume_ml=2_000), "shape_needed")],
)
def test_tins_of_unknown_shape_cannot_be_cut(tin: Tin, code: str) -> None:
    with pytest.raises(MismatchError) as refusal:
        slab_of(tin)
    assert refusal.value.code == code


@pytest.mark.parametrize("pieces", [2, 3, 4, 5, 7, 12, 20])
@pytest.mark.parametrize("knife", [0.0, 1.0, 3.0])
def test_wedges_are_the_disc_without_the_strips_of_the_knife(pieces: int, knife: float) -> None:
    """Shapely subtracts strips of the knife's width, from the middle outwards, from the disc."""
    radius = 120.0
    strips = [
        LineString([(0, 0), (2 * radius * math.cos(a), 2 * radius * math.sin(a))]).buffer(knife / 2, cap_style="flat")
        for a in (math.tau * i / pieces for i in range(pieces))
    ]
    left = disc(radius).difference(shapely.union_all(strips)) if knife else disc(radius)
    wedges = sorted(part.area for part in getattr(left, "geoms", [left]))
    if knife:
        # Strips that end in the middle may leave a tiny area there.
        assert wedges[-1] == pytest.approx(wedge_mm2(pieces, radius, knife), rel=1e-5)
    assert pieces * wedge_mm2(pieces, radius, knife) == pytest.approx(sum(wedges), rel=1e-4 if knife else CIRCLE)


@pytest.mark.parametrize("wedges", [2, 5, 8])
def test_the_areas_of_ring_wedges_equal_shapelys(wedges: int) -> None:
    slab, knife, trim = RingSlab(diameter_mm=250, hole_mm=80), 2.0, 5.0
    layout = cut_slab(slab, WedgesWish(wedges=wedges), Cutting(knife_mm=knife, trim_mm=trim))
    strips = [
        LineString([(0, 0), (300 * math.cos(a), 300 * math.sin(a))]).buffer(knife / 2, cap_style="flat")
        for a in (math.tau * i / wedges for i in range(wedges))
    ]
    trimmed = disc(120).difference(disc(45))
    left = trimmed.difference(shapely.union_all(strips))
    assert layout.areas.pieces_mm2 == pytest.approx(left.area, rel=CIRCLE)
    assert layout.areas.knife_mm2 == pytest.approx(trimmed.area - left.area, rel=1e-4)
    assert layout.areas.trim_mm2 == pytest.approx(slab.area_mm2 - trimmed.area, rel=1e-6)


@pytest.mark.parametrize("sides", [0, 3, 5, 6, 8])
@pytest.mark.parametrize(("length", "width"), [(40, 40), (55, 30), (25, 35)])
@pytest.mark.parametrize(("knife", "trim"), [(0, 0), (2, 4)])
def test_grids_over_curves_against_shapely(sides: int, length: float, width: float, knife: float, trim: float) -> None:
    slab = PolygonSlab(sides=sides, across_flats_mm=260) if sides else RoundSlab(diameter_mm=260)
    layout = cut_slab(slab, SizeWish(length_mm=length, width_mm=width), Cutting(knife_mm=knife, trim_mm=trim))
    outline = polygon_of(PolygonSlab(sides=sides, across_flats_mm=260 - 2 * trim)) if sides else disc(130 - trim)
    whole = part = 0.0
    for cell in layout.shapes:
        assert isinstance(cell, Cell)
        shape = box(cell.x_mm, cell.y_mm, cell.x_mm + cell.length_mm, cell.y_mm + cell.width_mm)
        shared = outline.intersection(shape).area
        assert (shared >= shape.area * (1 - 1e-6)) == (cell.place != "part")
        whole, part = whole + shared * (cell.place != "part"), part + shared * (cell.place == "part")
    assert layout.areas.pieces_mm2 == pytest.approx(whole, rel=CIRCLE)
    assert layout.areas.offcut_mm2 == pytest.approx(part, rel=1e-5)
    assert layout.areas.trim_mm2 == pytest.approx(slab.area_mm2 - outline.area, rel=1e-5, abs=1e-2)


@pytest.mark.parametrize("sides", [0, 3, 5, 6, 8])
def test_no_random_shift_finds_more_whole_pieces(sides: int) -> None:
    slab = PolygonSlab(sides=sides, across_flats_mm=230) if sides else RoundSlab(diameter_mm=230)
    outline = (polygon_of(slab) if isinstance(slab, PolygonSlab) else disc(115)).buffer(1e-6)
    shapely.prepare(outline)
    rng = random.Random(24)  # noqa: S311
    for length, width in ((48, 48), (33, 33), (60, 25)):
        lattice = best_shift(slab, length, width, 0, CutBudget())
        most = _whole(outline, lattice.x_mm, lattice.y_mm, length, width)
        shifts = [(rng.uniform(0, length), rng.uniform(0, width)) for _ in range(300)]
        assert max(_whole(outline, x, y, length, width) for x, y in shifts) <= most


def test_the_orientation_with_more_whole_pieces_is_cut() -> None:
    rng = random.Random(25)  # noqa: S311
    for _ in range(60):
        across = rng.uniform(150, 400)
        radius = across * rng.choice([0, 0.1, 0.3, 0.45])
        slab = PolygonSlab(sides=rng.randint(3, 20), across_flats_mm=across, corner_radius_mm=radius)
        outline = polygon_of(slab).buffer(-radius).buffer(radius + 1e-6, quad_segs=SEGMENTS)
        shapely.prepare(outline)
        size = rng.uniform(10, 60), rng.uniform(10, 60)
        lattices = [best_shift(slab, *turned, 0, CutBudget()) for turned in (size, size[::-1])]
        most = max(_whole(outline, grid.x_mm, grid.y_mm, grid.length_mm, grid.width_mm) for grid in lattices)
        if most:
            layout = cut_slab(slab, SizeWish(length_mm=size[0], width_mm=size[1]), Cutting())
            assert layout.pieces == most


def test_a_polygon_is_cut_into_at_most_1000_pieces() -> None:
    slab = PolygonSlab(sides=4, across_flats_mm=1_000)
    assert cut_slab(slab, SizeWish(length_mm=32, width_mm=32), Cutting()).pieces == 31 * 31
    with pytest.raises(OutOfRangeError, match="at most 1,000"):
        cut_slab(slab, SizeWish(length_mm=31, width_mm=31), Cutting())


def _whole(outline: Polygon, x: float, y: float, length: float, width: float) -> int:
    left, top, right, bottom = outline.bounds
    columns = range(math.floor((left - x) / length), math.ceil((right - x) / length))
    rows = range(math.floor((top - y) / width), math.ceil((bottom - y) / width))
    xs, ys = zip(*[(x + i * length, y + j * width) for i in columns for j in rows], strict=True)
    boxes = shapely.box(xs, ys, [x + length for x in xs], [y + width for y in ys])
    return int(shapely.contains(outline, boxes).sum())


def test_the_knife_area_in_a_disc_is_the_strips_between_the_cells() -> None:
    layout = cut_slab(RoundSlab(diameter_mm=240), GridWish(rows=5, columns=6), Cutting(knife_mm=3))
    marks = layout.marks
    vertical = [box(mark.mm - 120 - 1.5, -200, mark.mm - 120 + 1.5, 200) for mark in marks.length]
    level = [box(-200, mark.mm - 120 - 1.5, 200, mark.mm - 120 + 1.5) for mark in marks.width]
    strips = shapely.union_all([*vertical, *level]).intersection(disc(120))
    assert layout.areas.knife_mm2 == pytest.approx(strips.area, rel=1e-5)
