"""The plan of a slab with its portions, their coldest temperatures and lines of equal temperature."""

from collections.abc import Iterable, Sequence
from xml.etree import ElementTree as ET

from api.drawings.outlines import clip_to, draw_outline, draw_sectors, origin_of, size_of
from api.drawings.page import Sheet, Words, new_sheet
from api.drawings.svg import INK, LINE, element, figure, number, serialised, text, width_of
from domain.baking.doneness import Doneness
from domain.baking.plan_pieces import middle_of
from domain.cutting.layouts import PLACES, Cell, Sector
from domain.cutting.slabs import RectangleSlab

DASHES = ("", "4 1.5", "1.2 1.2", "6 1.5 1.2 1.5", "3 3", "8 2")  # in units: each isotherm has its own
LEAST_LABEL = 1.2  # units: a smaller figure cannot be read
WORST_LABEL = "100.0 °C"


def draw_doneness(doneness: Doneness, title: str) -> str:
    """Draw one slab.

    Args:
        doneness: of its portions.
        title: the caller's own name for it, used as the heading.
    Returns:
        SVG text to scale, with its viewBox in millimetres. Every portion shows its number, its coldest temperature
        and its band; every isotherm has a dash pattern of its own and its temperature in the text.
    """
    layout = doneness.layout
    length, width = size_of(layout.slab)
    unit = max(length, width) / 100
    sheet = new_sheet(length, width, _words(doneness, title), key=[], rulers=[], unit=unit)
    x, y = origin_of(layout.slab)
    plan = element(sheet.slab, "g", transform=f"translate({-x:g} {-y:g})")
    draw_outline(plan, layout.slab, fill="#ffffff", stroke="none", stroke_width=0.0)
    inside = element(plan, "g")
    inside.set("clip-path", clip_to(sheet.root, sheet.prefix, layout.slab, layout.cutting.trim_mm))
    _draw_portions(inside, sheet, doneness)
    middle = (length / 2, width / 2) if isinstance(layout.slab, RectangleSlab) else (0.0, 0.0)
    _draw_isotherms(inside, sheet, doneness, middle)
    draw_outline(plan, layout.slab, fill="none", stroke=INK, stroke_width=0.45 * unit)
    _label_portions(plan, sheet, doneness)
    return serialised(sheet.root)


def _words(doneness: Doneness, title: str) -> Words:
    lines = [f"Coldest point of each portion after {figure(doneness.minutes)} minutes. Computed: a probe decides."]
    if doneness.isotherms:
        shown = ", ".join(
            f"{_dash_name(i)} {figure(isotherm.celsius)} °C" for i, isotherm in enumerate(doneness.isotherms)
        )
        lines.append(f"Lines of equal temperature at half the height, from the middle outwards: {shown}.")
    if doneness.bands:
        counts = [
            f"{band.name}: {sum(piece.band == band.name for piece in doneness.pieces)}" for band in doneness.bands
        ]
        lines.append(f"Portions by the shop's bands: {', '.join(counts)}.")
    description = " ".join((*lines, *_spoken(doneness)))
    return Words(heading=title, lines=tuple(lines), title=f"Doneness of {title}", description=description)


def _spoken(doneness: Doneness) -> Iterable[str]:
    coldest = min(doneness.pieces, key=lambda piece: piece.coldest_c)
    hottest = max(doneness.pieces, key=lambda piece: piece.coldest_c)
    yield f"The coldest portion is number {coldest.number}, {figure(coldest.coldest_c)} °C;"
    yield f"the hottest is number {hottest.number}, {figure(hottest.coldest_c)} °C."


def _dash_name(index: int) -> str:
    return ("solid", "dashed", "dotted", "dash-dotted", "widely dashed", "long-dashed")[index % len(DASHES)]


def _draw_portions(parent: ET.Element, sheet: Sheet, doneness: Doneness) -> None:
    layout, line = doneness.layout, 0.25 * sheet.unit
    for shape in layout.shapes:
        if isinstance(shape, Cell):
            place = {"x": shape.x_mm, "y": shape.y_mm, "width": shape.length_mm, "height": shape.width_mm}
            element(parent, "rect", **place, fill="none", stroke=INK, stroke_width=line)
    sectors = [shape for shape in layout.shapes if isinstance(shape, Sector)]
    if sectors:
        draw_sectors(parent, sectors, 0.0, sheet.unit, dict.fromkeys(PLACES, "none"))


def _draw_isotherms(parent: ET.Element, sheet: Sheet, doneness: Doneness, middle: tuple[float, float]) -> None:
    for index, isotherm in enumerate(doneness.isotherms):
        group = element(parent, "g", fill="none", stroke=INK, stroke_width=0.4 * sheet.unit)
        if dash := DASHES[index % len(DASHES)]:
            group.set("stroke-dasharray", " ".join(number(float(part) * sheet.unit) for part in dash.split()))
        for line in isotherm.lines:
            points = " ".join(f"{number(x + middle[0])},{number(y + middle[1])}" for x, y in line)
            element(group, "polygon", points=points)


def _label_portions(parent: ET.Element, sheet: Sheet, doneness: Doneness) -> None:
    layout = doneness.layout
    shapes: Sequence[Cell | Sector] = layout.shapes
    for piece in doneness.pieces:
        shape = shapes[piece.index]
        room = shape.length_mm if isinstance(shape, Cell) else (shape.outer_mm - shape.inner_mm)
        size = min(LINE * sheet.unit, room * 0.9 / width_of(WORST_LABEL, 1.0))
        if size < LEAST_LABEL * sheet.unit:
            continue
        x, y = middle_of(shape)
        labels = [str(piece.number), f"{figure(piece.coldest_c)} °C", *([piece.band] if piece.band else [])]
        for row, label in enumerate(labels):
            fitted = min(size, room * 0.9 / width_of(label, 1.0))
            made = text(parent, x, y + (row - len(labels) / 2 + 0.8) * size * 1.2, label, fitted, anchor="middle")
            # A white edge keeps a figure readable where a line runs through it.
            made.set("fill", INK)
            made.set("stroke", "#ffffff")
            made.set("stroke-width", number(0.25 * size))
            made.set("paint-order", "stroke")
