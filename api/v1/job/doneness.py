"""The doneness of each portion of a target, if its bake asks for it."""

from typing import Any

from api.drawings.language import ENGLISH, Language
from api.drawings.style import ALONE, SheetStyle
from api.v1.bake.answers import doneness_answer
from api.v1.job import schemas as job
from api.v1.job.baking import read_bands
from api.v1.job.baking_schemas import DonenessWish
from api.v1.job.parts import read_cut
from api.v1.job.reading import JobQuestion
from domain.baking.doneness import doneness_by_place
from domain.baking.targets import TargetBake
from domain.cutting.budget import CutBudget
from domain.cutting.cuts import charge_drawing
from domain.errors import at_arguments
from domain.formulas.rescaling import Rescaled


def doneness_part(  # noqa: PLR0917 - one target of many, and what all of them share
    body: job.Job,
    question: JobQuestion,
    index: int,
    result: Rescaled,
    bake: TargetBake,
    budget: CutBudget,
    style: SheetStyle = ALONE,
    language: Language = ENGLISH,
) -> dict[str, Any]:
    """The `doneness` of one target; nothing if it is not asked for or there is no window.

    Args:
        body: the request.
        question: the same, read; takes the target's errors.
        index: of the target.
        result: the formula for the target.
        bake: of the target.
        budget: of the cuts of all targets.
        style: of a drawing.
        language: of its words.
    """
    wish, path = _wish(body, question.sent[index], index)
    if wish is None or bake.estimate is None:
        return {}
    with question.problems[index].at():
        cut, cuts_path = read_cut(body, question, index, result)
        layout, _ = cut.cut(budget)
        if wish.drawing:
            charge_drawing(layout, budget)
        with at_arguments(bands=(*path, "bands"), cuts=cuts_path):
            by_place = doneness_by_place(bake.estimate, layout, mix_g=result.grams_per_tin, bands=read_bands(wish))
        title = question.sent[index].label or body.formula.name
        return {
            "doneness": doneness_answer(by_place, drawing=wish.drawing, title=title, style=style, language=language)
        }
    return {}


def _wish(body: job.Job, sent: job.Target, index: int) -> tuple[DonenessWish | None, tuple[str | int, ...]]:
    if sent.bake is not None and sent.bake.doneness is not None:
        return sent.bake.doneness, ("targets", index, "bake", "doneness")
    of_formula = body.formula.bake
    return (None if of_formula is None else of_formula.doneness), ("formula", "bake", "doneness")
