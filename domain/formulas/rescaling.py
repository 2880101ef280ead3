"""The main job: a formula written for one tin, for many target tins at once."""

import math
from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from domain.errors import DomainError, ErrorCollector, NeededError
from domain.formulas.formula import (
    EggTotal,
    Mass,
    Pieces,
    WeighedComponent,
    WeighedFormula,
    WeighedLine,
    above_zero,
    pieces_of,
    total,
)
from domain.measures.units import Measures
from domain.measures.weighing import Scales, Spoons, error_percent, spoons_for, weigh_grams
from domain.notices import Notice
from domain.things.eggs import NEARLY_WHOLE, EggClass, EggCount, EggPart, count_eggs, egg_mass
from domain.tins.geometry import depth_mm, fill_of, tin_factor
from domain.tins.shapes import Tin, walls_of
from domain.tins.text import tin_notices

TWO_THIRDS = 200 / 3  # percent; common practice for a batter that rises


@dataclass(frozen=True, slots=True, kw_only=True)
class Target:
    """What is wanted: a tin (`tins` of it, filled to `depth_mm` or as deep as before), a factor, or grams."""

    label: str
    tin: Tin | None = None
    tins: int = 1
    depth_mm: float | None = None
    factor: float | None = None
    grams: float | None = None

    def __post_init__(self) -> None:
        """Check the figures."""
        above_zero(tins=self.tins, depth=self.depth_mm, factor=self.factor, grams=self.grams)


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """What the bench has: spoons, eggs of these classes, scales with these steps."""

    measures: Measures | None = None
    available_eggs: tuple[EggClass, ...] = ()
    scales: Scales = field(default_factory=Scales)


