"""Pieces set around the middle of a round tin, in rings."""

import math
from collections.abc import Iterator
from dataclasses import dataclass

from domain.measures.whole_shares import whole_shares


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceRing:
    """`count` pieces around the middle; the first is `first_degrees` clockwise from the top."""

    count: int
    radius_mm: float
    first_degrees: float

    @property
    def step_degrees(self) -> float:
        """Angle from one piece to the next."""
        return 360 / self.count

    def positions(self) -> Iterator[tuple[float, float]]:
        """The positions of the pieces, measured from the middle, y downwards."""
        for i in range(self.count):
            angle = math.radians(self.first_degrees + i * self.step_degrees)
            yield self.radius_mm * math.sin(angle), -self.radius_mm * math.cos(angle)


@dataclass(frozen=True, slots=True, kw_only=True)
class Rings:
    """Rings from the middle outwards, with the least distances between two pieces and between a piece and a wall."""

    rings: tuple[PieceRing, ...]
    nearest_mm: float | None
    wall_mm: float

    @property
    def gap_mm(self) -> float:
        """The gap by which patterns are compared."""
        return 2 * self.wall_mm if self.nearest_mm is None else min(self.nearest_mm, 2 * self.wall_mm)


def even_rings(count: int, outer_mm: float, hole_mm: float = 0.0) -> Rings:
    """The pattern of rings with the widest least gap.

    Args:
        count: number of pieces.
        outer_mm: radius of the tin.
        hole_mm: radius of its tube, 0 if it has none.
    Returns:
        Rings whose counts are in proportion to their radii; every other ring is turned by half a step.
    """
    return max(_patterns(count, outer_mm, hole_mm), key=lambda rings: rings.gap_mm)


def _patterns(count: int, outer_mm: float, hole_mm: float) -> Iterator[Rings]:
    if count == 1 and hole_mm == 0:
        yield Rings(rings=(PieceRing(count=1, radius_mm=0.0, first_degrees=0.0),), nearest_mm=None, wall_mm=outer_mm)
        return
    # Rings are about as far apart as their pieces: the square root of the area of each piece.
    pitch = math.sqrt(math.pi * (outer_mm**2 - hole_mm**2) / count)
    likely = (outer_mm - hole_mm) / pitch
    for number in range(max(1, math.floor(likely) - 1), math.ceil(likely) + 2):
        for middle in (0, 1) if hole_mm == 0 else (0,):
            shares = _shares(number, middle, hole_mm / outer_mm)
            if counts := _counts(count - middle, shares):
                yield _rings(middle, counts, shares, outer_mm, hole_mm)


def _shares(number: int, middle: int, hole_share: float) -> list[float]:
    """Radii as shares of the tin's radius, in the middle of bands of equal width."""
    if middle:
        return [(i + 1) / (number + 0.5) for i in range(number)]
    return [hole_share + (1 - hole_share) * (i + 0.5) / number for i in range(number)]


def _counts(count: int, shares: list[float]) -> list[int]:
    """Pieces per ring in proportion to radius, largest remainders first; none if a ring would have fewer than 2."""
    counts = whole_shares(count, [count * share / sum(shares) for share in shares])
    alone = len(counts) == 1 and count == 1
    return counts if min(counts) >= 2 or alone else []


def _rings(middle: int, counts: list[int], shares: list[float], outer_mm: float, hole_mm: float) -> Rings:
    rings = [PieceRing(count=1, radius_mm=0.0, first_degrees=0.0)] * middle
    for i, (count, share) in enumerate(zip(counts, shares, strict=True)):
        turned = i % 2 * 180 / count
        rings.append(PieceRing(count=count, radius_mm=share * outer_mm, first_degrees=turned))
    nearest = _nearest(rings)
    if hole_mm == 0 and nearest is not None:
        # Scale the pattern so that the gap to the wall is half the gap between pieces.
        scale = outer_mm / (rings[-1].radius_mm + nearest / 2)
        rings = [
            PieceRing(count=ring.count, radius_mm=ring.radius_mm * scale, first_degrees=ring.first_degrees)
            for ring in rings
        ]
        nearest *= scale
    wall = outer_mm - rings[-1].radius_mm
    if hole_mm:
        wall = min(wall, rings[0].radius_mm - hole_mm)
    return Rings(rings=tuple(rings), nearest_mm=nearest, wall_mm=wall)


def _nearest(rings: list[PieceRing]) -> float | None:
    within = [2 * ring.radius_mm * math.sin(math.pi / ring.count) for ring in rings if ring.count > 1]
    between = [_between(ring, other) for i, ring in enumerate(rings) for other in rings[i + 1 : i + 3]]
    return min(within + between, default=None)


def _between(ring: PieceRing, other: PieceRing) -> float:
    least = math.inf
    for i in range(ring.count):
        angle = ring.first_degrees + i * ring.step_degrees - other.first_degrees
        off = math.radians(abs(angle - round(angle / other.step_degrees) * other.step_degrees))
        far = ring.radius_mm**2 + other.radius_mm**2 - 2 * ring.radius_mm * other.radius_mm * math.cos(off)
        least = min(least, far)
    return math.sqrt(max(0.0, least))
