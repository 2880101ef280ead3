"""Heat in a round body or a ball that may freeze: finite volumes over radius and height.

Each step solves the heat equation along the height, then along the radius (locally one-dimensional, implicit). The
apparent heat capacity at the start of a step gives the heat that each cell takes; its heat content then gives its
temperature, so that heat of fusion is neither skipped nor lost. Against finite volumes on a fine grid, the minutes are
within 4 %.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from domain.cooling.substances import Substance
from domain.errors import OutOfRangeError
from domain.measures.definitions import MM_PER_M

MAX_STEPS = 400  # our own limit: it bounds the work of one solution
STEP_SHARE = 1 / 75  # of all heat to be moved, that one step moves
GROWTH = 1.4  # of a step relative to the one before
FIRST_STEP = 0.02  # of the time in which the smallest cell follows its neighbours
LAST_STEPS = 18  # a step is at most this part of the time so far
MIN_CELLS = 6  # across the least dimension
GRADING = 1.8  # of a cell relative to its outer neighbour


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Cell widths in metres: `radial` from the axis outwards, `upright` from the insulated plane to the cooled face.

    Without `upright`, it is a ball, and `radial` runs from its middle.
    """

    radial: tuple[float, ...]
    upright: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """Temperatures of the middle over time, in seconds, and the balance of heat.

    `gained` and `passed` are J: heat content gained by the body, and heat that came through its faces.
    """

    seconds: tuple[float, ...]
    middle_c: tuple[float, ...]
    gained: float
    passed: float
    steps: int

    def time_at(self, celsius: float) -> float | None:
        """When the middle first passes a temperature, in seconds; None if it does not."""
        for i in range(1, len(self.middle_c)):
            before, after = self.middle_c[i - 1], self.middle_c[i]
            if min(before, after) <= celsius <= max(before, after) and before != after:
                share = (celsius - before) / (after - before)
                return self.seconds[i - 1] + share * (self.seconds[i] - self.seconds[i - 1])
        return None


def graded(extent_mm: float, least_mm: float, cells: int = MIN_CELLS) -> tuple[float, ...]:
    """Cell widths of one extent, in metres, from the middle to the face.

    Args:
        extent_mm: from the middle to the face.
        least_mm: the least extent of the body.
        cells: across the least extent.
    Returns:
        Equal cells for the least extent; for a longer one, cells that grow towards the middle.
    """
    first = least_mm / cells
    if extent_mm <= 1.5 * least_mm:
        count = max(cells, round(extent_mm / first))
        return (extent_mm / count / MM_PER_M,) * count
    widths, left, width = list[float](), extent_mm, first
    while left > 1.5 * width:
        widths.append(width)
        left -= width
        width *= GRADING
    widths.append(left)
    return tuple(w / MM_PER_M for w in reversed(widths))


def solve_grid(  # noqa: PLR0917 - one problem
    grid: Grid,
    substance: Substance,
    start_c: float,
    film: float,
    surroundings_c: float,
    until: Callable[[float], bool],
) -> Solution:
    """Compute the temperatures over time, until that of the middle meets a condition.

    Args:
        grid: the cells.
        substance: the substance of the body.
        start_c: its temperature.
        film: coefficient on the open faces, W/(m² K).
        surroundings_c: around the open faces.
        until: the condition: whether a temperature of the middle ends the computation.
    Returns:
        The course of the middle.
    Raises:
        OutOfRangeError: the step budget is used up.
    """
    return _Field(grid, substance, start_c, film, surroundings_c).run(until)


