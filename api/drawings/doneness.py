"""The plan of a slab with its portions, their coldest temperatures and lines of equal temperature."""

from collections.abc import Iterable, Sequence
from xml.etree import ElementTree as ET

from api.drawings.language import ENGLISH, Language
from api.drawings.outlines import clip_to, draw_outline, draw_sectors, origin_of, size_of
from api.drawings.page import BORDER, Sheet, Words, new_sheet
from api.drawings.style import ALONE, SheetStyle
from api.drawings.svg import INK, LINE_HEIGHT, element, number, serialised, text, width_of
from domain.baking.doneness import Doneness
from domain.baking.plan_pieces import middle_of
from domain.cutting.layouts import PLACES, Cell, Facet, Sector
from domain.cutting.slabs import RectangleSlab

DASHES = ("", "4 1.5", "1.2 1.2", "6 1.5 1.2 1.5", "3 3", "8 2")  # in units: each isotherm has its own
SAMPLE = 13.0  # units: a line in the key, and the room after it
MIN_LABEL = 1.2  # units: a smaller figure cannot be read
WORST_LABEL = "100.0 °C"


def draw_doneness(doneness: Doneness, title: str, *, style: SheetStyle = ALONE, language: Language = ENGLISH) -> str:
    """Draw one slab.

    Args:
        doneness: of its portions.
        title: the caller's own name for it, used as the heading.
        style: whether the drawing has its words above it, and sizes of text.
        language: of the words.
    Returns:
        SVG text to scale, with its viewBox in millimetres. Every portion shows its number, its coldest temperature
        and its band; every isotherm has a dash pattern of its own and its temperature in the text.
    """
    layout = doneness.layout
    length, width = size_of(layout.slab)
    unit = max(length, width) / 100
    sheet = new_sheet(length, width, _words(doneness, title, language), key=[], rulers=[], unit=unit, style=style)
    x, y = origin_of(layout.slab)
    plan = element(sheet.slab, "g", transform=f"translate({-x:g} {-y:g})")
    draw_outline(plan, layout.slab, fill="#ffffff", stroke="none", stroke_width=0.0)
    inside = element(plan, "g")
    inside.set("clip-path", clip_to(sheet.root, sheet.prefix, layout.slab, layout.cutting.trim_mm))
    _draw_portions(inside, sheet, doneness)
    middle = (length / 2, width / 2) if isinstance(layout.slab, RectangleSlab) else (0.0, 0.0)
    _draw_isotherms(inside, sheet, doneness, middle)
    draw_outline(plan, layout.slab, fill="none", stroke=INK, stroke_width=0.45 * unit)
    _label_portions(plan, sheet, doneness, style, language)
    if not style.heading:
        _draw_key(sheet, doneness, style, language)
    return serialised(sheet.root)


def _words(doneness: Doneness, title: str, language: Language) -> Words:
    gettext, figure = language.gettext, language.figure
    lines = [
        gettext(
            "Coldest point of each portion after %(minutes)s minutes. Computed: a probe decides.",
            minutes=figure(doneness.minutes),
        )
    ]
    if doneness.isotherms:
        names = _dash_names(language)
        shown = ", ".join(
            f"{names[i % len(DASHES)]} {figure(isotherm.celsius)} °C" for i, isotherm in enumerate(doneness.isotherms)
        )
        lines.append(
            gettext("Lines of equal temperature at half the height, from the middle outwards: %(lines)s.", lines=shown)
        )
    if doneness.bands:
        counts = [
            f"{band.name}: {sum(piece.band == band.name for piece in doneness.pieces)}" for band in doneness.bands
        ]
        lines.append(gettext("Portions by the shop's bands: %(counts)s.", counts=", ".join(counts)))
    description = " ".join((*lines, *_spoken(doneness, language)))
    named = gettext("Doneness of %(name)s", name=title)
    return Words(heading=title, lines=tuple(lines), title=named, description=description)


def _spoken(doneness: Doneness, language: Language) -> Iterable[str]:
    gettext, figure = language.gettext, language.figure
    coldest = min(doneness.pieces, key=lambda piece: piece.coldest_c)
    hottest = max(doneness.pieces, key=lambda piece: piece.coldest_c)
    yield gettext(
        "The coldest portion is number %(number)s, %(celsius)s °C;",
        number=coldest.number,
        celsius=figure(coldest.coldest_c),
    )
    yield gettext(
        "the hottest is number %(number)s, %(celsius)s °C.", number=hottest.number, celsius=figure(hottest.coldest_c)
    )


def _dash_names(language: Language) -> tuple[str, ...]:
    """A word for each pattern of `DASHES`."""
    gettext = language.gettext
    return (
        gettext("solid"),
        gettext("dashed"),
        gettext("dotted"),
        gettext("dash-dotted"),
        gettext("widely dashed"),
        gettext("long-dashed"),
    )


