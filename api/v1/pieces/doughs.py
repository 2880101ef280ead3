"""The dough pieces of a formula for each target, and where they sit: the view of `/v1/pieces` on the main job."""

from typing import Any

from api.drawings.pieces import draw_pieces
from api.v1.job.answers import job_answer, pieces_answer, target_warnings
from api.v1.job.reading import JobQuestion
from api.v1.job.schemas import Formula, Job, Target
from api.v1.job.views import compute_job
from api.v1.pieces.answers import pattern_answer
from api.v1.pieces.schemas import PiecesRequest
from api.wire.answers import without_none
from domain.baking.targets import pieces_per_tin
from domain.cutting.tin_slabs import slab_of
from domain.errors import DomainError, DomainErrors, ErrorCollector, MismatchError, NeededError
from domain.formulas.rescaling import Rescaled
from domain.notices import Notice
from domain.pieces.counts import Pieces
from domain.pieces.dividing import ball_mm
from domain.pieces.patterns import PiecePattern, set_pieces
from domain.shop.goods import Book

_OF_A_MIX = ("grams", "lines", "grams_each", "count", "scoop", "tin", "tin_shape", "tray", "tray_shape", "egg_class")


def dough_answer(body: PiecesRequest, formula: Formula, shop: Book) -> dict[str, Any]:
    """The pieces of every component that is divided, for each target."""
    whole, question, results = _compute(body, formula, shop)
    targets = list[dict[str, Any]]()
    for i, (sent, result) in enumerate(zip(question.sent, results, strict=True)):
        if result is None:
            targets.append({})
            continue
        notices = list(result.notices)
        drawing = _is_drawn(body, formula, sent)
        pieces = [
            _dough(component.weighed.component.name, component.pieces, result, i, notices, drawing=drawing)
            for component in result.components
            if component.pieces is not None
        ]
        targets.append(
            without_none(
                factor=result.factor,
                tins=None if result.target.tin is None else result.target.tins,
                pieces=pieces,
                warnings=target_warnings(notices, whole),
            )
        )
    return job_answer(whole, question, targets)


def dough_drawing(body: PiecesRequest, formula: Formula, shop: Book) -> str:
    """The pieces of the first target's first divided component in one of its tins, as SVG.

    Raises:
        NeededError: there is no tin with a shape to draw.
    """
    _, question, results = _compute(body, formula, shop)
    question.problems[0].raise_if_any()
    for component in () if results[0] is None else results[0].components:
        if component.pieces is not None and results[0] is not None:
            pattern, diameter_mm = _pattern(component.pieces, results[0])
            if pattern is not None:
                return draw_pieces(pattern, diameter_mm, question.sent[0].label or formula.name)
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


def _dough(
    name: str, pieces: Pieces, result: Rescaled, index: int, notices: list[Notice], *, drawing: bool
) -> dict[str, Any]:
    pattern, diameter_mm = None, None
    try:
        pattern, diameter_mm = _pattern(pieces, result)
    except (DomainError, DomainErrors) as error:
        reasons = error.errors if isinstance(error, DomainErrors) else [error]
        message = f"{name}: not placed in the tin. {' '.join(reason.detail for reason in reasons)}"
        notices.append(Notice(code="not_placed", message=message, path=("targets", index)))
    if pattern is not None:
        notices += [notice.at("targets", index) for notice in pattern.notices]
    return without_none(
        component=name,
        **pieces_answer(pieces),
        per_tin=None if result.target.tin is None else pieces_per_tin(pieces.count, result.target.tins),
        pattern=None if pattern is None else pattern_answer(pattern),
        drawing=draw_pieces(pattern, diameter_mm, name) if drawing and pattern is not None else None,
    )


def _pattern(pieces: Pieces, result: Rescaled) -> tuple[PiecePattern | None, float | None]:
    tin, division = result.target.tin, pieces.division
    diameter_mm = None if division is None else division.diameter_mm
    if diameter_mm is None and division is not None and division.g_per_ml is not None:
        diameter_mm = ball_mm(pieces.grams_each, division.g_per_ml)
    if tin is None:
        return None, diameter_mm
    slab, _ = slab_of(tin)
    return set_pieces(slab, pieces_per_tin(pieces.count, result.target.tins), diameter_mm), diameter_mm


def _is_drawn(body: PiecesRequest, formula: Formula, sent: Target) -> bool:
    if sent.pieces is not None:
        return sent.pieces.drawing
    return body.drawing or any(component.pieces.drawing for component in formula.components if component.pieces)
