"""A window of minutes for a new tin, oven or depth, from a bake that works."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from domain.baking.assumptions import ANY_BATTER, BatterFigures, Swept, errors_of_a_bake, sweeps
from domain.baking.bake_notices import bake_notices
from domain.baking.calibration import Contribution, TimedBake, calibrate
from domain.baking.cases import USUAL_START_C, WARMEST_START_C, Bake, SolvedCase, solved_heating, surroundings_c
from domain.baking.core_safety import (
    FLOUR_HOLD_MINUTES,
    HOLDS,
    REFERENCE_C,
    Z_FLOUR_C,
    Caution,
    Lethality,
    cautions,
    lethality_of,
    temperatures,
)
from domain.baking.oven import Oven, conventional_c, fan_offset_matters
from domain.baking.usual_cores import CAKE, usual_core
from domain.errors import ErrorCollector, OutOfRangeError, broken_limit
from domain.formulas.kinds import FormulaKind
from domain.measures.definitions import BOILING_C
from domain.notices import Notice
from domain.sources import Cited, cite
from domain.tins.shapes import CavitiesTin

MIN_MINUTES, MAX_MINUTES = 0.1, 1_440.0  # our own limits: a few seconds, a day
USUAL_CORE_C = CAKE.core_c
REACH_C = 1.0  # our own limit: a core nearer to its surroundings takes arbitrarily long
CHECK_EARLY = 0.1  # of the window's start: our own judgement of the error of an oven's thermostat
THUMB_QUARTER = 0.25  # common practice, see `RuleOfThumb`
THUMB_SAME_DEPTH = 0.1  # a depth within a tenth counts as the same; our own judgement
CURVE_STEPS = 60  # enough for a plot
CURVE_PAST = 1.1
# The longest hold at the reference temperature of the lethality.
HOLD_MINUTES = max(hold.seconds for hold in HOLDS if hold.celsius == REFERENCE_C) / 60
LEVEL_PERCENT = 80  # of bakes fall inside the window: every range is stated at this level
SHOWN_CONTRIBUTIONS, SHOWN_SHARE = 6, 0.005  # the rest widens the window by next to nothing
MAX_REFERENCES = 30  # our own limit: it bounds the work of one estimate
SNAP = 1e-9  # relative: the last digit of a search must not widen a window by a minute
THUMB_CITED = cite("trade-common", "a quarter more or less time for a deeper or shallower tin", "recalled")


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleOfThumb:
    """The trade's rule without physics: a quarter more time if deeper, a quarter less if shallower."""

    factor: float
    minutes: float
    cited: Cited = THUMB_CITED


@dataclass(frozen=True, slots=True, kw_only=True)
class BakeEstimate:
    """The window, the case behind it, the cautions and the warnings.

    `minutes` is the median; `level_percent` of bakes fall between `minutes_low` and `minutes_high`, which are widened
    to whole minutes. `basis` says on what this rests, `contributions` what widens it most, the widest first.
    `references` is how many bakes calibrate it, `scatter` how far those lie from the model, as a share of their
    minutes; None for fewer than three. `lethality` is the heating of the core until the window's start, in the slowest
    case. `without_pieces` is the batter alone, if there are pieces.
    """

    reference: Bake
    target: Bake
    core_c: float
    minutes: float
    minutes_low: int
    minutes_high: int
    check_from_minutes: int
    without_pieces: float | None
    central: SolvedCase
    contributions: tuple[Contribution, ...]
    references: int
    scatter: float | None
    lethality: Lethality
    rule_of_thumb: RuleOfThumb | None
    cautions: tuple[Caution, ...]
    notices: tuple[Notice, ...]

    @property
    def level_percent(self) -> int:
        """How many of a hundred bakes fall inside the window."""
        return LEVEL_PERCENT

    @property
    def scatter_percent(self) -> float | None:
        """The scatter in percent."""
        return None if self.scatter is None else 100 * self.scatter

    @property
    def widest(self) -> tuple[Contribution, ...]:
        """The contributions that widen the window most."""
        return tuple(each for each in self.contributions[:SHOWN_CONTRIBUTIONS] if each.share >= SHOWN_SHARE)

    @property
    def basis(self) -> str:
        """On what the window rests, in words."""
        bakes = "one bake that works" if self.references == 1 else f"{self.references} bakes that work"
        return (
            f"Worked out from {bakes}. {LEVEL_PERCENT} of 100 bakes should be done within these minutes, which allow "
            "for the differences between ovens and between batters. Most of that allowance is our own judgement; a log "
            "of your own bakes narrows it."
        )

    def core_c_at(self, minutes: float) -> float:
        """The temperature of the target's core after *minutes*, in a bake that takes the median."""
        return self._core_c(minutes, self.minutes)

    def slowest_c_at(self, minutes: float) -> float:
        """The same in a bake that takes until the window's end."""
        return self._core_c(minutes, self.minutes_high)

    def fastest_c_at(self, minutes: float) -> float:
        """The same in a bake that takes until the window's start."""
        return self._core_c(minutes, max(self.minutes_low, MIN_MINUTES))

    def _core_c(self, minutes: float, done_minutes: float) -> float:
        return self.central.core_c(minutes / done_minutes * self.central.minutes)


