"""Rectangles divided into rows and columns, with the area of every part."""

import math
from collections.abc import Callable, Sequence
from dataclasses import replace

from domain.cutting import budget as costs
from domain.cutting.budget import CutBudget
from domain.cutting.grid_choices import Grid, choose_grid
from domain.cutting.layouts import PLACES, Cell, CutAreas, CutLayout, Cutting, GridCells, PieceKind, grams_of
from domain.cutting.marks import CutMarks
from domain.cutting.slabs import RectangleSlab
from domain.cutting.wishes import CountWish, GridWish, MassWish, SizeWish
from domain.notices import Notice

Measure = Callable[[float, float, float, float], float]  # the area of a cell, or its mean over the height


def cut_rectangle(
    slab: RectangleSlab, wish: GridWish | CountWish | SizeWish | MassWish, cutting: Cutting, budget: CutBudget
) -> CutLayout:
    """Divide a rectangle into a grid.

    Args:
        slab: the slab to divide; its rounded corners, if any, are subtracted from the pieces at the corners.
        wish: rows and columns, a count, a size or a mass.
        cutting: trim, knife, mass and limits.
        budget: is charged for the search and for each piece.
    Returns:
        The layout. Corner pieces have a corner of the trimmed slab, edge pieces a side of it, and centre pieces
        neither. A side where an offcut is cut off does not count as an edge.
    Raises:
        OutOfRangeError, MismatchError, NeededError: see `choose_grid`.
    Source:
        Plane geometry.
    """
    choice = choose_grid(slab, wish, cutting, budget)
    grid = choice.grid
    budget.spend(costs.PIECE * grid.pieces)
    all_cells = GridCells(columns=grid.columns, rows=grid.rows)
    cells = tuple(all_cells) if slab.slopes or slab.corner_radius_mm else ()  # these are weighed one by one
    kinds = _kinds(slab, grid, all_cells, cells, cutting)
    areas = _areas(slab, grid, sum(kind.count * kind.area_mm2 for kind in kinds), slab.cell_mm2)
    mean_areas = None
    if slab.slopes:
        budget.spend(costs.SLOPING_PIECE * grid.pieces)
        kinds, pieces_mm2 = _weighed_by_place(slab, cells, kinds, cutting)
        mean_areas = _areas(slab, grid, pieces_mm2, slab.mean_mm2)
    notices = (*choice.notices, *trim_notice(cutting))
    marks = CutMarks(length=grid.columns.marks(), width=grid.rows.marks())
    return CutLayout(
        slab=slab,
        layout="grid",
        rows=grid.rows.count,
        columns=grid.columns.count,
        pieces=grid.pieces,
        piece=mean_piece(kinds),
        kinds=kinds,
        shapes=cells or all_cells,
        marks=marks,
        cuts_to_make=len(marks.length) + len(marks.width),
        areas=areas,
        cutting=cutting,
        mean_areas=mean_areas,
        error_percent=choice.error_percent,
        alternatives=choice.alternatives,
        notices=notices,
    )


def mean_piece(kinds: Sequence[PieceKind]) -> PieceKind:
    """The mean of all whole pieces; where kinds differ in size, it has the size of the first kind."""
    count = sum(kind.count for kind in kinds)
    masses = [kind.count * kind.grams for kind in kinds if kind.grams is not None]
    return PieceKind(
        place=kinds[0].place,
        count=count,
        length_mm=kinds[0].length_mm,
        width_mm=kinds[0].width_mm,
        area_mm2=sum(kind.count * kind.area_mm2 for kind in kinds) / count,
        grams=math.fsum(masses) / count if masses else None,
    )


def trim_notice(cutting: Cutting) -> tuple[Notice, ...]:
    """The warning that trimmed pieces have no crust."""
    if not cutting.trim_mm:
        return ()
    message = (
        f"The trim of {cutting.trim_mm:g} mm takes the baked edge off: corner and edge pieces have that place but no"
        " crust."
    )
    return (Notice("edges_trimmed", message, ("trim",), cutting.trim_mm, unit="mm"),)


