"""From the main job's requests to the domain's formula, targets and bench, with every error at once."""

from collections.abc import Callable, Sequence
from contextlib import suppress
from dataclasses import dataclass, replace
from functools import lru_cache

from api.v1.cuts.reading import read_target_cuts
from api.v1.job import schemas as job
from api.v1.job.baking import read_changes, read_formula_bake, read_pieces
from api.v1.job.bench import read_bench
from api.v1.job.placing import place_as_sent
from api.v1.shop.schemas import Shop
from api.v1.tins.reading import read_optional_tin_of
from api.wire.reading import (
    MAX_WORDED,
    count_if_worded,
    quantity_of,
    read_egg_class,
    read_grams,
    read_optional_mm,
    read_thing,
)
from domain.baking.targets import BakeChange, FormulaBake
from domain.cutting.budget import CutBudget
from domain.cutting.cuts import kept_share
from domain.errors import DomainError, DomainErrors, ErrorCollector, MismatchError, NeededError, Path, at_path
from domain.formulas.formula import Component, Formula, Line, WeighedFormula, place_line_error, weigh_formula
from domain.formulas.rescaling import Bench, check_work
from domain.formulas.targets import Portions, Target, fit_targets, target_as_written
from domain.measures.units import Measures
from domain.pieces.counts import Division
from domain.reading.quantities import read_quantity
from domain.things.conversion import Thing
from domain.things.eggs import EggClass
from domain.tins.shapes import Tin

LineReader = Callable[[job.Line, EggClass | None, Measures | None], Line]
WrittenQuantity = str | tuple[str, str]  # a quantity, or an amount and a unit


@dataclass(frozen=True, slots=True, kw_only=True)
class JobQuestion:
    """A job as the domain takes it: the formula in grams, and for each target what is wanted or what is wrong with it.

    `sent` has each target as it was sent, or an empty one for the formula as written.
    """

    weighed: WeighedFormula
    sent: tuple[job.Target, ...]
    targets: tuple[Target | None, ...]
    problems: tuple[ErrorCollector, ...]
    bench: Bench
    bake: FormulaBake | None
    changes: tuple[BakeChange | None, ...]


def read_job(body: job.Job, errors: ErrorCollector, line_reader: LineReader | None = None) -> JobQuestion:
    """Read the formula, the targets and the bench of a job.

    Args:
        body: the request.
        errors: collects the errors that concern the whole job; it may hold some already.
        line_reader: reads one line of the formula; by default by the names in our own tables only.
    Returns:
        The job. An error in a target is in `problems`, in the target's place.
    Raises:
        DomainErrors: everything that is wrong with the formula and the bench, and with it that of the targets.
    """
    formula_errors = ErrorCollector()
    formula = read_formula(body.formula, body.measures, formula_errors, line_reader=line_reader or read_line)
    bake = None
    if body.formula.bake is not None and body.formula.bake.oven is not None:
        with formula_errors.at("formula", "bake"):
            bake = read_formula_bake(body.formula.bake, body.formula.bake.oven)
    errors.errors += formula_errors.errors
    bench = read_bench(body, formula.egg_class, errors)
    sent = tuple(body.targets) or (job.Target(),)
    problems = tuple(ErrorCollector() for _ in sent)
    targets, changes, budget = list[Target | None](), list[BakeChange | None](), CutBudget()
    for i, (target, problem) in enumerate(zip(sent, problems, strict=True)):
        change, wanted = None, None
        if target.bake is not None:
            with problem.at("targets", i, "bake"):
                change = read_changes(target.bake)
        with problem.at("targets", i):
            wanted = _target(target, body, formula)
            if wanted.portions is not None and wanted.tin is not None:
                wanted = replace(wanted, portions=_cut_portions(wanted.portions, wanted.tin, target, body, budget))
        targets.append(wanted if not problem.errors else None)
        changes.append(change)
    with errors.at():
        check_work(formula, sent, bench)
    weighed = None
    if not formula_errors.errors:
        with errors.at("formula"):
            weighed = weigh_formula(formula)
    if weighed is None or errors.errors:
        _record_unfitting(formula, targets, errors, problems)
        for i, (target, problem) in enumerate(zip(sent, problems, strict=True)):
            with problem.at():
                _check_cuts(target, i)
        errors.errors += [error for problem in problems for error in problem.errors]
        place_as_sent(errors.errors, body)
        raise DomainErrors(errors.errors)
    return JobQuestion(
        weighed=weighed,
        sent=sent,
        targets=tuple(targets),
        problems=problems,
        bench=bench,
        bake=bake,
        changes=tuple(changes),
    )


def read_line(line: job.Line, egg_class: EggClass | None, measures: Measures | None) -> Line:
    """A line of a formula, by the names in our own tables."""
    written = written_quantity(line)
    return formula_line(line.ingredient, line.packing, line.g_per_ml, egg_class, written, measures, own=line.own)


