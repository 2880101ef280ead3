"""Laws of volume, depth and the factor between tins."""

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from domain.errors import DomainError, MismatchError, NeededError
from domain.tins.geometry import capacity_ml, depth_mm, fill_of, measure_tin, tin_factor, volume_ml
from domain.tins.shapes import CavitiesTin, MeasuredTin, RoundTin, SquareTin, TaperedRoundTin, Tin, Walls, walls_of
from tests.strategies import LAW, any_tins, counts, tins_with_walls, upright_tins

SQUARE = SquareTin(side_mm=200, depth_mm=50)
BOWL = TaperedRoundTin(top_diameter_mm=230, base_diameter_mm=180, depth_mm=80)
MUFFINS = CavitiesTin(count=12, volume_ml=80)
JUG = MeasuredTin(volume_ml=1_500)
OPEN = RoundTin(diameter_mm=230)  # of unknown depth
fills = st.floats(5, 60)
cavities = st.builds(CavitiesTin, count=st.integers(1, 24), volume_ml=st.floats(20, 300))


def walls(tin: Tin) -> Walls:
    tin_walls = walls_of(tin)
    assert tin_walls is not None
    return tin_walls


@LAW
@given(tins_with_walls(), st.floats(0.01, 2))
def test_depth_and_volume_are_inverse_even_past_the_rim(tin: Tin, share: float) -> None:
    rim = walls(tin).depth_mm
    assert rim is not None
    height = share * rim
    assert depth_mm(walls(tin), volume_ml(walls(tin), height)) == pytest.approx(height, rel=1e-9)


@LAW
@given(tins_with_walls(), st.floats(0.1, 200), st.floats(0.1, 50))
def test_more_batter_stands_higher(tin: Tin, height: float, more: float) -> None:
    low, high = volume_ml(walls(tin), height), volume_ml(walls(tin), height + more)
    assert low < high
    assert depth_mm(walls(tin), low) < depth_mm(walls(tin), high)


@LAW
@given(tins_with_walls())
def test_the_volume_up_to_the_rim_is_the_capacity(tin: Tin) -> None:
    measured = measure_tin(tin, walls(tin).depth_mm)
    assert measured.filled_ml == measured.volume_ml == capacity_ml(tin)
    assert measured.fill_percent == 100
    assert volume_ml(walls(tin), 0) == 0


@LAW
@given(any_tins(), counts, fills)
def test_the_factor_between_equal_tins_is_exactly_one(tin: Tin, tins: int, depth: float) -> None:
    depth_if_any = depth if walls_of(tin) else None
    fit = tin_factor(tin, tin, have_tins=tins, want_tins=tins, filled_depth_mm=depth_if_any)
    assert fit.factor == 1.0


@LAW
@given(tins_with_walls(), tins_with_walls(), counts, counts, fills)
def test_factors_there_and_back_multiply_to_one(
    have: Tin, want: Tin, have_tins: int, want_tins: int, depth: float
) -> None:
    there = tin_factor(have, want, have_tins=have_tins, want_tins=want_tins, filled_depth_mm=depth)
    back = tin_factor(want, have, have_tins=want_tins, want_tins=have_tins, filled_depth_mm=there.filled_depth_mm)
    assert there.factor * back.factor == pytest.approx(1, rel=1e-14)
    assert back.filled_depth_mm == depth


@LAW
@given(tins_with_walls(), tins_with_walls(), tins_with_walls(), fills)
def test_factors_multiply_through_a_third_tin(a: Tin, b: Tin, c: Tin, depth: float) -> None:
    a_b, b_c, a_c = (tin_factor(*pair, filled_depth_mm=depth).factor for pair in ((a, b), (b, c), (a, c)))
    assert a_b * b_c == pytest.approx(a_c, rel=1e-14)


