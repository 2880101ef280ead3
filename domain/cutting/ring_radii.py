"""The radii of concentric rings of equal area, or with pieces of equal area, with the knife's width lost."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from domain.cutting.wishes import MIN_PIECE_MM, RingsWish
from domain.errors import OutOfRangeError

STEPS = 200  # most steps of an iteration: a double has fewer digits


@dataclass(frozen=True, slots=True, kw_only=True)
class Ring:
    """A ring of `pieces` equal pieces between two circles; the inner radius may be 0."""

    pieces: int
    inner_mm: float
    outer_mm: float

    def piece_mm2(self, knife_mm: float) -> float:
        """Area of one piece; half the knife's width is lost at each of its two straight sides."""
        return wedge_mm2(self.pieces, self.outer_mm, knife_mm) - wedge_mm2(self.pieces, self.inner_mm, knife_mm)


def wedge_mm2(pieces: int, radius_mm: float, knife_mm: float) -> float:
    """Area of a wedge of a disc whose two sides are moved inwards by half a knife width.

    Args:
        pieces: number of equal wedges; 1 is the whole disc without a cut.
        radius_mm: radius of the disc.
        knife_mm: width lost between wedges.
    Returns:
        The area; 0 if the knife leaves nothing.
    Source:
        The sector between the ends of the moved sides, minus the two triangles beside the wedge's point.

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
    """The rings of a disc, from the middle outwards, one knife width apart.

    Args:
        radius_mm: radius of the trimmed disc.
        wish: the number of pieces in each ring, and how wide the rings are.
        knife_mm: width lost at each cut, including the circular cuts between rings.
    Returns:
        The rings.
    Raises:
        OutOfRangeError: the rings do not fit.
    """
    if wish.width_mm is not None:
        return _by_width(radius_mm, wish.rings, wish.width_mm, knife_mm)
    rings_mm = radius_mm - (len(wish.rings) - 1) * knife_mm
    if rings_mm < MIN_PIECE_MM / 2 * len(wish.rings):
        raise _too_narrow(len(wish.rings), (radius_mm + knife_mm) / (MIN_PIECE_MM / 2 + knife_mm))
    widen = _widen_ring if wish.by == "equal_rings" else _widen_pieces

    def chain(area: float) -> list[Ring]:
        rings, inner = [], 0.0
        for pieces in wish.rings:
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
        raise _too_narrow(len(pieces), 1 + (radius_mm - MIN_PIECE_MM) / (width_mm + knife_mm))
    rings, inner = [Ring(pieces=pieces[0], inner_mm=0.0, outer_mm=middle)], middle
    for i, count in enumerate(pieces[1:], start=1):
        inner = middle + knife_mm + (i - 1) * (width_mm + knife_mm)
        rings.append(Ring(pieces=count, inner_mm=inner, outer_mm=middle + i * (width_mm + knife_mm)))
    return rings


def _widen_ring(pieces: int, inner: float, area: float, knife_mm: float, radius_mm: float) -> float:
    """The outer radius at which a ring has an area; its straight cuts are not subtracted."""
    del pieces, knife_mm, radius_mm
    return math.sqrt(inner * inner + area / math.pi)


def _widen_pieces(pieces: int, inner: float, area: float, knife_mm: float, radius_mm: float) -> float:
    """The outer radius at which each piece of a ring has an area; at most twice the disc's."""
    wanted = wedge_mm2(pieces, inner, knife_mm) + area
    if knife_mm == 0 or pieces == 1:
        return math.sqrt(wanted * pieces / math.pi)
    return min(_radius_of(pieces, wanted, knife_mm), max(2 * radius_mm, 2 * inner))


def _radius_of(pieces: int, wedge: float, knife_mm: float) -> float:
    """The radius of the disc at which its wedges have an area: the inverse of `wedge_mm2`.

    The area is convex in the radius and its derivative is the arc, so Newton's iteration from above decreases
    monotonically. It starts at a radius where a whole sector of that area lies inside the moved sides.
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
    """The zero of a rising function, to the last digit, by bisection."""
    for _ in range(STEPS):
        middle = (low + high) / 2
        if middle in (low, high):
            break
        low, high = (middle, high) if rising(middle) < 0 else (low, middle)
    return high


def _too_narrow(rings: int, most: float) -> OutOfRangeError:
    message = f"{rings} rings do not fit: ask for fewer rings, or for narrower ones."
    return OutOfRangeError(message, path=("rings",), value=rings, limit=math.floor(most))
