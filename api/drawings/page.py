"""The sheet of a drawing: text above the slab, rulers around it, and a key below."""

import hashlib
from dataclasses import dataclass
from xml.etree import ElementTree as ET

from api.drawings.rulers import Ruler, draw_ruler
from api.drawings.style import ALONE, SheetStyle
from api.drawings.svg import FIGURE, INK, LINE_HEIGHT, allowed, element, number, text, width_of, wrapped

# In units of the drawing.
BORDER = 2.0
MIN_WIDTH = 66.0
SWATCH = 5.0
UNIT_SPACE = 7.0  # space beyond the last figure, for the unit, where figures have their usual size
MAX_HEADING_LINES, MAX_LINES = 3, 6

TONES = {"corner": "#c8b394", "edge": "#e6d9c3", "centre": "#ffffff", "part": "#f4f4f4", "offcut": "#f4f4f4"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """The text of a sheet: a heading, lines under it, and title and description for screen readers."""

    heading: str
    lines: tuple[str, ...]
    title: str
    description: str


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyEntry:
    """One line of the key: a hatching and its meaning."""

    fill: str
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """The document, the group for the slab (with its origin at the slab's top left), the unit, and the id prefix."""

    root: ET.Element
    slab: ET.Element
    unit: float
    prefix: str

    def fill(self, name: str) -> str:
        """The fill value of a hatching."""
        return f"url(#{self.prefix}-{name})"


def new_sheet(
    length: float,
    width: float,
    words: Words,
    key: list[KeyEntry],
    rulers: list[Ruler],
    *,
    unit: float,
    margins: tuple[float, float] = (0.0, 0.0),
    style: SheetStyle = ALONE,
) -> Sheet:
    """Make a sheet with everything except the slab.

    Args:
        length: length of the slab, from left to right, in mm.
        width: width of the slab, from top to bottom, in mm.
        words: the text above the slab.
        key: the key below it.
        rulers: the rulers around it.
        unit: the unit of the drawing, in mm.
        margins: free space between slab and rulers, at the sides and above and below, in mm.
        style: sizes of text.
    Returns:
        The sheet; draw the slab into its `slab` group.
    """
    depths = {ruler.side: ruler.depth for ruler in rulers}
    beside, above = margins
    left, right = (depths.get(side, 0.0) + beside for side in ("left", "right"))
    for ruler in rulers:
        if ruler.side in {"top", "bottom"}:
            before, after = ruler.overhang(length)
            of_unit = UNIT_SPACE * ruler.size / FIGURE
            left, right = max(left, before + of_unit), max(right, after + of_unit)
    across = max(left + length + right, MIN_WIDTH * unit) + 2 * BORDER * unit
    lines = _lines(words, across - 2 * BORDER * unit, unit, style)
    slab_x = (across - length + left - right) / 2
    slab_y = BORDER * unit + sum(size * LINE_HEIGHT for _, size, _ in lines) + unit
    slab_y += depths.get("top", 0.0) + above
    below = slab_y + width + above + depths.get("bottom", 0.0) + 2 * unit
    columns = _key_columns(key, across - 2 * BORDER * unit, unit, style)
    down = below + -(-len(key) // columns) * style.line * unit * 1.5 + BORDER * unit
    prefix = "t" + hashlib.blake2b(f"{words}{length}{width}".encode(), digest_size=4).hexdigest()
    root = _root(across, down, words, prefix)
    _hatchings(root, prefix, unit)
    _draw_lines(root, lines, BORDER * unit)
    box = slab_x - beside, slab_y - above, slab_x + length + beside, slab_y + width + above
    _draw_rulers(root, rulers, box, margins)
    slab = element(root, "g", transform=f"translate({number(slab_x)} {number(slab_y)})", stroke_linejoin="round")
    sheet = Sheet(root=root, slab=slab, unit=unit, prefix=prefix)
    _draw_key(sheet, key, columns, across, below, style.line)
    return sheet


def _draw_rulers(
    root: ET.Element, rulers: list[Ruler], box: tuple[float, float, float, float], margins: tuple[float, float]
) -> None:
    """Draw rulers around a box (left, top, right, bottom), with their units."""
    left, top, right, bottom = box
    beside, above = margins
    for ruler in rulers:
        x = left if ruler.side == "left" else right if ruler.side == "right" else left + beside
        y = top if ruler.side == "top" else bottom if ruler.side == "bottom" else top + above
        draw_ruler(root, ruler, x, y)
        before, after = ruler.overhang(right - left - 2 * beside)
        if ruler.side == "top":
            x, y = x - before - ruler.unit, y - ruler.depth + ruler.size
            text(root, x, y, ruler.measure, ruler.size, anchor="end").set("fill", INK)
        if ruler.side == "bottom":
            text(root, right - beside + after + ruler.unit, y + ruler.depth, ruler.measure, ruler.size).set("fill", INK)


def _root(across: float, down: float, words: Words, prefix: str) -> ET.Element:
    root = ET.Element("svg", {"viewBox": f"0 0 {number(across)} {number(down)}", "role": "img"})
    root.set("aria-labelledby", f"{prefix}-title {prefix}-desc")
    root.set("font-family", "sans-serif")
    element(root, "title", id=f"{prefix}-title").text = allowed(words.title)
    element(root, "desc", id=f"{prefix}-desc").text = allowed(words.description)
    element(root, "rect", width=across, height=down, fill="#ffffff")
    return root


def _lines(words: Words, across: float, unit: float, style: SheetStyle) -> list[tuple[str, float, str]]:
    if not style.heading:
        return []
    large, small = style.heading * unit, style.line * unit
    heading = wrapped(words.heading, large, across * 0.94, MAX_HEADING_LINES)  # bold text is a little wider
    lines = [part for line in words.lines for part in wrapped(line, small, across, MAX_LINES)]
    return [(line, large, "bold") for line in heading] + [(line, small, "normal") for line in lines]


def _draw_lines(root: ET.Element, lines: list[tuple[str, float, str]], border: float) -> None:
    y = border
    for content, size, weight in lines:
        text(root, border, y + size, content, size, weight=weight).set("fill", INK)
        y += size * LINE_HEIGHT


def _key_columns(key: list[KeyEntry], across: float, unit: float, style: SheetStyle) -> int:
    widest = max((width_of(entry.label, style.line * unit) for entry in key), default=0.0) + (SWATCH + 4) * unit
    return max(1, min(len(key), int(across / widest)))


def _draw_key(  # noqa: PLR0917 - a key and its place
    sheet: Sheet, key: list[KeyEntry], columns: int, across: float, top: float, line: float
) -> None:
    unit = sheet.unit
    column_width = (across - 2 * BORDER * unit) / columns
    for i, entry in enumerate(key):
        x, y = BORDER * unit + i % columns * column_width, top + i // columns * line * unit * 1.5
        element(
            sheet.root,
            "rect",
            x=x,
            y=y,
            width=SWATCH * unit,
            height=line * unit,
            fill=sheet.fill(entry.fill),
            stroke=INK,
            stroke_width=0.2 * unit,
        )
        text(sheet.root, x + (SWATCH + 1) * unit, y + 0.85 * line * unit, entry.label, line * unit).set("fill", INK)


def _hatchings(root: ET.Element, prefix: str, unit: float) -> None:
    """Define a tone and a hatching for each kind of piece: crossed, slanted, plain, horizontal lines, dots."""
    definitions = element(root, "defs")
    for name, step, paths in (
        ("corner", 2.0, ("M0 0L2 2M2 0L0 2",)),
        ("edge", 2.0, ("M-.5 .5L.5 -.5M0 2L2 0M1.5 2.5L2.5 1.5",)),
        ("centre", 2.0, ()),
        ("part", 1.6, ("M0 .8H1.6",)),
        ("offcut", 1.6, ("M.6 .8H1",)),
    ):
        pattern = element(
            definitions,
            "pattern",
            id=f"{prefix}-{name}",
            width=step,
            height=step,
            patternUnits="userSpaceOnUse",
            patternTransform=f"scale({number(unit)})",
        )
        element(pattern, "rect", width=step, height=step, fill=TONES[name])
        for path in paths:
            element(pattern, "path", d=path, stroke="#5a4a35", stroke_width=0.22, fill="none")
