"""Masses that are not to be undercut or exceeded, thin wedges and what is offered instead, and marks for a ruler."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.cutting.cuts import cut_slab
from domain.cutting.layouts import CutLayout, Cutting
from domain.cutting.marks import MM_PER_SIXTEENTH, Mark
from domain.cutting.round_alternatives import ring_counts
from domain.cutting.slabs import RectangleSlab, RoundSlab, Slab
from domain.cutting.wishes import CountWish, MassRule, MassWish, RingsWish, WedgesWish
from domain.errors import MismatchError, OutOfRangeError
from tests.domain.cut_strategies import cuttings, rectangles, rounds
from tests.strategies import LAW

SLAB = RectangleSlab(length_mm=300, width_mm=200)
RULES: tuple[MassRule, ...] = ("nearest", "at_least", "at_most")


def by_mass(grams: float, rule: MassRule, cutting: Cutting, slab: Slab = SLAB) -> CutLayout:
    return cut_slab(slab, MassWish(portion_g=grams, rule=rule), cutting)


def test_a_mass_by_each_rule() -> None:
    cutting = Cutting(slab_g=1_200, trim_mm=5)
    nearest, at_least, at_most = (by_mass(65, rule, cutting) for rule in RULES)
    # 290 x 190 of 300 x 200 mm, 1,102 g: 18 portions of 61.2 g, or 16 of 68.9 g.
    assert [layout.pieces for layout in (nearest, at_least, at_most)] == [18, 16, 18]
    assert nearest.piece.grams == pytest.approx(1_200 * 290 * 190 / 300 / 200 / 18)
    (short,) = [notice for notice in nearest.notices if notice.code == "portions_short"]
    assert (short.limit, short.unit, short.path) == (65, "g", ("portion_grams",))
    assert short.value == pytest.approx(nearest.piece.grams)
    assert "portions_short" not in {notice.code for notice in at_least.notices}


@LAW
@given(st.one_of(rectangles, rounds), st.floats(15, 400), st.sampled_from(RULES), cuttings())
def test_a_rule_is_kept_by_every_piece(slab: Slab, grams: float, rule: MassRule, cutting: Cutting) -> None:
    try:
        layout = by_mass(grams, rule, cutting, slab)
    except (MismatchError, OutOfRangeError):
        return
    masses = [kind.grams or 0 for kind in layout.kinds]
    if rule == "at_least":
        assert min(masses) >= grams * (1 - 1e-6)
    if rule == "at_most":
        assert max(masses) <= grams * (1 + 1e-6)
    short = any(notice.code == "portions_short" for notice in layout.notices)
    assert short == (min(masses) < grams * (1 - 1e-9))


def test_corner_pieces_under_sloping_walls_keep_at_least_too() -> None:
    slab = RectangleSlab(length_mm=316, width_mm=216, lean_length_mm=8, lean_width_mm=8)
    layout = by_mass(60, "at_least", Cutting(slab_g=1_500), slab)
    assert (layout.lightest_g or 0) >= 60
    assert layout.pieces < 24  # a corner of 24 would weigh 57.1 g


def test_forty_wedges_of_a_round_offer_rings_and_a_grid() -> None:
    layout = cut_slab(RoundSlab(diameter_mm=300), WedgesWish(wedges=40), Cutting(slab_g=2_000))
    (warning,) = layout.notices
    assert (warning.code, warning.unit) == ("poor_shape", "mm")
    assert warning.value == pytest.approx(2 * 150 * math.sin(math.pi / 40))
    rings, grid = layout.alternatives
    assert (rings.reason, rings.pieces, sum(rings.rings)) == ("rings", 40, 40)
    assert rings.grams == pytest.approx(50)
    assert grid.reason == "round_grid"
    assert grid.pieces >= 40


def test_wedges_as_they_are_sold_have_no_warning() -> None:
    for wedges in (8, 10, 12, 16):
        layout = cut_slab(RoundSlab(diameter_mm=230), WedgesWish(wedges=wedges), Cutting())
        assert not layout.notices
        assert not layout.alternatives


@LAW
@given(st.integers(1, 400))
def test_rings_that_are_offered_hold_the_count_in_pieces_near_square(count: int) -> None:
    counts = ring_counts(count)
    assert sum(counts) == count
    if 12 <= count <= 150:
        layout = cut_slab(RoundSlab(diameter_mm=2_000), RingsWish(rings=counts), Cutting())
        for kind in layout.kinds:
            assert 0.4 < kind.length_mm / kind.width_mm < 2.5


def test_rings_are_equal_pieces_unless_another_way_is_said() -> None:
    layout = cut_slab(RoundSlab(diameter_mm=230), RingsWish(rings=(1, 6, 12)), Cutting(slab_g=900))
    assert [kind.grams for kind in layout.kinds] == pytest.approx([900 / 19] * 3)


def test_a_count_that_no_grid_makes_well_says_what_its_neighbours_give() -> None:
    layout = cut_slab(RectangleSlab(length_mm=200, width_mm=200), CountWish(portions=13), Cutting())
    (warning,) = layout.notices
    assert "13 make portions of 15 × 200 mm" in warning.message
    assert "12 make 50 × 67 mm" in warning.message


@LAW
@given(st.floats(0, 700))
def test_marks_are_rounded_to_what_a_ruler_shows(place: float) -> None:
    mark = Mark(mm=place)
    assert (mark.nearest_mm * 2).is_integer()
    assert abs(mark.nearest_mm - place) <= 0.25 + 1e-9
    assert abs(mark.nearest_sixteenths * MM_PER_SIXTEENTH - place) <= MM_PER_SIXTEENTH / 2 + 1e-9


@LAW
@given(st.integers(2, 40), st.floats(0, 12))
def test_wedge_marks_are_those_of_the_trimmed_rim(wedges: int, trim: float) -> None:
    layout = cut_slab(RoundSlab(diameter_mm=260), WedgesWish(wedges=wedges), Cutting(trim_mm=trim))
    first = layout.marks.rim[0]
    for mark in layout.marks.rim:
        assert math.dist((mark.x_mm, mark.y_mm), (130, 130)) == pytest.approx(130 - trim)
        assert mark.rim_mm == pytest.approx(math.radians(mark.degrees) * (130 - trim))
        assert mark.chord_mm == pytest.approx(math.dist((mark.x_mm, mark.y_mm), (first.x_mm, first.y_mm)), abs=1e-9)
