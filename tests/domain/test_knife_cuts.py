"""The cuts that a person makes are as many as the layout counts, and the rounded shares add up to the slab."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.cutting.cuts import cut_slab
from domain.cutting.knife_cuts import radial_cuts, slanting_cuts, trim_cuts
from domain.cutting.layouts import CutLayout, Cutting
from domain.cutting.shares import slab_rows
from domain.cutting.slabs import RectangleSlab, RingSlab, RoundSlab, Slab
from domain.cutting.wishes import CountWish, RingsWish, WedgesWish, Wish
from domain.measures.whole_shares import whole_shares
from tests.domain.cut_strategies import cut, cuttings, rectangles, slabs_with_wishes
from tests.strategies import LAW

figures = st.tuples(
    rectangles, st.builds(CountWish, portions=st.integers(1, 60).map(lambda half: 2 * half)), cuttings()
)


def listed(layout: CutLayout) -> int:
    """The number of cuts with a line of their own."""
    marks = layout.marks
    straight = len(marks.length) + len(marks.width) + len(marks.radius)
    return straight + len(radial_cuts(layout)) + len(slanting_cuts(layout)) + trim_cuts(layout)


@LAW
@given(divided=slabs_with_wishes, cutting=cuttings())
def test_there_are_as_many_cuts_as_are_counted(divided: tuple[Slab, Wish], cutting: Cutting) -> None:
    layout = cut(*divided, cutting)
    assert listed(layout) == layout.cuts_to_make


@LAW
@given(divided=figures, figure=st.sampled_from(["triangle", "diamond"]))
def test_slanting_cuts_are_as_many_as_are_counted(divided: tuple[Slab, Wish, Cutting], figure: str) -> None:
    slab, wish, cutting = divided
    layout = cut(slab, wish, Cutting(trim_mm=cutting.trim_mm, figure=figure, slab_g=900))  # type: ignore[arg-type]
    assert listed(layout) == layout.cuts_to_make


# Plane geometry: a straight cut through the middle of a cake makes two radial cuts, if nothing is in the middle.
THROUGH = [
    (RoundSlab(diameter_mm=230), WedgesWish(wedges=10), 5, True),
    (RoundSlab(diameter_mm=230), WedgesWish(wedges=9), 9, False),
    (RingSlab(diameter_mm=250, hole_mm=80), WedgesWish(wedges=14), 14, False),
    (RoundSlab(diameter_mm=230), RingsWish(rings=(4, 12)), 2 + 12, True),
    (RoundSlab(diameter_mm=230), RingsWish(rings=(1, 6)), 6, False),
]


@pytest.mark.parametrize(("slab", "wish", "count", "straight"), THROUGH, ids=str)
def test_opposite_marks_are_one_cut(slab: Slab, wish: Wish, count: int, straight: bool) -> None:
    cuts = radial_cuts(cut_slab(slab, wish, Cutting()))
    assert len(cuts) == count
    assert any(each.end is not None for each in cuts) is straight
    for each in cuts:
        if each.end is not None:
            assert each.end.degrees - each.start.degrees == pytest.approx(180)


@LAW
@given(divided=slabs_with_wishes, cutting=cuttings())
def test_the_rows_add_up_to_the_slab(divided: tuple[Slab, Wish], cutting: Cutting) -> None:
    layout = cut(*divided, cutting)
    *rows, slab = slab_rows(layout)
    assert cutting.slab_g is not None
    assert (slab.part, slab.percent) == ("slab", 100)
    assert slab.weigh_g == pytest.approx(cutting.slab_g, abs=0.05 + 1e-9)
    assert math.fsum(row.weigh_g or 0.0 for row in rows) == pytest.approx(slab.weigh_g, abs=1e-9)
    assert math.fsum(row.percent for row in rows) == pytest.approx(100)
    assert sum(row.count for row in rows if row.part == "pieces") == layout.pieces
    for part in ("pieces", "trim", "knife", "offcut"):
        of_part = [row for row in rows if row.part == part]
        exact = layout.grams_of(part)
        # Each row errs by less than a tenth, and the slab itself by half of one.
        limit = 0.1 * (len(of_part) or 1) + 0.05
        assert math.fsum(row.weigh_g or 0.0 for row in of_part) == pytest.approx(exact, abs=limit)


@LAW
@given(divided=slabs_with_wishes, cutting=cuttings())
def test_pieces_that_are_alike_share_a_row(divided: tuple[Slab, Wish], cutting: Cutting) -> None:
    layout = cut(*divided, cutting)
    rows = [row for row in slab_rows(layout) if row.kinds]
    assert sorted(kind.count for row in rows for kind in row.kinds) == sorted(kind.count for kind in layout.kinds)
    whole = [row.kinds[0] for row in rows if row.part == "pieces"]
    for i, kind in enumerate(whole):
        assert all(
            (kind.length_mm, kind.width_mm, kind.area_mm2) != (o.length_mm, o.width_mm, o.area_mm2) for o in whole[:i]
        )


def test_sixteen_equal_squares_are_one_row_and_without_a_mass_have_none() -> None:
    rows = slab_rows(cut_slab(RectangleSlab(length_mm=200, width_mm=200), CountWish(portions=16), Cutting()))
    assert [(row.part, row.count, row.percent, row.weigh_g) for row in rows] == [
        ("pieces", 16, 100, None),
        ("slab", 0, 100, None),
    ]


@LAW
@given(weights=st.lists(st.floats(0, 1e6), min_size=1, max_size=9).filter(any), total=st.integers(0, 10**7))
def test_whole_shares_add_up_and_are_near_their_exact_shares(weights: list[float], total: int) -> None:
    parts = [total * weight / math.fsum(weights) for weight in weights]
    divided = whole_shares(total, parts)
    assert sum(divided) == total
    assert all(abs(share - part) < 1 + 1e-6 for share, part in zip(divided, parts, strict=True))
