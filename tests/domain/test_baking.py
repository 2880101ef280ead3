"""Laws of bake windows: each input changes the window in the right direction; equal bakes take equal minutes."""

import math
from dataclasses import replace
from fractions import Fraction
from itertools import pairwise
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.baking.assumptions import RANGES, Case, HeatFigures, Swept, central_case, errors_of_a_bake, sweeps
from domain.baking.cases import TIN_MATERIALS, Bake, BatterPieces, solve
from domain.baking.core_safety import FLOUR_HOLD_MINUTES, Z_FLOUR_C, lethality
from domain.baking.oven import parse_oven
from domain.baking.window import BakeEstimate, estimate_bake, heating_curve
from domain.tins.shapes import Tin
from domain.tins.text import parse_tin
from tests.strategies import LAW, tins_with_walls, upright_tins

COLD_PIECE = BatterPieces(diameter_mm=24, start_c=4)
rises = st.floats(1.02, 2.0)
minutes = st.floats(5, 180)


def bake(tin: str | Tin = "square 20 cm", depth: float = 40, oven: str = "180 celsius", **more: Any) -> Bake:
    return Bake(
        tin=parse_tin(tin) if isinstance(tin, str) else tin,
        filled_depth_mm=depth,
        oven=parse_oven(oven, fan=more.pop("fan", False), fan_offset_c=more.pop("fan_offset_c", None)),
        start_c=more.pop("start_c", 20.0),
        material=TIN_MATERIALS[more.pop("material", "dull_metal")],
        **more,
    )


PARKIN = bake()


def codes(estimate: BakeEstimate) -> set[str]:
    return {notice.code for notice in estimate.notices}


@st.composite
def bakes(draw: st.DrawFn, *, pieces: bool = False) -> Bake:
    depth = draw(st.floats(12, 110))
    return Bake(
        tin=draw(tins_with_walls()),
        filled_depth_mm=depth,
        oven=parse_oven(f"{draw(st.integers(140, 230))} c", fan=draw(st.booleans())),
        start_c=draw(st.floats(2, 35)),
        material=draw(st.sampled_from(list(TIN_MATERIALS.values()))),
        pieces=draw(st.none() | st.builds(BatterPieces, diameter_mm=st.floats(5, 40), start_c=st.floats(-30, 20)))
        if pieces
        else None,
    )


def every_case(reference: Bake, target: Bake) -> list[Case]:
    swept = Swept(
        material=reference.material != target.material,
        pieces=reference.has_pieces or target.has_pieces,
        fan_offset=reference.oven.fan != target.oven.fan,
    )
    ends = [case for sweep in (*sweeps(swept), *errors_of_a_bake(swept)) for case in (sweep.low, sweep.high)]
    return [central_case(swept), *ends]


@given(reference=bakes(pieces=True), time=minutes, core=st.floats(75, 99))
@LAW
def test_the_same_bake_takes_the_same_minutes(reference: Bake, time: float, core: float) -> None:
    estimate = estimate_bake(reference, time, replace(reference), core)
    assert estimate.minutes == time
    assert all(
        solve(reference, time, core, reference, case).minutes == time for case in every_case(reference, reference)
    )
    assert estimate.minutes_low <= time * 0.92
    assert time * 1.08 <= estimate.minutes_high


@given(reference=bakes(pieces=True), target=bakes(pieces=True), time=minutes)
@LAW
def test_the_window_contains_the_median_and_is_never_narrower_than_an_oven_repeats(
    reference: Bake, target: Bake, time: float
) -> None:
    estimate = estimate_bake(reference, time, target)
    assert 0 <= estimate.check_from_minutes <= estimate.minutes_low < estimate.minutes_high
    assert estimate.minutes_low <= 0.92 * estimate.minutes
    assert 1.08 * estimate.minutes <= estimate.minutes_high
    assert estimate.central.core_c(estimate.minutes) == pytest.approx(estimate.core_c, abs=1e-6)
    assert estimate.central.reference_core_c(time) == pytest.approx(estimate.core_c, abs=1e-6)
    assert estimate.slowest_c_at(estimate.minutes_high) == pytest.approx(estimate.core_c, abs=1e-6)
    assert estimate.contributions == tuple(sorted(estimate.contributions, key=lambda c: -c.share))