@dataclass(frozen=True, slots=True, kw_only=True)
class CurvePoint:
    """Core temperatures after some minutes: the target's central, slowest and fastest case, and the reference's."""

    minutes: float
    core_c: float
    slowest_c: float
    fastest_c: float
    reference_c: float


@lru_cache(maxsize=128)  # the same tins come again, and the results are immutable
def estimate_bake(  # noqa: PLR0917 - a cache takes arguments by their place
    reference: Bake,
    minutes: float,
    target: Bake,
    core_c: float = USUAL_CORE_C,
    more_references: tuple[TimedBake, ...] = (),
    batter: BatterFigures = ANY_BATTER,
) -> BakeEstimate:
    """Estimate when the target is likely to be done.

    Args:
        reference: the bake that works.
        minutes: how long it takes, from `MIN_MINUTES` to `MAX_MINUTES`.
        target: the bake to estimate.
        core_c: the core of all of them when done; with pieces, the middle of a piece.
        more_references: further bakes of the same formula, at most `MAX_REFERENCES` - 1, such as a shop's log.
        batter: how this batter rises and takes up heat.
    Returns:
        The estimate. The same bake as target, and no further reference, gives the same minutes.
    Raises:
        DomainErrors: `minutes`, `core_temperature` or `references` out of range, or an oven too cool for this core.
    Source:
        Transient conduction as in `domain.baking.conduction`, calibrated on the references; the window combines
        the ranges of `domain.baking.assumptions` to the first order (`domain.baking.least_squares`).
    """
    timed = (TimedBake(bake=reference, minutes=minutes), *more_references)
    _check(timed, target, core_c)
    bakes = (*(each.bake for each in timed), target)
    calibrated = calibrate(timed, target, core_c, _swept(bakes, target, batter))
    central, median = calibrated.central, calibrated.central.minutes
    low, high = _whole_minutes(median * math.exp(-calibrated.spread), median * math.exp(calibrated.spread))
    history = temperatures(lambda passed: central.core_c(passed / high * median), low)
    heated = lethality_of(history, low)
    return BakeEstimate(
        reference=reference,
        target=target,
        core_c=core_c,
        minutes=median,
        minutes_low=low,
        minutes_high=high,
        check_from_minutes=math.floor(low * (1 - CHECK_EARLY)),
        without_pieces=_without_pieces(central, target, core_c),
        central=central,
        contributions=calibrated.contributions,
        references=len(timed),
        scatter=calibrated.scatter,
        lethality=heated,
        rule_of_thumb=_rule_of_thumb(reference, target, minutes),
        cautions=cautions(pieces=any(bake.has_pieces for bake in bakes)),
        notices=(*bake_notices(reference, target, central), *_short_of_hold(heated.minutes, history, low)),
    )