@LAW
@given(st.tuples(*[st.one_of(cavities, upright_tins())] * 3))
def test_factors_by_capacity_multiply_through_a_third_tin(tins: tuple[Tin, Tin, Tin]) -> None:
    a, b, c = (tin if walls_of(tin) is None else MeasuredTin(volume_ml=capacity_ml(tin) or 1) for tin in tins)
    a_b, b_c, a_c = (tin_factor(*pair).factor for pair in ((a, b), (b, c), (a, c)))
    assert a_b * b_c == pytest.approx(a_c, rel=1e-14)


@LAW
@given(upright_tins(), upright_tins(), fills, fills)
def test_upright_tins_need_no_depth_and_a_depth_changes_nothing(
    have: Tin, want: Tin, depth: float, deeper: float
) -> None:
    ratio = walls(want).a0 / walls(have).a0
    assert tin_factor(have, want).factor == pytest.approx(ratio, rel=1e-15)
    assume(max(depth, deeper) <= min(walls(have).depth_mm or 0, walls(want).depth_mm or 0))
    assert tin_factor(have, want, filled_depth_mm=depth).factor == pytest.approx(ratio, rel=1e-14)
    with_depth = tin_factor(have, want, filled_depth_mm=depth, want_depth_mm=deeper)
    assert with_depth.factor == pytest.approx(ratio * deeper / depth, rel=1e-14)
    assert (with_depth.kept, with_depth.filled_depth_mm) == ("given_depth", deeper)


@LAW
@given(tins_with_walls(), tins_with_walls(), counts, fills)
def test_the_factor_is_proportional_to_the_number_of_tins(have: Tin, want: Tin, tins: int, depth: float) -> None:
    single = tin_factor(have, want, filled_depth_mm=depth)
    many = tin_factor(have, want, want_tins=tins, filled_depth_mm=depth)
    assert many.factor == pytest.approx(tins * single.factor, rel=1e-15)
    assert many.fill_percent == single.fill_percent


@LAW
@given(tins_with_walls(), tins_with_walls(), fills)
def test_the_batter_has_the_stated_depth(have: Tin, want: Tin, depth: float) -> None:
    fit = tin_factor(have, want, filled_depth_mm=depth)
    batter = fit.factor * volume_ml(walls(have), depth)
    assert fit.filled_depth_mm is not None
    assert depth_mm(walls(want), batter) == pytest.approx(fit.filled_depth_mm, rel=1e-9)
    assert fit.fill_percent == pytest.approx(batter / (capacity_ml(want) or 1) * 100, rel=1e-12)


def test_capacities_are_compared_if_only_volumes_are_known() -> None:
    fit = tin_factor(SQUARE, MUFFINS, filled_depth_mm=25)
    assert fit.factor == 960 / 2_000
    assert (fit.kept, fit.fill_percent, fit.filled_depth_mm) == ("capacity_share", 50, None)
    assert [notice.code for notice in fit.notices] == ["depth_not_kept"]
    back = tin_factor(MUFFINS, BOWL)
    assert back.factor == pytest.approx((capacity_ml(BOWL) or 0) / 960)


def test_a_filled_depth_of_upright_cups_is_a_share_of_their_capacity() -> None:
    cups = CavitiesTin(count=12, volume_ml=80, depth_mm=40)
    fit = tin_factor(cups, SQUARE, filled_depth_mm=30)
    # Three quarters of the capacity, in plane geometry: 37.5 mm of the square's 50.
    assert (fit.factor, fit.fill_percent) == (2_000 / 960, 75)
    assert fit.filled_depth_mm == pytest.approx(37.5, rel=1e-12)
    assert "upright" in fit.notices[0].message
    smaller = tin_factor(cups, CavitiesTin(count=24, volume_ml=40), filled_depth_mm=30)
    assert (smaller.factor, smaller.fill_percent) == (1, 75)


