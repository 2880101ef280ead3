"""Rectangles divided into rows and columns, with the area of every part."""

from collections.abc import Sequence

from domain.cutting import budget as costs
from domain.cutting.budget import CutBudget
from domain.cutting.grid_choices import Grid, choose_grid
from domain.cutting.layouts import (
    PLACES,
    Cell,
    CountWish,
    CutAreas,
    CutLayout,
    Cutting,
    GridWish,
    MassWish,
    PieceKind,
    SizeWish,
    grams_of,
)
from domain.cutting.marks import Axis, CutMarks
from domain.cutting.slabs import RectangleSlab
from domain.notices import Notice


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
    cells = _cells(grid)
    kinds = _kinds(slab, grid, cells, cutting)
    areas = _areas(slab, grid, kinds)
    notices = (*choice.notices, *trim_notice(cutting))
    return CutLayout(
        slab=slab,
        layout="grid",
        rows=grid.rows.count,
        columns=grid.columns.count,
        pieces=grid.pieces,
        piece=mean_piece(kinds, cutting, areas.slab_mm2),
        kinds=kinds,
        shapes=cells,
        marks=CutMarks(length=grid.columns.marks(), width=grid.rows.marks()),
        cuts_to_make=len(grid.columns.marks()) + len(grid.rows.marks()),
        areas=areas,
        cutting=cutting,
        error_percent=choice.error_percent,
        alternatives=choice.alternatives,
        notices=notices,
    )


def mean_piece(kinds: Sequence[PieceKind], cutting: Cutting, slab_mm2: float) -> PieceKind:
    """The mean of all whole pieces; where kinds differ in size, it has the size of the first kind."""
    count = sum(kind.count for kind in kinds)
    area = sum(kind.count * kind.area_mm2 for kind in kinds) / count
    return PieceKind(
        place=kinds[0].place,
        count=count,
        length_mm=kinds[0].length_mm,
        width_mm=kinds[0].width_mm,
        area_mm2=area,
        grams=grams_of(cutting, area, slab_mm2),
    )


def trim_notice(cutting: Cutting) -> tuple[Notice, ...]:
    """The warning that trimmed pieces have no crust."""
    if not cutting.trim_mm:
        return ()
    message = "The trim takes the baked edge off: corner and edge pieces have that place but no crust."
    return (Notice(code="edges_trimmed", message=message, path=("trim",)),)


def _cells(grid: Grid) -> tuple[Cell, ...]:
    length, width = grid.sizes_mm
    columns = [(grid.columns.start_mm(i), at_end) for i, at_end in enumerate(_at_ends(grid.columns))]
    rows = [(grid.rows.start_mm(i), at_end) for i, at_end in enumerate(_at_ends(grid.rows))]
    return tuple(
        Cell(
            x_mm=x,
            y_mm=y,
            length_mm=length,
            width_mm=width,
            place="corner" if x_end and y_end else "edge" if x_end or y_end else "centre",
        )
        for y, y_end in rows
        for x, x_end in columns
    )


def _at_ends(axis: Axis) -> list[bool]:
    """For each piece along a side, whether it lies at an end of the slab (an end with an offcut does not count)."""
    last = axis.count - 1
    return [i == 0 or (i == last and not axis.rest_mm) for i in range(axis.count)]


def _kinds(slab: RectangleSlab, grid: Grid, cells: tuple[Cell, ...], cutting: Cutting) -> tuple[PieceKind, ...]:
    length, width = grid.sizes_mm
    whole = slab.area_mm2
    counts, sums = dict.fromkeys(PLACES, 0), dict.fromkeys(PLACES, 0.0)
    for cell in cells:
        counts[cell.place] += 1
        if slab.corner_radius_mm:
            sums[cell.place] += slab.cell_mm2(cell.x_mm, cell.y_mm, cell.x_mm + length, cell.y_mm + width)
    kinds = []
    for place in PLACES:
        if count := counts[place]:
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


def _areas(slab: RectangleSlab, grid: Grid, kinds: tuple[PieceKind, ...]) -> CutAreas:
    """Every part is worked out by itself, so that tests can check that they add up to the slab."""
    columns, rows = grid.columns, grid.rows
    left, top, right, bottom = columns.trim_mm, rows.trim_mm, columns.end_mm, rows.end_mm
    far_x, far_y = slab.length_mm - columns.trim_mm, slab.width_mm - rows.trim_mm
    shaved_x, shaved_y = columns.rest_mm - columns.offcut_mm, rows.rest_mm - rows.offcut_mm
    knife = _between_pieces(slab, grid)
    knife += slab.cell_mm2(right, top, right + shaved_x, far_y) + slab.cell_mm2(left, bottom, right, bottom + shaved_y)
    offcut = 0.0
    if columns.offcut_mm:
        offcut += slab.cell_mm2(right + shaved_x, top, far_x, far_y)
    if rows.offcut_mm:
        offcut += slab.cell_mm2(left, bottom + shaved_y, right, far_y)
    trim = (
        slab.cell_mm2(0, 0, left, slab.width_mm)
        + slab.cell_mm2(far_x, 0, slab.length_mm, slab.width_mm)
        + slab.cell_mm2(left, 0, far_x, top)
        + slab.cell_mm2(left, far_y, far_x, slab.width_mm)
    )
    return CutAreas(
        slab_mm2=slab.area_mm2,
        pieces_mm2=sum(kind.count * kind.area_mm2 for kind in kinds),
        knife_mm2=knife,
        trim_mm2=trim,
        offcut_mm2=offcut,
    )


def _between_pieces(slab: RectangleSlab, grid: Grid) -> float:
    """The area lost to the knife between rows (along their full length) and between columns within each row."""
    columns, rows = grid.columns, grid.rows
    if not columns.knife_mm:
        return 0.0
    lost = 0.0
    for j in range(rows.count):
        top = rows.start_mm(j)
        bottom = top + rows.size_mm
        if j:
            lost += slab.cell_mm2(columns.trim_mm, top - rows.knife_mm, columns.end_mm, top)
        for i in range(1, columns.count):
            start = columns.start_mm(i)
            lost += slab.cell_mm2(start - columns.knife_mm, top, start, bottom)
    return lost
