"""Single cases of cutting: marks on a ruler, offcuts, offers, and what is refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.cutting.cuts import baked_grams, cut_slab
from domain.cutting.layouts import CountWish, Cutting, GridWish, MassWish, RingsWish, SizeWish, WedgesWish, Wish
from domain.cutting.marks import Mark, inches_text
from domain.cutting.slabs import PolygonSlab, RectangleSlab, RingSlab, RoundSlab, Slab
from domain.errors import DomainError, MismatchError, NeededError, OutOfRangeError
from tests.domain.cut_strategies import EXACT


@given(mm=st.floats(0, 2_000))
def test_marks_are_the_nearest_sixteenth(mm: float) -> None:
    mark = Mark(mm=mm)
    assert abs(mark.nearest_sixteenths * 25.4 / 16 - mm) <= 25.4 / 32 * (1 + EXACT)
    assert abs(mark.nearest_mm - mm) <= 0.5


@pytest.mark.parametrize(
    ("sixteenths", "text"), [(0, "0"), (1, "1/16"), (8, "1/2"), (16, "1"), (42, "2 5/8"), (34, "2 1/8"), (60, "3 3/4")]
)
def test_inches_are_read_as_on_a_ruler(sixteenths: int, text: str) -> None:
    assert inches_text(sixteenths) == text


def test_rounding_never_adds_up() -> None:
    """70 mm in seven with no knife: every mark is the multiple itself, not a sum of rounded tenths."""
    layout = cut_slab(RectangleSlab(length_mm=100, width_mm=70), GridWish(rows=7, columns=3), Cutting())
    assert [mark.mm for mark in layout.marks.width] == [10, 20, 30, 40, 50, 60]
    assert [mark.mm for mark in layout.marks.length] == pytest.approx([100 / 3, 200 / 3], rel=1e-15)


def test_an_offcut_takes_the_crust_with_it() -> None:
    layout = cut_slab(RectangleSlab(length_mm=230, width_mm=200), SizeWish(length_mm=50, width_mm=50), Cutting())
    assert (layout.rows, layout.columns, layout.pieces) == (4, 4, 16)
    assert (layout.count_of("corner"), layout.count_of("edge"), layout.count_of("centre")) == (2, 8, 6)
    assert layout.areas.offcut_mm2 == 30 * 200
    assert [mark.kind for mark in layout.marks.length] == ["cut", "cut", "cut", "offcut"]
    assert layout.cuts_to_make == 7


def test_a_prime_count_is_offered_better_neighbours() -> None:
    layout = cut_slab(RectangleSlab(length_mm=300, width_mm=200), CountWish(pieces=23), Cutting())
    assert [notice.code for notice in layout.notices] == ["poor_shape"]
    best = layout.alternatives[0]
    assert (best.pieces, best.rows, best.columns, best.reason) == (24, 4, 6, "near_count")


def test_a_limit_that_no_grid_keeps_names_the_next_count() -> None:
    slab = RectangleSlab(length_mm=300, width_mm=200)
    with pytest.raises(MismatchError) as refusal:
        cut_slab(slab, CountWish(pieces=5), Cutting(longest_side_mm=60))
    assert refusal.value.code == "limit-broken"
    [more] = refusal.value.candidates
    fine = cut_slab(
        RectangleSlab(length_mm=300, width_mm=200), CountWish(pieces=int(more)), Cutting(longest_side_mm=60)
    )
    assert fine.pieces == int(more)


REFUSED = [
    (RectangleSlab(length_mm=200, width_mm=200), WedgesWish(wedges=8), Cutting(), MismatchError),
    (RingSlab(diameter_mm=250, hole_mm=80), SizeWish(length_mm=30, width_mm=30), Cutting(), MismatchError),
    (PolygonSlab(sides=6, across_flats_mm=200), WedgesWish(wedges=6), Cutting(), MismatchError),
    (RectangleSlab(length_mm=200, width_mm=200), MassWish(piece_g=50), Cutting(), NeededError),
    (RoundSlab(diameter_mm=200), MassWish(piece_g=50), Cutting(), NeededError),
    (RectangleSlab(length_mm=200, width_mm=200), CountWish(pieces=4), Cutting(largest_g=50), NeededError),
    (RectangleSlab(length_mm=200, width_mm=200), CountWish(pieces=4), Cutting(trim_mm=99), OutOfRangeError),
    (RectangleSlab(length_mm=200, width_mm=200), GridWish(rows=1, columns=60), Cutting(), OutOfRangeError),
    (RectangleSlab(length_mm=200, width_mm=200), SizeWish(length_mm=250, width_mm=30), Cutting(), OutOfRangeError),
    (RoundSlab(diameter_mm=100), SizeWish(length_mm=90, width_mm=90), Cutting(), OutOfRangeError),
    (RoundSlab(diameter_mm=200), RingsWish(pieces=(1, 6), by="width", width_mm=100), Cutting(), OutOfRangeError),
    (RoundSlab(diameter_mm=100), WedgesWish(wedges=200), Cutting(), OutOfRangeError),
    (RingSlab(diameter_mm=100, hole_mm=80), WedgesWish(wedges=4), Cutting(trim_mm=4), OutOfRangeError),
    (RoundSlab(diameter_mm=300), WedgesWish(wedges=4), Cutting(longest_side_mm=100), MismatchError),
]


@pytest.mark.parametrize(("slab", "wish", "cutting", "error"), REFUSED, ids=range(len(REFUSED)))
def test_what_cannot_be_cut_is_refused(slab: Slab, wish: Wish, cutting: Cutting, error: type[DomainError]) -> None:
    with pytest.raises(error):
        cut_slab(slab, wish, cutting)


def test_a_mix_loses_its_bake_loss() -> None:
    assert baked_grams(1_200, 12.5) == 1_050
    with pytest.raises(NeededError):
        baked_grams(1_200, None)
