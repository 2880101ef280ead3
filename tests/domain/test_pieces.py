"""Laws of dividing a mix, of scoops and of trays."""

import math
from itertools import combinations

import pytest
from hypothesis import assume, example, given
from hypothesis import strategies as st

from domain.errors import DomainError, MismatchError, NeededError, OutOfRangeError
from domain.formulas.formula import Mass
from domain.pieces.balls import ball_mm
from domain.pieces.dividing import PieceWish, divide_mix
from domain.pieces.scoops import SCOOPS, find_scoop, nearest_scoops
from domain.pieces.trays import TrayFit, TraySpace, fit_trays, tray_of
from domain.tins.shapes import CavitiesTin, RectangleTin, RoundTin, SquareTin
from tests.strategies import LAW

mixes = st.floats(50, 20_000)
densities = st.floats(0.3, 1.6)
WATER = 1.0


def exactly(grams: float) -> Mass:
    """The mass of a mix without a range."""
    return Mass(grams, grams, grams)


@LAW
@given(mix=mixes, each=st.floats(5, 500))
def test_pieces_and_rest_add_up_to_the_mix(mix: float, each: float) -> None:
    assume(each <= mix)
    division = divide_mix(exactly(mix), PieceWish(piece_g=each))
    assert division.count * division.piece_g == pytest.approx(mix)
    assert division.pieces is not None
    assert division.pieces.whole_count * each + division.leftover_g == pytest.approx(mix)
    assert -1e-6 * mix <= division.leftover_g < each


@LAW
@given(mix=mixes, count=st.integers(1, 500))
def test_a_count_uses_the_whole_mix(mix: float, count: int) -> None:
    division = divide_mix(exactly(mix), PieceWish(count=count))
    assert (division.count, division.leftover_g) == (count, 0)
    assert division.count * division.piece_g == pytest.approx(mix)


@LAW
@given(mix=mixes, count=st.integers(1, 500))
def test_dividing_by_the_mass_of_a_count_gives_that_count(mix: float, count: int) -> None:
    each = divide_mix(exactly(mix), PieceWish(count=count)).piece_g
    assert divide_mix(exactly(mix), PieceWish(piece_g=each)).count == count


@LAW
@given(mix=mixes, spread=st.floats(0, 0.3), each=st.floats(5, 500))
def test_a_mix_with_a_range_gives_a_range_of_counts(mix: float, spread: float, each: float) -> None:
    assume(each <= mix)
    division = divide_mix(Mass(mix, mix * (1 - spread), mix * (1 + spread)), PieceWish(piece_g=each))
    assert division.count_low <= division.count <= division.count_high
    for count, grams in ((division.count_low, mix * (1 - spread)), (division.count_high, mix * (1 + spread))):
        assert abs(count - grams / each) <= 0.5 * (1 + 1e-6) or count == 1  # the nearest whole count


@LAW
@given(mix=st.floats(500, 20_000), number=st.sampled_from(list(SCOOPS)), density=densities)
def test_the_range_of_a_scoop_contains_its_rule(mix: float, number: int, density: float) -> None:
    division = divide_mix(exactly(mix), PieceWish(scoop=number), density)
    assert division.low <= division.piece_g <= division.high
    assert division.count_low <= division.count <= division.count_high
    assert division.cited


@LAW
@given(each=st.floats(8, 150), density=densities)
def test_nearest_scoops_are_the_nearest(each: float, density: float) -> None:
    offers = nearest_scoops(each, density)
    errors = [abs(offer.error_percent) for offer in offers]
    assert errors == sorted(errors)
    rest = [scoop for scoop in SCOOPS.values() if scoop not in [offer.scoop for offer in offers]]
    assert all(abs(float(scoop.ml) * density / each - 1) * 100 >= errors[-1] for scoop in rest)


@LAW
@given(each=st.floats(1, 1_000), density=densities)
def test_a_ball_has_its_volume(each: float, density: float) -> None:
    assert 4 / 3 * math.pi * (ball_mm(each, density) / 20) ** 3 * density == pytest.approx(each)


def test_a_scoop_outside_the_tables_follows_the_rule_with_a_warning() -> None:
    scoop = find_scoop(36)
    assert float(scoop.ml) == pytest.approx(946.352946 / 36)
    assert [notice.code for notice in scoop.notices] == ["scoop_by_rule"]


