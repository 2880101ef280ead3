"""The level of a bake's window, and what narrows and widens it: load, further bakes, the formula's own ranges."""

import math
import random
from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.baking.assumptions import RANGES, BatterFigures, Case, HeatFigures, Sweep, Swept, central_case, sweeps
from domain.baking.calibration import MIN_SPREAD, TimedBake
from domain.baking.cases import Bake, solve, stretch_of
from domain.baking.oven_load import OvenLoad
from domain.baking.window import BakeEstimate, estimate_bake
from domain.errors import DomainErrors
from tests.domain.test_baking import PARKIN, bake, bakes, target_times
from tests.strategies import LAW


def test_the_share_of_random_bakes_in_the_window_is_its_level() -> None:
    """Monte Carlo: every figure from a normal distribution whose middle 80 % is its range, solved without slopes."""
    dice = random.Random(20261127)  # noqa: S311 - reproducible draws, not a secret
    inside = total = 0
    for reference, target in (
        (bake(), bake("rectangle 30 x 20 cm", 50)),
        (bake(), bake("round 15 cm", 60, "165 celsius")),
        (bake("round 23 cm", 30), bake("rectangle 21 x 11 cm", 55)),
    ):
        estimate = estimate_bake(reference, 45, target)
        middle = central_case(Swept())
        for _ in range(300):
            case = middle
            for sweep in sweeps(Swept()):
                case = _moved(case, middle, sweep, dice.gauss(0, 1 / 1.2816))
            day = replace(target, start_c=target.start_c + dice.gauss(0, 2 / 1.2816))
            day_case = replace(case, heat=replace(case.heat, oven_error_c=dice.gauss(0, 5 / 1.2816)))
            usual = solve(reference, 45, 96, target, case).minutes
            # With one minute as its time, a bake's diffusivity is its diffusivity times time.
            of_day = solve(day, 1, 96, day, day_case).diffusivity * stretch_of(day, day_case)
            as_stated = solve(target, 1, 96, target, case).diffusivity * stretch_of(target, case)
            noise = math.exp(dice.gauss(0, math.hypot(0.08, 0.05, 0.05) / 1.2816))
            minutes_ = usual * of_day / as_stated * noise
            inside += estimate.minutes_low <= minutes_ <= estimate.minutes_high
            total += 1
    assert inside / total == pytest.approx(0.8, abs=0.06)


def _moved(case: Case, middle: Case, sweep: Sweep, share: float) -> Case:
    """Move the one figure that a sweep changes by a share of its range, on a logarithmic scale if it can be."""

    def between(low: float, centre: float, high: float) -> float:
        if low > 0:
            return float(centre * (high / low) ** (share / 2))
        return max(min(low, 0.0), centre + share * (high - low) / 2)

    heat = {
        name: between(getattr(sweep.low.heat, name), getattr(middle.heat, name), getattr(sweep.high.heat, name))
        for name in HeatFigures.__slots__
        if getattr(sweep.low.heat, name) != getattr(sweep.high.heat, name)
    }
    if "surface_share" in heat:
        heat["surface_share"] = min(heat["surface_share"], 1.5)
    stretch = {
        name: between(getattr(sweep.low, name), getattr(middle, name), getattr(sweep.high, name))
        for name in Case.__slots__
        if name != "heat" and getattr(sweep.low, name) != getattr(sweep.high, name)
    }
    changed: dict[str, Any] = {**stretch, **({"heat": replace(case.heat, **heat)} if heat else {})}
    return replace(case, **changed)


def test_a_statement_of_the_level_and_its_basis() -> None:
    estimate = estimate_bake(PARKIN, 45, bake(depth=50))
    assert estimate.level_percent == 80
    assert "one bake that works" in estimate.basis
    assert {c.parameter for c in estimate.contributions} >= {"conductivity", "breadth_exponent", "time_repeatability"}


@given(reference=bakes(), tins=st.integers(1, 20), shelves=st.integers(1, 5), openings=st.integers(0, 5))
@LAW
def test_a_heavier_load_is_never_faster_and_widens_the_window(
    reference: Bake, tins: int, shelves: int, openings: int
) -> None:
    full = replace(reference, load=OvenLoad(tins=max(tins, shelves), shelves=shelves, openings=openings))
    assert all(t >= 45 for t in target_times(reference, full))
    alone, loaded = (estimate_bake(reference, 45, target) for target in (reference, full))
    assert loaded.minutes_high / loaded.minutes >= alone.minutes_high / alone.minutes - 1.01 / 45
    fuller = replace(full, load=replace(full.load, tins=full.load.tins + 1, openings=openings + 1))
    assert estimate_bake(reference, 45, fuller).minutes > loaded.minutes


