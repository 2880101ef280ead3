"""The temperatures of a batter at any place, and lines of equal temperature over its plan.

The field is the product of the one-dimensional solutions that gave the window (Conduction of Heat in Solids, 1959,
1.15, from memory).
A wet crumb gets no hotter than boiling, so every temperature stops there.
"""

import math
from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from domain.baking.conduction import SMALLEST_FOURIER, Shape, temperature_ratio
from domain.baking.window import BakeEstimate
from domain.measures.definitions import BOILING_C

TABLE = 48  # steps from the middle to the wall
LINE_POINTS = 20  # of a quarter of a line over a rectangle
CIRCLE_POINTS = 72
MAX_ISOTHERMS = 6  # our own limit: more lines cannot be told apart in print
ISOTHERM_STEPS = (0.5, 1.0, 2.0, 5.0, 10.0, 20.0)  # °C between two lines

Line = tuple[tuple[float, float], ...]
Level = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Direction:
    """One factor of the field: the share of the initial difference that is left at a distance from the middle."""

    shape: Shape
    half_mm: float
    biot: float

    def left(self, distance_mm: float, s_mm2: float) -> float:
        """The share that is left when diffusivity times time is `s_mm2`."""
        place, fourier = min(1.0, abs(distance_mm) / self.half_mm), s_mm2 / self.half_mm**2
        if fourier == 0 or (self.shape != "slab" and place and fourier < SMALLEST_FOURIER):
            return 1.0
        return max(0.0, temperature_ratio(self.shape, self.biot, fourier, place))


@dataclass(frozen=True, slots=True, kw_only=True)
class Isotherm:
    """A temperature, and its closed lines over the plan in mm from the slab's middle."""

    celsius: float
    lines: tuple[Line, ...]


