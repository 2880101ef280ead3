"""What the pieces of a round slab weigh where its walls slope."""

import math
from dataclasses import replace

from domain.cutting import budget as costs
from domain.cutting.budget import CutBudget
from domain.cutting.grid_cuts import mean_piece
from domain.cutting.layouts import Cell, CutAreas, CutLayout, PieceKind, Sector, grams_of
from domain.cutting.ring_radii import wedge_mm2
from domain.cutting.slabs import RoundSlab

SHIFTED = 1e-9  # relative: a cell whose farthest corner lies inside the base by this is weighed by its face


def weighed_by_place(layout: CutLayout, slab: RoundSlab, budget: CutBudget) -> CutLayout:
    """The same layout with every mass by integration over the place of the piece.

    Args:
        layout: of the slab, with masses in proportion to the face.
        slab: a disc; the layout is returned unchanged if its walls are upright.
        budget: is charged for each cell at the wall.
    Returns:
        The layout; pieces, knife, trim and offcut still add up to the slab.
    Raises:
        OutOfRangeError: the budget is used up.
    Source:
        Plane geometry: a cut goes straight down, and the radius of the slab shrinks evenly from its face to its base.
    """
    if slab.lean_mm == 0:
        return layout
    sectors = [shape for shape in layout.shapes if isinstance(shape, Sector)]
    inner_mm = slab.diameter_mm / 2 - layout.cutting.trim_mm
    if sectors:
        means = {kind: [_sector_mm2(slab, kind, sectors, layout.cutting.knife_mm)] for kind in layout.kinds}
    else:
        cells = [shape for shape in layout.shapes if isinstance(shape, Cell)]
        at_wall = sum(not _is_inside(slab, cell, inner_mm) for cell in cells)
        budget.spend(costs.SLOPING_CELL * at_wall)
        means = {
            kind: [_cell_mm2(slab, cell, inner_mm) for cell in cells if cell.place == kind.place]
            for kind in layout.kinds
        }
    whole_mm2 = slab.mean_area_mm2
    kinds = tuple(_weighed(kind, of_kind, layout, whole_mm2) for kind, of_kind in means.items())
    sums = {kind: math.fsum(of_kind) / len(of_kind) * kind.count for kind, of_kind in means.items()}
    pieces_mm2 = math.fsum(area for kind, area in sums.items() if kind.place != "part")
    parts_mm2 = math.fsum(area for kind, area in sums.items() if kind.place == "part")
    inner_mm2 = slab.mean_of_radius_mm2(lambda radius: math.pi * min(radius, inner_mm) ** 2, inner_mm)
    return replace(
        layout,
        kinds=kinds,
        piece=mean_piece([kind for kind in kinds if kind.place != "part"]),
        mean_areas=CutAreas(
            slab_mm2=whole_mm2,
            pieces_mm2=pieces_mm2,
            knife_mm2=max(0.0, inner_mm2 - pieces_mm2 - parts_mm2) if layout.cutting.knife_mm else 0.0,
            trim_mm2=whole_mm2 - inner_mm2 if layout.cutting.trim_mm else 0.0,
            offcut_mm2=parts_mm2,
        ),
    )


def _weighed(kind: PieceKind, means: list[float], layout: CutLayout, whole_mm2: float) -> PieceKind:
    mean, low, high = (
        grams_of(layout.cutting, area, whole_mm2) for area in (math.fsum(means) / len(means), min(means), max(means))
    )
    return replace(kind, grams=mean, grams_low=low, grams_high=high)


def _sector_mm2(slab: RoundSlab, kind: PieceKind, sectors: list[Sector], knife_mm: float) -> float:
    """The mean area of one piece of a ring; all pieces of a ring are alike."""
    radii = sorted({(sector.inner_mm, sector.outer_mm) for sector in sectors})
    inner, outer = radii[kind.ring or 0]

    def area(radius: float) -> float:
        return wedge_mm2(kind.count, min(radius, outer), knife_mm) - wedge_mm2(kind.count, min(radius, inner), knife_mm)

    return slab.mean_of_radius_mm2(area, inner, outer)


def _is_inside(slab: RoundSlab, cell: Cell, inner_mm: float) -> bool:
    """Whether a cell lies on the base, within the trim, so that no wall leans in below it."""
    x = max(abs(cell.x_mm), abs(cell.x_mm + cell.length_mm))
    y = max(abs(cell.y_mm), abs(cell.y_mm + cell.width_mm))
    return math.hypot(x, y) <= min(slab.diameter_mm / 2 - slab.lean_mm, inner_mm) * (1 - SHIFTED)


def _cell_mm2(slab: RoundSlab, cell: Cell, inner_mm: float) -> float:
    x0, y0, x1, y1 = cell.x_mm, cell.y_mm, cell.x_mm + cell.length_mm, cell.y_mm + cell.width_mm
    if _is_inside(slab, cell, inner_mm):
        return cell.length_mm * cell.width_mm
    corners = [math.hypot(x, y) for x in (x0, x1) for y in (y0, y1)]

    def area(radius: float) -> float:
        return RoundSlab(diameter_mm=2 * min(radius, inner_mm)).cell_mm2(x0, y0, x1, y1)

    sides = [abs(side) for side in (x0, x1, y0, y1)]
    return slab.mean_of_radius_mm2(area, *corners, *sides, inner_mm)