def test_the_load_of_the_reference_counts_as_well() -> None:
    load = OvenLoad(tins=4, shelves=2)
    assert estimate_bake(replace(PARKIN, load=load), 45, replace(PARKIN, load=load)).minutes == 45
    assert estimate_bake(replace(PARKIN, load=load), 45, PARKIN).minutes < 45


def test_a_load_out_of_range_is_named() -> None:
    with pytest.raises(DomainErrors) as refused:
        OvenLoad(tins=0, openings=-1)
    assert [error.path for error in refused.value.errors] == [("tins",), ("openings",)]
    with pytest.raises(DomainErrors) as refused:
        OvenLoad(tins=1, shelves=2)
    assert [error.path for error in refused.value.errors] == [("shelves",)]


def test_several_bakes_that_work_narrow_the_window() -> None:
    target = bake("round 15 cm", 65)
    alone = estimate_bake(PARKIN, 45, target)
    middle = alone.central.case
    log = tuple(
        TimedBake(bake=each, minutes=solve(PARKIN, 45, 96, each, middle).minutes)
        for each in (bake("rectangle 30 x 20 cm", 30), bake("round 18 cm", 55), bake("square 15 cm", 60))
    )
    together = estimate_bake(PARKIN, 45, target, more_references=log)
    # All of the log follow the central case, so it draws the answer to that case.
    central = solve(PARKIN, 45, 96, target, middle).minutes
    assert abs(together.minutes - central) < abs(alone.minutes - central)
    assert together.minutes == pytest.approx(central, rel=0.02)
    assert together.minutes_high - together.minutes_low < alone.minutes_high - alone.minutes_low
    assert together.references == 4
    assert together.scatter == pytest.approx(0, abs=0.02)
    assert alone.scatter is None
    assert "4 bakes" in together.basis


def test_bakes_that_disagree_widen_the_window_and_say_by_how_much() -> None:
    def window(*minutes_: float) -> BakeEstimate:
        log = tuple(TimedBake(bake=PARKIN, minutes=m) for m in minutes_[1:])
        return estimate_bake(PARKIN, minutes_[0], bake(depth=45), more_references=log)

    steady, wild = window(45, 46, 44, 45), window(45, 70, 30, 45)
    assert wild.scatter is not None
    assert steady.scatter is not None
    assert wild.scatter > 0.3
    assert steady.scatter < 0.05
    assert wild.minutes_high - wild.minutes_low > steady.minutes_high - steady.minutes_low
    # Equal bakes: least squares gives the geometric mean, by symmetry.
    same = estimate_bake(PARKIN, 40, PARKIN, more_references=(TimedBake(bake=PARKIN, minutes=50),))
    assert same.minutes == pytest.approx(math.sqrt(40 * 50), rel=1e-9)


def test_a_log_of_bakes_out_of_range_is_named_bake_by_bake() -> None:
    log = (TimedBake(bake=PARKIN, minutes=40), TimedBake(bake=PARKIN, minutes=0))
    with pytest.raises(DomainErrors) as refused:
        estimate_bake(PARKIN, 45, PARKIN, more_references=log)
    assert [error.path for error in refused.value.errors] == [("references", 1, "minutes")]
    with pytest.raises(DomainErrors) as refused:
        estimate_bake(PARKIN, 45, PARKIN, more_references=log[:1] * 30)
    assert [error.path for error in refused.value.errors] == [("references",)]


def test_a_batter_whose_properties_are_known_has_a_narrower_window() -> None:
    target = bake(depth=60)
    usual = estimate_bake(PARKIN, 45, target)
    batter = BatterFigures(
        conductivity=replace(RANGES["conductivity"], low=0.45, central=0.5, high=0.55),
        rise=replace(RANGES["rise"], low=1.35, central=1.4, high=1.45),
    )
    own = estimate_bake(PARKIN, 45, target, batter=batter)
    assert own.minutes == pytest.approx(usual.minutes, rel=0.05)
    assert own.minutes_high - own.minutes_low < usual.minutes_high - usual.minutes_low
    assert math.log(own.minutes / own.minutes_low) >= MIN_SPREAD


def test_a_tin_twice_as_deep_has_a_window_within_a_quarter() -> None:
    for tin in ("round 15 cm", "round 20 cm", "square 25 cm", "rectangle 33 x 23 cm"):
        for depth in (25, 30, 35):
            shallow, deep = bake(tin, depth, "175 celsius"), bake(tin, 2 * depth, "175 celsius")
            estimate = estimate_bake(shallow, 32, deep)
            assert (estimate.minutes_high - estimate.minutes_low) / 2 / estimate.minutes < 0.26
