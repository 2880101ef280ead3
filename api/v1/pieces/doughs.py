"""The dough pieces of a formula for each target, and where they sit: the view of `/v1/pieces` on the main job."""

from typing import Any

from api.drawings.language import ENGLISH, Language
from api.drawings.style import ALONE, SheetStyle
from api.v1.job.answers import component_pieces, job_answer, target_warnings
from api.v1.job.portioning import target_layout
from api.v1.job.reading import JobQuestion
from api.v1.job.schemas import Formula, Job, Target
from api.v1.job.views import compute_job
from api.v1.pieces.placing import place_dough
from api.v1.pieces.schemas import PiecesRequest
from api.wire.answers import without_none
from domain.cutting.budget import CutBudget
from domain.cutting.layouts import CutLayout
from domain.errors import DomainError, DomainErrors, ErrorCollector, MismatchError, NeededError
from domain.formulas.cautions import raw_cautions
from domain.formulas.rescaling import Rescaled
from domain.notices import Notice
from domain.pieces.counts import Pieces
from domain.shop.goods import Book

_OF_A_MIX = ("grams", "lines", "grams_each", "count", "scoop", "tin", "tin_shape", "tray", "tray_shape", "egg_class")


def dough_answer(body: PiecesRequest, formula: Formula, shop: Book) -> dict[str, Any]:
    """The pieces of every component that is divided, for each target."""
    whole, question, results = _compute(body, formula, shop)
    budget = CutBudget()
    layouts = _layouts(whole, question, results, budget)
    targets = list[dict[str, Any]]()
    for i, (sent, result) in enumerate(zip(question.sent, results, strict=True)):
        if result is None:
            targets.append({})
            continue
        notices, doughs = list(result.notices), list[dict[str, Any]]()
        drawing = _is_drawn(body, formula, sent)
        for component in result.components:
            if component.pieces is not None:
                name = component.weighed.component.name
                dough, own = _dough(name, component.pieces, result, layouts[i], budget, drawing=drawing)
                doughs.append(dough)
                notices += [notice.at("targets", i) for notice in own]
        targets.append(
            without_none(
                factor=result.factor,
                tins=None if result.target.tin is None else result.target.tins,
                pieces=doughs,
                warnings=target_warnings(notices, whole),
            )
        )
    return job_answer(whole, question, targets, cautions=raw_cautions(question.weighed))


def dough_drawing(
    body: PiecesRequest,
    formula: Formula,
    shop: Book,
    *,
    style: SheetStyle = ALONE,
    language: Language = ENGLISH,
) -> str:
    """The pieces of the first target's first divided component in one of its tins, as SVG.

    Args:
        body: the request.
        formula: of the request.
        shop: the book of the shop file.
        style: whether the drawing has its words above it, the units of its rulers, and sizes of text.
        language: of the words.
    Raises:
        NeededError: there is no tin with a shape to draw.
    """
    whole, question, results = _compute(body, formula, shop)
    budget = CutBudget()
    layouts = _layouts(whole, question, results, budget)
    question.problems[0].raise_if_any()
    for component in () if results[0] is None else results[0].components:
        if component.pieces is not None and results[0] is not None:
            placed = place_dough(component.pieces, results[0], layouts[0], budget, drawing=True)
            if placed is not None:
                return placed.drawing(question.sent[0].label or formula.name, style=style, language=language)
    message = "A drawing shows pieces in a tin: give the formula's pieces and a tin with a shape."
    raise NeededError(message, path=("formula",), code="drawing_tin_needed")


def _compute(body: PiecesRequest, formula: Formula, shop: Book) -> tuple[Job, JobQuestion, list[Rescaled | None]]:
    errors = ErrorCollector()
    errors.errors += [
        MismatchError(f"`{name}` goes with a mix, and not with a formula.", path=(name,), code="given_twice")
        for name in _OF_A_MIX
        if getattr(body, name) is not None
    ]
    if not any(component.pieces for component in formula.components) and not any(each.pieces for each in body.targets):
        message = "Give `pieces`: in a component of the formula, or in a target."
        errors.errors.append(NeededError(message, path=("formula", "components"), code="pieces_needed"))
    errors.raise_if_any()
    whole = Job(formula=formula, targets=body.targets, shop=body.shop, measures=body.measures)
    return whole, *compute_job(whole, shop)


def _layouts(
    body: Job, question: JobQuestion, results: list[Rescaled | None], budget: CutBudget
) -> list[CutLayout | None]:
    """How each target is cut; None where it is not. All of them together have one budget of work."""
    layouts = list[CutLayout | None]()
    for index, result in enumerate(results):
        layout = None
        with question.problems[index].at():
            layout = None if result is None else target_layout(body, question, index, result, budget)
        layouts.append(layout)
    return layouts


def _dough(
    name: str, pieces: Pieces, result: Rescaled, layout: CutLayout | None, budget: CutBudget, *, drawing: bool
) -> tuple[dict[str, Any], tuple[Notice, ...]]:
    """The pieces of one dough, and the warnings about their places."""
    answer = without_none(component=name, **component_pieces(pieces))
    try:
        placed = place_dough(pieces, result, layout, budget, drawing=drawing)
    except (DomainError, DomainErrors) as error:
        reasons = error.errors if isinstance(error, DomainErrors) else [error]
        message = f"{name}: not placed in the tin. {' '.join(reason.detail for reason in reasons)}"
        return answer, (Notice(code="not_placed", message=message, path=()),)
    if placed is None:
        return answer, ()
    answer |= placed.answer()
    if drawing:
        answer["drawing"] = placed.drawing(name)
    return answer, placed.notices


def _is_drawn(body: PiecesRequest, formula: Formula, sent: Target) -> bool:
    if sent.pieces is not None:
        return sent.pieces.drawing
    return body.drawing or any(component.pieces.drawing for component in formula.components if component.pieces)