def test_a_wanted_depth_in_cups_of_known_depth_is_a_share_of_their_capacity() -> None:
    cups = CavitiesTin(count=12, volume_ml=80, depth_mm=40)
    there = tin_factor(SQUARE, cups, filled_depth_mm=25, want_depth_mm=30)
    # Plane geometry: three quarters of 960 ml over half of 2 l.
    assert (there.factor, there.fill_percent, there.kept) == (0.72, 75, "given_depth")
    back = tin_factor(cups, SQUARE, filled_depth_mm=30, want_depth_mm=25)
    assert back.factor == pytest.approx(1 / 0.72)
    assert back.filled_depth_mm == 25


CODES: list[tuple[Tin, float, list[str]]] = [
    (SQUARE, 60.0, ["past_rim"]),
    (SQUARE, 50.0, []),
    (SQUARE, 10.0, []),
    (SQUARE, 9.9, ["shallow_fill"]),
    (SquareTin(side_mm=200, depth_mm=8), 9.0, ["past_rim", "shallow_fill"]),
    (OPEN, 500.0, []),
]


@pytest.mark.parametrize(("tin", "depth", "codes"), CODES, ids=str)
def test_overfull_and_shallow_tins_get_a_warning(tin: Tin, depth: float, codes: list[str]) -> None:
    _, notices = fill_of(tin, volume_ml(walls(tin), depth), depth)
    assert [notice.code for notice in notices] == codes


REFUSED = [
    ("a slope without a depth", SQUARE, BOWL, {}, NeededError, ("filled_depth",)),
    ("from a slope without a depth", BOWL, SQUARE, {}, NeededError, ("filled_depth",)),
    ("a wanted depth against nothing", SQUARE, SQUARE, {"want_depth_mm": 30}, NeededError, ("filled_depth",)),
    ("a wanted depth of cavities", SQUARE, MUFFINS, {"want_depth_mm": 30}, MismatchError, ("depth",)),
    ("a filled depth of cavities", MUFFINS, SQUARE, {"filled_depth_mm": 30}, MismatchError, ("filled_depth",)),
    (
        "a depth past a cup's rim",
        CavitiesTin(count=12, volume_ml=80, depth_mm=40),
        SQUARE,
        {"filled_depth_mm": 41},
        MismatchError,
        ("filled_depth",),
    ),
    ("a filled depth of a jug", JUG, SQUARE, {"filled_depth_mm": 30}, MismatchError, ("filled_depth",)),
    ("capacity of no depth", OPEN, MUFFINS, {}, NeededError, ("have", "depth")),
    ("capacity wanted of no depth", MUFFINS, OPEN, {}, NeededError, ("want", "depth")),
    # The height of batter in cavities is unknown, so a wanted height cannot be compared with it.
    ("a wanted depth from cavities", MUFFINS, SQUARE, {"want_depth_mm": 30}, DomainError, None),
    ("a wanted depth from a jug", JUG, BOWL, {"want_depth_mm": 30}, DomainError, None),
]


@pytest.mark.parametrize(
    ("have", "want", "depths", "error", "path"), [r[1:] for r in REFUSED], ids=[r[0] for r in REFUSED]
)
def test_factors_that_would_be_guesses_are_rejected(
    have: Tin, want: Tin, depths: dict[str, float], error: type[DomainError], path: tuple[str, ...] | None
) -> None:
    with pytest.raises(error) as refusal:
        tin_factor(have, want, **depths)  # type: ignore[arg-type]
    assert path in (None, refusal.value.path)


def test_unknown_properties_of_a_tin_are_none() -> None:
    jug = measure_tin(JUG)
    assert (jug.base_area_mm2, jug.depth_mm, jug.volume_ml, jug.fill_percent) == (None, None, 1_500, None)
    open_tin = measure_tin(OPEN, 30)
    assert open_tin.filled_ml is not None
    assert (open_tin.depth_mm, open_tin.volume_ml, open_tin.fill_percent) == (None, None, None)
    with pytest.raises(MismatchError):
        measure_tin(MUFFINS, 30)