def _kinds(
    slab: RectangleSlab, grid: Grid, grid_cells: GridCells, cells: tuple[Cell, ...], cutting: Cutting
) -> tuple[PieceKind, ...]:
    length, width = grid.sizes_mm
    whole = slab.area_mm2
    sums = dict.fromkeys(PLACES, 0.0)
    for cell in cells if slab.corner_radius_mm else ():
        sums[cell.place] += slab.cell_mm2(cell.x_mm, cell.y_mm, cell.x_mm + length, cell.y_mm + width)
    kinds = []
    for place in PLACES:
        if count := grid_cells.count_of(place):
            area = sums[place] / count if slab.corner_radius_mm else grid.piece_mm2
            kinds.append(
                PieceKind(
                    place=place,
                    count=count,
                    length_mm=length,
                    width_mm=width,
                    area_mm2=area,
                    grams=grams_of(cutting, area, whole),
                )
            )
    return tuple(kinds)


def _weighed_by_place(
    slab: RectangleSlab, cells: tuple[Cell, ...], kinds: tuple[PieceKind, ...], cutting: Cutting
) -> tuple[tuple[PieceKind, ...], float]:
    """The kinds with what each piece weighs under sloping walls, and the sum of the pieces' mean areas."""
    means = [
        (cell.place, slab.mean_mm2(cell.x_mm, cell.y_mm, cell.x_mm + cell.length_mm, cell.y_mm + cell.width_mm))
        for cell in cells
    ]
    whole, weighed = slab.mean_area_mm2, list[PieceKind]()
    for kind in kinds:
        of_kind = [mean for place, mean in means if place == kind.place]
        middle, low, high = (
            grams_of(cutting, area, whole) for area in (math.fsum(of_kind) / kind.count, min(of_kind), max(of_kind))
        )
        weighed.append(replace(kind, grams=middle, grams_low=low, grams_high=high))
    return tuple(weighed), math.fsum(mean for _, mean in means)


def _areas(slab: RectangleSlab, grid: Grid, pieces_mm2: float, measure: Measure) -> CutAreas:
    """Every part is worked out by itself, so that tests can check that they add up to the slab."""
    columns, rows = grid.columns, grid.rows
    left, top, right, bottom = columns.trim_mm, rows.trim_mm, columns.end_mm, rows.end_mm
    far_x, far_y = slab.length_mm - columns.trim_mm, slab.width_mm - rows.trim_mm
    shaved_x, shaved_y = columns.rest_mm - columns.offcut_mm, rows.rest_mm - rows.offcut_mm
    knife = _between_pieces(grid, measure)
    knife += measure(right, top, right + shaved_x, far_y) + measure(left, bottom, right, bottom + shaved_y)
    offcut = 0.0
    if columns.offcut_mm:
        offcut += measure(right + shaved_x, top, far_x, far_y)
    if rows.offcut_mm:
        offcut += measure(left, bottom + shaved_y, right, far_y)
    trim = (
        measure(0, 0, left, slab.width_mm)
        + measure(far_x, 0, slab.length_mm, slab.width_mm)
        + measure(left, 0, far_x, top)
        + measure(left, far_y, far_x, slab.width_mm)
    )
    return CutAreas(
        slab_mm2=measure(0.0, 0.0, slab.length_mm, slab.width_mm),
        pieces_mm2=pieces_mm2,
        knife_mm2=knife,
        trim_mm2=trim,
        offcut_mm2=offcut,
    )


def _between_pieces(grid: Grid, measure: Measure) -> float:
    """The area lost to the knife between rows (along their full length) and between columns within each row."""
    columns, rows = grid.columns, grid.rows
    if not columns.knife_mm:
        return 0.0
    lost = 0.0
    for j in range(rows.count):
        top = rows.start_mm(j)
        bottom = top + rows.size_mm
        if j:
            lost += measure(columns.trim_mm, top - rows.knife_mm, columns.end_mm, top)
        for i in range(1, columns.count):
            start = columns.start_mm(i)
            lost += measure(start - columns.knife_mm, top, start, bottom)
    return lost
