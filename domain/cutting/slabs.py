"""Slabs seen from above, ready to be divided.

A slab's length runs from left to right and its width from top to bottom. A rectangle has its top left corner at (0, 0);
a disc, a ring and a polygon have their middle there. A polygon has a flat side at the bottom.
"""

import math
from bisect import bisect
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

from domain.cutting.plane import SURELY, Point, clip, disc_overlap, half_plane, polygon_area, rectangle
from domain.cutting.sloping import mean_over_height, wall_breaks
from domain.tins.shapes import RectangleTin

SHARP_MM = 1e-3  # corners rounded by less than a micrometre count as sharp
ROUNDING = 1e-14  # relative: an upper bound of the rounding error of a few sums


@dataclass(frozen=True, slots=True, kw_only=True)
class RectangleSlab:
    """A rectangle whose corners are rounded like the tin's.

    Where walls slope, it is the upper face, and at the base each end of its length lies `lean_length_mm` further in,
    and each end of its width `lean_width_mm`.
    """

    length_mm: float
    width_mm: float
    corner_radius_mm: float = 0.0
    lean_length_mm: float = 0.0
    lean_width_mm: float = 0.0

    def __post_init__(self) -> None:
        """Check the sizes in the same way as a tin's."""
        RectangleTin(length_mm=self.length_mm, width_mm=self.width_mm, corner_radius_mm=self.corner_radius_mm)

    @property
    def slopes(self) -> bool:
        """Whether the walls slope."""
        return self.lean_length_mm != 0 or self.lean_width_mm != 0

    @property
    def mean_area_mm2(self) -> float:
        """Area of the whole slab, averaged over its height."""
        if not self.slopes:
            return self.area_mm2
        return self.mean_mm2(0.0, 0.0, self.length_mm, self.width_mm)

    def mean_mm2(self, x0: float, y0: float, x1: float, y1: float) -> float:
        """Area of a cell, averaged over the height: a cut goes straight down, and the walls lean in below the face."""
        length, width, lean_x, lean_y = self.length_mm, self.width_mm, self.lean_length_mm, self.lean_width_mm
        if not self.slopes:
            return self.cell_mm2(x0, y0, x1, y1)

        def area(share: float) -> float:
            near_x, near_y = share * lean_x, share * lean_y
            left, right = max(x0, near_x) - near_x, min(x1, length - near_x) - near_x
            top, bottom = max(y0, near_y) - near_y, min(y1, width - near_y) - near_y
            if left >= right or top >= bottom:
                return 0.0
            section = (length - 2 * near_x, width - 2 * near_y, self.corner_radius_mm)
            return _rounded_cell_mm2(*section, left, top, right, bottom)

        radius = self.corner_radius_mm
        breaks = wall_breaks(lean_x, x0, x1, length - x0, length - x1)
        breaks += wall_breaks(lean_y, y0, y1, width - y0, width - y1)
        if radius:
            breaks += wall_breaks(lean_x, x0 - radius, x1 - radius, length - x0 - radius, length - x1 - radius)
            breaks += wall_breaks(lean_y, y0 - radius, y1 - radius, width - y0 - radius, width - y1 - radius)
        return mean_over_height(area, breaks)

    def facet_mm2(self, points: Sequence[Point]) -> float:
        """Area of a convex piece of the face, without what the rounded corners lack."""
        return _rounded_facet_mm2(self.length_mm, self.width_mm, self.corner_radius_mm, points)

    def lean_under(self, points: Sequence[Point]) -> bool:
        """Whether a wall or a rounded corner comes in below a piece of the face."""
        if not self.slopes:
            return False
        near_x, near_y = self.lean_length_mm + self.corner_radius_mm, self.lean_width_mm + self.corner_radius_mm
        far_x, far_y = self.length_mm - near_x, self.width_mm - near_y
        return any(not (near_x <= x <= far_x and near_y <= y <= far_y) for x, y in points)

    def facet_mean_mm2(self, points: Sequence[Point]) -> float:
        """Area of a convex piece, averaged over the height; see `mean_mm2`."""
        if not self.lean_under(points):
            return self.facet_mm2(points)

        def area(share: float) -> float:
            near_x, near_y = share * self.lean_length_mm, share * self.lean_width_mm
            length, width = self.length_mm - 2 * near_x, self.width_mm - 2 * near_y
            shared = clip([(x - near_x, y - near_y) for x, y in points], rectangle(0.0, 0.0, length, width))
            return _rounded_facet_mm2(length, width, self.corner_radius_mm, shared) if shared else 0.0

        xs, ys = zip(*points, strict=True)
        breaks = wall_breaks(self.lean_length_mm, *xs, *(self.length_mm - x for x in xs))
        breaks += wall_breaks(self.lean_width_mm, *ys, *(self.width_mm - y for y in ys))
        return mean_over_height(area, breaks)

    @property
    def area_mm2(self) -> float:
        """Area of the whole slab: the rectangle without what the four rounded corners lack."""
        return self.length_mm * self.width_mm - (4 - math.pi) * self.corner_radius_mm**2

    def cell_mm2(self, x0: float, y0: float, x1: float, y1: float) -> float:
        """Area of a cell within the rectangle, without what the rounded corners lack."""
        return _rounded_cell_mm2(self.length_mm, self.width_mm, self.corner_radius_mm, x0, y0, x1, y1)


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundSlab:
    """A disc. Where walls slope, it is the upper face, and at the base its radius is `lean_mm` less."""

    diameter_mm: float
    lean_mm: float = 0.0

    @property
    def mean_area_mm2(self) -> float:
        """Area of the whole slab, averaged over its height."""
        return self.area_mm2 if self.lean_mm == 0 else self.mean_of_radius_mm2(self._disc_mm2)

    def mean_of_radius_mm2(self, area: Callable[[float], float], *radii_mm: float) -> float:
        """An area that depends on the radius of the slab, averaged over the height.

        Args:
            area: at a radius of the slab.
            radii_mm: at which it is not smooth.
        """
        radius = self.diameter_mm / 2
        breaks = wall_breaks(self.lean_mm, *(radius - place for place in radii_mm))
        return mean_over_height(lambda share: area(radius - share * self.lean_mm), breaks)

    @staticmethod
    def _disc_mm2(radius_mm: float) -> float:
        return math.pi * radius_mm * radius_mm

    @property
    def area_mm2(self) -> float:
        """Area of the whole slab."""
        return math.pi / 4 * self.diameter_mm**2

    @property
    def part_cost(self) -> float:
        """Work of one cell that is not whole, in the units of `domain.cutting.budget`."""
        return 0.3

    @property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom."""
        radius = self.diameter_mm / 2
        return -radius, -radius, radius, radius

    def half_chords_mm(self, heights: Sequence[float]) -> list[float]:
        """Half the width of the slab at each height; below 0 outside it."""
        radius = self.diameter_mm / 2
        return [math.sqrt((radius - y) * (radius + y)) if abs(y) <= radius else -1.0 for y in heights]

    def whole_mm(self, y0: float, y1: float) -> float:
        """How far a whole cell may reach from the vertical through the middle; below 0 if no cell is whole."""
        return min(self.half_chords_mm((y0, y1)))

    def row_mm2(self, y0: float, y1: float, stretches: Sequence[tuple[float, float]]) -> list[float]:
        """For each cell of a row, from one x to another, the area that lies on the slab."""
        radius, nearest = self.diameter_mm / 2, max(0.0, y0, -y1)
        reach = math.sqrt(max(0.0, radius * radius * (1 + SURELY) - nearest * nearest))
        return [
            0.0 if x0 > reach or x1 < -reach else disc_overlap(rectangle(x0, y0, x1, y1), radius)
            for x0, x1 in stretches
        ]

    def cell_mm2(self, x0: float, y0: float, x1: float, y1: float) -> float:
        """Area of the part of a cell that lies on the slab."""
        return self.row_mm2(y0, y1, [(x0, x1)])[0]


@dataclass(frozen=True, slots=True, kw_only=True)
class RingSlab:
    """A disc with a round hole in the middle."""

    diameter_mm: float
    hole_mm: float

    @property
    def area_mm2(self) -> float:
        """Area of the whole slab."""
        return math.pi / 4 * (self.diameter_mm - self.hole_mm) * (self.diameter_mm + self.hole_mm)


@dataclass(frozen=True, kw_only=True)  # without slots, for the cached properties
class PolygonSlab:
    """A regular polygon whose corners are rounded like the tin's; `trim_mm` is already cut off all round."""

    sides: int
    across_flats_mm: float
    corner_radius_mm: float = 0.0
    trim_mm: float = 0.0

    @property
    def part_cost(self) -> float:
        """Work of one cell that is not whole, in the units of `domain.cutting.budget`."""
        return 0.3 + self.sides * (0.085 if self.corner_radius_mm >= SHARP_MM else 0.02)

    @property
    def area_mm2(self) -> float:
        """Area after trimming."""
        return self.outline_mm2(self.corners)

    @cached_property
    def normals(self) -> tuple[Point, ...]:
        """Outward directions of the sides, the bottom side first."""
        return tuple(_around(i / self.sides) for i in range(self.sides))

    @cached_property
    def corners(self) -> tuple[Point, ...]:
        """The corners, in positive order."""
        reach = (self.across_flats_mm / 2 - self.trim_mm) / math.cos(math.pi / self.sides)
        turns = [_around((i + 0.5) / self.sides) for i in range(self.sides)]
        return tuple((reach * x, reach * y) for x, y in turns)

    @cached_property
    def bounds_mm(self) -> tuple[float, float, float, float]:
        """Left, top, right and bottom."""
        xs, ys = [x for x, _ in self.corners], [y for _, y in self.corners]
        return min(xs), min(ys), max(xs), max(ys)

    def half_chords_mm(self, heights: Sequence[float]) -> list[float]:
        """Half the width at each height within the bounds, as if the corners were sharp."""
        reach, chords = self.across_flats_mm / 2 - self.trim_mm, []
        starts, sides = self._right_sides
        for y in heights:
            (ax, ay), (bx, by), (cx, cy) = sides[bisect(starts, y)]
            chords.append(min((reach - ay * y) / ax, (reach - by * y) / bx, (reach - cy * y) / cx))
        return chords

    @cached_property
    def _right_sides(self) -> tuple[list[float], list[tuple[Point, Point, Point]]]:
        """Heights between the sides facing right, and for each stretch the directions of its side and neighbours."""
        facing = sorted((normal for normal in self.normals if normal[0] > 1e-9), key=lambda normal: normal[1])
        middle, half_side = self.across_flats_mm / 2 - self.trim_mm, math.tan(math.pi / self.sides)
        starts = [middle * (ny - nx * half_side) for nx, ny in facing[1:]]
        return starts, list(zip([facing[0], *facing], facing, [*facing[1:], facing[-1]], strict=False))

    def whole_mm(self, y0: float, y1: float) -> float:
        """How far a whole cell may reach from the vertical through the middle; below 0 if no cell is whole."""
        _, top, _, bottom = self.bounds_mm
        if y0 < top or y1 > bottom:
            return -1.0
        reaches, radius = self.half_chords_mm((y0, y1)), self.corner_radius_mm
        for x, y, low, high in self._arcs:
            for height in (y0, y1):
                if low < height < high:
                    square = radius * (radius + ROUNDING * self.across_flats_mm) - (height - y) ** 2
                    reaches.append(x + math.sqrt(square) if square > 0 else -1.0)
        return min(reaches)

    def row_mm2(self, y0: float, y1: float, stretches: Sequence[tuple[float, float]]) -> list[float]:
        """For each cell of a row, from one x to another, the area that lies on the slab."""
        reach, walls, areas = self.whole_mm(y0, y1), self._walls(y0, y1), []
        for x0, x1 in stretches:
            cell = rectangle(x0, y0, x1, y1)
            if -reach <= x0 and x1 <= reach:
                areas.append(polygon_area(cell))
                continue
            left = list(cell)
            for nx, limit, start, end in walls:
                if left and (x1 if nx > 0 else x0) * nx >= limit:
                    left = half_plane(left, start, end)
            areas.append(self.outline_mm2(left) if left else 0.0)
        return areas

    def cell_mm2(self, x0: float, y0: float, x1: float, y1: float) -> float:
        """Area of the part of a cell that lies on the slab."""
        return self.row_mm2(y0, y1, [(x0, x1)])[0]

    def _walls(self, y0: float, y1: float) -> list[tuple[float, float, Point, Point]]:
        """The sides that a row may cross.

        For each: the horizontal part of its direction, how far a cell may reach that way without crossing it, and its
        ends.
        """
        inside = (self.across_flats_mm / 2 - self.trim_mm) * (1 - SURELY)
        return [
            (nx, inside - (y1 if ny > 0 else y0) * ny, self.corners[i - 1], self.corners[i])
            for i, (nx, ny) in enumerate(self.normals)
        ]

    def outline_mm2(self, outline: list[Point] | tuple[Point, ...]) -> float:
        """Area of a convex part of the polygon with sharp corners, minus what the rounded corners lack."""
        area = polygon_area(outline)
        if not self._kites or not outline:
            return area
        xs, ys = zip(*outline, strict=True)
        left, top, right, bottom = min(xs), min(ys), max(xs), max(ys)
        for centre, kite, (kite_left, kite_top, kite_right, kite_bottom), (before, after) in self._kites:
            if kite_right <= left or kite_left >= right or kite_bottom <= top or kite_top >= bottom:
                continue
            # Skip parts that lie completely outside the kite, beyond one of its edges at the circle's middle.
            (nx, ny), (mx, my), (cx, cy) = before, after, centre
            if nx * ((bottom if nx > 0 else top) - cy) - ny * ((left if ny > 0 else right) - cx) < -SHARP_MM:
                continue
            if mx * ((top if mx > 0 else bottom) - cy) - my * ((right if my > 0 else left) - cx) > SHARP_MM:
                continue
            if shared := clip(outline, kite):
                area -= polygon_area(shared) - disc_overlap(shared, self.corner_radius_mm, centre)
        return area

    @cached_property
    def _arcs(self) -> tuple[tuple[float, float, float, float], ...]:
        """For each rounded corner not on the left: its circle's middle, and the heights between which it is round.

        The range is unbounded (±inf) where the arc meets a horizontal side or contains the topmost point.
        """
        arcs, level = [], self.corner_radius_mm * (1 - SURELY)
        for (x, y), (_, (_, start), _, (_, end)), *_ in self._kites:
            low, high = min(start, end), max(start, end)
            if x > -SHARP_MM:
                topmost = x < SHARP_MM or low < y - level
                arcs.append((x, y, -math.inf if topmost else low, math.inf if high > y + level else high))
        return tuple(arcs)

    @cached_property
    def _kites(self) -> tuple[tuple[Point, tuple[Point, ...], tuple[float, float, float, float], list[Point]], ...]:
        """The kites between the middle of each rounded corner's circle, its two sides and the sharp corner.

        For each: the circle's middle, the kite, its bounds, and the directions of the two sides.
        """
        if self.corner_radius_mm < SHARP_MM:
            return ()
        radius, whole = self.corner_radius_mm, PolygonSlab(sides=self.sides, across_flats_mm=self.across_flats_mm)
        kites = []
        for i, (x, y) in enumerate(whole.corners):
            share = 1 - radius / (self.across_flats_mm / 2)
            centre = (x * share, y * share)
            before, after = self.normals[i], self.normals[(i + 1) % self.sides]
            feet = [(centre[0] + radius * nx, centre[1] + radius * ny) for nx, ny in (before, after)]
            kite = centre, feet[0], (x, y), feet[1]
            xs, ys = zip(*kite, strict=True)
            kites.append((centre, kite, (min(xs), min(ys), max(xs), max(ys)), [before, after]))
        return tuple(kites)


