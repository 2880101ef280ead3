"""A drawing of the places of pieces in a tin, to scale and with rulers."""

from api.drawings.language import ENGLISH, Language
from api.drawings.outlines import draw_outline, origin_of, size_of
from api.drawings.page import KeyEntry, Words, new_sheet
from api.drawings.places import draw_places
from api.drawings.rulers import four_rulers
from api.drawings.style import ALONE, SheetStyle
from api.drawings.svg import INK, NBSP, element, serialised
from domain.pieces.patterns import PiecePattern

SAME_MM = 0.05  # places that differ by less share one mark: a ruler is not finer


def draw_pieces(
    pattern: PiecePattern,
    ball_mm: float | None,
    label: str = "",
    *,
    style: SheetStyle = ALONE,
    language: Language = ENGLISH,
) -> str:
    """Draw one pattern.

    Args:
        pattern: the pattern to draw.
        ball_mm: diameter of a piece; if it is not known, pieces are drawn as dots.
        label: the caller's own name for it, used as the heading.
        style: whether the drawing has its words above it, the units of its rulers, and sizes of text.
        language: of the words and figures.
    Returns:
        SVG text with the same rulers as a cut layout; the marks are the middles of the pieces.
    """
    length, width = size_of(pattern.slab)
    unit = max(length, width) / 100
    words = _words(pattern, ball_mm, label, language)
    sized, unsized = language.gettext("pieces"), language.gettext("middles of pieces, size not known")
    key = [KeyEntry(fill="edge", label=unsized if ball_mm is None else sized)]
    along, down = (_distinct([place[i] for place in pattern.positions]) for i in (0, 1))
    rulers = four_rulers(along, down, (length, width), unit, style, language)
    sheet = new_sheet(length, width, words, key=key, rulers=rulers, unit=unit, style=style)
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


def _words(pattern: PiecePattern, ball_mm: float | None, label: str, language: Language) -> Words:
    gettext, figure = language.gettext, language.figure
    count = language.ngettext("%(count)s piece", "%(count)s pieces", len(pattern.positions))
    lines = []
    if pattern.rows:
        counts = ", ".join(str(row.count) for row in pattern.rows)
        lines.append(
            gettext("rows along the length: %(counts)s", counts=counts)
            if pattern.along == "length"
            else gettext("rows along the width: %(counts)s", counts=counts)
        )
    for ring in pattern.rings:
        if ring.radius_mm == 0:
            lines.append(gettext("1 in the middle"))
            continue
        values: dict[str, str | float] = {
            "count": ring.count,
            "radius": f"{figure(ring.radius_mm)}{NBSP}mm",
            "step": figure(ring.step_degrees),
        }
        if ring.first_degrees == 0:
            lines.append(gettext("%(count)s at %(radius)s from the middle, every %(step)s°, from the top", **values))
        else:
            values["first"] = figure(ring.first_degrees)
            lines.append(gettext("%(count)s at %(radius)s from the middle, every %(step)s°, from %(first)s°", **values))
    if pattern.nearest_mm is not None:
        lines.append(gettext("middles at least %(gap)s apart", gap=f"{figure(pattern.nearest_mm)}{NBSP}mm"))
    if ball_mm is not None:
        lines.append(gettext("balls of %(size)s", size=f"{figure(ball_mm)}{NBSP}mm"))
    heading = label or count
    shown = tuple([count] * bool(label) + lines)
    description = f"{'. '.join(shown if label else (count, *lines))}."
    title = gettext("%(name)s: where to put them", name=heading)
    return Words(heading=heading, lines=shown, title=title, description=description)