def written_quantity(line: job.Line) -> WrittenQuantity:
    """The quantity of a line in the form that it was sent in.

    Raises:
        NeededError: there is none, or half of one.
        MismatchError: there are two.
    """
    if line.quantity is None:
        if line.amount is None or line.unit is None:
            missing = "quantity" if line.amount is None and line.unit is None else "unit"
            path = () if missing == "quantity" else ("amount",) if line.unit is None else ("unit",)
            raise NeededError("Give `quantity`, or `amount` and `unit`.", path=path, code="needed")
        return line.amount, line.unit
    if line.amount is not None or line.unit is not None:
        raise MismatchError(
            "Give `quantity`, or `amount` and `unit`, not both.", path=("quantity",), code="given_twice"
        )
    return line.quantity


def read_formula(
    sent: job.Formula,
    measures: Measures | None,
    errors: ErrorCollector,
    at: Path = ("formula",),
    line_reader: LineReader = read_line,
) -> Formula:
    """Read a formula.

    Args:
        sent: the request's model.
        measures: whose kitchen measures are meant.
        errors: collects the errors, those of lines that cannot be weighed included if there are others.
        at: the formula's path in the request.
        line_reader: reads one line; by default by the names in our own tables only.
    Returns:
        The formula without the lines that could not be read: use it only if there are no errors.
    """
    tin, filled_depth_mm, egg_class = None, None, None
    with errors.at(*at):
        egg_class = read_egg_class(sent.egg_class, "egg_class")
    with errors.at(*at):
        tin = read_optional_tin_of(sent.tin, sent.tin_shape, "tin")
    with errors.at(*at):
        filled_depth_mm = read_optional_mm(sent.filled_depth, "filled_depth")
    lines, divisions, worded = list[list[Line | None]](), list[Division | None](), set[str]()
    long = sum(len(component.lines) for component in sent.components) > MAX_WORDED
    for i, component in enumerate(sent.components):
        read = list[Line | None]()
        for j, line in enumerate(component.lines):
            try:
                # A short formula cannot have too many.
                if long and line.quantity is not None:
                    count_if_worded(worded, line.quantity, measures)
                read.append(line_reader(line, egg_class, measures))
            except (DomainError, DomainErrors):
                read.append(None)
                with errors.at(*at, "components", i, "lines", j):
                    raise
        lines.append(read)
        division = None
        with errors.at(*at, "components", i, "pieces"):
            division = None if component.pieces is None else read_pieces(component.pieces)
        divisions.append(division)
    if errors.errors:
        _record_unweighable(lines, errors, at, egg_class_known=egg_class is not None or sent.egg_class is None)
    return Formula(
        name=sent.name,
        tin=tin,
        tins=sent.tins,
        filled_depth_mm=filled_depth_mm,
        depth_with_pieces=sent.filled_depth_with_pieces,
        egg_class=egg_class,
        kind=sent.rise,
        g_per_ml=sent.g_per_ml,
        components=tuple(
            Component(name=component.name, lines=tuple([line for line in read if line is not None]), pieces=division)
            for component, read, division in zip(sent.components, lines, divisions, strict=True)
        ),
    )


def bake_loss_percent(target: job.Target, formula: job.Formula, shop: Shop | None) -> float | None:
    """The bake loss of a target's cuts, or else of the formula's, or else of the shop; None if none says it."""
    for holder in (target.cuts, formula.cuts, shop):
        if holder is not None and holder.bake_loss_percent is not None:
            return holder.bake_loss_percent
    return None


@lru_cache(maxsize=2048)  # a formula is sent many times; its lines keep their weight
def formula_line(  # noqa: PLR0917 - the fields of a line, which are the key of the cache
    ingredient: str,
    packing: str | None,
    g_per_ml: float | None,
    egg_class: EggClass | None,
    written: WrittenQuantity,
    measures: Measures | None,
    *,
    own: bool,
) -> Line:
    """A line of a formula from the fields of the request.

    Raises:
        DomainError, DomainErrors: what is wrong with its ingredient and with its quantity.
    """
    errors = ErrorCollector()
    thing = line = None
    with errors.at():
        thing = read_thing(ingredient, packing, g_per_ml, egg_class, own=own)
    with errors.at():
        line = line_of(ingredient, thing or Thing(), written, measures)
    if line is None or errors.errors:
        raise DomainErrors(errors.errors)
    return line


def line_of(
    name: str, thing: Thing, written: WrittenQuantity, measures: Measures | None, *, shop_good: bool = False
) -> Line:
    """A line from its parts, checked; its errors name the fields of the line."""
    if not isinstance(written, str):
        quantity = quantity_of(*written, measures)
        with at_path("unit"):
            return Line(name=name, thing=thing, quantity=quantity, shop_good=shop_good)
    with at_path("quantity"):
        quantity = read_quantity(written, measures)
        return Line(name=name, thing=thing, quantity=quantity, shop_good=shop_good)


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


def _record_unfitting(
    formula: Formula, targets: Sequence[Target | None], errors: ErrorCollector, problems: Sequence[ErrorCollector]
) -> None:
    """Record the targets that cannot be answered, except where a field of the formula could not be read anyway."""
    fit_errors = ErrorCollector()
    fit_targets(formula, targets, fit_errors)
    unread = [error.path for error in errors.errors if error.path[:2] != ("formula", "components")]
    for error in fit_errors.errors:
        if any(path[: len(error.path)] == error.path[: len(path)] for path in unread):
            continue
        if error.path[0] == "targets":
            problems[int(error.path[1])].errors.append(error)
        else:
            errors.errors.append(error)