@given(reference=bakes(), target=bakes(), time=minutes)
@LAW
def test_converting_there_and_back_gives_the_same_minutes(reference: Bake, target: Bake, time: float) -> None:
    for case in every_case(reference, target)[:8]:
        there = solve(reference, time, 96, target, case)
        assert solve(target, there.minutes, 96, reference, case).minutes == pytest.approx(time, rel=1e-9)


@given(reference=bakes(), time=minutes, more=rises)
@LAW
def test_a_slower_reference_is_a_slower_target(reference: Bake, time: float, more: float) -> None:
    deep = replace(reference, filled_depth_mm=reference.filled_depth_mm * 1.5)
    before, after = (estimate_bake(reference, each, deep).minutes for each in (time, time * more))
    # If the reference is slower than its heat content explains, the oven heats less readily: depth costs a little less.
    assert before < after < before * more * 1.05


def test_the_minutes_of_a_bake_say_how_readily_its_oven_heats() -> None:
    # In the limits of conduction, time grows with the depth where air heats slowly, and with its square where it heats
    # fast.
    broad = bake("square 90 cm", 30)
    ratios = [estimate_bake(broad, each, replace(broad, filled_depth_mm=60.0)).minutes / each for each in (25, 40, 60)]
    assert 4 > ratios[0] > ratios[1] > ratios[2] > 2


def target_times(reference: Bake, target: Bake) -> list[float]:
    """The target's minutes in every case whose figures are those of both bakes."""
    common = [c for c in every_case(reference, target) if not (c.heat.oven_error_c or c.heat.start_error_c)]
    return [solve(reference, 45, 96, target, case).minutes for case in common]


@given(reference=bakes(pieces=True), tin=upright_tins(), more=rises)
@LAW
def test_a_deeper_batter_takes_longer(reference: Bake, tin: Tin, more: float) -> None:
    shallow = replace(reference, tin=tin)
    deep = replace(shallow, filled_depth_mm=reference.filled_depth_mm * more)
    assert all(t > 45 for t in target_times(shallow, deep))
    assert all(t < 45 for t in target_times(deep, shallow))


@given(depth=st.floats(15, 80), side=st.floats(100, 400), more=rises, shape=st.sampled_from(["square", "round"]))
@LAW
def test_a_wider_tin_takes_no_less_time(depth: float, side: float, more: float, shape: str) -> None:
    small, wide = (bake(f"{shape} {size:.3f} mm", depth) for size in (side, side * more))
    assert all(t >= 45 * (1 - 1e-9) for t in target_times(small, wide))


@given(reference=bakes(pieces=True), degrees=st.integers(1, 60))
@LAW
def test_a_hotter_oven_is_quicker(reference: Bake, degrees: int) -> None:
    assert reference.oven.quantity is not None
    hotter = parse_oven(f"{int(reference.oven.quantity.amount) + degrees} c", fan=reference.oven.fan)
    assert all(t < 45 for t in target_times(reference, replace(reference, oven=hotter)))


@given(reference=bakes(), colder=st.floats(0.5, 20))
@LAW
def test_a_colder_batter_takes_longer(reference: Bake, colder: float) -> None:
    cold = replace(reference, start_c=max(0.0, reference.start_c - colder))
    assert all(t > 45 for t in target_times(reference, cold))
    assert all(t < 45 for t in target_times(cold, reference))


@given(reference=bakes(), diameter=st.floats(8, 40), colder=st.floats(1, 15))
@LAW
def test_pieces_are_the_last_place_to_cook(reference: Bake, diameter: float, colder: float) -> None:
    start = max(0.0, reference.start_c - colder)
    with_pieces = replace(reference, pieces=BatterPieces(diameter_mm=diameter, start_c=start))
    estimate = estimate_bake(reference, 45, with_pieces)
    assert estimate.without_pieces == pytest.approx(45)
    assert estimate.minutes > 45
    plain = estimate_bake(reference, 45, reference)
    assert estimate.minutes_high >= plain.minutes_high
    assert estimate.cautions[0].id == "pieces_last"
    bigger = replace(reference, pieces=BatterPieces(diameter_mm=diameter * 1.2, start_c=start))
    assert estimate_bake(reference, 45, bigger).minutes >= estimate.minutes


