"""The main job: rescale a formula that was written for one tin to many targets at once."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple

from domain.errors import ErrorCollector, MismatchError, OutOfRangeError, at_path
from domain.formulas.formula import (
    EggTotal,
    Formula,
    Mass,
    WeighedComponent,
    WeighedFormula,
    WeighedLine,
    total,
)
from domain.formulas.plausibility import batch_notices, fill_notices, tin_size_notices
from domain.formulas.targets import Fit, Target, fit_of_mix, fit_targets
from domain.formulas.weighing import MAX_EXACT_ERROR_PERCENT, HardToWeigh, LineToWeigh, hard_to_weigh, weighing_notices
from domain.formulas.whole_eggs import WholeEggBatch, whole_egg_batches
from domain.measures.units import Measures
from domain.measures.weighing import Scales, Spoons, error_percent, spoons_for, weigh, weigh_total
from domain.notices import Notice
from domain.pieces.counts import Division, Pieces, Vessels, divide, kept, piece_notices, pieces_of, vessels_of
from domain.things.conversion import EGG_PARTS
from domain.things.eggs import EggClass, EggCount, EggPart, count_eggs
from domain.tins.shapes import walls_of

MAX_RESULTS = 4_000  # our own limit: it keeps an answer within one or two megabytes


@dataclass(frozen=True, slots=True, kw_only=True)
class Bench:
    """What there is to measure with: spoons, classes of eggs, and the steps of the scales."""

    measures: Measures | None = None
    available_eggs: tuple[EggClass, ...] = ()
    scales: Scales = field(default_factory=Scales)


class ScaledLine(NamedTuple):
    """A line for the target: exact mass, the mass to weigh, level spoons for small dry lines, eggs for egg lines.

    `amount` is the line's own amount times the factor, in the unit that the line is written in.

    A NamedTuple, because rescaling a formula to many tins creates hundreds of them.
    """

    weighed: WeighedLine
    amount: float
    mass: Mass
    weigh_grams: float
    rounding_error_percent: float
    on_small_scale: bool
    spoons: Spoons | None
    eggs: tuple[EggCount, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaledComponent:
    """A component for the target: the sum of its lines, and its pieces, each about as heavy as before.

    `weigh_grams` is the sum of what the scale shows for the lines.
    """

    weighed: WeighedComponent
    lines: tuple[ScaledLine, ...]
    mass: Mass
    weigh_grams: float
    pieces: Pieces | None


@dataclass(frozen=True, slots=True, kw_only=True)
class ScaledEggs:
    """The sum of all lines of one part of the egg, counted in each class available."""

    part: EggPart
    mass: Mass
    counts: tuple[EggCount, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Rescaled:
    """The formula for one target. `notices` are about the target only, not about the formula."""

    target: Target
    factor: float
    mass: Mass
    filled_depth_mm: float | None
    fill_percent: float | None
    components: tuple[ScaledComponent, ...]
    eggs: tuple[ScaledEggs, ...]
    whole_egg_batches: tuple[WholeEggBatch, ...]
    rounding_error_percent: float
    hard_to_weigh: tuple[HardToWeigh, ...]
    notices: tuple[Notice, ...]

    @property
    def grams_per_tin(self) -> float:
        """The mix in one of the target's tins."""
        return self.mass.grams / self.target.tins


def rescale(formula: WeighedFormula, targets: Sequence[Target], bench: Bench) -> tuple[Rescaled, ...]:
    """Rescale a formula to each target.

    Args:
        formula: in grams.
        targets: each is answered independently of the others.
        bench: what there is to measure with.
    Returns:
        One result for each target, in order. Factor 1 returns the formula unchanged, bit for bit.
    Raises:
        DomainErrors: an error for each target that cannot be answered. Its path starts with `formula` if something
            is missing there, otherwise with `("targets", index)`.
    """
    errors = ErrorCollector()
    results = rescale_each(formula, targets, bench, errors)
    errors.raise_if_any()
    return tuple(result for result in results if result is not None)


