"""Dough pieces by the portion, and how far the pieces lift the batter: what follows when a job is rescaled and cut."""

from collections.abc import Sequence
from dataclasses import replace

from api.v1.cuts.reading import CutQuestion, read_target_cuts
from api.v1.job import schemas as job
from api.v1.job.reading import JobQuestion, bake_loss_percent
from domain.baking.targets import pieces_in_batter
from domain.cutting.budget import CutBudget
from domain.cutting.layouts import CutLayout
from domain.errors import DomainError, DomainErrors
from domain.formulas.portioning import counts_by_portion, portion_formula, portion_target
from domain.formulas.rescaling import Rescaled
from domain.pieces.displacement import BatterLift, batter_lift

Results = list[Rescaled | None]


def portion_job(body: job.Job, question: JobQuestion, results: Results) -> tuple[JobQuestion, Results]:
    """Count the pieces that are given for each portion.

    Args:
        body: the request.
        question: the same, read. An error of a target is added to its problems.
        results: the formula for each target.
    Returns:
        The job and its results; the same if no pieces are counted by the portion.
    Raises:
        DomainErrors: the formula's own cuts cannot be made.
    """
    weighed = question.weighed
    wished = [None if target is None else target.pieces for target in question.targets]
    if not any(counts_by_portion(weighed, division) for division in wished):
        return question, results
    budget, written = CutBudget(), weighed.formula
    if counts_by_portion(weighed) and body.formula.cuts is not None and written.tin is not None:
        cut = read_target_cuts(
            body.formula.cuts,
            written.tin,
            weighed.mass.grams / written.tins,
            bake_loss_percent(job.Target(), body.formula, body.shop),
            label=None,
            target_path=("formula",),
            path=("formula", "cuts"),
        )
        weighed = portion_formula(weighed, cut.cut(budget)[0].pieces)
    question = replace(question, weighed=weighed)
    portioned = Results()
    for index, result in enumerate(results):
        counted = None
        with question.problems[index].at():
            if result is not None:
                layout = target_layout(body, question, index, result, budget)
                portions = None if layout is None else layout.pieces
                counted = portion_target(weighed, result, portions, index)
        portioned.append(counted)
    return question, portioned


def target_layout(
    body: job.Job, question: JobQuestion, index: int, result: Rescaled, budget: CutBudget
) -> CutLayout | None:
    """How one target is cut: as it says itself, or else as the formula says.

    Args:
        body: the request.
        question: the same, read.
        index: of the target.
        result: the formula for the target.
        budget: is charged for the layout.
    Returns:
        The layout of one tin; None without cuts or a tin, and where it cannot be cut as the formula says.
    Raises:
        DomainError, DomainErrors: it cannot be cut as the target says itself.
    """
    try:
        cuts = _target_cuts(body, question, index, result)
        return None if cuts is None else cuts.cut(budget)[0]
    except (DomainError, DomainErrors):
        if question.sent[index].cuts is not None:
            raise
        return None


def _target_cuts(body: job.Job, question: JobQuestion, index: int, result: Rescaled) -> CutQuestion | None:
    sent = question.sent[index]
    own, tin = sent.cuts is not None, result.target.tin
    cuts = sent.cuts or body.formula.cuts
    if cuts is None or tin is None:
        return None
    return read_target_cuts(
        cuts,
        tin,
        result.grams_per_tin,
        bake_loss_percent(sent, body.formula, body.shop),
        label=sent.label,
        target_path=("targets", index),
        path=("targets", index, "cuts") if own else ("formula", "cuts"),
    )


def batter_lifts(question: JobQuestion, results: Sequence[Rescaled | None]) -> list[BatterLift | None]:
    """How far the dough pieces lift the batter of each target; None where there are none, or no depth is known."""
    return [None if result is None else _lift(question, result) for result in results]


def _lift(question: JobQuestion, result: Rescaled) -> BatterLift | None:
    tin, depth_mm = result.target.tin, result.filled_depth_mm
    if tin is None or depth_mm is None or pieces_in_batter(result.components) is None:
        return None
    pieces = [component.pieces for component in result.components if component.pieces is not None]
    with_pieces = question.weighed.formula.depth_with_pieces
    return batter_lift(tin, depth_mm, pieces, measured_with_pieces=with_pieces)
