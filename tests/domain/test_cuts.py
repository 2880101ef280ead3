"""Laws of cutting: areas add up, counts multiply, marks are in order and inside, layouts are symmetrical."""

import math
from itertools import pairwise

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from domain.cutting.cuts import cut_slab
from domain.cutting.layouts import Cell, Cutting, Part
from domain.cutting.slabs import PolygonSlab, RectangleSlab, RingSlab, RoundSlab, Slab
from domain.cutting.wishes import MIN_PIECE_MM, CountWish, GridWish, MassWish, RingsWish, SizeWish, WedgesWish, Wish
from tests.domain.cut_strategies import (
    EXACT,
    cut,
    cuttings,
    grid_wishes,
    rectangles,
    rings,
    round_wishes,
    rounds,
    slabs_with_wishes,
)
from tests.strategies import LAW


@LAW
@given(slab_and_wish=slabs_with_wishes, cutting=cuttings())
def test_pieces_knife_trim_and_offcut_add_up_to_the_slab(slab_and_wish: tuple[Slab, Wish], cutting: Cutting) -> None:
    areas = cut(*slab_and_wish, cutting).areas
    total = areas.pieces_mm2 + areas.knife_mm2 + areas.trim_mm2 + areas.offcut_mm2
    assert total == pytest.approx(areas.slab_mm2, rel=EXACT)
    assert min(areas.pieces_mm2, areas.trim_mm2, areas.offcut_mm2) >= 0
    assert areas.knife_mm2 >= -EXACT * areas.slab_mm2


@LAW
@given(slab_and_wish=slabs_with_wishes, cutting=cuttings())
def test_kinds_shapes_and_masses_agree_with_the_count(slab_and_wish: tuple[Slab, Wish], cutting: Cutting) -> None:
    layout = cut(*slab_and_wish, cutting)
    whole = [kind for kind in layout.kinds if kind.place != "part"]
    assert sum(kind.count for kind in whole) == layout.pieces == layout.piece.count
    assert len(layout.shapes) == layout.pieces + layout.count_of("part")
    for place in ("corner", "edge", "centre", "part"):
        assert sum(shape.place == place for shape in layout.shapes) == layout.count_of(place)
    assert math.fsum(kind.count * kind.area_mm2 for kind in whole) == pytest.approx(layout.areas.pieces_mm2, rel=EXACT)
    parts: tuple[Part, ...] = ("pieces", "knife", "trim", "offcut")
    assert math.fsum(layout.grams_of(part) or 0 for part in parts) == pytest.approx(cutting.slab_g, rel=EXACT)


@LAW
@given(slab=rectangles, wish=grid_wishes, cutting=cuttings())
def test_rows_times_columns_is_the_count(slab: RectangleSlab, wish: Wish, cutting: Cutting) -> None:
    layout = cut(slab, wish, cutting)
    assert layout.rows is not None
    assert layout.columns is not None
    assert layout.rows * layout.columns == layout.pieces
    assert all(
        other.rows and other.columns and other.rows * other.columns == other.pieces for other in layout.alternatives
    )
    assert len(layout.alternatives) <= 5


@LAW
@given(slab_and_wish=slabs_with_wishes, cutting=cuttings())
def test_marks_increase_and_lie_inside(slab_and_wish: tuple[Slab, Wish], cutting: Cutting) -> None:
    slab, _ = slab_and_wish
    layout = cut(*slab_and_wish, cutting)
    if isinstance(slab, RectangleSlab):
        far = slab.length_mm, slab.width_mm
    elif isinstance(slab, PolygonSlab):
        left, top, right, bottom = slab.bounds_mm
        far = right - left, bottom - top
    else:
        far = slab.diameter_mm, slab.diameter_mm
    for marks, end in ((layout.marks.length, far[0]), (layout.marks.width, far[1]), (layout.marks.radius, far[0] / 2)):
        places = [mark.mm for mark in marks]
        assert all(place < following for place, following in pairwise(places))
        assert all(0 < place < end for place in places)
    for rim in layout.marks.rim:
        assert 0 <= rim.x_mm <= far[0] * (1 + EXACT)
        assert 0 <= rim.y_mm <= far[1] * (1 + EXACT)


