"""Calibration of the model on bakes that work, and the spread of its prediction for a target."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from domain.baking.assumptions import (
    RANGES,
    Case,
    Sweep,
    Swept,
    central_case,
    errors_of_a_bake,
    sweeps,
)
from domain.baking.cases import Bake, SolvedCase, film_coefficient, solve, solved_heating, stretch_of
from domain.baking.frozen_pieces import THAW_ERROR, UNFROZEN_C
from domain.baking.least_squares import Observed, Prediction, predict

MIN_SPREAD = math.log(1 / 0.92)  # our own limit: no window is narrower than 8 %, since no oven repeats more closely
REFERENCE_ERROR = 0.05  # our own judgement: a usual time is read to the nearest five minutes

MM2_PER_MINUTE = 60.0  # definition: W/(m K) over MJ/(m³ K) is mm²/s
MAX_SURPRISE = 2.0  # our own limit, in likely errors: minutes that surprise more are a slip, not a batter
BODY_MISFIT = 0.05  # our own judgement: what the model leaves out of one tin and depth, as a share of its minutes
FILM_SWEEPS = frozenset({"film_coefficient", "conductivity", "radiation_share", "material_exponent"})


@dataclass(frozen=True, slots=True, kw_only=True)
class TimedBake:
    """A bake that works, and how long it takes to be done."""

    bake: Bake
    minutes: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Contribution:
    """How much one assumption widens the window: a share of the minutes, before all are combined."""

    parameter: str
    share: float

    @property
    def percent(self) -> float:
        """The share in percent."""
        return 100 * self.share


@dataclass(frozen=True, slots=True, kw_only=True)
class Calibrated:
    """The central case with the fitted minutes, and how far ln(minutes) spreads at the level of the ranges.

    `scatter` is how far the bakes lie from the model, as a share of their minutes; None for fewer than three.
    """

    central: SolvedCase
    spread: float
    contributions: tuple[Contribution, ...]
    scatter: float | None


def calibrate(timed: Sequence[TimedBake], target: Bake, core_c: float, swept: Swept) -> Calibrated:
    """Fit the model to the bakes that work, and predict the target.

    Args:
        timed: at least one bake. One alone gives its own minutes for an equal target, bit for bit.
        target: the bake to predict.
        core_c: core temperature of every bake when it is done, °C.
        swept: the ranges to sweep.
    Returns:
        The central case and its spread.
    """
    shared, middle = sweeps(swept), central_case(swept)
    observed = [
        replace(each_observed, error=math.hypot(REFERENCE_ERROR, 0.0 if each.bake.body == target.body else BODY_MISFIT))
        for each, each_observed in zip(timed, _observed(tuple(timed), core_c, swept), strict=True)
    ]
    slopes = _slopes(target, core_c, shared)
    prior = _slowness(observed[0], shared, swept)
    prediction = predict(observed, _log_s(target, core_c, middle), slopes, prior)
    central = solve(timed[0].bake, timed[0].minutes, core_c, target, middle)
    if len(timed) > 1:
        central = _fitted(central, prediction)
    elif timed[0].bake.has_pieces == target.has_pieces:  # pieces in one of them alone say nothing of the oven
        central = _shifted(central, prediction, slopes, observed[0].slopes)
    of_target = _contributions_of_target(timed, target, core_c, swept)
    contributions = of_target + _shared_contributions(shared, slopes, observed[0], prior)
    return Calibrated(
        central=central,
        spread=max(MIN_SPREAD, math.hypot(prediction.spread, *(each.share for each in of_target))),
        contributions=tuple(sorted(contributions, key=lambda contribution: -contribution.share)),
        scatter=prediction.scatter if len(timed) > 2 else None,
    )


def _fitted(central: SolvedCase, prediction: Prediction) -> SolvedCase:
    """The central case with the minutes that several bakes predict; it keeps the shape of its heating."""
    median = math.exp(prediction.log_minutes)
    return replace(central, minutes=median, diffusivity=central.diffusivity * central.minutes / median)


def _shifted(
    central: SolvedCase, prediction: Prediction, slopes: Sequence[float], reference_slopes: Sequence[float]
) -> SolvedCase:
    """The central case of one bake: only its difference from the target follows the shifted assumptions."""
    apart = zip(prediction.shifts, slopes, reference_slopes, strict=True)
    shift = math.exp(sum(by * (slope - before) for by, slope, before in apart))
    return replace(central, minutes=central.minutes * shift, stretch=central.stretch * shift)


def _contributions_of_target(
    timed: Sequence[TimedBake], target: Bake, core_c: float, swept: Swept
) -> list[Contribution]:
    """What widens the window of the target whatever the bakes that work say."""
    contributions = [Contribution(parameter="time_repeatability", share=RANGES["time_repeatability"].high)]
    contributions += [
        Contribution(parameter=sweep.parameter, share=abs(_slope(target, core_c, sweep)))
        for sweep in errors_of_a_bake(swept)
    ]
    if target.has_frozen_pieces:
        middle = central_case(swept)
        thaw = _log_thaw(target, core_c, middle) - _log_thaw(timed[0].bake, core_c, middle)
        contributions.append(Contribution(parameter="thawing", share=THAW_ERROR * abs(thaw)))
    if all(each.bake.body != target.body for each in timed):
        contributions.append(Contribution(parameter="shape_misfit", share=BODY_MISFIT))
    return contributions


def _shared_contributions(
    shared: Sequence[Sweep], slopes: Sequence[float], reference: Observed, prior: Observed
) -> list[Contribution]:
    """How far each shared assumption widens the window; the bake that works narrows those its minutes depend on."""
    differences, variance = _against_prior(reference, prior.slopes, prior.error)
    return [
        Contribution(parameter=sweep.parameter, share=abs(slope - before) * math.sqrt(1 - by * by / variance))
        for sweep, slope, before, by in zip(shared, slopes, reference.slopes, differences, strict=True)
    ]


def _against_prior(reference: Observed, prior_slopes: Sequence[float], prior_error: float) -> tuple[list[float], float]:
    """How the slowness by a bake differs from that by composition: by each assumption, and the variance of it all."""
    differences = [of_bake - of_batter for of_bake, of_batter in zip(reference.slopes, prior_slopes, strict=True)]
    return differences, reference.error**2 + prior_error**2 + sum(by * by for by in differences)


def _slowness(reference: Observed, shared: Sequence[Sweep], swept: Swept) -> Observed:
    """What composition and density say of the batter's slowness: the reciprocal of its diffusivity.

    Diffusivity is conductivity over the heat content of the risen batter. A bake that takes longer than that is in an
    oven that heats less readily.
    """
    heat_content = swept.batter.heat_content
    figures = central_case(swept).heat
    diffusivity = MM2_PER_MINUTE * figures.conductivity * figures.rise / heat_content.central
    slopes = [
        math.log(getattr(sweep.high.heat, sweep.parameter) / getattr(sweep.low.heat, sweep.parameter)) / 2
        if sweep.parameter in {"conductivity", "rise"}
        else 0.0
        for sweep in shared
    ]
    error = math.log(heat_content.high / heat_content.low) / 2
    # The minutes of the bake say a = ln(minutes) − ln(s); what they say beyond likely errors is left out.
    observed, expected = reference.log_minutes - reference.log_s, -math.log(diffusivity)
    most = MAX_SURPRISE * math.sqrt(_against_prior(reference, slopes, error)[1])
    expected = min(observed + most, max(observed - most, expected))
    return Observed(log_minutes=expected, log_s=0.0, slopes=tuple(slopes), error=error)


@lru_cache(maxsize=16)  # the bakes that work are the same for all targets of a request
def _observed(timed: tuple[TimedBake, ...], core_c: float, swept: Swept) -> tuple[Observed, ...]:
    shared, middle = sweeps(swept), central_case(swept)
    return tuple(
        Observed(
            log_minutes=math.log(each.minutes),
            log_s=_log_s(each.bake, core_c, middle),
            slopes=_slopes(each.bake, core_c, shared),
            error=REFERENCE_ERROR,
        )
        for each in timed
    )


def _log_s(bake: Bake, core_c: float, case: Case) -> float:
    return math.log(solved_heating(bake, core_c, case.heat)[1] * stretch_of(bake, case))


def _log_thaw(bake: Bake, core_c: float, case: Case) -> float:
    """How much longer frozen pieces make a bake, as a logarithm."""
    if bake.pieces is None or not bake.has_frozen_pieces:
        return 0.0
    unfrozen = replace(bake, pieces=replace(bake.pieces, start_c=UNFROZEN_C))
    return _log_s(bake, core_c, case) - _log_s(unfrozen, core_c, case)


def _slopes(bake: Bake, core_c: float, shared: Sequence[Sweep]) -> tuple[float, ...]:
    """`_slope` of each sweep; those that move only the film or the conductivity follow from the film's own.

    Only the ratio of film and conductivity matters, so one pair of solutions serves all of them.
    """
    by_film = next(sweep for sweep in shared if sweep.parameter == "film_coefficient")
    per_log = _slope(bake, core_c, by_film) / _log_ratio(bake, by_film)
    return tuple(
        per_log * _log_ratio(bake, sweep) if sweep.parameter in FILM_SWEEPS else _slope(bake, core_c, sweep)
        for sweep in shared
    )


def _log_ratio(bake: Bake, sweep: Sweep) -> float:
    low, high = (film_coefficient(bake, case.heat) / case.heat.conductivity for case in (sweep.low, sweep.high))
    return math.log(high / low)


def _slope(bake: Bake, core_c: float, sweep: Sweep) -> float:
    """How much ln(minutes) changes over half of a range."""
    return (_log_s(bake, core_c, sweep.high) - _log_s(bake, core_c, sweep.low)) / 2
