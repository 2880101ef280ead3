"""How wide concentric rings are so that they, or their pieces, come out equal, knife width and all."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from domain.cutting.layouts import MIN_PIECE_MM, RingsWish
from domain.errors import OutOfRangeError

STEPS = 200  # of bisection: more than a double has digits


@dataclass(frozen=True, slots=True, kw_only=True)
class Ring:
    """`pieces` equal ones between two circles; the inner one may have no size."""

    pieces: int
    inner_mm: float
    outer_mm: float

    def piece_mm2(self, knife_mm: float) -> float:
        """Area of one piece; half the knife's width is lost at each of its two straight sides."""
        return wedge_mm2(self.pieces, self.outer_mm, knife_mm) - wedge_mm2(self.pieces, self.inner_mm, knife_mm)


def wedge_mm2(pieces: int, radius_mm: float, knife_mm: float) -> float:
    """Area of one of equal wedges of a disc whose sides are each moved in by half a knife width.

    Args:
        pieces: how many wedges; 1 is the whole disc, with no cut.
        radius_mm: of the disc.
        knife_mm: lost between wedges.
    Returns:
        The area, 0 where the knife leaves nothing.
    Source:
        The sector between the ends of the moved sides, less the two triangles beside the wedge's point.

    >>> round(wedge_mm2(4, 1, 0) / math.pi, 12)
    0.25
    """
    if pieces == 1:
        return math.pi * radius_mm * radius_mm
    half, angle = knife_mm / 2, math.tau / pieces
    if radius_mm * math.sin(angle / 2) <= half:
        return 0.0
    lost = math.asin(half / radius_mm)
    side = radius_mm * math.cos(lost) - half / math.tan(angle / 2)
    return radius_mm * radius_mm * (angle - 2 * lost) / 2 - half * side


def ring_radii(radius_mm: float, wish: RingsWish, knife_mm: float) -> list[Ring]:
    """The rings of a disc, from the middle outwards, a knife width apart.

    Args:
        radius_mm: of the disc, trimmed.
        wish: pieces of each ring and how the rings are to compare.
        knife_mm: lost at each cut, round ones too.
    Returns:
        The rings.
    Raises:
        OutOfRangeError: they do not fit.
    """
    if wish.width_mm is not None:
        return _by_width(radius_mm, wish.pieces, wish.width_mm, knife_mm)
    room = radius_mm - (len(wish.pieces) - 1) * knife_mm
    if room < MIN_PIECE_MM / 2 * len(wish.pieces):
        raise _too_narrow()
    widen = _widen_ring if wish.by == "equal_rings" else _widen_pieces

    def chain(area: float) -> list[Ring]:
        rings, inner = [], 0.0
        for pieces in wish.pieces:
            outer = widen(pieces, inner, area, knife_mm, radius_mm)
            rings.append(Ring(pieces=pieces, inner_mm=inner, outer_mm=outer))
            inner = outer + knife_mm
        return rings

    area = _solve(lambda area: chain(area)[-1].outer_mm - radius_mm, 0.0, math.pi * radius_mm**2)
    rings = chain(area)
    last = rings[-1]
    rings[-1] = Ring(pieces=last.pieces, inner_mm=last.inner_mm, outer_mm=radius_mm)
    return rings


def _by_width(radius_mm: float, pieces: tuple[int, ...], width_mm: float, knife_mm: float) -> list[Ring]:
    middle = radius_mm - (len(pieces) - 1) * (width_mm + knife_mm)
    if middle < MIN_PIECE_MM:
        raise _too_narrow()
    rings, inner = [Ring(pieces=pieces[0], inner_mm=0.0, outer_mm=middle)], middle
    for i, count in enumerate(pieces[1:], start=1):
        inner = middle + knife_mm + (i - 1) * (width_mm + knife_mm)
        rings.append(Ring(pieces=count, inner_mm=inner, outer_mm=middle + i * (width_mm + knife_mm)))
    return rings


def _widen_ring(pieces: int, inner: float, area: float, knife_mm: float, radius_mm: float) -> float:
    """The outer radius that gives a ring an area, its straight cuts not counted."""
    del pieces, knife_mm, radius_mm
    return math.sqrt(inner * inner + area / math.pi)


def _widen_pieces(pieces: int, inner: float, area: float, knife_mm: float, radius_mm: float) -> float:
    """The outer radius that gives each piece of a ring an area; not beyond twice the disc."""
    wanted = wedge_mm2(pieces, inner, knife_mm) + area
    if knife_mm == 0 or pieces == 1:
        return math.sqrt(wanted * pieces / math.pi)
    return min(_radius_of(pieces, wanted, knife_mm), max(2 * radius_mm, 2 * inner))


def _radius_of(pieces: int, wedge: float, knife_mm: float) -> float:
    """The disc's radius at which its wedges have an area: `wedge_mm2` the other way round.

    The area is convex in the radius, and its slope is the arc; so Newton's steps from above only ever come down. Above
    is where a whole sector of that area lies inside the moved sides.
    """
    half, angle = knife_mm / 2, math.tau / pieces
    radius = math.sqrt(wedge * pieces / math.pi) + half / math.sin(angle / 2)
    for _ in range(STEPS):
        arc = radius * (angle - 2 * math.asin(min(1.0, half / radius)))
        if arc <= 0:
            break
        lower = radius - (wedge_mm2(pieces, radius, knife_mm) - wedge) / arc
        if lower >= radius:
            break
        radius = lower
    return radius


def _solve(rising: Callable[[float], float], low: float, high: float) -> float:
    """Where a rising function crosses zero, to the last digit."""
    for _ in range(STEPS):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (middle, high) if rising(middle) < 0 else (low, middle)
    return high


def _too_narrow() -> OutOfRangeError:
    return OutOfRangeError("The rings do not fit: ask for fewer, or narrower ones.", path=("rings",))
