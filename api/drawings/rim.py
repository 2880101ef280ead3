"""Figures around the rim of a round slab: the distance of each cut along the rim, in millimetres and inches."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from xml.etree import ElementTree as ET

from api.drawings.language import ENGLISH, Language
from api.drawings.rulers import mark_text
from api.drawings.style import ALONE, SheetStyle
from api.drawings.svg import INK, LINE_HEIGHT, element, text, width_of
from domain.cutting.marks import RimMark

TICK, GAP, APART = 1.6, 0.8, 0.7  # in units of the drawing


@dataclass(frozen=True, slots=True, kw_only=True)
class RimFigure:
    """Two lines of figures, their middle, and their width."""

    degrees: float
    lines: tuple[str, str]
    x: float
    y: float
    across: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Rim:
    """Ticks at every cut of the outer ring, and figures at as many of them as there is space for.

    `margins` is the space that the figures need beside the slab, and above and below it.
    """

    ticks: tuple[float, ...]
    figures: tuple[RimFigure, ...]
    margins: tuple[float, float]
    unit: float
    size: float


def fit_rim(
    marks: tuple[RimMark, ...], radius: float, *, unit: float, style: SheetStyle = ALONE, language: Language = ENGLISH
) -> Rim:
    """The figures of the outer ring; where they would touch, only every second, third, ... cut has one.

    On a card, where one unit is chosen, the first line is the direction of the cut.
    """
    outer = [mark for mark in marks if mark.ring == marks[-1].ring]
    size = style.figure * unit
    lines = [_lines(mark, style, language) for mark in outer]
    widths = [max(width_of(line, size) for line in pair) for pair in lines]

    def figure_of(index: int) -> RimFigure:
        return _figure(outer[index].degrees, lines[index], widths[index], radius, unit, size)

    every_nth = (_apart(map(figure_of, range(0, len(outer), step)), unit, size) for step in range(1, len(outer) + 1))
    shown = next((figures for figures in every_nth if figures is not None), [])
    down = 2 * LINE_HEIGHT * size
    clear = (TICK + 2 * GAP) * unit
    margins = (clear + max(widths), clear + down) if outer else (0.0, 0.0)
    return Rim(ticks=tuple(mark.degrees for mark in outer), figures=tuple(shown), margins=margins, unit=unit, size=size)


def _lines(mark: RimMark, style: SheetStyle, language: Language) -> tuple[str, str]:
    if style.measure == "both":
        return f"{mark_text(mark.rim_mm, 'mm', language)} mm", f"{mark_text(mark.rim_mm, 'in', language)} in"
    # The first figure, which is 0, names the unit of all.
    unit = f" {style.measure}" if mark.rim_mm == 0 else ""
    return f"{language.figure(mark.degrees)}°", f"{mark_text(mark.rim_mm, style.measure, language)}{unit}"


def draw_rim(parent: ET.Element, rim: Rim, radius: float) -> None:
    """Draw ticks and figures into a group whose origin is the top left of the square around the slab."""
    lines = element(parent, "g", stroke=INK, stroke_width=0.2 * rim.unit)
    for degrees in rim.ticks:
        (x1, y1), (x2, y2) = (_at(radius, radius + far * rim.unit, degrees) for far in (0.4, TICK))
        element(lines, "line", x1=x1, y1=y1, x2=x2, y2=y2)
    words = element(parent, "g", fill=INK, text_anchor="middle")
    size = rim.size
    for label in rim.figures:
        text(words, label.x, label.y - 0.25 * size, label.lines[0], size, anchor="middle")
        text(words, label.x, label.y + (LINE_HEIGHT - 0.25) * size, label.lines[1], size, anchor="middle")


def _figure(  # noqa: PLR0917 - a figure and its place
    degrees: float, lines: tuple[str, str], across: float, radius: float, unit: float, size: float
) -> RimFigure:
    down = 2 * LINE_HEIGHT * size
    # The middle of a box that stays clear of the rim by a tick and a gap, in every direction.
    angle = math.radians(degrees)
    reach = radius + (TICK + GAP) * unit + abs(math.sin(angle)) * across / 2 + abs(math.cos(angle)) * down / 2
    x, y = _at(radius, reach, degrees)
    return RimFigure(degrees=degrees, lines=lines, x=x, y=y, across=across)


def _apart(figures: Iterable[RimFigure], unit: float, size: float) -> list[RimFigure] | None:
    """All the figures, or None if two of them would touch."""
    down = 2 * LINE_HEIGHT * size
    placed: list[RimFigure] = []
    for label in figures:
        for other in placed:
            beside = abs(label.x - other.x) >= (label.across + other.across) / 2 + APART * unit
            if not beside and abs(label.y - other.y) < down + APART * unit:
                return None
        placed.append(label)
    return placed


def _at(middle: float, reach: float, degrees: float) -> tuple[float, float]:
    angle = math.radians(degrees)
    return middle + reach * math.sin(angle), middle - reach * math.cos(angle)