def _rounded_cell_mm2(  # noqa: PLR0917 - a rectangle, its corners, and the cell
    length_mm: float, width_mm: float, radius: float, x0: float, y0: float, x1: float, y1: float
) -> float:
    """Area of a cell within a rectangle, without what its rounded corners lack."""
    area = (x1 - x0) * (y1 - y0)
    if radius == 0:
        return area
    far_x, far_y = length_mm - radius, width_mm - radius
    for near_x, centre_x in ((0.0, radius), (far_x, far_x)):
        for near_y, centre_y in ((0.0, radius), (far_y, far_y)):
            left, right = max(x0, near_x), min(x1, near_x + radius)
            top, bottom = max(y0, near_y), min(y1, near_y + radius)
            if left < right and top < bottom:
                corner = rectangle(left, top, right, bottom)
                area -= polygon_area(corner) - disc_overlap(corner, radius, (centre_x, centre_y))
    return area


def _rounded_facet_mm2(length_mm: float, width_mm: float, radius: float, points: Sequence[Point]) -> float:
    """Area of a convex polygon within a rectangle, without what its rounded corners lack."""
    area = polygon_area(points)
    if radius < SHARP_MM:
        return area
    far_x, far_y = length_mm - radius, width_mm - radius
    for near_x, centre_x in ((0.0, radius), (far_x, far_x)):
        for near_y, centre_y in ((0.0, radius), (far_y, far_y)):
            shared = clip(points, rectangle(near_x, near_y, near_x + radius, near_y + radius))
            if shared:
                area -= polygon_area(shared) - disc_overlap(shared, radius, (centre_x, centre_y))
    return area


Slab = RectangleSlab | RoundSlab | RingSlab | PolygonSlab


def _around(turn: float) -> Point:
    """The direction after a share of a full turn, starting straight down; y grows downwards, positive order."""
    return -math.sin(math.tau * turn), math.cos(math.tau * turn)
