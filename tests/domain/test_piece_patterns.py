"""Laws of pieces set into a batter: the right count, inside the tin, even, and as far apart as stated."""

import math
from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.cutting.slabs import PolygonSlab, RectangleSlab, RingSlab, RoundSlab, Slab
from domain.errors import OutOfRangeError
from domain.pieces.patterns import PiecePattern, set_pieces
from tests.strategies import LAW

sides = st.floats(100, 600)
counts = st.integers(1, 60)
slabs: st.SearchStrategy[Slab] = st.one_of(
    st.builds(RectangleSlab, length_mm=sides, width_mm=sides),
    st.builds(RoundSlab, diameter_mm=sides),
    st.builds(RingSlab, diameter_mm=st.floats(180, 400), hole_mm=st.floats(20, 100)),
    st.builds(PolygonSlab, sides=st.integers(3, 12), across_flats_mm=sides),
)


def least_gap(pattern: PiecePattern) -> float:
    return min(math.dist(first, second) for first, second in combinations(pattern.positions, 2))


@LAW
@given(slab=slabs, count=counts)
def test_the_count_and_the_least_distance_are_as_stated(slab: Slab, count: int) -> None:
    pattern = set_pieces(slab, count)
    assert len(pattern.positions) == count
    assert sum(row.count for row in pattern.rows) + sum(ring.count for ring in pattern.rings) == count
    if count == 1:
        assert pattern.nearest_mm is None
    else:
        assert pattern.nearest_mm == pytest.approx(least_gap(pattern), rel=1e-6)


@LAW
@given(slab=slabs, count=counts)
def test_the_distance_to_the_wall_is_as_stated(slab: Slab, count: int) -> None:
    pattern = set_pieces(slab, count)
    match slab:
        case RectangleSlab(length_mm=length, width_mm=width):
            walls = [min(x, y, length - x, width - y) for x, y in pattern.positions]
        case RingSlab(diameter_mm=diameter, hole_mm=hole):
            reach = [math.dist(place, (diameter / 2, diameter / 2)) for place in pattern.positions]
            walls = [min(diameter / 2 - r, r - hole / 2) for r in reach]
        case RoundSlab(diameter_mm=diameter):
            walls = [diameter / 2 - math.dist(place, (diameter / 2, diameter / 2)) for place in pattern.positions]
        case _:
            left, top, _, _ = slab.bounds_mm
            middle = -left, -top
            walls = [slab.across_flats_mm / 2 - math.dist(place, middle) for place in pattern.positions]
    assert min(walls) == pytest.approx(pattern.wall_mm, rel=1e-6)
    assert pattern.wall_mm > 0


@LAW
@given(length=sides, width=sides, count=counts)
def test_rows_are_mirrored_left_to_right(length: float, width: float, count: int) -> None:
    pattern = set_pieces(RectangleSlab(length_mm=length, width_mm=width), count)
    run = length if pattern.along == "length" else width
    for row in pattern.rows:
        assert row.first_mm * 2 + (row.count - 1) * row.pitch_mm == pytest.approx(run, rel=1e-9)
    places = {(round(x, 4), round(y, 4)) for x, y in pattern.positions}
    mirrored = [(length - x, y) if pattern.along == "length" else (x, width - y) for x, y in pattern.positions]
    for x, y in mirrored:
        assert any(math.dist((x, y), place) < 1e-3 for place in places)


@LAW
@given(length=sides, width=sides, count=counts)
def test_no_plain_grid_is_more_even(length: float, width: float, count: int) -> None:
    """If a count divides into a plain grid, the pattern's gap is at least that grid's."""
    pattern = set_pieces(RectangleSlab(length_mm=length, width_mm=width), count)
    gap = min(pattern.nearest_mm or math.inf, 2 * pattern.wall_mm)
    grids = [(count // rows, rows) for rows in range(1, count + 1) if count % rows == 0]
    best = max(min(length / columns, width / rows) for columns, rows in grids)
    assert gap >= best * 0.979  # an uneven pattern is only chosen if it is 2 % better


@LAW
@given(diameter=sides, count=counts)
def test_a_larger_tin_has_a_larger_pattern(diameter: float, count: int) -> None:
    small, large = (set_pieces(RoundSlab(diameter_mm=size), count) for size in (diameter, 2 * diameter))
    for (x, y), (x2, y2) in zip(small.positions, large.positions, strict=True):
        assert (2 * x, 2 * y) == pytest.approx((x2, y2), abs=1e-6)


def test_touching_pieces_cause_a_warning() -> None:
    slab = RectangleSlab(length_mm=200, width_mm=200)
    assert [n.code for n in set_pieces(slab, 16, ball_mm=30).notices] == ["pieces_cook_last"]
    assert [n.code for n in set_pieces(slab, 16, ball_mm=51).notices] == ["pieces_cook_last", "pieces_touch"]


@pytest.mark.parametrize("count", [0, 301])
def test_too_many_pieces_are_rejected(count: int) -> None:
    with pytest.raises(OutOfRangeError):
        set_pieces(RoundSlab(diameter_mm=200), count)
