"""From a question about pieces to the answer of `/v1/pieces`."""

from typing import Any

from api.drawings.pieces import draw_pieces
from api.v1.pieces.reading import PiecesQuestion
from api.wire.answers import source_refs, warnings, without_none
from domain.errors import ErrorCollector, NeededError
from domain.pieces.dividing import Mix, PieceYield, divide_mix
from domain.pieces.patterns import PiecePattern, set_pieces
from domain.pieces.scoops import Scoop, ScoopOffer
from domain.pieces.trays import TrayFit, TrayRoom, fit_trays, tray_of


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
    errors, tray, pattern = ErrorCollector(), None, None
    pieces = divide_mix(question.mix.mass, question.wish, question.g_per_ml)
    diameter_mm = _diameter_mm(question, pieces)
    if question.tray is not None:
        with errors.at():
            room = tray_of(question.tray, diameter_mm, spacing_mm=question.spacing_mm, margin_mm=question.margin_mm)
            tray = _tray(room, fit_trays(pieces.count, room))
    with errors.at():
        pattern = _pattern(question, pieces)
    errors.raise_if_any()
    notices = [*question.mix.notices, *pieces.notices, *question.notices]
    answer = _yield(pieces) | {"mix": _mix(question.mix), "label": question.label, "tray": tray}
    if pattern is not None:
        notices += [notice.within("tin") for notice in pattern.notices]
        answer["pattern"] = _pattern_answer(pattern)
        answer["drawing"] = draw_pieces(pattern, diameter_mm, question.label or "") if question.drawing else None
    return without_none(**answer, warnings=warnings(notices, in_query=in_query))


def pieces_drawing(question: PiecesQuestion) -> str:
    """The drawing of the pieces in the tin, as SVG.

    Raises:
        NeededError: there is no tin.
    """
    pieces = divide_mix(question.mix.mass, question.wish, question.g_per_ml)
    pattern = _pattern(question, pieces)
    if pattern is None:
        raise NeededError("A drawing shows pieces in a tin: give tin.", path=("tin",), code="drawing_tin_needed")
    return draw_pieces(pattern, _diameter_mm(question, pieces), question.label or "")


def _pattern(question: PiecesQuestion, pieces: PieceYield) -> PiecePattern | None:
    if question.slab is None:
        return None
    diameter_mm = _diameter_mm(question, pieces)
    return set_pieces(question.slab, pieces.count, diameter_mm, count_path=question.wish.argument)


def _diameter_mm(question: PiecesQuestion, pieces: PieceYield) -> float | None:
    return pieces.ball_mm if question.diameter_mm is None else question.diameter_mm


def _yield(pieces: PieceYield) -> dict[str, Any]:
    return {
        "count": pieces.count,
        "count_low": pieces.count_low,
        "count_high": pieces.count_high,
        "grams_each": pieces.piece_g,
        "low": pieces.low,
        "high": pieces.high,
        "leftover_grams": pieces.leftover_g,
        "ball_diameter_mm": pieces.ball_mm,
        "scoop": None if pieces.scoop is None else _scoop(pieces.scoop),
        "nearest_scoops": [_offer(offer) for offer in pieces.nearest],
    }


def _mix(mix: Mix) -> dict[str, Any]:
    mass = mix.mass
    return {"grams": mass.grams, "low": mass.low, "high": mass.high, "sources": source_refs(mix.cited)}


def _tray(room: TrayRoom, fits: tuple[TrayFit, TrayFit]) -> dict[str, Any]:
    return {
        "length_mm": room.length_mm,
        "width_mm": room.width_mm,
        "diameter_mm": room.diameter_mm,
        **{fit.pattern.pattern: _fit(fit) for fit in fits},
    }


def _pattern_answer(pattern: PiecePattern) -> dict[str, Any]:
    return without_none(
        along=pattern.along,
        rows=[
            {"count": row.count, "at_mm": row.at_mm, "first_mm": row.first_mm, "pitch_mm": row.pitch_mm}
            for row in pattern.rows
        ],
        rings=[
            {
                "count": ring.count,
                "radius_mm": ring.radius_mm,
                "first_degrees": ring.first_degrees,
                "step_degrees": ring.step_degrees,
            }
            for ring in pattern.rings
        ],
        positions=[{"x_mm": x, "y_mm": y} for x, y in pattern.positions],
        nearest_mm=pattern.nearest_mm,
        wall_mm=pattern.wall_mm,
    )


def _scoop(scoop: Scoop) -> dict[str, Any]:
    return {
        "number": scoop.number,
        "ml": float(scoop.ml),
        "low_ml": float(scoop.low_ml),
        "high_ml": float(scoop.high_ml),
        "sources": source_refs(scoop.cited),
    }


def _offer(offer: ScoopOffer) -> dict[str, Any]:
    masses = {"grams": offer.grams, "low": offer.low, "high": offer.high, "error_percent": offer.error_percent}
    return _scoop(offer.scoop) | masses


def _fit(fit: TrayFit) -> dict[str, Any]:
    pattern = fit.pattern
    return {
        "pattern": pattern.pattern,
        "along": pattern.along,
        "rows": list(pattern.rows),
        "per_tray": pattern.per_tray,
        "trays": fit.trays,
        "on_last_tray": fit.on_last,
        "pitch_mm": pattern.pitch_mm,
        "row_pitch_mm": pattern.row_pitch_mm,
    }