class HeatField:
    """The temperatures of an estimate's target in a bake that takes the median. Each share is worked out once."""

    def __init__(self, estimate: BakeEstimate) -> None:
        """Take over the solution; with dough pieces, the field is that of the batter, which all of them cool."""
        heated, central = estimate.central.target, estimate.central
        *across, upright = (Direction(f.shape, math.sqrt(f.square_mm2), f.biot) for f in heated.factors)
        self.across, self.upright = tuple(across), upright
        self.surroundings_c, self.missing_c = heated.surroundings_c, heated.surroundings_c - heated.start_c
        if heated.piece is not None:
            self.missing_c += estimate.target.piece_share * heated.piece.colder_by_c
        self.minutes = estimate.minutes
        self._s_per_minute = central.diffusivity / central.stretch
        self._left: dict[tuple[int, float, float], float] = {}

    @property
    def kind(self) -> Literal["rectangle", "round", "ring"]:
        """How a place is given: in two directions, by a radius, or across a ring's gap."""
        if len(self.across) == 2:
            return "rectangle"
        return "round" if self.across[0].shape == "cylinder" else "ring"

    def left(self, direction: int, distance_mm: float, minutes: float) -> float:
        """The share of the initial difference that is left in one direction across; −1 is upright."""
        key = direction, round(distance_mm, 6), minutes
        if key not in self._left:
            which = self.upright if direction < 0 else self.across[direction]
            self._left[key] = which.left(distance_mm, self._s_per_minute * minutes)
        return self._left[key]

    def celsius(self, place: Sequence[float], up_mm: float, minutes: float) -> float:
        """The temperature at a place.

        Args:
            place: distance from the middle in each direction across.
            up_mm: distance from half the height.
            minutes: since the start of the bake.
        Returns:
            °C, at most boiling.
        """
        missing = self.missing_c * self.left(-1, up_mm, minutes)
        for direction, distance in enumerate(place):
            missing *= self.left(direction, distance, minutes)
        return self._celsius(missing)

    def mean_celsius(self, samples: Sequence[tuple[Sequence[float], float]], levels: Sequence[Level]) -> float:
        """The mean temperature of a piece at the end of the bake.

        Args:
            samples: places as for `celsius`, each with its weight.
            levels: distances from half the height, each with its weight.
        Returns:
            °C.
        """
        upright = [(self.missing_c * self.left(-1, up_mm, self.minutes), weight) for up_mm, weight in levels]
        parts = list[float]()
        for place, of_place in samples:
            across = [self.left(direction, distance, self.minutes) for direction, distance in enumerate(place)]
            for missing, of_level in upright:
                parts.append(of_place * of_level * self._celsius(math.prod(across, start=missing)))
        return sum(parts)

    def _celsius(self, missing_c: float) -> float:
        return min(BOILING_C, self.surroundings_c - missing_c)

    def isotherms(
        self, scale: Sequence[float], levels: Sequence[float] = (), *, gap_radius_mm: float = 0.0
    ) -> tuple[Isotherm, ...]:
        """Lines of equal temperature at half the height, at the end of the bake.

        Args:
            scale: the body's size over the slab's face in each direction across.
            levels: the temperatures; empty for round ones.
            gap_radius_mm: of a ring, the radius of the middle of its gap.
        Returns:
            One isotherm for each temperature that occurs, from the coldest up; a line that meets the wall follows it.
        """
        tables = [[direction.half_mm * i / TABLE for i in range(TABLE + 1)] for direction in self.across]
        shares = [[self.left(i, place, self.minutes) for place in table] for i, table in enumerate(tables)]
        coldest = self.celsius([0.0] * len(tables), 0.0, self.minutes)
        hottest = self.celsius([table[-1] for table in tables], 0.0, self.minutes)
        upright = self.missing_c * self.left(-1, 0.0, self.minutes)
        drawn = []
        for level in sorted(levels) or round_levels(coldest, hottest):
            if coldest < level < hottest:
                needed = (self.surroundings_c - level) / upright
                lines = self._lines(needed, tables, shares, scale, gap_radius_mm)
                drawn.append(Isotherm(celsius=level, lines=lines))
        return tuple(drawn)

    def _lines(
        self,
        needed: float,
        tables: list[list[float]],
        shares: list[list[float]],
        scale: Sequence[float],
        gap_mm: float,
    ) -> tuple[Line, ...]:
        if self.kind == "rectangle":
            return (_mirrored(self._quarter(needed, tables, shares), scale),)
        distance = _place_of(needed, tables[0], shares[0]) / scale[0]
        if self.kind == "round":
            return (_circle(distance),)
        return (_circle(gap_mm - distance), _circle(gap_mm + distance))

    def _quarter(
        self, needed: float, tables: list[list[float]], shares: list[list[float]]
    ) -> list[tuple[float, float]]:
        """The line where both distances are positive, from the second direction's axis to the first's."""
        end = _place_of(needed / shares[1][0], tables[0], shares[0])
        points = []
        for i in range(LINE_POINTS + 1):
            # The points are closest together at the end, where the line turns.
            x = end * math.sin(math.pi / 2 * i / LINE_POINTS)
            points.append((x, _place_of(needed / self.left(0, x, self.minutes), tables[1], shares[1])))
        if end < tables[0][-1]:
            points[-1] = (end, 0.0)
        return points


def round_levels(coldest_c: float, hottest_c: float) -> list[float]:
    """At most `MAX_ISOTHERMS` round temperatures between two.

    Args:
        coldest_c: is left out.
        hottest_c: is left out.
    Returns:
        The temperatures, from the coldest up.

    >>> round_levels(90.4, 99.0)
    [92.0, 94.0, 96.0, 98.0]
    """
    for step in ISOTHERM_STEPS:
        first, last = math.floor(coldest_c / step) + 1, math.ceil(hottest_c / step)
        levels = [step * i for i in range(first, last)]
        if len(levels) <= MAX_ISOTHERMS:
            return levels
    return [(coldest_c + hottest_c) / 2]


def _place_of(needed: float, table: list[float], shares: list[float]) -> float:
    """Where a falling table has a value; the wall if it stays above."""
    index = bisect_left(shares, -needed, key=lambda share: -share)
    if index == 0:
        return table[0]
    if index == len(table):
        return table[-1]
    before, after = shares[index - 1], shares[index]
    return table[index - 1] + (table[index] - table[index - 1]) * (before - needed) / (before - after)


def _mirrored(quarter: list[tuple[float, float]], scale: Sequence[float]) -> Line:
    points = [(x / scale[0], y / scale[1]) for x, y in quarter]
    back = points[::-1]
    return (
        *points,
        *((x, -y) for x, y in back),
        *((-x, -y) for x, y in points),
        *((-x, y) for x, y in back),
    )


def _circle(radius: float) -> Line:
    turns = (math.tau * i / CIRCLE_POINTS for i in range(CIRCLE_POINTS))
    return tuple((radius * math.cos(turn), radius * math.sin(turn)) for turn in turns)