def test_more_cold_pieces_take_longer_and_no_pieces_change_nothing() -> None:
    counted = [
        estimate_bake(PARKIN, 45, replace(PARKIN, pieces=replace(COLD_PIECE, count=count))) for count in (1, 9, 30)
    ]
    assert counted[0].minutes < counted[1].minutes < counted[2].minutes
    none = estimate_bake(PARKIN, 45, replace(PARKIN, pieces=replace(COLD_PIECE, count=0)))
    assert (none.minutes, none.without_pieces) == (45, None)
    assert "pieces_last" not in {caution.id for caution in none.cautions}


def test_time_grows_at_most_as_thickness_squared() -> None:
    # A plane wall with a fixed surface temperature takes four times as long at twice the thickness (the equation's
    # scaling). A thin wall with a film takes only twice as long (lumped). A bake lies between the two.
    wide = "square 1500 mm"
    for times in target_times(bake(wide, 20), bake(wide, 40)):
        assert 2 * 45 < times < 4 * 45


def test_a_wide_wall_by_hand() -> None:
    # Worked by hand with the printed one-term coefficients (ht-table): Bi = 1 on a wide wall 25 mm thick (film 20,
    # conductivity 0.25: 80 per m), 180 °C, start 20, core 96, share 1. θ = 84/160 = 1.1191·exp(−0.8603²·Fo), so
    # Fo = ln(1.1191/0.525)/0.7401 = 1.0227; twice as thick is Bi = 2, which the table does not have; a colder
    # start, 5 °C: θ = 84/175, Fo = ln(1.1191/0.48)/0.7401 = 1.1437, so 45 minutes become 50.3.
    case = Case(heat=HeatFigures(film=20, conductivity=0.25, surface_share=1.0, fan_offset_c=20))
    wall = bake("square 2000 mm", 25)
    estimate = solve(wall, 45, 96, replace(wall, start_c=5.0), case)
    assert estimate.minutes == pytest.approx(45 * 1.1437 / 1.0227, rel=2e-3)
    assert estimate.diffusivity == pytest.approx(1.0227 * 12.5**2 / 45, rel=2e-3)


def test_a_fan_oven_is_hotter_by_its_offset() -> None:
    fixed = Fraction(20)
    fan = bake(oven="160 celsius", fan=True, fan_offset_c=fixed)
    assert estimate_bake(PARKIN, 45, fan).minutes == 45
    assert "fan_offset_varies" not in codes(estimate_bake(PARKIN, 45, fan))
    unsaid = estimate_bake(PARKIN, 45, bake(oven="160 celsius", fan=True))
    assert "fan_offset_varies" in codes(unsaid)
    assert unsaid.minutes == 45
    stated = estimate_bake(PARKIN, 45, fan)
    assert unsaid.minutes_high - unsaid.minutes_low > stated.minutes_high - stated.minutes_low


def test_gas_mark_and_fahrenheit_are_the_same_oven() -> None:
    mark, fahrenheit = (bake(oven=oven) for oven in ("gas mark 4", "350 F"))
    assert estimate_bake(mark, 45, fahrenheit).minutes == 45


def test_a_better_conducting_tin_is_quicker_and_there_is_a_warning() -> None:
    bright, dark = (estimate_bake(PARKIN, 45, bake(material=m)) for m in ("bright_metal", "dark_metal"))
    assert bright.minutes > 45 > dark.minutes
    assert "tin_material_differs" in codes(bright)


@pytest.mark.parametrize(
    ("target", "code"),
    [
        (bake(depth=125), "depth_stretched"),
        (bake(depth=13), "depth_stretched"),
        (bake(oven="221 celsius"), "oven_stretched"),
        (bake("ring 25 x 8 cm", 60), "shape_approximated"),
        (bake("cavities 12 x 100 ml", 25), "shape_approximated"),
        (bake("hexagon 20 cm", 40), "shape_approximated"),
        (bake("square 20 x 3 cm", 40), "past_rim"),
        (replace(PARKIN, pieces=BatterPieces(diameter_mm=50, start_c=4)), "pieces_stick_out"),
    ],
)
def test_a_bake_near_the_limits_of_the_model_gets_a_warning(target: Bake, code: str) -> None:
    assert code in codes(estimate_bake(PARKIN, 45, target))