def rescale_each(
    formula: WeighedFormula, targets: Sequence[Target | None], bench: Bench, errors: ErrorCollector
) -> list[Rescaled | None]:
    """Rescale a formula to each target that can be answered.

    Args:
        formula: in grams.
        targets: each is answered independently of the others; None for a target that is not to be answered.
        bench: what there is to measure with.
        errors: collects the errors of the targets that cannot be answered, with paths as in `rescale`.
    Returns:
        One entry for each target, in order; None for a target that cannot be answered.
    """
    fits, results = fit_targets(formula.formula, targets, errors), list[Rescaled | None]()
    for i, (target, fit) in enumerate(zip(targets, fits, strict=True)):
        result = None
        if target is not None and fit is not None:
            with errors.at("targets", i):
                result = _rescale_one(formula, target, bench, fit, i)
        results.append(result)
    return results


def check_work(formula: Formula, targets: Sequence[object], bench: Bench) -> None:
    """Check that rescaling is not too much work for one call.

    Args:
        formula: as written. A line counts once; an egg line once more for each class of the bench.
        targets: the lines count once for each target.
        bench: its egg classes are counted.
    Raises:
        OutOfRangeError: more than `MAX_RESULTS` results; `path` is `targets`.
    """
    ingredients = [line.thing.ingredient for component in formula.components for line in component.lines]
    eggs = sum(ingredient is not None and ingredient.id in EGG_PARTS for ingredient in ingredients)
    results = (len(ingredients) + eggs * len(bench.available_eggs)) * len(targets)
    if results > MAX_RESULTS:
        raise OutOfRangeError(
            f"Lines (egg lines once more for each egg class) times targets may be at most {MAX_RESULTS:,} in one "
            "request: ask for fewer targets at a time.",
            path=("targets",),
            value=results,
            limit=MAX_RESULTS,
        )


def piece_warnings(components: Iterable[ScaledComponent]) -> list[Notice]:
    """The warnings about the pieces of a target, except those that the formula as written has too.

    Args:
        components: of the target.
    Returns:
        The warnings, without a path.
    """
    return [
        notice
        for component in components
        if component.pieces is not None and component.pieces is not component.weighed.pieces
        for notice in piece_notices(component.pieces, component.weighed.component.name)
    ]


def _rescale_one(weighed: WeighedFormula, target: Target, bench: Bench, fit: Fit, index: int) -> Rescaled:
    mix_g = target.mix_g
    factor = fit.factor if mix_g is None else mix_g / weighed.mass.grams
    if target.tin is not None and target.has_amount:
        fit = fit_of_mix(weighed.formula, target, factor, weighed.mass.grams)
    divided = None if target.pieces is None else divided_component(weighed, target.pieces)
    vessels = _vessels(weighed.formula, target, fit.filled_depth_mm)
    components = tuple(
        _scale_component(component, factor, bench, vessels, division=target.pieces if component is divided else None)
        for component in weighed.components
    )
    lines = [line for component in components for line in component.lines]
    notices = [*fit.notices]
    if target.tin is not None and not target.as_written:
        notices += (
            *tin_size_notices(target.tin),
            *fill_notices(weighed.kind, target.tin, fit.fill_percent, fit.filled_depth_mm),
        )
    # A pinch is not known as well as any scale weighs.
    most = MAX_EXACT_ERROR_PERCENT
    hard = hard_to_weigh(
        (
            _line_to_weigh(component, line)
            for component in components
            for line in component.lines
            if not -most <= line.rounding_error_percent <= most
            and (not line.weighed.quantity.unit.vague or line.weigh_grams == 0)
        ),
        bench.scales,
    )
    notices += weighing_notices(hard, bench.scales)
    notices += piece_warnings(components)
    batches = whole_egg_batches(weighed, target, factor, bench.available_eggs)
    for batch in batches:
        notices += batch_notices(batch.egg_class, batch.factor, batch.fill_percent)
    return Rescaled(
        target=target,
        factor=factor,
        mass=total([component.mass for component in components]),
        filled_depth_mm=fit.filled_depth_mm,
        fill_percent=fit.fill_percent,
        components=components,
        eggs=tuple(_scale_eggs(eggs, factor, bench) for eggs in weighed.eggs),
        whole_egg_batches=batches,
        rounding_error_percent=max([abs(line.rounding_error_percent) for line in lines]),
        hard_to_weigh=tuple(hard),
        notices=tuple(notice.within("targets", index) for notice in notices),
    )


