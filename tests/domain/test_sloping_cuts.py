"""Masses by place in tins with sloping walls: compared with shapely's areas, summed by scipy over the height."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.integrate import quad
from shapely import affinity
from shapely.geometry import Point, Polygon, box

from domain.cutting.cuts import cut_slab
from domain.cutting.layouts import Cell, CutLayout, Cutting, Part
from domain.cutting.slabs import RectangleSlab, RoundSlab
from domain.cutting.tin_slabs import slab_of
from domain.cutting.wishes import GridWish, RingsWish, SizeWish, WedgesWish
from domain.tins.geometry import volume_ml
from domain.tins.shapes import TaperedRectangleTin, TaperedRoundTin, walls_of
from tests.strategies import LAW

TRAYBAKE = TaperedRectangleTin(top_length_mm=320, top_width_mm=220, base_length_mm=300, base_width_mm=200, depth_mm=50)
SEGMENTS = 512  # segments in a quarter circle, whose area is then too small by 1.6e-6
PARTS: tuple[Part, ...] = ("pieces", "knife", "trim", "offcut")


def section(slab: RectangleSlab | RoundSlab, share: float) -> Polygon:
    """The slab at a share of its height below the face, built with shapely."""
    if isinstance(slab, RoundSlab):
        return Point(0, 0).buffer(slab.diameter_mm / 2 - share * slab.lean_mm, quad_segs=SEGMENTS)
    x, y, radius = share * slab.lean_length_mm, share * slab.lean_width_mm, slab.corner_radius_mm
    outline = box(x, y, slab.length_mm - x, slab.width_mm - y)
    return outline.buffer(-radius).buffer(radius, quad_segs=SEGMENTS) if radius else outline


def mean_area(slab: RectangleSlab | RoundSlab, piece: Polygon) -> float:
    def area(share: float) -> float:
        return float(section(slab, share).intersection(piece).area)

    return float(quad(area, 0, 1, epsabs=1e-4, epsrel=1e-7, limit=200)[0])


def in_all(layout: CutLayout) -> float:
    return math.fsum(layout.grams_of(part) or 0.0 for part in PARTS)


def test_a_traybake_of_24_weighs_what_integration_gives() -> None:
    slab, _ = slab_of(TRAYBAKE, 40)
    layout = cut_slab(slab, GridWish(rows=4, columns=6), Cutting(slab_g=1_500))
    assert isinstance(slab, RectangleSlab)
    face = 316.0, 216.0  # 40 of 50 mm up walls that go from 300 x 200 to 320 x 220 mm
    length, width = face[0] / 6, face[1] / 4
    grams = {kind.place: (kind.grams_low, kind.grams, kind.grams_high) for kind in layout.kinds}
    whole = mean_area(slab, box(0, 0, *face))
    corner, edge, side, centre = (
        1_500 * mean_area(slab, box(x * length, y * width, (x + 1) * length, (y + 1) * width)) / whole
        for x, y in ((0, 0), (1, 0), (0, 1), (2, 2))
    )
    assert grams["corner"][1] == pytest.approx(corner, rel=1e-6)
    assert (grams["edge"][0], grams["edge"][2]) == pytest.approx(sorted((edge, side)), rel=1e-6)
    assert grams["centre"][1] == pytest.approx(centre, rel=1e-6)
    # Integrated by hand, to a tenth of a gram.
    assert [round(mass, 1) for mass in (corner, side, edge, centre)] == [57.1, 61.5, 61.6, 66.6]
    assert layout.piece.grams == pytest.approx(62.5)
    assert in_all(layout) == pytest.approx(1_500)


def tapered(corner_radius: float) -> RectangleSlab:
    return RectangleSlab(
        length_mm=310, width_mm=205, corner_radius_mm=corner_radius, lean_length_mm=14, lean_width_mm=9
    )


@pytest.mark.parametrize("radius", [0.0, 22.0])
@pytest.mark.parametrize("cutting", [Cutting(slab_g=1_200), Cutting(slab_g=1_200, trim_mm=6, knife_mm=2)], ids=str)
def test_every_cell_weighs_its_integral(radius: float, cutting: Cutting) -> None:
    slab = tapered(radius)
    layout = cut_slab(slab, GridWish(rows=3, columns=5), cutting)
    whole = mean_area(slab, box(0, 0, 310, 205))
    masses: dict[str, list[float]] = {}
    for cell in layout.shapes:
        assert isinstance(cell, Cell)
        piece = box(cell.x_mm, cell.y_mm, cell.x_mm + cell.length_mm, cell.y_mm + cell.width_mm)
        masses.setdefault(cell.place, []).append(1_200 * mean_area(slab, piece) / whole)
    for kind in layout.kinds:
        assert kind.grams_low == pytest.approx(min(masses[kind.place]), rel=1e-5)
        assert kind.grams_high == pytest.approx(max(masses[kind.place]), rel=1e-5)
        assert kind.grams == pytest.approx(math.fsum(masses[kind.place]) / kind.count, rel=1e-5)
    assert in_all(layout) == pytest.approx(1_200, rel=1e-7)


ROUND = RoundSlab(diameter_mm=240, lean_mm=15)


@pytest.mark.parametrize("knife", [0.0, 2.0])
def test_rings_under_a_sloping_wall(knife: float) -> None:
    cutting = Cutting(slab_g=900, knife_mm=knife, trim_mm=4)
    layout = cut_slab(ROUND, RingsWish(rings=(1, 6, 12), by="equal_pieces"), cutting)
    assert in_all(layout) == pytest.approx(900, rel=1e-6)
    middle, inner, outer = layout.kinds
    assert middle.grams == pytest.approx(inner.grams, rel=1e-6)  # both lie inside the base
    assert (outer.grams or 0) < (inner.grams or 0)  # the wall leans in under the outer ring
    if not knife:
        start = math.sqrt(7 / 19) * 116  # seven of nineteen equal areas of the trimmed face lie within
        ring = Point(0, 0).buffer(116, quad_segs=SEGMENTS) - Point(0, 0).buffer(start, quad_segs=SEGMENTS)
        expected = 900 * mean_area(ROUND, ring) / mean_area(ROUND, box(-120, -120, 120, 120)) / 12
        assert outer.grams == pytest.approx(expected, rel=1e-5)


def test_wedges_under_a_sloping_wall_share_the_slab() -> None:
    layout = cut_slab(ROUND, WedgesWish(wedges=10), Cutting(slab_g=900))
    assert layout.kinds[0].grams == pytest.approx(90)
    assert in_all(layout) == pytest.approx(900)


def test_a_grid_over_a_round_slab_with_a_sloping_wall() -> None:
    layout = cut_slab(ROUND, SizeWish(length_mm=45, width_mm=45), Cutting(slab_g=900, knife_mm=1, trim_mm=5))
    whole = mean_area(ROUND, box(-120, -120, 120, 120))
    inner = Point(0, 0).buffer(115, quad_segs=SEGMENTS)
    masses: dict[str, list[float]] = {}
    for cell in layout.shapes:
        assert isinstance(cell, Cell)
        piece = affinity.translate(box(0, 0, cell.length_mm, cell.width_mm), cell.x_mm, cell.y_mm)
        masses.setdefault(cell.place, []).append(900 * mean_area(ROUND, piece.intersection(inner)) / whole)
    for kind in layout.kinds:
        assert kind.grams == pytest.approx(math.fsum(masses[kind.place]) / kind.count, rel=1e-4)
    assert in_all(layout) == pytest.approx(900, rel=1e-6)


@LAW
@given(st.floats(0, 20), st.floats(0, 20), st.floats(0, 30))
def test_the_mean_area_times_the_height_is_the_volume(x: float, y: float, radius: float) -> None:
    tin = TaperedRectangleTin(
        top_length_mm=300,
        top_width_mm=200,
        base_length_mm=300 - 2 * x,
        base_width_mm=200 - 2 * y,
        depth_mm=50,
        corner_radius_mm=radius,
    )
    slab, _ = slab_of(tin, 50)
    walls = walls_of(tin)
    assert isinstance(slab, RectangleSlab)
    assert walls is not None
    assert slab.mean_area_mm2 * 50 == pytest.approx(volume_ml(walls, 50) * 1_000, rel=1e-9)


@LAW
@given(st.floats(0, 40))
def test_the_mean_area_of_a_round_slab_is_its_volume(lean: float) -> None:
    tin = TaperedRoundTin(top_diameter_mm=200, base_diameter_mm=200 - 2 * lean, depth_mm=60)
    slab, _ = slab_of(tin, 60)
    walls = walls_of(tin)
    assert isinstance(slab, RoundSlab)
    assert walls is not None
    assert slab.mean_area_mm2 * 60 == pytest.approx(volume_ml(walls, 60) * 1_000, rel=1e-9)


def upright_equals_sloping(make: Callable[[float], RectangleSlab | RoundSlab]) -> None:
    upright, nearly = (cut_slab(make(lean), GridWish(rows=3, columns=4), Cutting(slab_g=600)) for lean in (0.0, 1e-9))
    for kind, other in zip(upright.kinds, nearly.kinds, strict=True):
        assert kind.grams == pytest.approx(other.grams, rel=1e-6)


def test_a_wall_that_hardly_leans_weighs_like_an_upright_one() -> None:
    upright_equals_sloping(lambda lean: RectangleSlab(length_mm=300, width_mm=200, lean_length_mm=lean))
    upright_equals_sloping(lambda lean: RoundSlab(diameter_mm=300, lean_mm=lean))