class _Field:
    """The state of one solution: temperature and heat content per m³ of each cell, by radius and then height."""

    def __init__(self, grid: Grid, substance: Substance, start_c: float, film: float, surroundings_c: float) -> None:
        self.substance, self.film, self.surroundings_c, self.passed = substance, film, surroundings_c, 0.0
        self.radial, self.upright = grid.radial, grid.upright
        edges = [0.0]
        for width in grid.radial:
            edges.append(edges[-1] + width)
        if grid.upright:
            self.heights = grid.upright
            self.rings = [math.pi * (b * b - a * a) for a, b in pairwise(edges)]
            self.round = [2 * math.pi * edge for edge in edges[1:]]
        else:
            self.heights = (1.0,)
            self.rings = [4 / 3 * math.pi * (b**3 - a**3) for a, b in pairwise(edges)]
            self.round = [4 * math.pi * edge * edge for edge in edges[1:]]
        self.celsius = [[start_c] * len(self.heights) for _ in self.rings]
        self.heat = [[substance.enthalpy(start_c)] * len(self.heights) for _ in self.rings]

    def content(self) -> float:
        """The heat content of the body in J."""
        return sum(
            ring * sum(h * height for h, height in zip(heats, self.heights, strict=True))
            for heats, ring in zip(self.heat, self.rings, strict=True)
        )

    def run(self, until: Callable[[float], bool]) -> Solution:
        substance = self.substance
        start = content = self.content()
        whole = abs(substance.enthalpy(self.surroundings_c) * sum(self.rings) * sum(self.heights) - start)
        least = min(*self.radial, *self.upright)
        frozen = substance.frozen_conductivity / substance.frozen_capacity if substance.fusion else 0.0
        step, now = FIRST_STEP * least * least / max(substance.conductivity / substance.capacity, frozen), 0.0
        seconds, middle = [0.0], [self.celsius[0][0]]
        while not until(middle[-1]):
            if len(seconds) > MAX_STEPS:
                raise OutOfRangeError(
                    "It takes too much work to compute when the core reaches this temperature: choose a "
                    "temperature that is farther from that of the surroundings.",
                    code="too_much_work",
                    value=len(seconds),
                    limit=MAX_STEPS,
                )
            if self.upright:
                self.step_upright(step)
            self.step_radial(step)
            now += step
            after = self.content()
            moved = abs(after - content) / whole if whole else 0.0
            content = after
            seconds.append(now)
            middle.append(self.celsius[0][0])
            step *= min(GROWTH, STEP_SHARE / moved) if moved else GROWTH
            step = min(step, max(now / LAST_STEPS, seconds[1]))
        return Solution(
            seconds=tuple(seconds),
            middle_c=tuple(middle),
            gained=content - start,
            passed=self.passed,
            steps=len(seconds) - 1,
        )

    def step_upright(self, step: float) -> None:
        for i, ring in enumerate(self.rings):
            volumes = [ring * height for height in self.heights]
            areas = [ring] * len(volumes)
            self._step_line(self.celsius[i], self.heat[i], volumes, self.upright, areas, step)

    def step_radial(self, step: float) -> None:
        for j, height in enumerate(self.heights):
            celsius, heat = [column[j] for column in self.celsius], [column[j] for column in self.heat]
            volumes, areas = [ring * height for ring in self.rings], [edge * height for edge in self.round]
            self._step_line(celsius, heat, volumes, self.radial, areas, step)
            for i, (c, h) in enumerate(zip(celsius, heat, strict=True)):
                self.celsius[i][j], self.heat[i][j] = c, h

    def _step_line(  # noqa: PLR0917 - one line of cells
        self,
        celsius: list[float],
        heat: list[float],
        volumes: list[float],
        widths: Sequence[float],
        areas: list[float],
        step: float,
    ) -> None:
        """One implicit step along a line, again with the mean capacity of each cell that passed its freezing point."""
        substance, last = self.substance, len(celsius) - 1
        # No function calls in here, since this loop takes most of the time of a solution. An inertia is the slope of
        # `Substance.enthalpy`; the conductivity is between those of both states, by the share of ice.
        freezing, fusion = (substance.freezing_c if substance.fusion else -math.inf), substance.fusion
        thawed, more, capacity = (
            substance.conductivity,
            substance.frozen_conductivity - substance.conductivity,
            substance.capacity,
        )
        resistances, inertias = list[float](), list[float]()
        for t, width, volume in zip(celsius, widths, volumes, strict=True):
            if t < freezing:
                resistances.append(width / 2 / (thawed + (1 - freezing / t) * more))
                inertias.append((substance.frozen_capacity - fusion * freezing / (t * t)) * volume / step)
            else:
                resistances.append(width / 2 / thawed)
                inertias.append(capacity * volume / step)
        outward = [areas[k] / (resistances[k] + resistances[k + 1]) for k in range(last)]
        face = areas[last] / (resistances[last] + 1 / self.film)
        values = self._implicit(inertias, outward, face, celsius)
        passed = [
            k for k, (old, new) in enumerate(zip(celsius, values, strict=True)) if (old < freezing) != (new < freezing)
        ]
        for k in passed:
            # The capacity at the old temperature leaves out the jump at the freezing point.
            content = heat[k] + inertias[k] * (values[k] - celsius[k]) * step / volumes[k]
            reached = substance.temperature(content)
            if reached != celsius[k]:
                inertias[k] = (content - heat[k]) / (reached - celsius[k]) * volumes[k] / step
        if passed:
            values = self._implicit(inertias, outward, face, celsius)
        self.passed += face * (self.surroundings_c - values[last]) * step
        for k, (q, new, volume) in enumerate(zip(inertias, values, volumes, strict=True)):
            heat[k] += q * (new - celsius[k]) * step / volume
            celsius[k] = substance.temperature(heat[k])

    def _implicit(self, inertias: list[float], outward: list[float], face: float, celsius: list[float]) -> list[float]:
        """The temperatures after a step, by Thomas's algorithm."""
        last = len(celsius) - 1
        ratios, values, inward, before_ratio, before = list[float](), list[float](), 0.0, 0.0, 0.0
        for k in range(last + 1):
            out = outward[k] if k < last else 0.0
            diagonal = inertias[k] + inward + out - inward * before_ratio
            right = inertias[k] * celsius[k] + inward * before
            if k == last:
                diagonal += face
                right += face * self.surroundings_c
            before_ratio, before = out / diagonal, right / diagonal
            ratios.append(before_ratio)
            values.append(before)
            inward = out
        for k in range(last - 1, -1, -1):
            values[k] += ratios[k] * values[k + 1]
        return values
