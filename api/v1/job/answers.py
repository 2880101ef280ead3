"""The parts that the answers of the main job share: the formula as written, its targets and their sources."""

from collections.abc import Iterable, Iterator, Sequence
from itertools import chain
from typing import Any

from api.v1.bake.answers import caution_answers
from api.v1.eggs.answers import egg_count_answer
from api.v1.job import schemas as job
from api.v1.job.placing import as_sent, place_as_sent
from api.v1.job.reading import JobQuestion
from api.wire.answers import source_refs, sources, warnings, without_none
from api.wire.problems import domain_problem
from domain.baking.core_safety import Caution
from domain.errors import DomainErrors, ErrorCollector
from domain.formulas.formula import Mass, WeighedComponent, WeighedLine
from domain.formulas.household import household_line
from domain.formulas.likely import likely_range
from domain.formulas.rescaling import Rescaled, ScaledComponent, ScaledLine, rescale_each
from domain.formulas.weighing import HardToWeigh
from domain.formulas.whole_eggs import WholeEggBatch
from domain.measures.units import Measures
from domain.measures.weighing import Spoons
from domain.notices import Notice
from domain.pieces.counts import PieceCount, Pieces
from domain.pieces.displacement import BatterLift
from domain.sources import Cited

LINES, EGGS, PIECES, HOUSEHOLD = "lines", "eggs", "pieces", "household"


def rescale_job(body: job.Job, question: JobQuestion) -> list[Rescaled | None]:
    """The formula for each target.

    Args:
        body: the request.
        question: the same, read. An error of a target is added to its problems.
    Returns:
        One result for each target, in order; None for a target with problems.
    Raises:
        DomainErrors: the formula lacks something that a target needs; the problems of all targets are included.
    """
    errors = ErrorCollector()
    results = rescale_each(question.weighed, question.targets, question.bench, errors)
    of_formula = []
    for error in errors.errors:
        if error.path[:1] == ("targets",):
            question.problems[int(error.path[1])].errors.append(error)
        else:
            of_formula.append(error)
    if of_formula:
        of_formula += [error for problem in question.problems for error in problem.errors]
        place_as_sent(of_formula, body)
        raise DomainErrors(of_formula)
    return results


def job_answer(
    body: job.Job,
    question: JobQuestion,
    targets: Sequence[dict[str, Any]],
    *,
    notices: Iterable[Notice] = (),
    cautions: Sequence[Caution] = (),
    cited: Iterable[Cited] = (),
    in_query: bool = False,
) -> dict[str, Any]:
    """The answer of every endpoint of the main job.

    Args:
        body: the request.
        question: the same, read.
        targets: the answer of each target; not used where the target has problems.
        notices: warnings about the formula besides those of its lines and tin, with paths in the request.
        cautions: that go with the formula.
        cited: sources of figures besides those of the lines and cautions.
        in_query: whether the request came as a query.
    Returns:
        The formula as sent and as written, the answer or the problem of each target, and every source cited.
    """
    weighed, (formula, sent_targets) = question.weighed, body.as_sent()
    lines = [line for component in weighed.components for line in component.lines]
    of_formula = (*(notice.within("formula") for notice in weighed.notices), *notices)
    return {
        "formula": formula,
        "written": without_none(
            **mass_answer(weighed.mass),
            likely=_likely(weighed.components),
            fill_percent=weighed.fill_percent,
            rise=weighed.kind,
            components=[_written_component(component) for component in weighed.components],
            warnings=warnings(_as_sent(of_formula, body), in_query=in_query),
            cautions=caution_answers(cautions),
        ),
        "targets": [
            without_none(label=sent.label, target=target)
            | (_problem(problem, body, in_query=in_query) if problem.errors else answer)
            for target, sent, problem, answer in zip(
                sent_targets, question.sent, question.problems, targets, strict=True
            )
        ],
        "sources": sources(chain(_line_sources(lines), (caution.cited for caution in cautions), cited)),
    }


def _likely(components: Sequence[WeighedComponent]) -> dict[str, Any]:
    likely = likely_range([line for component in components for line in component.lines])
    pointer = None if likely.widest is None else _line_pointer(components, likely.widest)
    return without_none(grams_low=likely.low, grams_high=likely.high, widest_line=pointer)


def _line_pointer(components: Sequence[WeighedComponent], place: int) -> str:
    """The pointer of a line by its place among the lines of all components."""
    index = 0
    while place >= len(components[index].lines):
        place -= len(components[index].lines)
        index += 1
    return f"/formula/components/{index}/lines/{place}"


def target_answer(
    scaled: Rescaled, include: frozenset[str], lift: BatterLift | None = None, measures: Measures | None = None
) -> dict[str, Any]:
    """The figures of one target, without warnings.

    Args:
        scaled: the formula for the target.
        include: which of `lines`, `eggs`, `pieces` and `household` to show.
        lift: how far the pieces lift the batter, if they do.
        measures: whose household measures; metric ones if it is left out.
    """
    household = (measures or "metric") if HOUSEHOLD in include else None
    answer: dict[str, Any] = without_none(
        factor=scaled.factor,
        tins=scaled.target.tins if scaled.target.tin is not None else None,
        filled_depth_mm=scaled.filled_depth_mm,
        fill_percent=scaled.fill_percent,
        **mass_answer(scaled.mass),
        batter_lift=None if lift is None else _lift(lift, scaled.filled_depth_mm),
        components=[_component(component, include, household) for component in scaled.components],
        rounding_error_percent=scaled.rounding_error_percent,
        hard_to_weigh=[_hard_to_weigh(hard) for hard in scaled.hard_to_weigh] or None,
    )
    if EGGS in include:
        answer["eggs"] = [
            {"part": eggs.part, **mass_answer(eggs.mass), "counts": [egg_count_answer(count) for count in eggs.counts]}
            for eggs in scaled.eggs
        ]
        answer["whole_egg_batches"] = [_batch(batch) for batch in scaled.whole_egg_batches]
    return answer


