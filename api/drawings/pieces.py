"""A drawing of the places of pieces in a tin, to scale and with rulers."""

from api.drawings.outlines import draw_outline, origin_of, size_of
from api.drawings.page import KeyEntry, Words, new_sheet
from api.drawings.places import draw_places
from api.drawings.rulers import four_rulers
from api.drawings.svg import INK, NBSP, element, figure, serialised
from domain.pieces.patterns import PiecePattern

SAME_MM = 0.05  # places that differ by less share one mark: a ruler is not finer


def draw_pieces(pattern: PiecePattern, ball_mm: float | None, label: str = "") -> str:
    """Draw one pattern.

    Args:
        pattern: the pattern to draw.
        ball_mm: diameter of a piece; if it is not known, pieces are drawn as dots.
        label: the caller's own name for it, used as the heading.
    Returns:
        SVG text with the same rulers as a cut layout; the marks are the middles of the pieces.
    """
    length, width = size_of(pattern.slab)
    unit = max(length, width) / 100
    words = _words(pattern, ball_mm, label)
    key = [KeyEntry(fill="edge", label="pieces" if ball_mm is not None else "middles of pieces, size not known")]
    along, down = (_distinct([place[i] for place in pattern.positions]) for i in (0, 1))
    rulers = four_rulers(along, down, (length, width), unit)
    sheet = new_sheet(length, width, words, key=key, rulers=rulers, unit=unit)
    x, y = origin_of(pattern.slab)
    outline = element(sheet.slab, "g", transform=f"translate({-x:g} {-y:g})")
    draw_outline(outline, pattern.slab, fill="#ffffff", stroke=INK, stroke_width=0.45 * unit)
    draw_places(sheet, pattern, ball_mm, unit, sheet.fill("edge"))
    return serialised(sheet.root)


def _distinct(places: list[float]) -> list[float]:
    distinct: list[float] = []
    for place in sorted(places):
        if not distinct or place - distinct[-1] > SAME_MM:
            distinct.append(place)
    return distinct


def _words(pattern: PiecePattern, ball_mm: float | None, label: str) -> Words:
    count = f"{len(pattern.positions)} pieces" if len(pattern.positions) > 1 else "1 piece"
    lines = []
    if pattern.rows:
        counts = ", ".join(str(row.count) for row in pattern.rows)
        lines.append(f"rows along the {pattern.along}: {counts}")
    for ring in pattern.rings:
        if ring.radius_mm == 0:
            lines.append("1 in the middle")
        else:
            turn = "from the top" if ring.first_degrees == 0 else f"from {figure(ring.first_degrees)}°"
            where = f"{figure(ring.radius_mm)}{NBSP}mm from the middle"
            lines.append(f"{ring.count} at {where}, every {figure(ring.step_degrees)}°, {turn}")
    if pattern.nearest_mm is not None:
        lines.append(f"middles at least {figure(pattern.nearest_mm)}{NBSP}mm apart")
    if ball_mm is not None:
        lines.append(f"balls of {figure(ball_mm)}{NBSP}mm")
    heading = label or count
    shown = tuple([count] * bool(label) + lines)
    description = f"{'. '.join(shown if label else (count, *lines))}."
    return Words(heading=heading, lines=shown, title=f"{heading}: where to put them", description=description)