def divided_component(weighed: WeighedFormula, division: Division) -> WeighedComponent:
    """The component that a target's own division is about.

    Args:
        weighed: the formula.
        division: of the target.
    Returns:
        The only component that the formula divides, or its only component.
    Raises:
        MismatchError: there are several.
    """
    divided = [component for component in weighed.components if component.component.pieces is not None]
    doughs = divided or weighed.components
    if len(doughs) > 1:
        names = ", ".join(component.component.name for component in doughs)
        raise MismatchError(
            f"Give `pieces` ({division.wish or 'keep'}) with the component that is divided, since there are several: "
            f"{names}.",
            path=("pieces",),
        )
    return doughs[0]


def _scale_component(
    component: WeighedComponent,
    factor: float,
    bench: Bench,
    vessels: Vessels,
    *,
    division: Division | None,
) -> ScaledComponent:
    lines = tuple([_scale_line(line, factor, bench) for line in component.lines])
    mass = total([line.mass for line in lines])
    with at_path("pieces"):
        pieces = _pieces(component, mass.grams, vessels, division)
    return ScaledComponent(
        weighed=component,
        lines=lines,
        mass=mass,
        weigh_grams=weigh_total([line.weigh_grams for line in lines]),
        pieces=pieces,
    )


def _pieces(component: WeighedComponent, dough_g: float, vessels: Vessels, division: Division | None) -> Pieces | None:
    written = component.pieces
    if division is not None:
        # Pieces for each portion are counted when the bake is cut: see `domain.formulas.portioning`.
        return None if division.per_portion is not None else divide(dough_g, division, vessels, written)
    if written is None or written.division is None:
        return None
    same_tins = vessels.groups in {1, written.tins * written.cavities}
    if dough_g == component.mass.grams and same_tins:
        return written
    own = written.division
    if own.per_cavity is not None and vessels.cavities > 1:
        return divide(dough_g, own, vessels, written)
    if own.keep in {"count", "spacing"}:
        return divide(dough_g, kept(own), vessels, written)
    return pieces_of(dough_g, written.written_grams, own, vessels)


def _vessels(formula: Formula, target: Target, filled_depth_mm: float | None) -> Vessels:
    have = None if formula.tin is None else walls_of(formula.tin)
    want = None if target.tin is None else walls_of(target.tin)
    ratio = None
    if have is not None and want is not None:
        ratio = want.area_mm2(filled_depth_mm or 0.0) / have.area_mm2(formula.filled_depth_mm or 0.0)
    return vessels_of(target.tin, target.tins, area_ratio=ratio)


def _line_to_weigh(component: ScaledComponent, line: ScaledLine) -> LineToWeigh:
    written, ingredient = line.weighed, line.weighed.thing.ingredient
    key = None if ingredient is None else ingredient.id
    return LineToWeigh(component.weighed.component.name, written.name, key, line.mass.grams, line.weigh_grams)


def _scale_line(line: WeighedLine, factor: float, bench: Bench) -> ScaledLine:
    _, _, _, amount, (grams, low, high), _, part, g_per_ml = line
    grams *= factor
    to_weigh, on_small_scale = weigh(grams, bench.scales)
    spoons = spoons_for(grams, g_per_ml, bench.measures) if g_per_ml else None
    eggs = tuple([count_eggs(grams, part, egg_class) for egg_class in bench.available_eggs]) if part else ()
    return ScaledLine(
        line,
        amount * factor,
        Mass(grams, low * factor, high * factor),
        to_weigh,
        error_percent(to_weigh, grams),
        on_small_scale,
        spoons,
        eggs,
    )


def _scale_eggs(eggs: EggTotal, factor: float, bench: Bench) -> ScaledEggs:
    mass = eggs.mass.times(factor)
    counts = tuple(count_eggs(mass.grams, eggs.part, egg_class) for egg_class in bench.available_eggs)
    return ScaledEggs(part=eggs.part, mass=mass, counts=counts)