def target_warnings(notices: Iterable[Notice], body: job.Job, *, in_query: bool = False) -> list[dict[str, Any]]:
    """The warnings about one target."""
    return warnings(_as_sent(notices, body), in_query=in_query)


def mass_answer(mass: Mass) -> dict[str, float]:
    """A mass with its bounds."""
    grams, low, high = mass
    return {"grams": grams, "grams_low": low, "grams_high": high}


def component_pieces(pieces: Pieces, *, as_written: bool = False) -> dict[str, Any]:
    """The pieces of a dough; `as_written` says the mass of a piece as written too, which targets have in common."""
    return without_none(
        count=pieces.count,
        exact_count=pieces.exact,
        grams_each=pieces.grams_each,
        written_grams_each=pieces.written_grams if as_written else None,
        leftover_grams=pieces.leftover_grams,
        per_tin=None if pieces.tins == 1 else pieces.per_tin,
        per_cavity=pieces.per_cavity,
        below=None if pieces.below is None else _piece_count(pieces.below),
        above=None if pieces.above is None else _piece_count(pieces.above),
    )


def _piece_count(other: PieceCount) -> dict[str, Any]:
    return {"count": other.count, "grams_each": other.grams_each}


def _as_sent(notices: Iterable[Notice], body: job.Job) -> list[Notice]:
    """Each warning with the path of the field that was sent."""
    placed = list[Notice]()
    for notice in notices:
        path = as_sent(notice.path, body)
        placed.append(notice if path is notice.path else notice.at(*path))
    return placed


def _line_sources(lines: Iterable[WeighedLine]) -> Iterator[Cited]:
    for line in lines:
        yield from line.cited


def _problem(problem: ErrorCollector, body: job.Job, *, in_query: bool) -> dict[str, Any]:
    place_as_sent(problem.errors, body)
    return {"problem": domain_problem(problem.errors, in_query=in_query)}


def _written_component(component: WeighedComponent) -> dict[str, Any]:
    return without_none(
        name=component.component.name,
        **mass_answer(component.mass),
        lines=[_written_line(line) for line in component.lines],
        pieces=None if component.pieces is None else component_pieces(component.pieces, as_written=True),
    )


def _written_line(weighed: WeighedLine) -> dict[str, Any]:
    grams, low, high = weighed.mass
    answer = {"grams": grams, "grams_low": low, "grams_high": high, "cited": source_refs(weighed.cited)}
    if weighed.thing.ingredient is not None:
        answer["ingredient_id"] = weighed.thing.ingredient.id
    return answer


def _lift(lift: BatterLift, filled_depth_mm: float | None) -> dict[str, Any]:
    # The other height, and its fill, are those of the target.
    if lift.with_pieces_mm == filled_depth_mm:
        return {"lift_mm": lift.lift_mm}
    return without_none(lift_mm=lift.lift_mm, with_pieces_mm=lift.with_pieces_mm, fill_percent=lift.fill_percent)


def _component(component: ScaledComponent, include: frozenset[str], household: Measures | None) -> dict[str, Any]:
    answer: dict[str, Any] = {
        "name": component.weighed.component.name,
        **mass_answer(component.mass),
        "weigh_grams": component.weigh_grams,
    }
    if LINES in include:
        eggs = EGGS in include
        answer["lines"] = [_line(line, household, eggs=eggs) for line in component.lines]
    if PIECES in include and component.pieces is not None:
        answer["pieces"] = component_pieces(component.pieces)
    return answer


def _line(scaled: ScaledLine, household: Measures | None, *, eggs: bool) -> dict[str, Any]:
    grams, low, high = scaled.mass
    line = scaled.weighed
    answer = {
        "ingredient": line.name,
        "amount": scaled.amount,
        "unit": line.quantity.unit.id,
        "grams": grams,
        "grams_low": low,
        "grams_high": high,
        "weigh_grams": scaled.weigh_grams,
    }
    if scaled.spoons is not None:
        answer["spoons"] = _spoons(scaled.spoons)
    measured = None if household is None else household_line(scaled, household)
    if measured is not None:
        answer["household"] = {
            "text": measured.cascade.text,
            "grams": measured.grams,
            "error_percent": measured.error_percent,
        }
    if eggs and scaled.weighed.egg_part is not None:
        answer["eggs"] = [egg_count_answer(count) for count in scaled.eggs]
    return answer


def _hard_to_weigh(hard: HardToWeigh) -> dict[str, Any]:
    offer = hard.dilution
    return without_none(
        component=hard.line.component,
        ingredient=hard.line.name,
        error_percent=hard.error,
        dilution=None
        if offer is None
        else {
            "weigh_grams": offer.grams,
            "mixture_grams": offer.mixture_grams,
            "parts": offer.parts,
            "error_percent": offer.error_percent,
        },
        batch_factor=hard.batch_factor,
    )


def _spoons(spoons: Spoons) -> dict[str, Any]:
    return {"text": spoons.text, "grams": spoons.grams, "error_percent": spoons.error_percent}


def _batch(batch: WholeEggBatch) -> dict[str, Any]:
    return without_none(
        egg_class=batch.egg_class,
        factor=batch.factor,
        grams=batch.grams,
        filled_depth_mm=batch.filled_depth_mm,
        fill_percent=batch.fill_percent,
        eggs=[
            {
                "part": count.part,
                "count": count.nearest,
                "exact_count": count.exact,
                "error_percent": count.error_percent,
            }
            for count in batch.eggs
        ],
    )
