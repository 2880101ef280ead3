"""The parts of a target's answer that are computed when they are asked for: its bake and its cuts."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any

from api.v1.bake.answers import bake_part
from api.v1.cuts.answers import cuts_answer
from api.v1.cuts.reading import CutQuestion, read_target_cuts
from api.v1.job import schemas as job
from api.v1.job.answers import target_warnings
from api.v1.job.reading import JobQuestion, bake_loss_percent
from api.v1.pieces.placing import pieces_on_cuts
from domain.baking.core_safety import Caution, cautions
from domain.baking.targets import TargetBake, bake_targets, pieces_in_batter
from domain.baking.window import assumed_figures
from domain.cutting.budget import CutBudget
from domain.errors import DomainError, DomainErrors, NeededError, Path, at_path
from domain.formulas.cautions import raw_cautions
from domain.formulas.rescaling import Rescaled
from domain.notices import Notice

Part = dict[str, Any]


@dataclass(slots=True, kw_only=True)
class SharedNotices:
    """Warnings and cautions that belong to the formula, and so are said once for all targets.

    `of_target` has the warnings about a target, by its index, that belong to no part of its answer.
    """

    notices: list[Notice] = field(default_factory=list)
    of_target: dict[int, list[Notice]] = field(default_factory=dict)
    cautions: tuple[Caution, ...] = ()

    def take(self, notices: Sequence[Notice]) -> list[Notice]:
        """Keep the warnings about the formula, and return those about the target."""
        self.notices += [notice for notice in notices if notice.path[:1] == ("formula",)]
        return [notice for notice in notices if notice.path[:1] != ("formula",)]


def estimate_bakes(question: JobQuestion, results: Sequence[Rescaled | None]) -> list[TargetBake | None]:
    """The bake of each target; None where the formula names no oven or the target has no answer.

    Raises:
        OutOfRangeError: too many windows for one request.
    """
    for i, sent in enumerate(question.sent):
        if sent.bake is not None and question.bake is None:
            message = "A target's bake changes that of the formula: give formula.bake with an oven."
            path = ("targets", i, "bake")
            question.problems[i].errors.append(NeededError(message, path=path, code="oven_needed"))
    if question.bake is None:
        return [None] * len(results)
    return list(bake_targets(question.weighed, question.bake, results, question.changes))


def bake_parts(
    body: job.Job,
    question: JobQuestion,
    bakes: Sequence[TargetBake | None],
    shared: SharedNotices,
    *,
    in_query: bool = False,
) -> list[Part | None]:
    """The `bake` of each target.

    Args:
        body: the request.
        question: the same, read.
        bakes: of each target.
        shared: takes the warnings and cautions that belong to the formula.
        in_query: whether the request came as a query.
    """
    bake = question.bake
    if bake is None:
        return [None] * len(bakes)
    of_bake = cautions(pieces=pieces_in_batter(question.weighed.components) is not None)
    shared.cautions = tuple(dict.fromkeys((*raw_cautions(question.weighed), *of_bake)))
    if any(each is not None and each.estimate is not None for each in bakes):
        assumed = assumed_figures(core_c=bake.core_c, start_c=bake.start_c, kind=question.weighed.kind)
        shared.notices += [notice.within("formula", "bake") for notice in assumed]
    parts = list[Part | None]()
    for each in bakes:
        if each is None:
            parts.append(None)
            continue
        own_warnings = target_warnings(shared.take(each.notices), body, in_query=in_query)
        own = [caution for caution in each.cautions if caution not in shared.cautions]
        parts.append(bake_part(each, own, own_warnings))
    return parts


def cuts_parts(
    body: job.Job,
    question: JobQuestion,
    results: Sequence[Rescaled | None],
    shared: SharedNotices,
    budget: CutBudget,
    *,
    in_query: bool = False,
) -> list[Part | None]:
    """The `cuts` of each target, its own or else the formula's. All of them together have one budget of work.

    A target that cannot be cut as it says itself has a problem; one that cannot be cut as the formula says, a warning.

    Args:
        body: the request.
        question: the same, read.
        results: the formula for each target.
        shared: takes the warnings that belong to the formula.
        budget: of the work.
        in_query: whether the request came as a query.
    """
    parts = list[Part | None]()
    for i, (sent, result) in enumerate(zip(question.sent, results, strict=True)):
        part = None
        if sent.cuts is not None:
            target = question.targets[i]
            with question.problems[i].at():
                if target is not None:
                    part = _cut(body, question, i, result, budget, shared, in_query=in_query)
        elif body.formula.cuts is not None and result is not None and result.target.tin is not None:
            try:
                part = _cut(body, question, i, result, budget, shared, in_query=in_query)
            except (DomainError, DomainErrors) as error:
                reasons = error.errors if isinstance(error, DomainErrors) else [error]
                message = f"Not cut: {' '.join(reason.detail for reason in reasons)}"
                notice = Notice(code="not_cut", message=message, path=("targets", i))
                shared.of_target.setdefault(i, []).append(notice)
        parts.append(part)
    return parts


def _cut(  # noqa: PLR0917 - one target of many, and what all of them share
    body: job.Job,
    question: JobQuestion,
    index: int,
    result: Rescaled | None,
    budget: CutBudget,
    shared: SharedNotices,
    *,
    in_query: bool,
) -> Part:
    sent = question.sent[index]
    cut, path = cut_of_target(body, question, index, result)
    layout, notices = cut.cut(budget)
    own_warnings = target_warnings(shared.take(notices), body, in_query=in_query)
    placed = pieces_on_cuts(result, layout, budget) if cut.drawing and result is not None else None
    with at_path(*path):
        return cuts_answer(
            layout, own_warnings, budget, label=None, drawing=cut.drawing, title=sent.label or "", placed=placed
        )


def cut_of_target(
    body: job.Job, question: JobQuestion, index: int, result: Rescaled | None
) -> tuple[CutQuestion, Path]:
    """How a target is cut, by its own cuts or the formula's, and where those stand.

    Raises:
        NeededError: there are none, or no tin.
        DomainErrors: everything that is wrong with the cuts.
    """
    sent, target = question.sent[index], question.targets[index]
    own = sent.cuts is not None
    cuts = sent.cuts or body.formula.cuts
    target_path = ("targets", index)
    path: Path = (*target_path, "cuts") if own else ("formula", "cuts")
    if cuts is None or target is None or target.tin is None:
        raise NeededError("`cuts` go with a tin: give the formula's.", path=path, code="tin_needed")
    cut = read_target_cuts(
        cuts,
        target.tin,
        None if result is None else result.grams_per_tin,
        bake_loss_percent(sent, body.formula, body.shop),
        label=sent.label,
        target_path=target_path,
        path=path,
    )
    return cut, path