@LAW
@given(slab=rectangles, rows=st.integers(1, 12), columns=st.integers(1, 12), cutting=cuttings())
def test_even_grids_are_symmetrical(slab: RectangleSlab, rows: int, columns: int, cutting: Cutting) -> None:
    layout = cut(slab, GridWish(rows=rows, columns=columns), cutting)
    for marks, side in ((layout.marks.length, slab.length_mm), (layout.marks.width, slab.width_mm)):
        for near, far in zip(marks, marks[::-1], strict=True):
            assert near.mm + far.mm == pytest.approx(side, rel=EXACT)
    corners = {(1, 1): 1}.get((rows, columns), 2 if 1 in (rows, columns) else 4)
    assert layout.count_of("corner") == corners
    assert layout.count_of("centre") == max(0, rows - 2) * max(0, columns - 2)


@LAW
@given(slab=rectangles, wish=grid_wishes, cutting=cuttings())
def test_rotating_the_slab_rotates_the_layout(slab: RectangleSlab, wish: Wish, cutting: Cutting) -> None:
    assume(isinstance(wish, GridWish | SizeWish))
    turned_slab = RectangleSlab(
        length_mm=slab.width_mm, width_mm=slab.length_mm, corner_radius_mm=slab.corner_radius_mm
    )
    if isinstance(wish, GridWish):
        turned: Wish = GridWish(rows=wish.columns, columns=wish.rows)
    else:
        assert isinstance(wish, SizeWish)
        turned = SizeWish(length_mm=wish.width_mm, width_mm=wish.length_mm)
    plain, rotated = cut(slab, wish, cutting), cut(turned_slab, turned, cutting)
    assert plain.pieces == rotated.pieces
    assert plain.areas.pieces_mm2 == pytest.approx(rotated.areas.pieces_mm2, rel=EXACT)


@LAW
@given(slab=rectangles | rounds | rings, wish=round_wishes, cutting=cuttings())
def test_without_a_knife_nothing_is_lost(slab: Slab, wish: Wish, cutting: Cutting) -> None:
    assume(not isinstance(wish, WedgesWish) or not isinstance(slab, RectangleSlab))
    bare = Cutting(slab_g=cutting.slab_g)
    areas = cut(slab, wish, bare).areas
    assert areas.knife_mm2 == areas.trim_mm2 == areas.offcut_mm2 == 0
    assert areas.pieces_mm2 == pytest.approx(areas.slab_mm2, rel=EXACT)


@LAW
@given(
    slab=rectangles,
    wish=st.builds(SizeWish, length_mm=st.floats(12, 120), width_mm=st.floats(12, 120)),
    cutting=cuttings(),
)
def test_no_more_pieces_of_that_size_fit(slab: RectangleSlab, wish: SizeWish, cutting: Cutting) -> None:
    layout = cut(slab, wish, cutting)
    cells = [shape for shape in layout.shapes if isinstance(shape, Cell)]
    pitch_x, pitch_y = cells[0].length_mm + cutting.knife_mm, cells[0].width_mm + cutting.knife_mm
    right, bottom = max(c.x_mm + c.length_mm for c in cells), max(c.y_mm + c.width_mm for c in cells)
    assert right <= (slab.length_mm - cutting.trim_mm) * (1 + EXACT)
    assert bottom <= (slab.width_mm - cutting.trim_mm) * (1 + EXACT)
    assert right + pitch_x > (slab.length_mm - cutting.trim_mm) * (1 - EXACT)
    assert bottom + pitch_y > (slab.width_mm - cutting.trim_mm) * (1 - EXACT)


