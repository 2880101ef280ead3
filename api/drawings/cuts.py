"""A drawing of a cut layout, to scale and with rulers."""

from collections.abc import Sequence
from dataclasses import replace
from xml.etree import ElementTree as ET

from api.drawings.cut_words import cut_key, cut_words, dough_piece_count
from api.drawings.language import ENGLISH, Language
from api.drawings.outlines import clip_to, draw_outline, draw_sectors, origin_of, size_of
from api.drawings.page import Sheet, new_sheet
from api.drawings.places import draw_places
from api.drawings.rim import draw_rim, fit_rim
from api.drawings.rulers import Ruler, four_rulers
from api.drawings.style import ALONE, SheetStyle
from api.drawings.svg import INK, element, number, serialised
from domain.cutting.layouts import PLACES, Cell, CutLayout, Facet, Sector
from domain.cutting.slabs import PolygonSlab, RectangleSlab
from domain.pieces.patterns import PiecePattern


def draw_cuts(
    layout: CutLayout,
    label: str = "",
    pattern: PiecePattern | None = None,
    ball_mm: float | None = None,
    *,
    style: SheetStyle = ALONE,
    language: Language = ENGLISH,
) -> str:
    """Draw one layout.

    Args:
        layout: the layout to draw.
        label: the caller's own name for it, used as the heading.
        pattern: dough pieces in the slab, to be drawn on top.
        ball_mm: diameter of a piece; if it is not known, pieces are drawn as dots.
        style: whether the drawing has its words above it, the units of its rulers, and sizes of text.
        language: of the words and figures.
    Returns:
        SVG text to scale, with its viewBox in millimetres. Rulers show millimetres at the top and left and inches at
        the bottom and right, or one of them on all sides; wedges have them around the rim.
    """
    size = length, width = size_of(layout.slab)
    unit = max(size) / 100
    rim = fit_rim(layout.marks.rim, length / 2, unit=unit, style=style, language=language)
    words, key = cut_words(layout, label, language), cut_key(layout, language, with_losses=style.with_losses)
    rulers = _rulers(layout, size, unit, style, language)
    if pattern is not None:
        pieces = dough_piece_count(len(pattern.positions), language)
        words = replace(words, lines=(*words.lines, pieces), description=f"{words.description} {pieces}.")
    sheet = new_sheet(length, width, words, key=key, rulers=rulers, unit=unit, margins=rim.margins, style=style)
    x, y = origin_of(layout.slab)
    _draw_pieces(element(sheet.slab, "g", transform=f"translate({-x:g} {-y:g})"), sheet, layout)
    if pattern is not None:
        draw_places(sheet, pattern, ball_mm, unit, "#ffffff")
    draw_rim(sheet.slab, rim, length / 2)
    return serialised(sheet.root)


def _rulers(
    layout: CutLayout, size: tuple[float, float], unit: float, style: SheetStyle, language: Language
) -> list[Ruler]:
    marks, middle = layout.marks, size[0] / 2
    if layout.layout == "grid":
        along, down = [mark.mm for mark in marks.length], [mark.mm for mark in marks.width]
        return four_rulers(along, down, size, unit, style, language)
    if not marks.radius:
        return []
    # The places where a ruler across the middle crosses the rings.
    radii = [mark.mm for mark in marks.radius]
    across = [middle - radius for radius in reversed(radii)] + [middle] + [middle + radius for radius in radii]
    rulers = four_rulers(across, across, size, unit, style, language)
    # All four are equal on a card, whose figures need the room.
    return rulers if style.measure == "both" else rulers[:1]


def _draw_pieces(parent: ET.Element, sheet: Sheet, layout: CutLayout) -> None:
    slab, cutting, line = layout.slab, layout.cutting, 0.25 * sheet.unit
    draw_outline(parent, slab, fill=sheet.fill("offcut"), stroke="none", stroke_width=0.0)
    shapes = tuple(layout.shapes)
    cells = [shape for shape in shapes if isinstance(shape, Cell)]
    inside = element(parent, "g")
    if _clipped(layout):
        inside.set("clip-path", clip_to(sheet.root, sheet.prefix, slab, cutting.trim_mm))
    if not isinstance(slab, RectangleSlab):
        draw_outline(inside, slab, inset=cutting.trim_mm, fill="#ffffff", stroke=INK, stroke_width=line)
    facets = [shape for shape in shapes if isinstance(shape, Facet)]
    if facets:
        _draw_facets(inside, sheet, facets)
    elif cells:
        _draw_cells(inside, sheet, cells, block=isinstance(slab, RectangleSlab))
    else:
        sectors = [shape for shape in shapes if isinstance(shape, Sector)]
        draw_sectors(inside, sectors, cutting.knife_mm, sheet.unit, {place: sheet.fill(place) for place in PLACES})
    draw_outline(parent, slab, fill="none", stroke=INK, stroke_width=0.45 * sheet.unit)


def _clipped(layout: CutLayout) -> bool:
    """Whether pieces would extend beyond the slab if they were drawn whole."""
    slab = layout.slab
    if isinstance(slab, RectangleSlab | PolygonSlab) and slab.corner_radius_mm:
        return True
    return layout.layout == "grid" and not isinstance(slab, RectangleSlab)


def _draw_facets(parent: ET.Element, sheet: Sheet, facets: Sequence[Facet]) -> None:
    for place in dict.fromkeys(facet.place for facet in facets):
        group = element(parent, "g", fill=sheet.fill(place), stroke=INK, stroke_width=0.25 * sheet.unit)
        for facet in facets:
            if facet.place == place:
                element(group, "polygon", points=" ".join(f"{number(x)},{number(y)}" for x, y in facet.points))


def _draw_cells(parent: ET.Element, sheet: Sheet, cells: Sequence[Cell], *, block: bool) -> None:
    if block:
        first, last = cells[0], cells[-1]
        element(
            parent,
            "rect",
            x=first.x_mm,
            y=first.y_mm,
            width=last.x_mm + last.length_mm - first.x_mm,
            height=last.y_mm + last.width_mm - first.y_mm,
            fill="#ffffff",
        )
    for place in dict.fromkeys(cell.place for cell in cells):
        group = element(parent, "g", fill=sheet.fill(place), stroke=INK, stroke_width=0.25 * sheet.unit)
        for cell in cells:
            if cell.place == place:
                element(group, "rect", x=cell.x_mm, y=cell.y_mm, width=cell.length_mm, height=cell.width_mm)