def _check(timed: Sequence[TimedBake], target: Bake, core_c: float) -> None:
    """Check the number of bakes that work, the minutes of each, and that every oven can reach the core."""
    errors = ErrorCollector()
    if len(timed) > MAX_REFERENCES:
        message = f"At most {MAX_REFERENCES} bakes calibrate one."
        errors.errors.append(OutOfRangeError(message, path=("references",), value=len(timed), limit=MAX_REFERENCES))
    for index, each in enumerate(timed[:MAX_REFERENCES]):
        with errors.at(*(("references", index - 1) if index else ()), "minutes"):
            if not MIN_MINUTES <= each.minutes <= MAX_MINUTES:
                raise OutOfRangeError(
                    f"A bake that works takes from {MIN_MINUTES:g} to {MAX_MINUTES:,g} minutes.",
                    value=each.minutes,
                    limit=broken_limit(each.minutes, MIN_MINUTES, MAX_MINUTES),
                    unit="minutes",
                )
    reference, *more_references = timed
    with errors.at():
        check_core(core_c, reference=reference.bake.oven, target=target.oven)
    checked = {reference.bake.oven, target.oven}
    for index, each in enumerate(more_references[:MAX_REFERENCES]):
        if each.bake.oven not in checked:
            checked.add(each.bake.oven)
            with errors.at("references", index):
                check_core(core_c, reference=each.bake.oven, target=target.oven)
    errors.raise_if_any()


def _swept(bakes: Sequence[Bake], target: Bake, batter: BatterFigures) -> Swept:
    return Swept(
        fan_offset=any(fan_offset_matters(bake.oven, target.oven) for bake in bakes),
        material=any(bake.material != target.material for bake in bakes),
        pieces=any(bake.has_pieces for bake in bakes),
        batter=batter,
    )


def check_core(core_c: float, *, reference: Oven | None, target: Oven | None) -> None:
    """Check that a core temperature means a baked core, and that the ovens can reach it.

    Args:
        core_c: of the core when done.
        reference: the oven of the bake that works; None if it is not known.
        target: the oven of the bake to estimate; None if it is not known.
    Raises:
        DomainErrors: the core is not above the warmest start (`core_temperature`), or the batter's surface stays too
            cool in an oven (`("reference", "oven")`, `("target", "oven")`).
    """
    errors = ErrorCollector()
    with errors.at("core_temperature"):
        if core_c <= WARMEST_START_C:
            message = f"A baked core is hotter than {WARMEST_START_C:g} °C: check the core temperature."
            raise OutOfRangeError(message, value=core_c, limit=WARMEST_START_C, unit="celsius")
    swept = Swept(fan_offset=fan_offset_matters(reference, target))
    ends = [case.heat for s in (*sweeps(swept), *errors_of_a_bake(swept)) for case in (s.low, s.high)]
    for name, oven in (("reference", reference), ("target", target if target != reference else None)):
        if oven is None or oven.quantity is None:
            continue
        settings = {offset: conventional_c(oven, offset) for offset in {figures.fan_offset_c for figures in ends}}
        surface_c = min(surroundings_c(settings[figures.fan_offset_c], figures) for figures in ends)
        with errors.at(name, "oven"):
            if core_c > surface_c - REACH_C:
                raise OutOfRangeError(
                    f"A core of {core_c:g} °C is out of this oven's reach while steam keeps the batter's surface near "
                    f"{surface_c:.0f} °C: set the oven hotter or the core lower.",
                    code="core_out_of_reach",
                    value=core_c,
                    limit=surface_c - REACH_C,
                    unit="celsius",
                )
    errors.raise_if_any()