def _draw_portions(parent: ET.Element, sheet: Sheet, doneness: Doneness) -> None:
    layout, line = doneness.layout, 0.25 * sheet.unit
    for shape in layout.shapes:
        if isinstance(shape, Cell):
            place = {"x": shape.x_mm, "y": shape.y_mm, "width": shape.length_mm, "height": shape.width_mm}
            element(parent, "rect", **place, fill="none", stroke=INK, stroke_width=line)
        if isinstance(shape, Facet):
            points = " ".join(f"{number(x)},{number(y)}" for x, y in shape.points)
            element(parent, "polygon", points=points, fill="none", stroke=INK, stroke_width=line)
    sectors = [shape for shape in layout.shapes if isinstance(shape, Sector)]
    if sectors:
        draw_sectors(parent, sectors, 0.0, sheet.unit, dict.fromkeys(PLACES, "none"))


def _draw_isotherms(parent: ET.Element, sheet: Sheet, doneness: Doneness, middle: tuple[float, float]) -> None:
    for index, isotherm in enumerate(doneness.isotherms):
        group = element(parent, "g", fill="none", stroke=INK, stroke_width=0.4 * sheet.unit)
        _dash(group, index, sheet.unit)
        for line in isotherm.lines:
            points = " ".join(f"{number(x + middle[0])},{number(y + middle[1])}" for x, y in line)
            element(group, "polygon", points=points)


def _draw_key(sheet: Sheet, doneness: Doneness, style: SheetStyle, language: Language) -> None:
    """Draw each kind of line with its temperature below the slab, where there are no words above it to say so."""
    unit, size = sheet.unit, style.line * sheet.unit
    across, down = (float(part) for part in sheet.root.attrib["viewBox"].split()[2:])
    width = SAMPLE * unit + width_of(WORST_LABEL, size)
    columns = max(1, int((across - 2 * BORDER * unit) / width))
    for index, isotherm in enumerate(doneness.isotherms):
        row, column = divmod(index, columns)
        x, y = BORDER * unit + column * width, down + (row + 0.5) * size * LINE_HEIGHT
        line = {"x1": x, "y1": y - size / 3, "x2": x + (SAMPLE - 2) * unit, "y2": y - size / 3}
        line_element = element(sheet.root, "line", **line, stroke=INK, stroke_width=0.4 * unit)
        _dash(line_element, index, unit)
        shown = f"{language.figure(isotherm.celsius)} °C"
        text(sheet.root, x + (SAMPLE - 1) * unit, y, shown, size).set("fill", INK)
    rows = -(-len(doneness.isotherms) // columns)
    down += rows * size * LINE_HEIGHT
    sheet.root.set("viewBox", f"0 0 {number(across)} {number(down)}")
    sheet.root[2].set("height", number(down))  # the white background


def _dash(line: ET.Element, index: int, unit: float) -> None:
    if dash := DASHES[index % len(DASHES)]:
        line.set("stroke-dasharray", " ".join(number(float(part) * unit) for part in dash.split()))


def _label_portions(
    parent: ET.Element, sheet: Sheet, doneness: Doneness, style: SheetStyle, language: Language
) -> None:
    layout = doneness.layout
    shapes: Sequence[Cell | Sector | Facet] = tuple(layout.shapes)
    for piece in doneness.pieces:
        shape = shapes[piece.index]
        label_width = _label_width(shape)
        size = min(style.line * sheet.unit, label_width * 0.9 / width_of(WORST_LABEL, 1.0))
        if size < MIN_LABEL * sheet.unit:
            continue
        x, y = middle_of(shape)
        labels = [str(piece.number), f"{language.figure(piece.coldest_c)} °C", *([piece.band] if piece.band else [])]
        for row, label in enumerate(labels):
            fitted = min(size, label_width * 0.9 / width_of(label, 1.0))
            label_element = text(
                parent, x, y + (row - len(labels) / 2 + 0.8) * size * 1.2, label, fitted, anchor="middle"
            )
            # A white edge keeps a figure readable where a line runs through it.
            label_element.set("fill", INK)
            label_element.set("stroke", "#ffffff")
            label_element.set("stroke-width", number(0.25 * size))
            label_element.set("paint-order", "stroke")


def _label_width(shape: Cell | Sector | Facet) -> float:
    """How wide a label in a portion may be."""
    if isinstance(shape, Cell):
        return shape.length_mm
    if isinstance(shape, Facet):
        xs = [x for x, _ in shape.points]
        return (max(xs) - min(xs)) / 2
    return shape.outer_mm - shape.inner_mm
