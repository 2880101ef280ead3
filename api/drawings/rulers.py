"""Rulers along the sides of a drawing: a tick for every mark, and as many figures as have room.

Where figures would touch they go to a second level, then are turned upright, then thinned out; ticks stay.
"""

from bisect import bisect_left, insort
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from typing import Literal
from xml.etree import ElementTree as ET

from api.drawings.svg import FIGURE, INK, LINE_HEIGHT, element, figure, text, width_of
from domain.cutting.marks import FITS, Mark

Side = Literal["top", "bottom", "left", "right"]
TICK = 1.6  # all in units of the drawing
PAD = 0.9
LEADER = 0.5


@dataclass(frozen=True, slots=True, kw_only=True)
class Figure:
    """A figure at a place along a side: a mark's, or an end's, which gives way to marks."""

    place: float
    label: str
    kind: Literal["mark", "zero", "end"] = "mark"


@dataclass(frozen=True, slots=True, kw_only=True)
class Ruler:
    """Figures that have room, each with its level; `depth` is what the ruler needs beside the slab."""

    side: Side
    ticks: tuple[float, ...]
    figures: tuple[tuple[Figure, int], ...]
    turned: bool
    level_depth: float
    depth: float
    unit: float
    size: float

    def overhang(self, end: float) -> tuple[float, float]:
        """How far figures reach beyond 0 and beyond `end`, along the ruler."""
        halves = [
            (one.place, (self.size * LINE_HEIGHT if self.turned else width_of(one.label, self.size)) / 2)
            for one, _ in self.figures
        ]
        before = max((half - place for place, half in halves), default=0.0)
        after = max((place + half - end for place, half in halves), default=0.0)
        return max(0.0, before), max(0.0, after)


def four_rulers(along: Sequence[float], down: Sequence[float], size: tuple[float, float], unit: float) -> list[Ruler]:
    """Rulers on all four sides: millimetres along the top and the left, inches along the bottom and the right.

    Args:
        along: places along the length, in mm.
        down: places along the width, in mm.
        size: length and width of the slab.
        unit: of the drawing, in mm.
    """
    length, width = size
    return [
        fit_ruler("top", _figures(along, length, _mm), unit=unit, size=FIGURE * unit),
        fit_ruler("left", _figures(down, width, _mm), unit=unit, size=FIGURE * unit),
        fit_ruler("bottom", _figures(along, length, _inches), unit=unit, size=FIGURE * unit),
        fit_ruler("right", _figures(down, width, _inches), unit=unit, size=FIGURE * unit),
    ]


def _figures(places: Sequence[float], end: float, shown: Callable[[float], str]) -> list[Figure]:
    marks = [Figure(place=place, label=shown(place)) for place in places]
    return [Figure(place=0.0, label="0", kind="zero"), *marks, Figure(place=end, label=shown(end), kind="end")]


def _mm(place: float) -> str:
    return figure(place)


def _inches(place: float) -> str:
    return Mark(mm=place).inches


@dataclass(frozen=True, slots=True)
class _Way:
    """How figures may be set: how much of the side each takes, how deep a level is, how many levels."""

    extents: dict[str, float]
    depth: float
    levels: int = 1
    turned: bool = False


def fit_ruler(side: Side, figures: list[Figure], *, unit: float, size: float) -> Ruler:
    """The ruler with most figures.

    Args:
        side: of the slab.
        figures: in any order; every one gets a tick.
        unit: of the drawing, in mm.
        size: of the figures, in mm.
    Returns:
        Which figures are shown, and how.
    """
    widths = {one.label: width_of(one.label, size) for one in figures}
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
        ticks=tuple(sorted({one.place for one in figures})),
        figures=tuple(placed),
        turned=way.turned,
        level_depth=way.depth,
        depth=(TICK + PAD) * unit + used * way.depth,
        unit=unit,
        size=size,
    )


def draw_ruler(parent: ET.Element, ruler: Ruler, x: float, y: float) -> None:
    """Put a ruler beside a slab; (x, y) is where the side it runs along starts, at its figure 0."""
    group = element(parent, "g", stroke=INK, stroke_width=0.2 * ruler.unit)
    words = element(parent, "g", fill=INK, text_anchor="middle")
    levels = {one.place: level for one, level in ruler.figures}
    for place in ruler.ticks:
        reach = TICK * ruler.unit + levels.get(place, 0) * ruler.level_depth
        x0, y0 = _at(ruler.side, x, y, place, 0.4 * ruler.unit)
        x1, y1 = _at(ruler.side, x, y, place, reach)
        element(group, "line", x1=x0, y1=y0, x2=x1, y2=y1)
    for one, level in ruler.figures:
        _draw_figure(words, ruler, one.label, _at(ruler.side, x, y, one.place, _reach(ruler, level)))


def _reach(ruler: Ruler, level: int) -> float:
    return (TICK + PAD / 2) * ruler.unit + level * ruler.level_depth


def _draw_figure(parent: ET.Element, ruler: Ruler, label: str, at: tuple[float, float]) -> None:
    x, y = at
    rise = 0.35 * ruler.size  # from a figure's middle to the line it stands on
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
    """Each figure on the lowest level where it and the line that leads to it touch nothing; None if a mark has none."""
    shelf = _Shelf(way, unit)
    for one in sorted(figures, key=lambda one: (("mark", "end", "zero").index(one.kind), one.place)):
        if not shelf.put(one) and one.kind == "mark":
            return None
    return shelf.placed


def _thinned(figures: list[Figure], way: _Way, unit: float) -> list[tuple[Figure, int]]:
    """Those that find room, the end's before the marks'."""
    shelf = _Shelf(way, unit)
    for one in sorted(figures, key=lambda one: (("end", "mark", "zero").index(one.kind), one.place)):
        shelf.put(one)
    return shelf.placed


class _Shelf:
    """Figures set along a side one after the other, each looked at beside those near enough to touch it."""

    def __init__(self, way: _Way, unit: float) -> None:
        self.placed: list[tuple[Figure, int]] = []
        self._way, self._unit = way, unit
        self._reach = max(way.extents.values(), default=0.0) + PAD * unit  # what is further apart never touches
        self._order: list[tuple[float, int]] = []  # places, ascending, and whose they are

    def put(self, one: Figure) -> bool:
        """Set a figure on the lowest level that has room, if one has."""
        first = bisect_left(self._order, (one.place - self._reach * (1 + FITS), -1))
        near = []
        for place, index in self._order[first:]:
            if place - one.place > self._reach * (1 + FITS):
                break
            near.append(self.placed[index])
        for level in range(self._way.levels):
            if all(_clear((one, level), other, self._way.extents, self._unit) for other in near):
                insort(self._order, (one.place, len(self.placed)))
                self.placed.append((one, level))
                return True
        return False


def _clear(one: tuple[Figure, int], other: tuple[Figure, int], extents: dict[str, float], unit: float) -> bool:
    apart = abs(one[0].place - other[0].place)
    if one[1] == other[1]:
        return apart >= (extents[one[0].label] + extents[other[0].label]) / 2 + PAD * unit
    lower = one[0] if one[1] < other[1] else other[0]
    return apart >= extents[lower.label] / 2 + LEADER * unit
