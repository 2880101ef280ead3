"""Pieces placed by the portion: the same number in each, inside it, and none under the knife; checked with shapely."""

import math
from dataclasses import replace

import pytest
import shapely
from hypothesis import assume, given
from hypothesis import strategies as st
from shapely.geometry import LineString, Point, Polygon, box
from shapely.geometry.base import BaseGeometry

from domain.cutting.cuts import cut_slab
from domain.cutting.layouts import Cell, CutLayout, Cutting, Facet, Sector
from domain.cutting.slabs import PolygonSlab, RectangleSlab, Slab
from domain.cutting.wishes import GridWish, Wish
from domain.errors import DomainError, MismatchError, OutOfRangeError
from domain.pieces.on_grid import per_portion_of, pieces_under_knife, set_on_cuts
from domain.pieces.patterns import PiecePattern, set_pieces
from tests.domain.cut_strategies import cut, cuttings, slabs_with_wishes
from tests.strategies import LAW

ROUNDNESS = 256  # segments of an arc


def outline(shape: Cell | Sector) -> Polygon:
    """A portion as shapely sees it, on the slab."""
    if isinstance(shape, Cell):
        return box(shape.x_mm, shape.y_mm, shape.x_mm + shape.length_mm, shape.y_mm + shape.width_mm)
    if shape.end_degrees - shape.start_degrees >= 360:
        return Point(0, 0).buffer(shape.outer_mm, quad_segs=ROUNDNESS) - Point(0, 0).buffer(shape.inner_mm)
    turn = [
        math.radians(shape.start_degrees + (shape.end_degrees - shape.start_degrees) * i / ROUNDNESS)
        for i in range(ROUNDNESS + 1)
    ]
    outer = [(shape.outer_mm * math.sin(t), -shape.outer_mm * math.cos(t)) for t in turn]
    inner = [(shape.inner_mm * math.sin(t), -shape.inner_mm * math.cos(t)) for t in reversed(turn)]
    return Polygon(outer + (inner if shape.inner_mm else [(0.0, 0.0)]))


def bounds(slab: Slab) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of a slab."""
    match slab:
        case RectangleSlab(length_mm=length, width_mm=width):
            return 0.0, 0.0, length, width
        case PolygonSlab():
            return slab.bounds_mm
        case _:
            radius = slab.diameter_mm / 2
            return -radius, -radius, radius, radius


def on_slab(layout: CutLayout, pattern: PiecePattern) -> list[Point]:
    left, top, _, _ = bounds(layout.slab)
    return [Point(x + left, y + top) for x, y in pattern.positions]


@LAW
@given(slabs_with_wishes, st.integers(1, 5), cuttings())
def test_each_whole_portion_gets_the_same_number(slab_and_wish: tuple[Slab, Wish], each: int, cutting: Cutting) -> None:
    layout = cut(*slab_and_wish, cutting)
    try:
        pattern = set_on_cuts(layout, each)
    except OutOfRangeError:
        assert each * layout.pieces > 300
        return
    places = on_slab(layout, pattern)
    assert len(places) == each * layout.pieces
    portions = [outline(shape) for shape in layout.shapes if shape.place != "part" and not isinstance(shape, Facet)]
    for i, portion in enumerate(portions):
        own = places[i * each : (i + 1) * each]
        assert all(portion.contains(place) for place in own)
        assert all(portion.boundary.distance(place) > cutting.knife_mm / 2 * 0.99 for place in own) or each > 1
    assert pieces_under_knife(pattern, layout, None) == 0 or each > 1


def test_one_piece_for_each_of_24_portions_of_a_tray() -> None:
    slab = RectangleSlab(length_mm=300, width_mm=200)
    layout = cut_slab(slab, GridWish(rows=4, columns=6), Cutting(knife_mm=1))
    pattern = set_on_cuts(layout, 1, ball_mm=26)
    by_hand = {(round(25 + 50 * i), round(25 + 50 * j)) for i in range(6) for j in range(4)}
    assert {(round(x), round(y)) for x, y in pattern.positions} == by_hand
    assert [notice.code for notice in pattern.notices] == ["pieces_cook_last"]
    even = set_pieces(slab, 36)  # today's even pattern is not on the grid of 24
    under = pieces_under_knife(even, layout, 26)
    assert under == sum(
        min(*(abs(x - 50 * i) for i in range(1, 6)), *(abs(y - 50 * j) for j in range(1, 4))) < 13.5
        for x, y in even.positions
    )
    assert under > 0


def cuts_of(layout: CutLayout) -> BaseGeometry:
    """Every cut as a line of shapely, on the slab, without the trim."""
    marks, (left, top, right, bottom) = layout.marks, bounds(layout.slab)
    lines: list[BaseGeometry] = [
        LineString([(left + m.mm, top), (left + m.mm, bottom)]) for m in marks.length if m.kind != "trim"
    ]
    lines += [LineString([(left, top + m.mm), (right, top + m.mm)]) for m in marks.width if m.kind != "trim"]
    lines += [Point(0, 0).buffer(m.mm, quad_segs=ROUNDNESS).exterior for m in marks.radius]
    rings = sorted({(each.inner_mm, each.outer_mm) for each in layout.shapes if isinstance(each, Sector)})
    for mark in marks.rim:
        x, y = math.sin(math.radians(mark.degrees)), -math.cos(math.radians(mark.degrees))
        lines.append(LineString([(r * x, r * y) for r in rings[mark.ring]]))
    return shapely.union_all(lines)


@LAW
@given(slabs_with_wishes, st.integers(1, 60), st.floats(5, 40), st.sampled_from([0.0, 1.0, 3.0]))
def test_pieces_under_the_knife_are_those_that_shapely_finds(
    slab_and_wish: tuple[Slab, Wish], count: int, ball: float, knife: float
) -> None:
    layout = cut(*slab_and_wish, Cutting(knife_mm=knife))
    pattern, cuts, reach = set_pieces(layout.slab, count), cuts_of(layout), (ball + knife) / 2
    gaps = [math.inf if cuts.is_empty else cuts.distance(place) for place in on_slab(layout, pattern)]
    assume(all(abs(gap - reach) > 0.02 for gap in gaps))  # shapely's circles have corners
    assert pieces_under_knife(pattern, layout, ball) == sum(gap < reach for gap in gaps)


def test_pieces_in_the_trim_are_under_the_knife() -> None:
    layout = cut_slab(RectangleSlab(length_mm=300, width_mm=200), GridWish(rows=1, columns=1), Cutting(trim_mm=20))
    pattern = set_on_cuts(layout, 1)
    assert pieces_under_knife(replace(pattern, positions=((10.0, 100.0), (150.0, 100.0))), layout, None) == 1


def test_pieces_that_do_not_go_into_the_portions_name_the_counts_that_do() -> None:
    layout = cut_slab(RectangleSlab(length_mm=300, width_mm=200), GridWish(rows=4, columns=6), Cutting())
    assert per_portion_of(layout, 48) == 2
    with pytest.raises(MismatchError) as refusal:
        per_portion_of(layout, 36)
    assert refusal.value.candidates == ("24", "48")
    with pytest.raises(DomainError):
        set_on_cuts(layout, 20)