class ScaledLine(NamedTuple):
    """A line for the target: exact mass, what to weigh, spoons if that makes sense, eggs if it is egg.

    A tuple, since a formula for many tins makes hundreds.
    """

    weighed: WeighedLine
    mass: Mass
    weigh_grams: float
    rounding_error_percent: float
    spoons: Spoons | None
    eggs: tuple[EggCount, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaledComponent:
    """A component for the target: the sum of its lines, and its pieces, whose mass stays."""

    weighed: WeighedComponent
    lines: tuple[ScaledLine, ...]
    mass: Mass
    pieces: Pieces | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaledEggs:
    """All of one part of the egg, counted in each class at hand."""

    part: EggPart
    mass: Mass
    counts: tuple[EggCount, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WholeEggBatch:
    """The nearest batch whose eggs come out whole, in one class.

    Where a formula uses more than one part of the egg in proportions that cannot all come out whole, the
    heaviest part does, and the others say what they are off by.
    """

    egg_class: str
    factor: float
    grams: float
    filled_depth_mm: float | None
    fill_percent: float | None
    eggs: tuple[EggCount, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rescaled:
    """The formula for one target; `notices` are its own, beside those of the formula."""

    target: Target
    factor: float
    mass: Mass
    filled_depth_mm: float | None
    fill_percent: float | None
    components: tuple[ScaledComponent, ...]
    eggs: tuple[ScaledEggs, ...]
    whole_egg_batches: tuple[WholeEggBatch, ...]
    rounding_error_percent: float
    notices: tuple[Notice, ...]


def rescale(weighed: WeighedFormula, targets: tuple[Target, ...], bench: Bench) -> tuple[Rescaled, ...]:
    """The formula for each target.

    Args:
        weighed: the formula in grams.
        targets: what is wanted, each by itself.
        bench: what there is to weigh and count with.
    Returns:
        One result a target, in order. Factor 1 gives the formula back, bit for bit.
    Raises:
        DomainErrors: every target that cannot be answered, each with its path.
    """
    findings, results = ErrorCollector(), []
    for i, target in enumerate(targets):
        with findings.at():
            results.append(_rescale_one(weighed, target, bench, i))
    # A formula without a filled depth would otherwise say so once a target.
    findings.errors = list({(error.path, error.code): error for error in findings.errors}.values())
    findings.raise_if_any()
    return tuple(results)


def _rescale_one(weighed: WeighedFormula, target: Target, bench: Bench, index: int) -> Rescaled:
    factor, filled_depth, percent, told = _factor(weighed, target, index)
    components = tuple(_scale_component(component, factor, bench) for component in weighed.components)
    lines = [line for component in components for line in component.lines]
    notices = [*told, *_fill_notices(weighed, percent)]
    notices += [
        Notice(code="weighs_nothing", message=f"{line.weighed.line.name}: too little for the scale's step.")
        for line in lines
        if line.weigh_grams == 0
    ]
    return Rescaled(
        target=target,
        factor=factor,
        mass=total([component.mass for component in components]),
        filled_depth_mm=filled_depth,
        fill_percent=percent,
        components=components,
        eggs=tuple(_scale_eggs(eggs, factor, bench) for eggs in weighed.eggs),
        whole_egg_batches=tuple(
            batch
            for egg_class in bench.available_eggs
            for batch in _whole_egg_batches(weighed, target, factor, egg_class)
        ),
        rounding_error_percent=max([abs(line.rounding_error_percent) for line in lines]),
        notices=tuple(notice.within("targets", index) for notice in notices),
    )


def _factor(
    weighed: WeighedFormula, target: Target, index: int
) -> tuple[float, float | None, float | None, tuple[Notice, ...]]:
    formula, here = weighed.formula, ("targets", index)
    if target.factor is not None:
        return target.factor, None, None, ()
    if target.grams is not None:
        return target.grams / weighed.mass.grams, None, None, ()
    if target.tin is None:
        raise NeededError("Say one of tin, factor or grams.", path=here, code="target-needed")
    if formula.tin is None:
        raise NeededError(
            "The formula's own tin is needed to fill another one: give formula.tin.",
            path=("formula", "tin"),
            code="tin-needed",
        )
    try:
        fit = tin_factor(
            formula.tin,
            target.tin,
            have_tins=formula.tins,
            want_tins=target.tins,
            filled_depth_mm=formula.filled_depth_mm,
            want_depth_mm=target.depth_mm,
        )
    except DomainError as error:
        # tin_factor speaks of have and want; the request has a formula and targets.
        places = {"have": ("formula", "tin"), "want": (*here, "tin"), "filled_depth": ("formula", "filled_depth")}
        place, *rest = error.path
        error.path = (*places.get(str(place), (*here, place)), *rest)
        raise
    return fit.factor, fit.filled_depth_mm, fit.fill_percent, (*tin_notices(target.tin), *fit.notices)


def _fill_notices(weighed: WeighedFormula, percent: float | None) -> tuple[Notice, ...]:
    if percent is None or not weighed.rises or not TWO_THIRDS < percent <= 100:
        return ()
    message = f"A batter that rises fills {percent:.0f} % of the tin; two thirds is the usual most."
    return (Notice(code="past_two_thirds", message=message),)


def _scale_component(component: WeighedComponent, factor: float, bench: Bench) -> ScaledComponent:
    lines = tuple([_scale_line(line, factor, bench) for line in component.lines])
    mass = total([line.mass for line in lines])
    pieces = pieces_of(mass.grams, component.pieces.grams_each) if component.pieces else None
    return ScaledComponent(weighed=component, lines=lines, mass=mass, pieces=pieces)


def _scale_line(line: WeighedLine, factor: float, bench: Bench) -> ScaledLine:
    _, mass, _, part, density = line
    mass = mass.times(factor)
    grams = mass.grams
    shown = weigh_grams(grams, bench.scales)
    spoons = spoons_for(grams, density, bench.measures) if density else None
    eggs = tuple([count_eggs(grams, part, c) for c in bench.available_eggs]) if part else ()
    return ScaledLine(line, mass, shown, error_percent(shown, grams), spoons, eggs)


def _scale_eggs(eggs: EggTotal, factor: float, bench: Bench) -> ScaledEggs:
    mass = eggs.mass.times(factor)
    counts = tuple(count_eggs(mass.grams, eggs.part, egg_class) for egg_class in bench.available_eggs)
    return ScaledEggs(part=eggs.part, mass=mass, counts=counts)


def _whole_egg_batches(
    weighed: WeighedFormula, target: Target, factor: float, egg_class: EggClass
) -> list[WholeEggBatch]:
    if not weighed.eggs:
        return []
    per_batch = float(_eggs_at_factor_one(weighed, egg_class))
    wanted = factor * per_batch
    nearest = round(wanted)
    if nearest and abs(wanted - nearest) < NEARLY_WHOLE * max(1.0, wanted):
        numbers = [nearest]
    else:
        numbers = [number for number in (math.floor(wanted), math.ceil(wanted)) if number]
    return [_batch(weighed, target, number / per_batch, egg_class) for number in numbers]


def _eggs_at_factor_one(weighed: WeighedFormula, egg_class: EggClass) -> Fraction:
    """How many whole-egg steps the formula itself is: at n/steps every egg counted comes out whole."""
    counts = [eggs.count for eggs in weighed.eggs]
    if weighed.formula.egg_class is egg_class and all(count is not None for count in counts):
        exact = [count for count in counts if count is not None]
        bottom = math.lcm(*(count.denominator for count in exact))
        return Fraction(math.gcd(*(int(count * bottom) for count in exact)), bottom)
    heaviest = max(weighed.eggs, key=lambda eggs: eggs.mass.grams)
    return Fraction(heaviest.mass.grams / egg_mass(heaviest.part, egg_class).grams)


def _batch(weighed: WeighedFormula, target: Target, factor: float, egg_class: EggClass) -> WholeEggBatch:
    height, percent = None, None
    walls = walls_of(target.tin) if target.tin is not None else None
    if target.tin is not None and walls is not None and weighed.batter_ml is not None:
        batter_ml = weighed.batter_ml * weighed.formula.tins * factor / target.tins
        height = depth_mm(walls, batter_ml)
        percent, _ = fill_of(target.tin, batter_ml, height)
    return WholeEggBatch(
        egg_class=egg_class.id,
        factor=factor,
        grams=weighed.mass.grams * factor,
        filled_depth_mm=height,
        fill_percent=percent,
        eggs=tuple(count_eggs(eggs.mass.grams * factor, eggs.part, egg_class) for eggs in weighed.eggs),
    )
