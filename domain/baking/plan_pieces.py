"""Where the cut pieces of a slab lie in the heated body, and which of their faces were crust.

A place is a distance from the middle in each direction across: two for a rectangle, the radius for a round slab, the
distance from the middle of the gap for a ring.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from domain.cutting.layouts import Cell, CutLayout, Sector
from domain.cutting.slabs import PolygonSlab, RectangleSlab, RingSlab, RoundSlab, Slab

FULL_TURN_DEGREES = 360  # definition
AT_THE_WALL_MM = 1e-6  # rounding of a place on the slab's edge
RIM_POINTS = 720  # places on the rim by which a part piece's share of it is counted
# Three points of Gauss and Legendre on 0 to 1, with weights that add up to 1.
GAUSS = ((0.5 - math.sqrt(0.15), 5 / 18), (0.5, 8 / 18), (0.5 + math.sqrt(0.15), 5 / 18))

Place = tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlanPiece:
    """One piece on the plan.

    `coldest` is its place nearest to the middle, `samples` are places with weights that add up to 1. Areas are the
    open top, the faces against the tin's wall, and the whole surface with base and cut faces.
    """

    coldest: Place
    samples: tuple[tuple[Place, float], ...]
    top_mm2: float
    wall_mm2: float
    surface_mm2: float


def plan_pieces(layout: CutLayout, half_mm: Sequence[float], height_mm: float) -> tuple[PlanPiece, ...]:
    """The pieces of a layout, in its order, in the coordinates of the heated body.

    Args:
        layout: how the slab is cut.
        half_mm: half the body's size in each direction across, or its radius.
        height_mm: of the baked slab.
    Returns:
        One for each shape of the layout, part pieces included. A polygon counts as a round of the same area. Where a
        trim is cut off, no piece keeps a face against the wall.
    """
    slab, trimmed = layout.slab, layout.cutting.trim_mm > 0
    pieces = []
    for shape in layout.shapes:
        if isinstance(shape, Sector):
            pieces.append(_sector(slab, shape, half_mm[0], height_mm, trimmed=trimmed))
        elif isinstance(slab, RectangleSlab):
            pieces.append(_cell(slab, shape, half_mm, height_mm, trimmed=trimmed))
        elif isinstance(slab, RoundSlab | PolygonSlab):
            pieces.append(_cell_of_round(slab, shape, half_mm[0], height_mm, trimmed=trimmed))
    return tuple(pieces)


def scale_of(slab: Slab, half_mm: Sequence[float]) -> tuple[float, ...]:
    """The body's size over the slab's face in each direction across; walls that slope make it differ from 1.

    Args:
        slab: the face.
        half_mm: half the body's size in each direction, or its radius.
    Returns:
        One figure for each direction.
    """
    if isinstance(slab, RectangleSlab):
        return half_mm[0] / (slab.length_mm / 2), half_mm[1] / (slab.width_mm / 2)
    if isinstance(slab, RingSlab):
        return (half_mm[0] / ((slab.diameter_mm - slab.hole_mm) / 4),)
    return (half_mm[0] / radius_of(slab),)


def middle_of(shape: Cell | Sector) -> tuple[float, float]:
    """Where a label of a piece goes, in the slab's coordinates.

    Args:
        shape: a cell, or a sector whose angles run clockwise from the top.
    Returns:
        x and y in mm; a whole ring has its label at the top.
    """
    if isinstance(shape, Cell):
        return shape.x_mm + shape.length_mm / 2, shape.y_mm + shape.width_mm / 2
    turn, middle = shape.end_degrees - shape.start_degrees, (shape.start_degrees + shape.end_degrees) / 2
    if turn >= FULL_TURN_DEGREES:
        return (0.0, -(shape.inner_mm + shape.outer_mm) / 2 if shape.inner_mm else 0.0)
    # Two thirds of the way out is the middle of a wedge's area, nearly.
    radius = shape.inner_mm + (shape.outer_mm - shape.inner_mm) * (0.5 if shape.inner_mm else 2 / 3)
    angle = math.radians(middle)
    return radius * math.sin(angle), -radius * math.cos(angle)


def gap_radius_of(slab: Slab) -> float:
    """The radius of the middle of a ring's gap; 0 for any other slab."""
    return (slab.diameter_mm + slab.hole_mm) / 4 if isinstance(slab, RingSlab) else 0.0


def radius_of(slab: RoundSlab | PolygonSlab | RingSlab) -> float:
    """The radius of a slab; of a polygon, that of a disc of the same area."""
    return math.sqrt(slab.area_mm2 / math.pi) if isinstance(slab, PolygonSlab) else slab.diameter_mm / 2