def assumed_figures(*, core_c: float | None, start_c: float | None, kind: FormulaKind) -> tuple[Notice, ...]:
    """A warning for each figure that was not given and for which the usual one is used.

    Args:
        core_c: of the core when done; None for the usual one of the kind.
        start_c: of the batter at the start; None for `USUAL_START_C`.
        kind: of the mix.
    Returns:
        Warnings about `core_temperature` and `start_temperature`.
    """
    notices = []
    if core_c is None:
        usual = usual_core(kind)
        message = f"Not given: {usual.core_c:g} °C is used, common practice for {usual.mixes}."
        notices.append(Notice("assumed_figure", message, ("core_temperature",), value=usual.core_c, unit="celsius"))
    if start_c is None:
        message = f"Not given: {USUAL_START_C:g} °C is used."
        notices.append(Notice("assumed_figure", message, ("start_temperature",), value=USUAL_START_C, unit="celsius"))
    return tuple(notices)


def _short_of_hold(heated: float, history: tuple[float, ...], until_minutes: float) -> tuple[Notice, ...]:
    if heated < HOLD_MINUTES:
        message = (
            f"If this bakes slowly and comes out after {until_minutes:g} minutes already, its core has had only as"
            f" much heat as {heated:.2f} minutes at 70 °C give; the usual rule is {HOLD_MINUTES:g}. Take it out by the"
            " probe, not by the clock."
        )
        return (Notice("short_of_hold", message, ("target",), heated, HOLD_MINUTES, "minutes"),)
    # Below 70 °C E. coli in raw flour takes longer than the general hold says.
    against_coli = lethality_of(history, until_minutes, Z_FLOUR_C).minutes
    if against_coli < FLOUR_HOLD_MINUTES:
        message = (
            f"Raw flour can carry E. coli. If this bakes slowly and comes out after {until_minutes:g} minutes"
            f" already, its core has had only as much heat as {against_coli:.2f} minutes at 70 °C give, and it needs"
            f" {FLOUR_HOLD_MINUTES:.1f}. Take it out by the probe, not by the clock."
        )
        return (Notice("short_of_hold", message, ("target",), against_coli, FLOUR_HOLD_MINUTES, "minutes"),)
    return ()


def heating_curve(estimate: BakeEstimate, reference_minutes: float) -> tuple[CurvePoint, ...]:
    """Core temperature against time, for a plot.

    Args:
        estimate: of `estimate_bake`.
        reference_minutes: how long the reference takes.
    Returns:
        Points at equal steps, from the start to a tenth past the later end of both bakes. A wet crumb gets no
        hotter than boiling: the curves stop there, or at `core_c` if that is higher.
    """
    step = CURVE_PAST * max(estimate.minutes_high, reference_minutes) / CURVE_STEPS
    most = max(BOILING_C, estimate.core_c)
    return tuple(
        CurvePoint(
            minutes=t,
            core_c=min(most, estimate.core_c_at(t)),
            slowest_c=min(most, estimate.slowest_c_at(t)),
            fastest_c=min(most, estimate.fastest_c_at(t)),
            reference_c=min(most, estimate.central.reference_core_c(t)),
        )
        for t in (step * i for i in range(CURVE_STEPS + 1))
    )


def _whole_minutes(earliest: float, latest: float) -> tuple[int, int]:
    low, high = math.floor(earliest * (1 + SNAP)), math.ceil(latest * (1 - SNAP))
    return (low, high) if low < high else (max(0, low - 1), high + 1)


def _without_pieces(central: SolvedCase, target: Bake, core_c: float) -> float | None:
    if not target.has_pieces:
        return None
    plain = solved_heating(replace(target, pieces=None), core_c, central.case.heat)[1]
    return plain / central.diffusivity * central.stretch


def _rule_of_thumb(reference: Bake, target: Bake, minutes: float) -> RuleOfThumb | None:
    if isinstance(reference.tin, CavitiesTin) != isinstance(target.tin, CavitiesTin):
        return None  # a rule for the depth of a tin says nothing about a change from a slab to cups
    change = target.filled_depth_mm / reference.filled_depth_mm - 1
    factor = 1.0 if abs(change) <= THUMB_SAME_DEPTH else 1 + math.copysign(THUMB_QUARTER, change)
    return RuleOfThumb(factor=factor, minutes=minutes * factor)
