"""From the domain's pieces to what `/v1/pieces` sends."""

from typing import Any

from api.wire.answers import source_refs, without_none
from domain.formulas.formula import Mass
from domain.pieces.dividing import PieceYield
from domain.pieces.patterns import PiecePattern
from domain.pieces.scoops import Scoop, ScoopOffer
from domain.pieces.trays import TrayFit, TrayRoom
from domain.sources import Cited


def yield_answer(found: PieceYield) -> dict[str, Any]:
    """Count, masses, leftover and scoops."""
    return {
        "count": found.count,
        "count_low": found.count_low,
        "count_high": found.count_high,
        "grams_each": found.piece_g,
        "low": found.low,
        "high": found.high,
        "leftover_grams": found.leftover_g,
        "ball_diameter_mm": found.ball_mm,
        "scoop": None if found.scoop is None else _scoop(found.scoop),
        "nearest_scoops": [_offer(offer) for offer in found.nearest],
    }


def mix_answer(mass: Mass, cited: tuple[Cited, ...]) -> dict[str, Any]:
    """The mix that was divided."""
    return {"grams": mass.grams, "low": mass.low, "high": mass.high, "sources": source_refs(cited)}


def tray_answer(room: TrayRoom, fits: tuple[TrayFit, TrayFit]) -> dict[str, Any]:
    """Both patterns on a tray."""
    return {
        "length_mm": room.length_mm,
        "width_mm": room.width_mm,
        "diameter_mm": room.diameter_mm,
        **{fit.pattern.pattern: _fit(fit) for fit in fits},
    }


def pattern_answer(pattern: PiecePattern) -> dict[str, Any]:
    """Where pieces go in a tin."""
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
