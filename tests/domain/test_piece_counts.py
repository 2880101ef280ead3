"""Whole counts of dough pieces: the nearest one, its neighbours, tins and cavities, and what a target keeps."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.errors import MismatchError, NeededError, OutOfRangeError
from domain.formulas.formula import WeighedFormula, weigh_formula
from domain.formulas.portioning import portion_formula, portion_target
from domain.formulas.rescaling import Bench, Rescaled, rescale
from domain.formulas.targets import Target
from domain.pieces.counts import Division, Pieces, Vessels, divide, piece_notices, pieces_of, vessels_of
from domain.tins.text import parse_tin
from tests.formulas import component, formula
from tests.strategies import LAW

doughs = st.floats(1, 1e5)
masses = st.floats(0.5, 500)
vessels = st.builds(Vessels, tins=st.integers(1, 6), cavities=st.sampled_from([1, 1, 6, 12, 24]))


@LAW
@given(doughs, masses, vessels)
def test_the_count_is_the_nearest_that_the_tins_share(dough_g: float, each_g: float, into: Vessels) -> None:
    pieces, exact = pieces_of(dough_g, each_g, vessels=into), dough_g / each_g
    assert pieces.count % into.groups == 0
    nearest = min((n * into.groups for n in range(1, 2 + math.ceil(exact / into.groups))), key=lambda n: abs(n - exact))
    assert abs(pieces.count - exact) == pytest.approx(abs(nearest - exact), abs=1e-6 * exact + 1e-9)
    assert pieces.count * pieces.grams_each == pytest.approx(dough_g, rel=1e-12)
    assert pieces.above is not None
    assert pieces.above.count - pieces.count == into.groups
    assert pieces.below is None or pieces.count - pieces.below.count == into.groups
    for neighbour in (pieces.below, pieces.above):
        if neighbour is not None:
            assert neighbour.count * neighbour.grams_each == pytest.approx(dough_g, rel=1e-12)


@LAW
@given(doughs, masses)
def test_whole_pieces_of_the_written_mass_and_the_rest_make_up_the_dough(dough_g: float, each_g: float) -> None:
    pieces = pieces_of(dough_g, each_g)
    assert pieces.whole_count * each_g + pieces.leftover_grams == pytest.approx(dough_g, rel=1e-7)
    assert 0 <= pieces.leftover_grams < each_g
    assert pieces.whole_count in {pieces.count, pieces.count - 1} or pieces.count == 1


@LAW
@given(doughs, masses, vessels, st.integers(3, 8))
def test_printed_figures_sent_back_give_the_same_count(
    dough_g: float, each_g: float, into: Vessels, digits: int
) -> None:
    if dough_g / each_g > 10**digits / 20:
        digits = 10  # as many digits as it takes to tell such counts apart
    pieces = pieces_of(dough_g, each_g, vessels=into)
    printed_dough, printed_each = (float(f"{grams:.{digits}g}") for grams in (dough_g, pieces.grams_each))
    assert pieces_of(printed_dough, printed_each, vessels=into).count == pieces.count


TRADE = [  # what a baker does with these figures: whole pieces, each as near as possible to the mass (common practice)
    (291.0, 11.67, Vessels(), 25),
    (285.57, 11.8989, Vessels(), 24),
    (89.2, 10.0, Vessels(), 9),
    (1199.9, 50.0, Vessels(), 24),
    (999.0, 40.0, Vessels(), 25),
    (389.6, 11.67, Vessels(tins=2), 34),  # 17 in each of two tins, never 33
    (76.4, 10.0, Vessels(cavities=12), 12),  # one in each muffin, never 7
    (180.0, 10.0, Vessels(cavities=12), 24),
]


@pytest.mark.parametrize(("dough_g", "each_g", "into", "count"), TRADE, ids=str)
def test_counts_as_a_baker_makes_them(dough_g: float, each_g: float, into: Vessels, count: int) -> None:
    assert pieces_of(dough_g, each_g, vessels=into).count == count


def test_a_piece_beyond_the_tolerance_has_a_warning_with_its_figures() -> None:
    muffins = divide(76.4, Division(grams_each=10.0), Vessels(cavities=12))
    (notice,) = piece_notices(muffins, "nuggets")
    assert notice.code == "piece_mass_off"
    assert notice.value == pytest.approx(100 * (76.4 / 12 / 10 - 1))
    assert (notice.limit, notice.unit) == (5.0, "percent")
    assert not piece_notices(divide(76.4, Division(grams_each=10.0, tolerance_percent=40), Vessels(cavities=12)), "x")
    assert not piece_notices(divide(291.0, Division(grams_each=11.67)), "nuggets")


def test_pieces_that_the_tins_cannot_share_have_a_warning() -> None:
    pieces = divide(330.0, Division(count=33), vessels_of(parse_tin("round 20 cm"), 2))
    assert [notice.code for notice in piece_notices(pieces, "nuggets")] == ["pieces_uneven"]
    assert pieces.below is not None
    assert pieces.above is not None
    assert (pieces.below.count, pieces.per_tin, pieces.above.count) == (32, 17, 34)


def test_a_count_for_each_tin_cavity_or_portion() -> None:
    muffins = Vessels(tins=2, cavities=12)
    cut = Vessels(tins=2, portions=24)
    assert divide(500.0, Division(per_tin=16), Vessels(tins=3)).count == 48
    assert divide(500.0, Division(per_cavity=1), muffins).count == 24
    assert divide(500.0, Division(per_cavity=2), muffins).per_cavity == 2
    assert divide(500.0, Division(per_portion=2), cut).count == 96
    with pytest.raises(MismatchError):
        divide(500.0, Division(per_cavity=1), Vessels(tins=2))
    with pytest.raises(NeededError) as refusal:
        divide(500.0, Division(per_portion=1), Vessels(tins=2))
    assert refusal.value.code == "cut_wish_needed"


def test_impossible_divisions_name_their_figure() -> None:
    with pytest.raises(OutOfRangeError) as refusal:
        divide(50.0, Division(grams_each=60.0))
    assert (refusal.value.value, refusal.value.limit, refusal.value.unit) == (60.0, 50.0, "g")
    for wrong in ({"count": 2, "per_tin": 1}, {}):
        with pytest.raises(NeededError):
            Division(**wrong)  # type: ignore[arg-type]  # the names are the fields'
    with pytest.raises(OutOfRangeError):
        Division(count=4, tolerance_percent=-1.0)


def slab(division: Division, tin: str = "square 20 cm", tins: int = 1) -> WeighedFormula:
    """A batter of 720 g and 280 g of nuggets, 32 mm deep."""
    batter = component(("plain-flour", "720 g"), name="batter")
    nuggets = component(("rolled-oats", "280 g"), name="nuggets", pieces=division)
    return weigh_formula(formula(batter, nuggets, tin=tin, tins=tins, filled_depth_mm=32.0))


def nuggets_in(formula: WeighedFormula, target: Target) -> Pieces:
    pieces = target_of(formula, target).components[1].pieces
    assert pieces is not None
    return pieces


def target_of(formula: WeighedFormula, target: Target) -> Rescaled:
    return rescale(formula, (target,), Bench())[0]


def test_what_a_deeper_tin_keeps() -> None:
    deeper = {"label": "", "tin": parse_tin("square 20 cm"), "depth_mm": 40.0}  # a quarter more of everything
    mass = nuggets_in(slab(Division(count=24)), Target(**deeper))  # type: ignore[arg-type]  # as above
    count = nuggets_in(slab(Division(count=24)), Target(**deeper, pieces=Division(keep="count")))  # type: ignore[arg-type]
    spacing = nuggets_in(slab(Division(count=24)), Target(**deeper, pieces=Division(keep="spacing")))  # type: ignore[arg-type]
    assert (mass.count, count.count, spacing.count) == (30, 24, 24)
    assert mass.grams_each == pytest.approx(280 / 24)
    assert count.grams_each == pytest.approx(350 / 24)


def test_spacing_follows_the_area_of_the_tin() -> None:
    wider = Target(label="", tin=parse_tin("rectangle 30 x 20 cm"), depth_mm=16.0, pieces=Division(keep="spacing"))
    pieces = nuggets_in(slab(Division(count=24)), wider)
    assert pieces.count == 36  # half as much area again
    assert pieces.grams_each == pytest.approx(210 / 36)


@LAW
@given(st.integers(1, 60), st.integers(1, 6), st.sampled_from(["round 23 cm", "rectangle 30 x 20 cm", "square 15 cm"]))
def test_the_counts_of_the_tins_add_up(count: int, tins: int, tin: str) -> None:
    pieces = nuggets_in(slab(Division(count=count)), Target(label="", tin=parse_tin(tin), tins=tins))
    assert pieces.per_tin * tins == pieces.count
    assert pieces.count * pieces.grams_each == pytest.approx(pieces.exact * pieces.written_grams)


def test_the_formula_as_written_keeps_its_own_count() -> None:
    formula = slab(Division(count=25), tins=2)
    assert nuggets_in(formula, Target(label="", tin=parse_tin("square 20 cm"), tins=2)).count == 25


def test_pieces_for_each_portion_are_counted_when_the_bake_is_cut() -> None:
    formula = slab(Division(per_portion=1))
    assert formula.components[1].pieces is None
    cut = portion_formula(formula, 16)
    assert cut.components[1].pieces is not None
    assert cut.components[1].pieces.count == 16
    target = Target(label="", tin=parse_tin("rectangle 30 x 20 cm"), tins=2)
    result = portion_target(cut, target_of(cut, target), 24, 0)
    assert result.components[1].pieces is not None
    assert (result.components[1].pieces.count, result.components[1].pieces.per_tin) == (48, 24)
    with pytest.raises(NeededError) as refusal:
        portion_target(cut, target_of(cut, target), None, 3)
    assert refusal.value.path == ("targets", 3, "pieces", "per_portion")