def _cell(slab: RectangleSlab, cell: Cell, half_mm: Sequence[float], height_mm: float, *, trimmed: bool) -> PlanPiece:
    x1, y1 = cell.x_mm + cell.length_mm, cell.y_mm + cell.width_mm
    area = slab.cell_mm2(cell.x_mm, cell.y_mm, x1, y1)
    at_wall = 0.0
    if not trimmed:
        at_wall += cell.width_mm * ((cell.x_mm <= AT_THE_WALL_MM) + (x1 >= slab.length_mm - AT_THE_WALL_MM))
        at_wall += cell.length_mm * ((cell.y_mm <= AT_THE_WALL_MM) + (y1 >= slab.width_mm - AT_THE_WALL_MM))
    scale_x, scale_y = scale_of(slab, half_mm)
    along = _distances(cell.x_mm - slab.length_mm / 2, x1 - slab.length_mm / 2, scale_x)
    down = _distances(cell.y_mm - slab.width_mm / 2, y1 - slab.width_mm / 2, scale_y)
    perimeter = 2 * (cell.length_mm + cell.width_mm)
    return PlanPiece(
        coldest=(along[0], down[0]),
        samples=tuple(((x, y), wx * wy) for x, wx in along[1] for y, wy in down[1]),
        top_mm2=area,
        wall_mm2=at_wall * height_mm,
        surface_mm2=2 * area + perimeter * height_mm,
    )


def _cell_of_round(
    slab: RoundSlab | PolygonSlab, cell: Cell, half_mm: float, height_mm: float, *, trimmed: bool
) -> PlanPiece:
    x1, y1 = cell.x_mm + cell.length_mm, cell.y_mm + cell.width_mm
    radius, (scale,) = radius_of(slab), scale_of(slab, (half_mm,))
    area = slab.cell_mm2(cell.x_mm, cell.y_mm, x1, y1)
    along, down = _distances(cell.x_mm, x1, 1.0), _distances(cell.y_mm, y1, 1.0)
    places = [(math.hypot(x, y), wx * wy) for x, wx in along[1] for y, wy in down[1]]
    inside = [(place, weight) for place, weight in places if place <= radius] or [(radius, 1.0)]
    whole = sum(weight for _, weight in inside)
    at_wall = 0.0
    if not trimmed and cell.place == "part":
        on_rim = sum(
            cell.x_mm <= radius * math.cos(a) <= x1 and cell.y_mm <= radius * math.sin(a) <= y1
            for a in (math.tau * i / RIM_POINTS for i in range(RIM_POINTS))
        )
        at_wall = math.tau * radius * on_rim / RIM_POINTS
    return PlanPiece(
        coldest=(min(radius, math.hypot(along[0], down[0])) * scale,),
        samples=tuple(((place * scale,), weight / whole) for place, weight in inside),
        top_mm2=area,
        wall_mm2=at_wall * height_mm,
        surface_mm2=2 * area + 2 * (cell.length_mm + cell.width_mm) * height_mm,
    )


def _sector(slab: Slab, sector: Sector, half_mm: float, height_mm: float, *, trimmed: bool) -> PlanPiece:
    turn = math.radians(sector.end_degrees - sector.start_degrees)
    inner, outer = sector.inner_mm, sector.outer_mm
    area = turn / 2 * (outer**2 - inner**2)
    cut_sides = 2 * (outer - inner) if turn < math.tau - AT_THE_WALL_MM else 0.0
    perimeter = turn * (inner + outer) + cut_sides
    rim = slab.diameter_mm / 2 if isinstance(slab, RoundSlab | RingSlab) else outer
    at_wall = turn * outer * (outer >= rim - AT_THE_WALL_MM)
    scale = scale_of(slab, (half_mm,))[0]
    radii = [(inner + (outer - inner) * point, weight) for point, weight in GAUSS]
    whole = sum(radius * weight for radius, weight in radii)
    weighted = [(radius, radius * weight / whole) for radius, weight in radii]
    if isinstance(slab, RingSlab):
        hole = slab.hole_mm / 2
        at_wall += turn * inner * (inner <= hole + AT_THE_WALL_MM)
        middle = gap_radius_of(slab)
        coldest = max(0.0, inner - middle, middle - outer)
        weighted = [(abs(radius - middle), weight) for radius, weight in weighted]
    else:
        coldest = inner
    return PlanPiece(
        coldest=(coldest * scale,),
        samples=tuple(((place * scale,), weight) for place, weight in weighted),
        top_mm2=area,
        wall_mm2=0.0 if trimmed else at_wall * height_mm,
        surface_mm2=2 * area + perimeter * height_mm,
    )


def _distances(low: float, high: float, scale: float) -> tuple[float, list[tuple[float, float]]]:
    """The nearest distance from the middle in a stretch, and three distances with weights."""
    nearest = 0.0 if low <= 0 <= high else min(abs(low), abs(high))
    return nearest * scale, [(abs(low + (high - low) * point) * scale, weight) for point, weight in GAUSS]