@LAW
@given(slab=rectangles, wish=st.builds(MassWish, portion_g=st.floats(15, 400)), cutting=cuttings())
def test_the_error_is_the_difference_from_the_requested_mass(
    slab: RectangleSlab, wish: MassWish, cutting: Cutting
) -> None:
    sharp = RectangleSlab(length_mm=slab.length_mm, width_mm=slab.width_mm)
    layout = cut(sharp, wish, cutting)
    assert layout.error_percent is not None
    assert layout.piece.grams == pytest.approx(wish.portion_g * (1 + layout.error_percent / 100))


@LAW
@given(slab=rounds, pieces=st.lists(st.integers(1, 16), min_size=1, max_size=4), cutting=cuttings())
def test_equal_pieces_are_equal_whatever_their_ring(slab: RoundSlab, pieces: list[int], cutting: Cutting) -> None:
    layout = cut(slab, RingsWish(rings=tuple(pieces), by="equal_pieces"), cutting)
    for kind in layout.kinds:
        assert kind.area_mm2 == pytest.approx(layout.piece.area_mm2, rel=1e-6)


@LAW
@given(slab=rounds, pieces=st.lists(st.integers(1, 16), min_size=1, max_size=4))
def test_equal_rings_are_equal(slab: RoundSlab, pieces: list[int]) -> None:
    layout = cut(slab, RingsWish(rings=tuple(pieces), by="equal_rings"), Cutting())
    for kind in layout.kinds:
        assert kind.count * kind.area_mm2 == pytest.approx(slab.area_mm2 / len(pieces), rel=EXACT)


@LAW
@given(slab=rectangles, pieces=st.integers(1, 60), longest=st.floats(20, 200), cutting=cuttings())
def test_no_piece_is_longer_than_the_longest_side(
    slab: RectangleSlab, pieces: int, longest: float, cutting: Cutting
) -> None:
    limited = Cutting(
        trim_mm=cutting.trim_mm, knife_mm=cutting.knife_mm, slab_g=cutting.slab_g, longest_side_mm=longest
    )
    layout = cut(slab, CountWish(portions=pieces), limited)
    assert max(layout.piece.length_mm, layout.piece.width_mm) <= longest * (1 + EXACT)
    assert all(max(other.length_mm, other.width_mm) <= longest * (1 + EXACT) for other in layout.alternatives)


@LAW
@given(slab=rectangles | rounds | rings, wish=grid_wishes | round_wishes, cutting=cuttings())
@example(slab=RectangleSlab(length_mm=80, width_mm=80), wish=SizeWish(length_mm=80, width_mm=70), cutting=Cutting())
@example(slab=RectangleSlab(length_mm=80, width_mm=80), wish=CountWish(portions=2), cutting=Cutting(slab_g=200))
def test_requesting_an_alternative_gives_the_layout_that_was_offered(slab: Slab, wish: Wish, cutting: Cutting) -> None:
    assume(isinstance(slab, RectangleSlab) or not isinstance(wish, GridWish | SizeWish))
    for offer in cut(slab, wish, cutting).alternatives:
        if offer.rings:
            again: Wish = RingsWish(rings=offer.rings)
        elif offer.reason == "round_grid":
            again = SizeWish(length_mm=offer.length_mm, width_mm=offer.width_mm)
        elif offer.rows is None or offer.columns is None:
            again = WedgesWish(wedges=offer.pieces)
        elif offer.reason in {"turned", "less_offcut"} and isinstance(wish, SizeWish):
            continue  # a size can be cut in two orientations; requesting it gives the better one
        else:
            again = GridWish(rows=offer.rows, columns=offer.columns)
        layout = cut_slab(slab, again, cutting)
        assert layout.pieces == offer.pieces > 1
        outer = [kind for kind in layout.kinds if kind.place != "part"][-1]
        assert (outer.length_mm, outer.width_mm) == (offer.length_mm, offer.width_mm)
        assert min(offer.length_mm, offer.width_mm) >= MIN_PIECE_MM
        if isinstance(slab, RoundSlab | RingSlab) or not slab.corner_radius_mm:
            assert layout.piece.grams == pytest.approx(offer.grams)
