"""Rulers along the sides of a drawing: a tick for every mark, and as many figures as have room.

Where figures would touch, a second level is used, then figures are turned upright, then some are left out. Every mark
keeps its tick.
"""

from bisect import bisect_left, insort
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal
from xml.etree import ElementTree as ET

from api.drawings.language import ENGLISH, Language
from api.drawings.style import ALONE, SheetStyle
from api.drawings.svg import FIGURE, INK, LINE_HEIGHT, element, text, width_of
from domain.cutting.marks import FITS, Mark

Side = Literal["top", "bottom", "left", "right"]
Measure = Literal["mm", "in"]
# In units of the drawing, where figures have their usual size.
TICK = 1.6
PAD = 0.9
LEADER = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A figure at a place along a side, for a mark or for an end; figures of marks take precedence."""

    place: float
    label: str
    kind: Literal["mark", "zero", "end"] = "mark"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruler:
    """The figures that have room, each with its level; `depth` is the space that the ruler needs beside the slab.

    `measure` is the unit of its figures.
    """

    side: Side
    measure: Measure
    ticks: tuple[float, ...]
    figures: tuple[tuple[Figure, int], ...]
    turned: bool
    level_depth: float
    depth: float
    unit: float
    size: float

    @property
    def tick(self) -> float:
        """The length of a tick: longer with larger figures, so that those of two sides do not meet at a corner."""
        return TICK * self.size / FIGURE

    def overhang(self, end: float) -> tuple[float, float]:
        """How far figures extend beyond 0 and beyond `end`, along the ruler."""
        halves = [
            (shown.place, (self.size * LINE_HEIGHT if self.turned else width_of(shown.label, self.size)) / 2)
            for shown, _ in self.figures
        ]
        before = max((half - place for place, half in halves), default=0.0)
        after = max((place + half - end for place, half in halves), default=0.0)
        return max(0.0, before), max(0.0, after)


def four_rulers(  # noqa: PLR0917 - the places on two sides, and how they are drawn
    along: Sequence[float],
    down: Sequence[float],
    size: tuple[float, float],
    unit: float,
    style: SheetStyle = ALONE,
    language: Language = ENGLISH,
) -> list[Ruler]:
    """Rulers on all four sides.

    Args:
        along: places along the length, in mm.
        down: places along the width, in mm.
        size: length and width of the slab.
        unit: the unit of the drawing, in mm.
        style: with `both`, millimetres stand along the top and the left, and inches along the bottom and the right.
        language: of the figures.
    Returns:
        The rulers at the top, left, bottom and right.
    """
    length, width = size
    first: Measure = "mm" if style.measure == "both" else style.measure
    second: Measure = "in" if style.measure == "both" else style.measure
    sides: tuple[tuple[Side, Measure], ...] = (("top", first), ("left", first), ("bottom", second), ("right", second))
    return [
        fit_ruler(
            side,
            _figures(along, length, measure, language)
            if side in {"top", "bottom"}
            else _figures(down, width, measure, language),
            measure=measure,
            unit=unit,
            size=style.figure * unit,
        )
        for side, measure in sides
    ]


def _figures(places: Sequence[float], end: float, measure: Measure, language: Language) -> list[Figure]:
    marks = [Figure(place=place, label=mark_text(place, measure, language)) for place in places]
    last = Figure(place=end, label=mark_text(end, measure, language), kind="end")
    return [Figure(place=0.0, label="0", kind="zero"), *marks, last]


def mark_text(place_mm: float, measure: Measure, language: Language) -> str:
    """A place as it is read off a ruler: to half a millimetre, or to a sixteenth of an inch."""
    mark = Mark(mm=place_mm)
    return language.figure(mark.nearest_mm) if measure == "mm" else mark.inches


@dataclass(frozen=True, slots=True)
class _Way:
    """A way to place figures: the length that each takes, the depth of a level, and the number of levels."""

    extents: dict[str, float]
    depth: float
    levels: int = 1
    turned: bool = False


def fit_ruler(side: Side, figures: list[Figure], *, measure: Measure, unit: float, size: float) -> Ruler:
    """Make the ruler that shows most figures.

    Args:
        side: the side of the slab.
        figures: the figures in any order; each gets a tick.
        measure: the unit of the figures.
        unit: the unit of the drawing, in mm.
        size: the size of the figures, in mm.
    Returns:
        The ruler, with the figures that are shown and their levels.
    """
    widths = {shown.label: width_of(shown.label, size) for shown in figures}
    height = size * LINE_HEIGHT
    heights = dict.fromkeys(widths, height)
    longest = max(widths.values(), default=0.0)
    if side in {"left", "right"}:
        wide = longest + PAD * unit
        ways = [_Way(heights, wide, levels=1), _Way(heights, wide, levels=2)]
    else:
        ways = [_Way(widths, height, levels=1), _Way(widths, height, levels=2), _Way(heights, longest, turned=True)]
    for way in ways:
        placed = _placed(figures, way, unit)
        if placed is not None:
            break
    else:
        placed = _thinned(figures, way, unit)
    used = 1 + max((level for _, level in placed), default=0)
    return Ruler(
        side=side,
        measure=measure,
        ticks=tuple(sorted({shown.place for shown in figures})),
        figures=tuple(placed),
        turned=way.turned,
        level_depth=way.depth,
        depth=TICK * size / FIGURE + PAD * unit + used * way.depth,
        unit=unit,
        size=size,
    )


def draw_ruler(parent: ET.Element, ruler: Ruler, x: float, y: float) -> None:
    """Put a ruler beside a slab; (x, y) is where the side it runs along starts, at its figure 0."""
    group = element(parent, "g", stroke=INK, stroke_width=0.2 * ruler.unit)
    words = element(parent, "g", fill=INK, text_anchor="middle")
    levels = {shown.place: level for shown, level in ruler.figures}
    for place in ruler.ticks:
        reach = ruler.tick + levels.get(place, 0) * ruler.level_depth
        x0, y0 = _at(ruler.side, x, y, place, 0.4 * ruler.unit)
        x1, y1 = _at(ruler.side, x, y, place, reach)
        element(group, "line", x1=x0, y1=y0, x2=x1, y2=y1)
    for shown, level in ruler.figures:
        _draw_figure(words, ruler, shown.label, _at(ruler.side, x, y, shown.place, _reach(ruler, level)))


def _reach(ruler: Ruler, level: int) -> float:
    return ruler.tick + PAD / 2 * ruler.unit + level * ruler.level_depth


def _draw_figure(parent: ET.Element, ruler: Ruler, label: str, at: tuple[float, float]) -> None:
    x, y = at
    rise = 0.35 * ruler.size  # distance from the middle of a figure to its baseline
    match ruler.side:
        case "left":
            text(parent, x, y + rise, label, ruler.size, anchor="end")
        case "right":
            text(parent, x, y + rise, label, ruler.size)
        case "top" if ruler.turned:
            text(parent, x + rise, y, label, ruler.size, turned=True)
        case "bottom" if ruler.turned:
            text(parent, x + rise, y, label, ruler.size, anchor="end", turned=True)
        case "top":
            text(parent, x, y, label, ruler.size, anchor="middle")
        case "bottom":
            text(parent, x, y + 2 * rise, label, ruler.size, anchor="middle")


def _at(side: Side, x: float, y: float, place: float, reach: float) -> tuple[float, float]:
    return {
        "top": (x + place, y - reach),
        "bottom": (x + place, y + reach),
        "left": (x - reach, y + place),
        "right": (x + reach, y + place),
    }[side]


def _placed(figures: list[Figure], way: _Way, unit: float) -> list[tuple[Figure, int]] | None:
    """Each figure on the lowest level where it and its leader touch nothing; None if a mark's figure has no room."""
    shelf = _Shelf(way, unit)
    for shown in sorted(figures, key=lambda shown: (("mark", "end", "zero").index(shown.kind), shown.place)):
        if not shelf.put(shown) and shown.kind == "mark":
            return None
    return shelf.placed


