"""From a question about pieces to the answer of `/v1/pieces`."""

from typing import Any

from api.v1.job.answers import component_pieces
from api.v1.pieces.placing import PlacedPieces, place_on
from api.v1.pieces.reading import PiecesQuestion
from api.wire.answers import source_refs, sources, warnings, without_none
from domain.cutting.budget import CutBudget
from domain.errors import ErrorCollector, NeededError
from domain.pieces.dividing import MixToDivide, PieceYield, divide_mix
from domain.pieces.patterns import set_pieces
from domain.pieces.scoops import Scoop, ScoopOffer
from domain.pieces.trays import TrayFit, TraySpace, fit_trays, tray_of


def pieces_answer(question: PiecesQuestion, *, in_query: bool = False) -> dict[str, Any]:
    """Divide the mix, and place its pieces on the tray and in the tin.

    Args:
        question: the mix, how to divide it, the tray and the tin.
        in_query: whether warnings name query parameters.
    Returns:
        The answer, without the fields that are not known.
    Raises:
        DomainErrors: everything that prevents an answer.
    """
    errors, tray, placed = ErrorCollector(), None, None
    pieces = _divided(question)
    diameter_mm = _diameter_mm(question, pieces)
    if question.tray is not None:
        with errors.at():
            space = tray_of(question.tray, diameter_mm, spacing_mm=question.spacing_mm, margin_mm=question.margin_mm)
            tray = _tray(space, fit_trays(pieces.count, space))
    with errors.at():
        placed = _placed(question, pieces)
    errors.raise_if_any()
    notices = [*question.mix.notices, *pieces.notices, *question.notices]
    answer = _yield(pieces) | {"mix": _mix(question.mix), "label": question.label, "tray": tray}
    if placed is not None:
        notices += [notice.within("tin") for notice in placed.notices]
        answer |= placed.answer()
        answer["drawing"] = placed.drawing(question.label or "") if question.drawing else None
    scoops = [offer.scoop for offer in pieces.nearest] + ([] if pieces.scoop is None else [pieces.scoop])
    cited = {*question.mix.cited, *(source for scoop in scoops for source in scoop.cited)}
    return without_none(**answer, warnings=warnings(notices, in_query=in_query), sources=sources(cited))


def pieces_drawing(question: PiecesQuestion) -> str:
    """The drawing of the pieces in the tin, as SVG.

    Raises:
        NeededError: there is no tin.
    """
    placed = _placed(question, _divided(question))
    if placed is None:
        raise NeededError("A drawing shows pieces in a tin: give tin.", path=("tin",), code="drawing_tin_needed")
    return placed.drawing(question.label or "")


def _divided(question: PiecesQuestion) -> PieceYield:
    return divide_mix(question.mix.mass, question.wish, question.g_per_ml, question.vessels)


def _placed(question: PiecesQuestion, pieces: PieceYield) -> PlacedPieces | None:
    if question.slab is None:
        return None
    diameter_mm = _diameter_mm(question, pieces)
    pattern = set_pieces(question.slab, pieces.count, diameter_mm, count_path=question.wish.argument)
    layout = None if question.cuts is None else question.cuts.cut(CutBudget())[0]
    return place_on(pattern, diameter_mm, layout)


def _diameter_mm(question: PiecesQuestion, pieces: PieceYield) -> float | None:
    return pieces.ball_mm if question.diameter_mm is None else question.diameter_mm


def _yield(pieces: PieceYield) -> dict[str, Any]:
    return {
        "count": pieces.count,
        "count_low": pieces.count_low,
        "count_high": pieces.count_high,
        "grams_each": pieces.piece_g,
        "grams_low": pieces.low,
        "grams_high": pieces.high,
        "leftover_grams": pieces.leftover_g,
        "division": None if pieces.pieces is None else component_pieces(pieces.pieces, as_written=True),
        "ball_diameter_mm": pieces.ball_mm,
        "scoop": None if pieces.scoop is None else _scoop(pieces.scoop),
        "nearest_scoops": [_offer(offer) for offer in pieces.nearest],
    }


def _mix(mix: MixToDivide) -> dict[str, Any]:
    mass = mix.mass
    return {"grams": mass.grams, "grams_low": mass.low, "grams_high": mass.high, "cited": source_refs(mix.cited)}


def _tray(space: TraySpace, fits: tuple[TrayFit, TrayFit]) -> dict[str, Any]:
    return {
        "length_mm": space.length_mm,
        "width_mm": space.width_mm,
        "diameter_mm": space.diameter_mm,
        **{fit.pattern.pattern: _fit(fit) for fit in fits},
    }


def _scoop(scoop: Scoop) -> dict[str, Any]:
    return {
        "number": scoop.number,
        "ml": float(scoop.ml),
        "ml_low": float(scoop.low_ml),
        "ml_high": float(scoop.high_ml),
        "cited": source_refs(scoop.cited),
    }


def _offer(offer: ScoopOffer) -> dict[str, Any]:
    masses = {
        "grams": offer.grams,
        "grams_low": offer.low,
        "grams_high": offer.high,
        "error_percent": offer.error_percent,
    }
    return _scoop(offer.scoop) | masses


def _fit(fit: TrayFit) -> dict[str, Any]:
    pattern = fit.pattern
    return {
        "arrangement": pattern.pattern,
        "along": pattern.along,
        "row_counts": list(pattern.rows),
        "per_tray": pattern.per_tray,
        "trays": fit.trays,
        "on_last_tray": fit.on_last,
        "pitch_mm": pattern.pitch_mm,
        "row_pitch_mm": pattern.row_pitch_mm,
    }