REFUSED = [
    (PieceWish(scoop=16), None, NeededError),
    (PieceWish(scoop=3), WATER, OutOfRangeError),
    (PieceWish(scoop=121), WATER, OutOfRangeError),
    (PieceWish(piece_g=1_001), None, OutOfRangeError),
    (PieceWish(piece_g=0.001), None, OutOfRangeError),
    (PieceWish(scoop=4), 5.0, OutOfRangeError),
]


@pytest.mark.parametrize(("wish", "density", "error"), REFUSED, ids=range(len(REFUSED)))
def test_impossible_divisions_are_rejected(wish: PieceWish, density: float | None, error: type[DomainError]) -> None:
    with pytest.raises(error):
        divide_mix(exactly(1_000), wish, density)


@pytest.mark.parametrize("wish", [{}, {"count": 3, "scoop": 16}, {"piece_g": 5.0, "count": 2}])
def test_exactly_one_way_of_dividing_is_required(wish: dict[str, int]) -> None:
    with pytest.raises(NeededError):
        PieceWish(**wish)


rooms = st.builds(
    TraySpace,
    length_mm=st.floats(150, 800),
    width_mm=st.floats(150, 600),
    diameter_mm=st.floats(25, 80),
    spacing_mm=st.floats(0, 40),
    margin_mm=st.floats(0, 30),
)


# A tray of the width of one piece has no space for the shifted rows of the staggered pattern.
@example(space=TraySpace(length_mm=150, width_mm=246, diameter_mm=52, spacing_mm=25, margin_mm=30), count=1)
@LAW
@given(space=rooms, count=st.integers(1, 300))
def test_pieces_on_a_tray_keep_their_distances(space: TraySpace, count: int) -> None:
    for fit in fit_trays(count, space):
        places = middles(fit, space)
        assert len(places) == fit.pattern.per_tray
        run, depth = (space.length_mm, space.width_mm)[:: 1 if fit.pattern.along == "length" else -1]
        keep = space.margin_mm + space.diameter_mm / 2 - 1e-6
        assert all(keep <= x <= run - keep and keep <= y <= depth - keep for x, y in places)
        if len(places) <= 150:
            gaps = (math.dist(first, second) for first, second in combinations(places, 2))
            assert min(gaps, default=math.inf) >= space.pitch_mm - 1e-6


@LAW
@given(space=rooms, count=st.integers(1, 300))
def test_trays_hold_the_count_and_none_is_empty(space: TraySpace, count: int) -> None:
    for fit in fit_trays(count, space):
        assert (fit.trays - 1) * fit.pattern.per_tray + fit.on_last == count
        assert 1 <= fit.on_last <= fit.pattern.per_tray


def test_a_tray_that_is_too_small_or_too_large_is_rejected() -> None:
    with pytest.raises(OutOfRangeError):
        fit_trays(5, tray_of(RectangleTin(length_mm=100, width_mm=60), 50, spacing_mm=10, margin_mm=10))
    with pytest.raises(OutOfRangeError):
        fit_trays(5, tray_of(SquareTin(side_mm=2_000), 5, spacing_mm=0, margin_mm=0))


def test_a_tray_is_rectangular_and_its_pieces_have_a_diameter() -> None:
    with pytest.raises(MismatchError) as refusal:
        tray_of(RoundTin(diameter_mm=300), 50, spacing_mm=0, margin_mm=0)
    assert refusal.value.path == ("tray",)
    with pytest.raises(MismatchError):
        tray_of(CavitiesTin(count=12, volume_ml=80), 50, spacing_mm=0, margin_mm=0)
    with pytest.raises(NeededError) as needed:
        tray_of(SquareTin(side_mm=300), None, spacing_mm=0, margin_mm=0)
    assert needed.value.path == ("diameter",)


def middles(fit: TrayFit, space: TraySpace) -> list[tuple[float, float]]:
    """The positions of the pieces, worked out from the description of the pattern."""
    start = space.margin_mm + space.diameter_mm / 2
    shift = space.pitch_mm / 2 if fit.pattern.pattern == "staggered" else 0.0
    return [
        (start + (j % 2) * shift + i * fit.pattern.pitch_mm, start + j * fit.pattern.row_pitch_mm)
        for j, in_row in enumerate(fit.pattern.rows)
        for i in range(in_row)
    ]
