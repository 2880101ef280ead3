"""SVG elements and text, built with the standard library's ElementTree, which escapes all text."""

import re
from xml.etree import ElementTree as ET  # only used to build XML, never to parse it

SVG = "http://www.w3.org/2000/svg"
MEDIA_TYPE = "image/svg+xml"
INK = "#1a1a1a"
LINE_HEIGHT = 1.25
# Sizes of figures, lines and headings in units of the drawing, a hundredth of the slab's longer side. The widest sheet
# is about 130 units wide, so on A4 and on a 10 in tablet a unit is about 1.5 mm and a figure about 4 mm high.
FIGURE, LINE, HEADING = 2.6, 2.8, 3.8
NBSP = "\u00a0"  # keeps a figure and its unit on one line
# Advance widths in em, slightly wider than in common sans-serif fonts, so that text that fits here fits there.
_WIDTHS = dict.fromkeys("mwMW@%—", 1.02) | dict.fromkeys(" \u00a0.,:;'!|ijlIft/()", 0.42)
_OTHERS = 0.68
# Characters that XML 1.0 does not allow in any form (https://www.w3.org/TR/xml/#charsets).
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def element(parent: ET.Element, tag: str, **attributes: str | float) -> ET.Element:
    """Add a child element; numbers are rounded to a thousandth, and underscores in names become hyphens."""
    return ET.SubElement(parent, tag, {name.replace("_", "-"): number(value) for name, value in attributes.items()})


def number(value: str | float) -> str:
    """A number rounded to a thousandth and written as short as possible; text is not changed."""
    if isinstance(value, str):
        return value
    return f"{value:.3f}".rstrip("0").rstrip(".") or "0"


def text(
    parent: ET.Element,
    x: float,
    y: float,
    content: str,
    size: float,
    *,
    anchor: str = "start",
    turned: bool = False,
    weight: str = "normal",
) -> ET.Element:
    """Add a line of text; `turned` text reads upwards."""
    line = element(parent, "text", x=x, y=y, font_size=size, text_anchor=anchor)
    if weight != "normal":
        line.set("font-weight", weight)
    if turned:
        line.set("transform", f"rotate(-90 {number(x)} {number(y)})")
    line.text = allowed(content)
    return line


def allowed(content: str) -> str:
    """The text with characters that XML does not allow replaced."""
    return _NOT_XML.sub("\ufffd", content)


def width_of(content: str, size: float) -> float:
    """The approximate width of a line, on the wide side."""
    return size * sum([_WIDTHS.get(character, _OTHERS) for character in content])


def wrapped(content: str, size: float, width: float, most: int) -> list[str]:
    """Break text into at most *most* lines of a width; long words are broken, and the rest is cut off."""
    lines = [""]
    for word in content.split(" "):
        if len(lines) > most:
            break
        longer = f"{lines[-1]} {word}".strip()
        if width_of(longer, size) <= width:
            lines[-1] = longer
            continue
        lines += [""] * bool(lines[-1])
        for character in word:
            if width_of(lines[-1] + character, size) > width:
                lines.append("")
            lines[-1] += character
    return lines if len(lines) <= most else [*lines[: most - 1], f"{lines[most - 1][:-1]}…"]


def figure(value: float) -> str:
    """A figure with one decimal, which is left out if it is 0."""
    shown = f"{value:.1f}"
    return shown.removesuffix(".0")


def serialised(root: ET.Element) -> str:
    """The drawing as text, for a file or for a page."""
    root.set("xmlns", SVG)
    return ET.tostring(root, encoding="unicode")