def test_an_ordinary_bake_gets_no_warning() -> None:
    assert not codes(estimate_bake(PARKIN, 45, bake("round 23 cm", 45, "165 celsius")))
    assert "unusual_reference" in codes(estimate_bake(PARKIN, 2, PARKIN))


def test_the_rule_of_thumb_is_part_of_the_estimate() -> None:
    rules = [estimate_bake(PARKIN, 40, bake(depth=d)).rule_of_thumb for d in (50, 41, 30)]
    assert [rule and rule.minutes for rule in rules] == [50, 40, 30]
    assert {rule and rule.cited.source for rule in rules} == {"trade-common"}


def test_the_rule_of_thumb_says_nothing_about_a_change_from_a_slab_to_cups() -> None:
    cups = bake("cavities 12 x 100 ml x 38 mm", 30)
    assert estimate_bake(PARKIN, 40, cups).rule_of_thumb is None
    assert estimate_bake(cups, 20, PARKIN).rule_of_thumb is None
    assert estimate_bake(cups, 20, cups).rule_of_thumb is not None


def test_the_rule_of_thumb_is_inside_the_window_for_a_fifth_deeper() -> None:
    # Common practice: a deeper tin takes a quarter more time. For a normal tin this means a fifth more depth.
    estimate = estimate_bake(PARKIN, 45, bake(depth=48))
    assert estimate.rule_of_thumb is not None
    assert estimate.minutes_low <= estimate.rule_of_thumb.minutes <= estimate.minutes_high


def test_the_curve_rises_to_the_core_at_its_time() -> None:
    estimate = estimate_bake(PARKIN, 45, bake(depth=55))
    curve = heating_curve(estimate, 45)
    assert curve[0].core_c == curve[0].reference_c == 20
    assert all(b.core_c >= a.core_c and b.reference_c >= a.reference_c for a, b in pairwise(curve))
    assert all(point.slowest_c <= point.core_c + 1e-9 for point in curve if point.minutes >= estimate.minutes_low)
    before = max(point.minutes for point in curve if point.core_c < estimate.core_c)
    assert before <= estimate.minutes <= before + curve[1].minutes


def test_lethality_of_a_linear_rise_by_hand() -> None:
    # For a core that rises r °C a minute to T1, ∫ 10^((T−70)/z) dt is z/(r·ln 10)·10^((T1−70)/z) (calculus).
    exact = 7.5 / (2 * math.log(10)) * (10 ** ((80 - 70) / 7.5) - 10 ** ((20 - 70) / 7.5))
    assert lethality(lambda t: 20 + 2 * t, 30).minutes == pytest.approx(exact, rel=1e-3)


def test_lethality_at_the_start_of_the_window_is_that_of_the_slowest_case() -> None:
    estimate = estimate_bake(PARKIN, 45, bake(depth=60))
    assert estimate.lethality.at_minutes == estimate.minutes_low
    assert estimate.lethality.core_c == estimate.slowest_c_at(estimate.minutes_low) < estimate.core_c


def test_every_assumption_is_a_range_with_a_source() -> None:
    for swept in RANGES.values():
        assert swept.low < swept.central < swept.high, swept.parameter
        assert swept.cited.confidence in {"recalled", "own"}, "none of these was read for the caller's oven: say so"


def hold_messages(core_c: float, time: float) -> tuple[BakeEstimate, list[str]]:
    estimate = estimate_bake(bake(), time, bake(), core_c)
    return estimate, [notice.message for notice in estimate.notices if notice.code == "short_of_hold"]


def test_a_bake_past_the_general_hold_is_still_checked_against_e_coli_in_flour() -> None:
    estimate, messages = hold_messages(78, 120)
    assert estimate.lethality.minutes > 2
    assert lethality(estimate.slowest_c_at, estimate.minutes_low, Z_FLOUR_C).minutes < FLOUR_HOLD_MINUTES
    assert ["E. coli" in message for message in messages] == [True]


@pytest.mark.parametrize(("core_c", "time", "warned"), [(66, 60, 1), (95, 45, 0)])
def test_a_bake_has_a_warning_a_short_hold_once_or_not_at_all(core_c: float, time: float, warned: int) -> None:
    _, messages = hold_messages(core_c, time)
    assert len(messages) == warned
    assert not any("E. coli" in message for message in messages)