def _check_cuts(sent: job.Target, index: int) -> None:
    """Report what is wrong with the cuts of a target whose mass is not known."""
    if sent.cuts is None:
        return
    path, tin = ("targets", index), None
    with suppress(DomainError, DomainErrors):  # it is reported as the tin's
        tin = read_optional_tin_of(sent.tin, sent.tin_shape, "tin")
    if tin is not None:
        read_target_cuts(sent.cuts, tin, None, None, label=None, target_path=path, path=(*path, "cuts"))


def _target(sent: job.Target, body: job.Job, formula: Formula) -> Target:
    errors, tin, depth_mm, pieces, portions = ErrorCollector(), None, None, None, None
    with errors.at():
        _check_one_wish(sent)
    with errors.at():
        tin = read_optional_tin_of(sent.tin, sent.tin_shape, "tin")
    grams = sent.grams
    if sent.mass is not None:
        with errors.at():
            grams = float(read_grams(sent.mass, "mass", body.measures))
    if sent.depth is not None and sent.depth not in {"keep", "fit"}:
        with errors.at():
            depth_mm = read_optional_mm(sent.depth, "depth")
    if sent.pieces is not None:
        with errors.at("pieces"):
            pieces = read_pieces(sent.pieces, of_target=True)
    if sent.portions is not None:
        with errors.at("portions"):
            portions = read_portions(sent.portions, bake_loss_percent(sent, body.formula, body.shop), body.measures)
    errors.raise_if_any()
    label = sent.label or ""
    if tin is None and sent.factor is None and grams is None and portions is None:
        return target_as_written(formula, label, pieces)
    return Target(
        label=label,
        tin=tin,
        tins=sent.tins,
        depth_mm=depth_mm,
        fits_usually=sent.depth == "fit",
        factor=sent.factor,
        grams=grams,
        portions=portions,
        pieces=pieces,
    )


def _cut_portions(portions: Portions, tin: Tin, sent: job.Target, body: job.Job, budget: CutBudget) -> Portions:
    """Portions with what the knife takes from them.

    Raises:
        DomainError, DomainErrors: the target's own cuts cannot be made. A bake that cannot be cut as the formula says
            is left whole.
    """
    cuts, path = sent.cuts or body.formula.cuts, ("cuts",)
    if cuts is None or cuts.portion_grams is not None:
        return portions
    try:
        cut = read_target_cuts(cuts, tin, None, None, label=None, target_path=(), path=path)
        with at_path(*path):
            return replace(portions, kept_share=kept_share(cut.slab, cut.wish, cut.cutting, budget))
    except (DomainError, DomainErrors):
        if sent.cuts is not None:
            raise
        return portions


def _check_one_wish(sent: job.Target) -> None:
    tin = "tin" if sent.tin is not None else "tin_shape" if sent.tin_shape is not None else None
    amounts = [name for name in ("factor", "grams", "mass", "portions") if getattr(sent, name) is not None]
    errors = ErrorCollector()
    if len(amounts) > 1:
        message = "Give one of `factor`, `grams`, `mass` and `portions`."
        errors.errors.append(MismatchError(message, path=(amounts[1],), code="given_twice"))
    if tin is not None and amounts and sent.depth is not None:
        message = f"How deep the tin fills follows from `{amounts[0]}`: leave `depth` out, or `{amounts[0]}`."
        errors.errors.append(MismatchError(message, path=("depth",), code="given_twice"))
    if tin is None:
        errors.errors += [
            NeededError(f"`{name}` goes with a tin.", path=(name,), code="tin_needed")
            for name, is_sent in (("depth", sent.depth is not None), ("tins", sent.tins != 1))
            if is_sent
        ]
        if amounts and sent.cuts is not None:
            message = "`cuts` go with a tin; a bake loss without one is shop.bake_loss_percent."
            errors.errors.append(NeededError(message, path=("cuts",), code="tin_needed"))
    errors.raise_if_any()


def read_portions(sent: job.Portions, loss_percent: float | None, measures: Measures | None) -> Portions:
    """Portions wanted.

    Raises:
        NeededError: their mass or the bake loss is missing.
    """
    if (sent.grams_each is None) == (sent.mass_each is None):
        raise NeededError("Give one of `grams_each` and `mass_each`.", path=("grams_each",), code="one_of_needed")
    if loss_percent is None:
        raise NeededError(
            "Give bake_loss_percent, in the shop or, with a tin, in cuts: portions are weighed after the oven.",
            code="bake_loss_needed",
        )
    grams_each = sent.grams_each
    if sent.mass_each is not None:
        grams_each = float(read_grams(sent.mass_each, "mass_each", measures))
    return Portions(count=sent.count, grams_each=grams_each or 0.0, bake_loss_percent=loss_percent)
