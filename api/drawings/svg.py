"""SVG elements and text, through the standard library's ElementTree, which escapes what it is given."""

import re
from xml.etree import ElementTree as ET  # nothing is parsed here, only built

SVG = "http://www.w3.org/2000/svg"
MEDIA_TYPE = "image/svg+xml"
INK = "#1a1a1a"
LINE_HEIGHT = 1.25
# Sizes of figures, lines and headings in units of the drawing: a hundredth of the slab's longer side. The widest sheet
# is about 130 of them, so on A4 and on a 10 in tablet one is some 1.5 mm and a figure some 4 mm high.
FIGURE, LINE, HEADING = 2.6, 2.8, 3.8
NBSP = "\u00a0"  # keeps a figure and its unit on one line
# Advance widths in em, on the generous side of the common sans-serif fonts, so that what fits here fits there.
_WIDTHS = dict.fromkeys("mwMW@%—", 1.02) | dict.fromkeys(" \u00a0.,:;'!|ijlIft/()", 0.42)
_OTHERS = 0.68
# What XML 1.0 does not allow in any form (https://www.w3.org/TR/xml/#charsets).
_NOT_XML = re.compile("[^\t\n\r\u0020-\ud7ff\ue000-\ufffd\U00010000-\U0010ffff]")


def element(parent: ET.Element, tag: str, **attributes: str | float) -> ET.Element:
    """A new child; numbers to a thousandth, underscores in names become hyphens."""
    return ET.SubElement(parent, tag, {name.replace("_", "-"): number(value) for name, value in attributes.items()})


def number(value: str | float) -> str:
    """A number as short as a thousandth of a millimetre allows; text as it is."""
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
    """A line of text; `turned` reads upwards."""
    made = element(parent, "text", x=x, y=y, font_size=size, text_anchor=anchor)
    if weight != "normal":
        made.set("font-weight", weight)
    if turned:
        made.set("transform", f"rotate(-90 {number(x)} {number(y)})")
    made.text = allowed(content)
    return made


def allowed(content: str) -> str:
    """The text without characters that no XML document may hold."""
    return _NOT_XML.sub("\ufffd", content)


def width_of(content: str, size: float) -> float:
    """About how wide a line will be, never much too little."""
    return size * sum([_WIDTHS.get(character, _OTHERS) for character in content])


def wrapped(content: str, size: float, room: float, most: int) -> list[str]:
    """Lines that fit a width, at most so many; words longer than a line are broken, the rest cut short."""
    lines = [""]
    for word in content.split(" "):
        if len(lines) > most:
            break
        longer = f"{lines[-1]} {word}".strip()
        if width_of(longer, size) <= room:
            lines[-1] = longer
            continue
        lines += [""] * bool(lines[-1])
        for character in word:
            if width_of(lines[-1] + character, size) > room:
                lines.append("")
            lines[-1] += character
    return lines if len(lines) <= most else [*lines[: most - 1], f"{lines[most - 1][:-1]}…"]


def figure(value: float) -> str:
    """A figure for a person: one decimal, left out if it is 0."""
    shown = f"{value:.1f}"
    return shown.removesuffix(".0")


def serialised(root: ET.Element) -> str:
    """The drawing as text, ready to be a file or to stand inside a page."""
    root.set("xmlns", SVG)
    return ET.tostring(root, encoding="unicode")
