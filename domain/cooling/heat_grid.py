"""Heat in a round body that may freeze: finite volumes over radius and height.

Each step solves the heat equation along the height, then along the radius (locally one-dimensional, implicit). The
apparent heat capacity at the start of a step gives the heat that each cell takes; its heat content then gives its
temperature, so that heat of fusion is neither skipped nor lost.
"""

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from itertools import pairwise

from domain.cooling.substances import Substance
from domain.errors import OutOfRangeError

MAX_STEPS = 400  # our own limit: it bounds the work of one solution
STEP_SHARE = 1 / 75  # of all heat to be moved, that one step moves
GROWTH = 1.4  # of a step relative to the one before
FIRST_STEP = 0.02  # of the time in which the smallest cell follows its neighbours
LAST_STEPS = 18  # a step is at most this part of the time so far
LEAST_CELLS = 8  # across the least dimension
GRADING = 1.45  # of a cell relative to its outer neighbour
MM_PER_M = 1000  # definition


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Cell widths in metres: `radial` from the axis outwards, `upright` from the insulated plane to the cooled face.

    `rim_open` says whether heat passes the outer radius; otherwise it is insulated.
    """

    radial: tuple[float, ...]
    upright: tuple[float, ...]
    rim_open: bool = True


@dataclass(frozen=True, slots=True, kw_only=True)
class Solution:
    """Temperatures of the probed cells over time, in seconds, and the balance of heat.

    `gained` and `passed` are J: heat content gained by the body, and heat that came through its faces.
    """

    seconds: tuple[float, ...]
    probed_c: tuple[float, ...]
    gained: float
    passed: float
    steps: int

    def time_at(self, celsius: float) -> float | None:
        """When the probe first passes a temperature, in seconds; None if it does not."""
        for i in range(1, len(self.probed_c)):
            before, after = self.probed_c[i - 1], self.probed_c[i]
            if min(before, after) <= celsius <= max(before, after) and before != after:
                share = (celsius - before) / (after - before)
                return self.seconds[i - 1] + share * (self.seconds[i] - self.seconds[i - 1])
        return None


def graded(extent_mm: float, least_mm: float) -> tuple[float, ...]:
    """Cell widths of one extent, in metres, from the middle to the face.

    Args:
        extent_mm: from the middle to the face.
        least_mm: the least extent of the body.
    Returns:
        Equal cells for the least extent; for a longer one, cells that grow towards the middle.
    """
    first = least_mm / LEAST_CELLS
    if extent_mm <= 1.5 * least_mm:
        count = max(LEAST_CELLS, round(extent_mm / first))
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
    cells: Sequence[Sequence[Substance]],
    start_c: Sequence[Sequence[float]],
    film: float,
    surroundings_c: float,
    until: Callable[[float], bool],
    probe: Sequence[tuple[int, int]] = ((0, 0),),
    *,
    coldest: bool = False,
) -> Solution:
    """Follow the temperatures until the probe says so.

    Args:
        grid: the cells.
        cells: the substance of each cell, by radius and then height.
        start_c: the temperature of each cell.
        film: coefficient on the open faces, W/(m² K).
        surroundings_c: around the open faces.
        until: whether the probe's temperature ends the solution.
        probe: the cells that are probed.
        coldest: probe the coldest of these cells, not the warmest.
    Returns:
        The course of the probe.
    Raises:
        OutOfRangeError: the step budget is used up.
    """
    return _Field(grid, cells, start_c, film, surroundings_c).run(until, probe, min if coldest else max)


class _Field:
    """The state of one solution."""

    def __init__(
        self,
        grid: Grid,
        cells: Sequence[Sequence[Substance]],
        start_c: Sequence[Sequence[float]],
        film: float,
        surroundings_c: float,
    ) -> None:
        radial, upright = grid.radial, grid.upright
        self.surroundings_c, self.passed = surroundings_c, 0.0
        self.substances = [list(column) for column in cells]
        self.celsius = [list(column) for column in start_c]
        edges = [0.0]
        for width in radial:
            edges.append(edges[-1] + width)
        self.rings = [math.pi * (b * b - a * a) for a, b in pairwise(edges)]
        self.round = [2 * math.pi * edge for edge in edges]
        self.radial, self.upright = radial, upright
        self.film = film
        self.rim_film = film if grid.rim_open else 0.0
        self.heat = [
            [s.enthalpy(c) for s, c in zip(column, temperatures, strict=True)]
            for column, temperatures in zip(self.substances, self.celsius, strict=True)
        ]
        self.volumes = [[ring * height for height in upright] for ring in self.rings]

    def content(self) -> float:
        return sum(
            h * v
            for heats, volumes in zip(self.heat, self.volumes, strict=True)
            for h, v in zip(heats, volumes, strict=True)
        )

    def run(
        self,
        until: Callable[[float], bool],
        probe: Sequence[tuple[int, int]],
        pick: Callable[..., float],
    ) -> Solution:
        start = content = self.content()
        whole = abs(
            sum(
                s.enthalpy(self.surroundings_c) * v
                for column, volumes in zip(self.substances, self.volumes, strict=True)
                for s, v in zip(column, volumes, strict=True)
            )
            - start
        )
        least = min(*self.radial, *self.upright)
        different = {s for column in self.substances for s in column}
        fastest = max(max(s.conductivity / s.capacity, _frozen_diffusivity(s)) for s in different)
        step, now = FIRST_STEP * least * least / fastest, 0.0
        seconds, probed = [0.0], [pick(self.celsius[i][j] for i, j in probe)]
        while not until(probed[-1]):
            if len(seconds) > MAX_STEPS:
                raise OutOfRangeError(
                    "The core does not get there within the work that one request may take: choose a temperature "
                    "farther from that of the surroundings.",
                    code="too_much_work",
                    value=len(seconds),
                    limit=MAX_STEPS,
                )
            self.step_upright(step)
            self.step_radial(step)
            now += step
            after = self.content()
            moved = abs(after - content) / whole if whole else 0.0
            content = after
            seconds.append(now)
            probed.append(pick(self.celsius[i][j] for i, j in probe))
            step *= min(GROWTH, STEP_SHARE / moved) if moved else GROWTH
            step = min(step, max(now / LAST_STEPS, seconds[1]))
        return Solution(
            seconds=tuple(seconds),
            probed_c=tuple(probed),
            gained=content - start,
            passed=self.passed,
            steps=len(seconds) - 1,
        )

    def step_upright(self, step: float) -> None:
        upright = self.upright
        for i, ring in enumerate(self.rings):
            areas = [ring] * len(upright)
            line = self._line(
                self.substances[i], self.celsius[i], self.heat[i], self.volumes[i], upright, areas, self.film, step
            )
            self.celsius[i], self.heat[i] = line

    def step_radial(self, step: float) -> None:
        for j, height in enumerate(self.upright):
            areas = [edge * height for edge in self.round[1:]]
            celsius, heat = self._line(
                [column[j] for column in self.substances],
                [column[j] for column in self.celsius],
                [column[j] for column in self.heat],
                [column[j] for column in self.volumes],
                self.radial,
                areas,
                self.rim_film,
                step,
            )
            for i, (c, h) in enumerate(zip(celsius, heat, strict=True)):
                self.celsius[i][j] = c
                self.heat[i][j] = h

    def _line(  # noqa: PLR0917 - one line of cells
        self,
        substances: list[Substance],
        celsius: list[float],
        heat: list[float],
        volumes: list[float],
        widths: Sequence[float],
        areas: list[float],
        film: float,
        step: float,
    ) -> tuple[list[float], list[float]]:
        """One implicit step along a line, again with the mean capacity of each cell that passed its freezing point."""
        last = len(celsius) - 1
        resistances = [w / 2 / s.conductivity_at(c) for w, s, c in zip(widths, substances, celsius, strict=True)]
        inertias = [s.apparent_capacity(c) * v / step for s, c, v in zip(substances, celsius, volumes, strict=True)]
        outward = [areas[k] / (resistances[k] + resistances[k + 1]) for k in range(last)]
        face = areas[last] / (resistances[last] + 1 / film) if film else 0.0
        values = self._implicit(inertias, outward, face, celsius)
        passed = [
            k
            for k, (s, old, new) in enumerate(zip(substances, celsius, values, strict=True))
            if s.fusion and (old < s.freezing_c) != (new < s.freezing_c)
        ]
        for k in passed:
            # The capacity at the old temperature leaves out the jump at the freezing point.
            taken = heat[k] + inertias[k] * (values[k] - celsius[k]) * step / volumes[k]
            reached = substances[k].temperature(taken)
            if reached != celsius[k]:
                inertias[k] = (taken - heat[k]) / (reached - celsius[k]) * volumes[k] / step
        if passed:
            values = self._implicit(inertias, outward, face, celsius)
        self.passed += face * (self.surroundings_c - values[last]) * step
        new_heat = [
            h + q * (new - old) * step / v
            for h, q, new, old, v in zip(heat, inertias, values, celsius, volumes, strict=True)
        ]
        return [s.temperature(h) for s, h in zip(substances, new_heat, strict=True)], new_heat

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


def _frozen_diffusivity(substance: Substance) -> float:
    return substance.frozen_conductivity / substance.frozen_capacity if substance.fusion else 0.0
