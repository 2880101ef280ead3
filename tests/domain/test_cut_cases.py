"""Single cases of cutting: marks on a ruler, offcuts, alternatives, limits and errors."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.cutting.budget import CutBudget
from domain.cutting.cuts import baked_grams, cut_slab
from domain.cutting.layouts import Cutting
from domain.cutting.marks import Mark, inches_text
from domain.cutting.slabs import PolygonSlab, RectangleSlab, RingSlab, RoundSlab, Slab
from domain.cutting.wishes import CountWish, GridWish, MassWish, RingsWish, SizeWish, WedgesWish, Wish
from domain.errors import DomainError, MismatchError, NeededError, OutOfRangeError
from tests.domain.cut_strategies import EXACT
from tests.strategies import LAW


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


def test_rounding_errors_do_not_add_up() -> None:
    """70 mm in seven with no knife: every mark is the multiple itself, not a sum of rounded tenths."""
    layout = cut_slab(RectangleSlab(length_mm=100, width_mm=70), GridWish(rows=7, columns=3), Cutting())
    assert [mark.mm for mark in layout.marks.width] == [10, 20, 30, 40, 50, 60]
    assert [mark.mm for mark in layout.marks.length] == pytest.approx([100 / 3, 200 / 3], rel=1e-15)


def test_a_side_next_to_an_offcut_is_not_an_edge() -> None:
    layout = cut_slab(RectangleSlab(length_mm=230, width_mm=200), SizeWish(length_mm=50, width_mm=50), Cutting())
    assert (layout.rows, layout.columns, layout.pieces) == (4, 4, 16)
    assert (layout.count_of("corner"), layout.count_of("edge"), layout.count_of("centre")) == (2, 8, 6)
    assert layout.areas.offcut_mm2 == 30 * 200
    assert [mark.kind for mark in layout.marks.length] == ["cut", "cut", "cut", "offcut"]
    assert layout.cuts_to_make == 7


def test_a_prime_count_gets_alternatives_of_a_better_shape() -> None:
    layout = cut_slab(RectangleSlab(length_mm=300, width_mm=200), CountWish(portions=23), Cutting())
    assert [notice.code for notice in layout.notices] == ["poor_shape"]
    best = layout.alternatives[0]
    assert (best.pieces, best.rows, best.columns, best.reason) == (24, 4, 6, "near_count")


def test_an_error_names_the_next_count_that_can_keep_the_limit() -> None:
    slab = RectangleSlab(length_mm=300, width_mm=200)
    with pytest.raises(MismatchError) as refusal:
        cut_slab(slab, CountWish(portions=5), Cutting(longest_side_mm=60))
    assert refusal.value.code == "limit_broken"
    [more] = refusal.value.candidates
    fine = cut_slab(
        RectangleSlab(length_mm=300, width_mm=200), CountWish(portions=int(more)), Cutting(longest_side_mm=60)
    )
    assert fine.pieces == int(more)


REFUSED = [
    (RectangleSlab(length_mm=200, width_mm=200), WedgesWish(wedges=8), Cutting(), MismatchError),
    (RingSlab(diameter_mm=250, hole_mm=80), SizeWish(length_mm=30, width_mm=30), Cutting(), MismatchError),
    (PolygonSlab(sides=6, across_flats_mm=200), WedgesWish(wedges=6), Cutting(), MismatchError),
    (RectangleSlab(length_mm=200, width_mm=200), MassWish(portion_g=50), Cutting(), NeededError),
    (RoundSlab(diameter_mm=200), MassWish(portion_g=50), Cutting(), NeededError),
    (RectangleSlab(length_mm=200, width_mm=200), CountWish(portions=4), Cutting(largest_g=50), NeededError),
    (RectangleSlab(length_mm=200, width_mm=200), CountWish(portions=4), Cutting(trim_mm=99), OutOfRangeError),
    (RectangleSlab(length_mm=200, width_mm=200), GridWish(rows=1, columns=60), Cutting(), OutOfRangeError),
    (RectangleSlab(length_mm=200, width_mm=200), SizeWish(length_mm=250, width_mm=30), Cutting(), OutOfRangeError),
    (RoundSlab(diameter_mm=100), SizeWish(length_mm=90, width_mm=90), Cutting(), OutOfRangeError),
    (RoundSlab(diameter_mm=200), RingsWish(rings=(1, 6), by="width", width_mm=100), Cutting(), OutOfRangeError),
    (RoundSlab(diameter_mm=100), WedgesWish(wedges=200), Cutting(), OutOfRangeError),
    (RingSlab(diameter_mm=100, hole_mm=80), WedgesWish(wedges=4), Cutting(trim_mm=4), OutOfRangeError),
    (RoundSlab(diameter_mm=300), WedgesWish(wedges=4), Cutting(longest_side_mm=100), MismatchError),
]


@pytest.mark.parametrize(("slab", "wish", "cutting", "error"), REFUSED, ids=range(len(REFUSED)))
def test_impossible_cuts_are_rejected(slab: Slab, wish: Wish, cutting: Cutting, error: type[DomainError]) -> None:
    with pytest.raises(error):
        cut_slab(slab, wish, cutting)


def test_the_bake_loss_is_subtracted_from_the_mix() -> None:
    assert baked_grams(1_200, 12.5) == 1_050
    with pytest.raises(NeededError):
        baked_grams(1_200, None)


@pytest.mark.parametrize("wedges", range(2, 60))
@pytest.mark.parametrize("hole_mm", [0, 80])
def test_a_wedge_that_weighs_exactly_its_limit_keeps_it(wedges: int, hole_mm: int) -> None:
    slab = RingSlab(diameter_mm=300, hole_mm=hole_mm) if hole_mm else RoundSlab(diameter_mm=300)
    limited = Cutting(slab_g=1_000, largest_g=1_000 / wedges)
    assert cut_slab(slab, WedgesWish(wedges=wedges), limited).pieces == wedges
    with pytest.raises(MismatchError):
        cut_slab(slab, WedgesWish(wedges=wedges), Cutting(slab_g=1_000, largest_g=1_000 / wedges * (1 - 1e-6)))


@pytest.mark.parametrize("wedges", range(2, 60))
def test_a_wedge_that_is_exactly_as_long_as_its_limit_keeps_it(wedges: int) -> None:
    slab = RoundSlab(diameter_mm=300)
    piece = cut_slab(slab, WedgesWish(wedges=wedges), Cutting()).piece
    longest = max(piece.length_mm, piece.width_mm)
    assert cut_slab(slab, WedgesWish(wedges=wedges), Cutting(longest_side_mm=longest)).pieces == wedges


@pytest.mark.parametrize("rings", [(1, 6), (1, 6, 12), (3, 7, 11), (2, 5, 9, 17)])
def test_rings_of_equal_pieces_that_weigh_exactly_their_limit_keep_it(rings: tuple[int, ...]) -> None:
    limited = Cutting(slab_g=1_000, largest_g=1_000 / sum(rings))
    wish = RingsWish(rings=rings, by="equal_pieces")
    assert cut_slab(RoundSlab(diameter_mm=300), wish, limited).pieces == sum(rings)


def test_one_wedge_is_never_offered() -> None:
    layout = cut_slab(RoundSlab(diameter_mm=200), MassWish(portion_g=600), Cutting(slab_g=1_000))
    assert layout.pieces == 2
    assert layout.alternatives == ()


LIMITED = Cutting(slab_g=900, longest_side_mm=20)
ROUND, RING = RoundSlab(diameter_mm=200), RingSlab(diameter_mm=250, hole_mm=80)
SQUARE, HEXAGON = RectangleSlab(length_mm=200, width_mm=200), PolygonSlab(sides=6, across_flats_mm=200)
NAMED: list[tuple[Slab, Wish, Cutting, tuple[str | int, ...]]] = [
    (ROUND, WedgesWish(wedges=900), Cutting(), ("wedges",)),
    (ROUND, CountWish(portions=900), Cutting(), ("portions",)),
    (RING, CountWish(portions=900), Cutting(), ("portions",)),
    (ROUND, MassWish(portion_g=1.2), Cutting(slab_g=1_000), ("portion_grams",)),
    (ROUND, MassWish(portion_g=0.6), Cutting(slab_g=1_000), ("portion_grams",)),
    (ROUND, RingsWish(rings=(900,)), Cutting(), ("rings", 0)),
    (ROUND, RingsWish(rings=(1, 900)), Cutting(), ("rings", 1)),
    (ROUND, RingsWish(rings=(1,) * 20, by="width", width_mm=20), Cutting(), ("rings",)),
    (ROUND, GridWish(rows=90, columns=2), Cutting(), ("rows",)),
    (ROUND, GridWish(rows=1, columns=1), Cutting(), ("rows",)),
    (ROUND, SizeWish(length_mm=190, width_mm=190), Cutting(), ("portion_size",)),
    (HEXAGON, SizeWish(length_mm=5, width_mm=5), Cutting(), ("portion_size",)),
    (SQUARE, GridWish(rows=90, columns=2), Cutting(), ("rows",)),
    (SQUARE, CountWish(portions=997), Cutting(), ("portions",)),
    (SQUARE, SizeWish(length_mm=250, width_mm=30), Cutting(), ("portion_size",)),
    (SQUARE, MassWish(portion_g=0.5), Cutting(slab_g=1_000), ("portion_grams",)),
    (SQUARE, WedgesWish(wedges=8), Cutting(), ("wedges",)),
    (HEXAGON, CountWish(portions=8), Cutting(), ("portions",)),
    (ROUND, WedgesWish(wedges=8), LIMITED, ("longest_side",)),
    (ROUND, WedgesWish(wedges=8), Cutting(slab_g=900, largest_g=9), ("largest_mass",)),
    (ROUND, SizeWish(length_mm=50, width_mm=40), LIMITED, ("longest_side",)),
    (HEXAGON, GridWish(rows=4, columns=4), Cutting(slab_g=900, largest_g=9), ("largest_mass",)),
    (SQUARE, CountWish(portions=8), LIMITED, ("longest_side",)),
    (SQUARE, CountWish(portions=1), Cutting(longest_side_mm=5), ("longest_side",)),
    (SQUARE, GridWish(rows=4, columns=4), Cutting(slab_g=900, largest_g=9), ("largest_mass",)),
    (SQUARE, SizeWish(length_mm=50, width_mm=40), LIMITED, ("longest_side",)),
    (SQUARE, CountWish(portions=8), Cutting(trim_mm=99), ("trim",)),
    (ROUND, WedgesWish(wedges=8), Cutting(largest_g=9), ("slab_grams",)),
    (HEXAGON, SizeWish(length_mm=50, width_mm=40), Cutting(largest_g=9), ("slab_grams",)),
    (RectangleSlab(length_mm=200, width_mm=4), CountWish(portions=8), Cutting(), ()),
]


@pytest.mark.parametrize(("slab", "wish", "cutting", "path"), NAMED, ids=range(len(NAMED)))
def test_errors_name_the_argument_they_are_about(
    slab: Slab, wish: Wish, cutting: Cutting, path: tuple[str | int, ...]
) -> None:
    with pytest.raises(DomainError) as refusal:
        cut_slab(slab, wish, cutting)
    assert refusal.value.path == path, refusal.value.detail


@LAW
@given(
    length=st.floats(40, 400),
    width=st.floats(40, 400),
    pieces=st.integers(1, 40),
    longest=st.floats(20, 120),
    heaviest=st.floats(10, 100),
)
def test_the_next_count_is_the_least_that_keeps_the_limit(
    length: float, width: float, pieces: int, longest: float, heaviest: float
) -> None:
    """The search skips most grids; here every grid of every count is tried."""
    slab, limited = (
        RectangleSlab(length_mm=length, width_mm=width),
        Cutting(knife_mm=1, slab_g=1_000, longest_side_mm=longest, largest_g=heaviest),
    )
    try:
        cut_slab(slab, CountWish(portions=pieces), limited)
    except MismatchError as error:
        if error.path == ("portions",):
            return  # the count itself has no grid, whatever the limit
        candidates = error.candidates
    else:
        return
    for count in range(pieces + 1, int(candidates[0]) + 1 if candidates else 200):
        grids = [GridWish(rows=rows, columns=count // rows) for rows in range(1, count + 1) if count % rows == 0]
        assert any(_can_be_cut(slab, grid, limited) for grid in grids) == (str(count) in candidates)


def _can_be_cut(slab: Slab, wish: Wish, cutting: Cutting) -> bool:
    try:
        cut_slab(slab, wish, cutting)
    except DomainError:
        return False
    return True


def test_rejected_searches_are_charged_to_the_budget_too() -> None:
    budget = CutBudget()
    before = budget.left
    with pytest.raises(MismatchError):
        cut_slab(SQUARE, CountWish(portions=1), Cutting(longest_side_mm=5), budget)
    assert budget.left < before


def test_an_exhausted_budget_rejects_every_later_search() -> None:
    budget = CutBudget(100)
    with pytest.raises(OutOfRangeError, match="another request"):
        cut_slab(SQUARE, SizeWish(length_mm=7, width_mm=7), Cutting(), budget=CutBudget(50))
    for _ in range(8):
        try:
            cut_slab(SQUARE, GridWish(rows=4, columns=4), Cutting(), budget)
        except OutOfRangeError:
            break
    else:
        pytest.fail("the budget is never used up")
    with pytest.raises(OutOfRangeError):
        cut_slab(SQUARE, GridWish(rows=1, columns=1), Cutting(), budget)
