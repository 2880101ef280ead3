"""The doneness of each portion of a target, if its bake asks for it."""

from collections.abc import Sequence
from typing import Any

from api.drawings.language import ENGLISH, Language
from api.drawings.style import ALONE, SheetStyle
from api.v1.bake.answers import doneness_answer
from api.v1.job import schemas as job
from api.v1.job.baking import read_bands
from api.v1.job.baking_schemas import DonenessWish
from api.v1.job.parts import SharedNotices, cut_of_target
from api.v1.job.reading import JobQuestion
from domain.baking.doneness import charge_map, charge_windows, doneness_by_place
from domain.baking.targets import TargetBake
from domain.cutting.budget import CutBudget
from domain.cutting.cuts import charge_drawing
from domain.errors import DomainError, DomainErrors, at_arguments, at_path
from domain.formulas.rescaling import Rescaled
from domain.notices import Notice


def doneness_budget(body: job.Job, question: JobQuestion, bakes: Sequence[TargetBake | None]) -> CutBudget:
    """The work that is left for cuts and maps; if maps are asked for, without that of the windows.

    Args:
        body: the request.
        question: the same, read.
        bakes: of each target.
    """
    budget = CutBudget()
    if wants_doneness(body, question):
        charge_windows(bakes, budget)
    return budget


def wants_doneness(body: job.Job, question: JobQuestion) -> bool:
    """Whether the formula or a target asks for doneness."""
    return any(_wish(body, sent, 0)[0] is not None for sent in question.sent)


def doneness_part(  # noqa: PLR0917 - one target of many, and what all of them share
    body: job.Job,
    question: JobQuestion,
    index: int,
    result: Rescaled | None,
    bake: TargetBake | None,
    budget: CutBudget,
    shared: SharedNotices,
    style: SheetStyle = ALONE,
    language: Language = ENGLISH,
) -> dict[str, Any]:
    """The `doneness` of one target; nothing if it is not asked for or there is no window.

    A target that cannot be mapped as it says itself has a problem; one that cannot as the formula says, a warning.

    Args:
        body: the request.
        question: the same, read; takes the target's errors.
        index: of the target.
        result: the formula for the target; None if it has problems.
        bake: of the target.
        budget: of the cuts of all targets.
        shared: takes the warning.
        style: of a drawing.
        language: of its words.
    """
    sent = question.sent[index]
    wish, path = _wish(body, sent, index)
    if wish is None or result is None or bake is None or bake.estimate is None or question.problems[index].errors:
        return {}
    own = path[0] == "targets" or sent.cuts is not None
    try:
        cut, cuts_path = cut_of_target(body, question, index, result)
        layout, _ = cut.cut(budget)
        with at_path(*path):
            charge_map(layout, budget)
            if wish.drawing:
                charge_drawing(layout, budget)
        with at_arguments(bands=(*path, "bands"), cuts=cuts_path):
            by_place = doneness_by_place(bake.estimate, layout, mix_g=result.grams_per_tin, bands=read_bands(wish))
    except (DomainError, DomainErrors) as error:
        reasons = error.errors if isinstance(error, DomainErrors) else [error]
        if own:
            question.problems[index].errors.extend(reasons)
        else:
            message = f"No map of doneness: {' '.join(reason.detail for reason in reasons)}"
            notice = Notice(code="no_doneness", message=message, path=("targets", index))
            shared.of_target.setdefault(index, []).append(notice)
        return {}
    title = sent.label or body.formula.name
    return {"doneness": doneness_answer(by_place, drawing=wish.drawing, title=title, style=style, language=language)}


def _wish(body: job.Job, sent: job.Target, index: int) -> tuple[DonenessWish | None, tuple[str | int, ...]]:
    if sent.bake is not None and sent.bake.doneness is not None:
        return sent.bake.doneness, ("targets", index, "bake", "doneness")
    of_formula = body.formula.bake
    return (None if of_formula is None else of_formula.doneness), ("formula", "bake", "doneness")
