"""From a rescale request to the domain's formula, targets and bench. All errors are collected and raised together."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import lru_cache

from api.v1.bake.reading import read_formula_bake
from api.v1.cuts.reading import read_cutting, read_target_cuts, read_wish
from api.v1.rescale.schemas import DivisionIn, FormulaIn, LineIn, RescaleRequest, TargetIn
from api.v1.tins.reading import read_tin
from api.wire.reading import quantity_of, read_egg_class, read_grams, read_optional_mm, read_thing
from domain.baking.targets import FormulaBake
from domain.errors import DomainError, DomainErrors, ErrorCollector, Path, at_path
from domain.formulas.formula import Component, Division, Formula, Line, WeighedFormula, place_line_error, weigh_formula
from domain.formulas.rescaling import Bench, Target, check_work, fit_targets
from domain.measures.quantities import parse_quantity
from domain.measures.units import Measures
from domain.measures.weighing import Scales
from domain.things.conversion import Thing
from domain.things.eggs import EggClass
from domain.tins.shapes import Tin

LineReader = Callable[[LineIn, EggClass | None, Measures | None], Line]


@dataclass(frozen=True, slots=True, kw_only=True)
class RescaleQuestion:
    """A request as the domain takes it; cuts are read when the masses of the targets are known."""

    formula: Formula
    targets: tuple[Target, ...]
    bench: Bench
    bake: FormulaBake | None


def read_request(body: RescaleRequest, errors: ErrorCollector, line_reader: LineReader) -> RescaleQuestion:
    """Read a request.

    Args:
        body: the request.
        errors: collects the errors; it may hold some already.
        line_reader: reads one line of the formula.
    Raises:
        DomainErrors: everything in the request that cannot be read, weighed or fitted into a tin.
    """
    formula_errors = ErrorCollector()
    formula = read_formula(body.formula, body.measures, formula_errors, line_reader=line_reader)
    errors.errors += formula_errors.errors
    bake_in, bake = body.formula.bake, None
    if bake_in is not None and bake_in.oven is not None:
        with errors.at("formula", "bake"):
            bake_errors = ErrorCollector()
            bake = read_formula_bake(bake_in, bake_in.oven, bake_errors)
            bake_errors.raise_if_any()
    targets = tuple(_target(target, i, errors) for i, target in enumerate(body.targets))
    bench = _bench(body, formula.egg_class, errors)
    with errors.at():
        check_work(formula, targets, bench)
    if errors.errors:
        if not formula_errors.errors:
            _record_unweighable([component.lines for component in formula.components], errors, ("formula",))
        _record_unfitting(formula, targets, errors)
        for i, (target_in, target) in enumerate(zip(body.targets, targets, strict=True)):
            record_cut_errors(target_in, target.tin, i, errors)
    errors.raise_if_any()
    return RescaleQuestion(formula=formula, targets=targets, bench=bench, bake=bake)


def weigh_request(question: RescaleQuestion, errors: ErrorCollector) -> WeighedFormula:
    """The formula in grams.

    Args:
        question: the request.
        errors: collects the errors.
    Raises:
        DomainErrors: every line and division that cannot be weighed, and every target that cannot be answered.
    """
    with errors.at("formula"):
        return weigh_formula(question.formula)
    _record_unfitting(question.formula, question.targets, errors)
    raise DomainErrors(errors.errors)


def record_cut_errors(target: TargetIn, tin: Tin | None, index: int, errors: ErrorCollector) -> None:
    """Record what is wrong with the cuts of a target whose mass is not known.

    Args:
        target: as requested.
        tin: the target's tin; None if it could not be read.
        index: of the target.
        errors: collects the errors.
    """
    if target.cuts is None:
        return
    if tin is not None:
        with errors.at():
            read_target_cuts(target.cuts, tin, None, label=None, path=("targets", index))
        return
    with errors.at("targets", index, "cuts"):
        read_wish(target.cuts)
    with errors.at("targets", index, "cuts"):
        read_cutting(target.cuts, None)


def read_formula_line(given: LineIn, egg_class: EggClass | None, measures: Measures | None) -> Line:
    """A line of a formula, by the names in our own tables."""
    quantity = given.quantity
    written = quantity if isinstance(quantity, str) else (quantity["amount"], quantity["unit"])
    return formula_line(given.ingredient, given.packing, given.g_per_ml, egg_class, written, measures, given.own)


def read_formula(
    given: FormulaIn,
    measures: Measures | None,
    errors: ErrorCollector,
    at: Path = ("formula",),
    line_reader: LineReader = read_formula_line,
) -> Formula:
    """Read a formula.

    Args:
        given: the request's model.
        measures: whose kitchen measures are meant.
        errors: collects the errors, those of lines that cannot be weighed included if there are others.
        at: the formula's path in the request.
        line_reader: reads one line; by default by the names in our own tables only.
    Returns:
        The formula without the lines that could not be read: use it only if there are no errors.
    """
    tin, filled_depth_mm, egg_class = None, None, None
    with errors.at(*at):
        egg_class = read_egg_class(given.egg_class, "egg_class")
    with errors.at(*at, "tin"):
        tin = None if given.tin is None else read_tin(given.tin)
    with errors.at(*at):
        filled_depth_mm = read_optional_mm(given.filled_depth, "filled_depth")
    lines = list[list[Line | None]]()
    for i, component in enumerate(given.components):
        read = list[Line | None]()
        for j, line in enumerate(component.lines):
            try:
                read.append(line_reader(line, egg_class, measures))
            except (DomainError, DomainErrors):
                read.append(None)
                with errors.at(*at, "components", i, "lines", j):
                    raise
        lines.append(read)
    if errors.errors:
        _record_unweighable(lines, errors, at, egg_class_known=egg_class is not None or given.egg_class is None)
    return Formula(
        name=given.name,
        tin=tin,
        tins=given.tins,
        filled_depth_mm=filled_depth_mm,
        egg_class=egg_class,
        components=tuple(
            Component(
                name=component.name,
                lines=tuple([line for line in component_lines if line is not None]),
                pieces=_division(component.pieces),
            )
            for component, component_lines in zip(given.components, lines, strict=True)
        ),
    )


@lru_cache(maxsize=1024)  # a formula is sent many times; its lines keep their weight
def formula_line(  # noqa: PLR0917 - the fields of a line, which are the key of the cache
    ingredient: str,
    packing: str | None,
    g_per_ml: float | None,
    egg_class: EggClass | None,
    written: str | tuple[str | float, str],
    measures: Measures | None,
    own: bool,  # noqa: FBT001 - the key of a cache is made faster from positional arguments
) -> Line:
    """A line of a formula from the fields of the request."""
    thing = read_thing(ingredient, packing, g_per_ml, egg_class, own=own)
    return line_of(ingredient, thing, written, measures)


def line_of(
    name: str,
    thing: Thing,
    written: str | tuple[str | float, str],
    measures: Measures | None,
    *,
    shop_good: bool = False,
) -> Line:
    """A line from its parts, checked."""
    with at_path("quantity"):
        quantity = parse_quantity(written, measures) if isinstance(written, str) else quantity_of(*written, measures)
        return Line(name=name, thing=thing, quantity=quantity, shop_good=shop_good)


def _division(given: DivisionIn | None) -> Division | None:
    return None if given is None else Division(count=given.count, grams_each=given.grams_each)


def _record_unweighable(
    lines: Sequence[Sequence[Line | None]], errors: ErrorCollector, at: Path, *, egg_class_known: bool = True
) -> None:
    """Record the lines that cannot be weighed, so that they are reported together with what cannot be read."""
    unweighable = dict[tuple[Path, str], DomainError]()
    for i, component_lines in enumerate(lines):
        for j, line in enumerate(component_lines):
            if line is None:
                continue
            try:
                _ = line.weight
            except DomainError as error:
                placed = place_line_error(error, i, j).within(*at)
                if egg_class_known or placed.path != (*at, "egg_class"):
                    unweighable[placed.path, placed.code] = placed
    errors.errors += unweighable.values()


def _record_unfitting(formula: Formula, targets: Sequence[Target], errors: ErrorCollector) -> None:
    """Record the targets that cannot be answered, except where a field of theirs could not be read anyway."""
    fit_errors = ErrorCollector()
    fit_targets(formula, targets, fit_errors)
    unread = [error.path for error in errors.errors if error.path[:2] != ("formula", "components")]
    errors.errors += [
        error
        for error in fit_errors.errors
        if not any(path[: len(error.path)] == error.path[: len(path)] for path in unread)
    ]


def _target(given: TargetIn, index: int, errors: ErrorCollector) -> Target:
    tin: Tin | None = None
    depth_mm = None
    with errors.at("targets", index, "tin"):
        tin = None if given.tin is None else read_tin(given.tin)
    with errors.at("targets", index):
        depth_mm = None if given.depth == "keep" else read_optional_mm(given.depth, "depth")
    return Target(
        label=given.label or "", tin=tin, tins=given.tins, depth_mm=depth_mm, factor=given.factor, grams=given.grams
    )


def _bench(body: RescaleRequest, own_class: EggClass | None, errors: ErrorCollector) -> Bench:
    classes = [own_class] if own_class and not body.available_eggs else []
    for i, name in enumerate(body.available_eggs):
        with errors.at("available_eggs", i):
            if (egg_class := read_egg_class(name)) is not None:
                classes.append(egg_class)
    step_g = small_step_g = None
    with errors.at():
        step_g = read_grams(body.scale_step, "scale_step")
    with errors.at():
        small_step_g = read_grams(body.small_step, "small_step")
    scales = Scales() if step_g is None or small_step_g is None else Scales(step_g=step_g, small_step_g=small_step_g)
    return Bench(measures=body.measures, available_eggs=tuple(dict.fromkeys(classes)), scales=scales)