def _thinned(figures: list[Figure], way: _Way, unit: float) -> list[tuple[Figure, int]]:
    """The figures that have room; the figure of the end takes precedence over those of marks."""
    shelf = _Shelf(way, unit)
    for shown in sorted(figures, key=lambda shown: (("end", "mark", "zero").index(shown.kind), shown.place)):
        shelf.put(shown)
    return shelf.placed


class _Shelf:
    """Places figures along a side one after the other; each is compared with those near enough to touch it."""

    def __init__(self, way: _Way, unit: float) -> None:
        self.placed: list[tuple[Figure, int]] = []
        self._way, self._unit = way, unit
        self._reach = max(way.extents.values(), default=0.0) + PAD * unit  # figures further apart never touch
        self._order: list[tuple[float, int]] = []  # places in ascending order, and the index of the figure

    def put(self, shown: Figure) -> bool:
        """Place a figure on the lowest level that has room; False if none has."""
        first = bisect_left(self._order, (shown.place - self._reach * (1 + FITS), -1))
        near = []
        for place, index in self._order[first:]:
            if place - shown.place > self._reach * (1 + FITS):
                break
            near.append(self.placed[index])
        for level in range(self._way.levels):
            if all(_clear((shown, level), other, self._way.extents, self._unit) for other in near):
                insort(self._order, (shown.place, len(self.placed)))
                self.placed.append((shown, level))
                return True
        return False


def _clear(shown: tuple[Figure, int], other: tuple[Figure, int], extents: dict[str, float], unit: float) -> bool:
    apart = abs(shown[0].place - other[0].place)
    if shown[1] == other[1]:
        return apart >= (extents[shown[0].label] + extents[other[0].label]) / 2 + PAD * unit
    lower = shown[0] if shown[1] < other[1] else other[0]
    return apart >= extents[lower.label] / 2 + LEADER * unit
