"""Dough pieces in a drawing of a tin or of its cuts."""

from api.drawings.page import Sheet
from api.drawings.svg import INK, element
from domain.pieces.patterns import PiecePattern

UNKNOWN_SHARE = 0.35  # diameter of a piece of unknown size in the drawing, as a share of the least gap


def draw_places(sheet: Sheet, pattern: PiecePattern, ball_mm: float | None, unit: float, fill: str) -> None:
    """Draw each piece as a circle with its middle.

    Args:
        sheet: with the outline of the tin.
        pattern: places of the pieces.
        ball_mm: diameter of a piece; if it is not known, pieces are drawn as dots.
        unit: a hundredth of the longer side of the slab.
        fill: of the pieces.
    """
    gap = min(pattern.nearest_mm or 2 * pattern.wall_mm, 2 * pattern.wall_mm)
    radius = ball_mm / 2 if ball_mm is not None else UNKNOWN_SHARE * gap / 2
    group = element(sheet.slab, "g", fill=fill, stroke=INK, stroke_width=0.25 * unit)
    for place_x, place_y in pattern.positions:
        element(group, "circle", cx=place_x, cy=place_y, r=radius)
    middles = element(sheet.slab, "g", fill=INK)
    for place_x, place_y in pattern.positions:
        element(middles, "circle", cx=place_x, cy=place_y, r=min(0.35 * unit, radius / 3))
