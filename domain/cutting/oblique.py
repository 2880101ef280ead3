"""Rectangles divided by slanting cuts: triangles, which are halves of a grid's pieces, and diamonds."""

import math
from collections import defaultdict
from collections.abc import Callable, Sequence
from dataclasses import replace

from domain.cutting import budget as costs
from domain.cutting.budget import CutBudget
from domain.cutting.grid_cuts import cut_rectangle, mean_piece, trim_notice
from domain.cutting.layouts import Cell, CutAreas, CutLayout, Cutting, Facet, PieceKind, Place, grams_of
from domain.cutting.marks import Axis, CutMarks, ObliqueMark, even_axis
from domain.cutting.plane import Point, clip, polygon_area, rectangle
from domain.cutting.slabs import RectangleSlab
from domain.cutting.wishes import (
    MAX_PIECES,
    MIN_PIECE_MM,
    CountWish,
    GridWish,
    MassWish,
    SizeWish,
    check_count,
    crumbs,
    keeps_rule,
)
from domain.errors import MismatchError

DIAMOND_DEGREES = 60.0  # the sharper angle of a diamond: common practice
SLANT = math.radians(DIAMOND_DEGREES)
SHIFTS = 8  # positions of the slanting cuts that are compared; our own choice
REACH = 1.6  # numbers of strips up to this ratio from the even share of the slab are compared; our own choice
CRUMB = 1e-9  # relative: a smaller part is none
Wish = GridWish | CountWish | SizeWish | MassWish


def cut_triangles(slab: RectangleSlab, wish: Wish, cutting: Cutting, budget: CutBudget) -> CutLayout:
    """Divide a rectangle into a grid, and each of its pieces from corner to corner.

    Args:
        slab: the slab to divide.
        wish: a number of triangles, which is even, or their mass; or the grid, or the size of its pieces.
        cutting: trim, knife, mass and limits.
        budget: is charged for the grid and each triangle.
    Returns:
        The layout. A triangle has the place of its piece of the grid; rows and columns are those of the grid.
    Raises:
        MismatchError: an odd number.
        OutOfRangeError, MismatchError, NeededError: see `choose_grid`.
    Source:
        Plane geometry.
    """
    grid_cutting = replace(
        cutting, figure="rectangle", largest_g=None if cutting.largest_g is None else 2 * cutting.largest_g
    )
    grid = cut_rectangle(slab, _pairs(wish), grid_cutting, budget)
    budget.spend(costs.CELL * 2 * grid.pieces)
    check_count(2 * grid.pieces, wish.argument)
    cells = [shape for shape in grid.shapes if isinstance(shape, Cell)]
    facets = [facet for cell in cells for facet in _halves(cell, cutting.knife_mm)]
    length, width = cells[0].length_mm, cells[0].width_mm
    lines = [
        ObliqueMark(from_x_mm=cell.x_mm, from_y_mm=cell.y_mm, to_x_mm=cell.x_mm + length, to_y_mm=cell.y_mm + width)
        for cell in cells
    ]
    # The diagonals of pieces that touch at a corner are one cut.
    diagonals = (grid.rows or 1) + (grid.columns or 1) - 1
    layout = replace(
        grid,
        figure="triangle",
        marks=replace(grid.marks, oblique=tuple(lines)),
        cuts_to_make=grid.cuts_to_make + diagonals,
        cutting=cutting,
        error_percent=None,
        alternatives=(),
        notices=trim_notice(cutting),
    )
    budget.spend(costs.SLOPING_FACET * sum(slab.lean_under(facet.points) for facet in facets))
    return _weighed(layout, slab, facets, (length, width), wish)


def cut_diamonds(slab: RectangleSlab, wish: Wish, cutting: Cutting, budget: CutBudget) -> CutLayout:
    """Divide a rectangle into strips, and these by slanting cuts into diamonds.

    Args:
        slab: the slab to divide.
        wish: about how many whole diamonds, or the mass of one.
        cutting: trim, knife, mass and limits.
        budget: is charged for each strip and each diamond.
    Returns:
        The layout; parts at the ends of the strips are part pieces. A diamond's length is its side, and its width the
        height of its strip. Its sharper angle is 60°.
    Raises:
        MismatchError: another wish, or no diamonds keep the limit.
        OutOfRangeError: the diamonds would be crumbs.
        NeededError: a mass is requested and the slab's mass is not known.
    Source:
        Plane geometry.
    """
    if not isinstance(wish, CountWish | MassWish):
        raise MismatchError(
            "Diamonds are cut by `portions` or `portion_grams`.",
            path=wish.argument,
            code="cut_mismatch",
            candidates=("portions", "portion_grams"),
        )
    axis = _strips(slab, wish, cutting, budget)
    budget.spend(costs.CELL * 4 * _whole_from(slab, axis, axis.trim_mm) + SHIFTS * costs.ROW * axis.count)
    facets, starts = _diamonds(slab, axis)
    side, height = axis.size_mm / math.sin(SLANT), axis.size_mm
    layout = CutLayout(
        slab=slab,
        layout="grid",
        figure="diamond",
        rows=axis.count,
        columns=None,
        pieces=0,
        piece=PieceKind(place="centre", count=0, length_mm=side, width_mm=height, area_mm2=0.0, grams=None),
        kinds=(),
        shapes=(),
        marks=CutMarks(width=axis.marks(), oblique=tuple(_slanting(slab, axis, start) for start in starts)),
        cuts_to_make=len(axis.marks()) + len(starts) + (2 if cutting.trim_mm else 0),
        areas=CutAreas(slab_mm2=slab.area_mm2, pieces_mm2=0.0, knife_mm2=0.0, trim_mm2=0.0, offcut_mm2=0.0),
        cutting=cutting,
        notices=trim_notice(cutting),
    )
    budget.spend(costs.SLOPING_FACET * sum(slab.lean_under(facet.points) for facet in facets))
    return _weighed(layout, slab, facets, (side, height), wish)


def _pairs(wish: Wish) -> Wish:
    """The wish for the pieces of the grid, of which each makes two triangles."""
    match wish:
        case CountWish(portions=portions) if portions % 2:
            raise MismatchError(
                f"Triangles come in pairs: ask for {portions - 1 or 2} or {portions + 1}.",
                path=wish.argument,
                code="cut_mismatch",
                candidates=(str(portions - 1 or 2), str(portions + 1)),
            )
        case CountWish(portions=portions):
            return replace(wish, portions=portions // 2)
        case MassWish(portion_g=portion_g):
            return replace(wish, portion_g=2 * portion_g)
    return wish


def _halves(cell: Cell, knife_mm: float) -> list[Facet]:
    """The two triangles of a cell beside the cut from its top left to its bottom right."""
    length, width = cell.length_mm, cell.width_mm
    # Half the knife's width is taken off the long side: the triangle stays similar, and its height shrinks by that.
    height = length * width / math.hypot(length, width)
    share = 1 - knife_mm / 2 / height
    if min(length, width) * share < MIN_PIECE_MM:
        raise crumbs(min(length, width) * share, ("portion_shape",))
    left, top, right, bottom = cell.x_mm, cell.y_mm, cell.x_mm + length, cell.y_mm + width
    run, fall = length * share, width * share
    return [
        Facet(points=((right - run, top), (right, top), (right, top + fall)), place=cell.place),
        Facet(points=((left, bottom - fall), (left + run, bottom), (left, bottom)), place=cell.place),
    ]


def _strips(slab: RectangleSlab, wish: CountWish | MassWish, cutting: Cutting, budget: CutBudget) -> Axis:
    """The number of strips whose diamonds come nearest the wish."""
    candidates = list[tuple[float, int, Axis]]()
    for count in _likely(slab, wish, cutting):
        budget.spend(costs.GRID + costs.ROW * count)
        axis = even_axis(slab.width_mm, count, trim_mm=cutting.trim_mm, knife_mm=cutting.knife_mm)
        if axis.size_mm < MIN_PIECE_MM:
            break
        side = axis.size_mm / math.sin(SLANT)
        whole, area = _whole_from(slab, axis, axis.trim_mm), side * axis.size_mm
        grams = grams_of(cutting, area, slab.mean_area_mm2)
        if not whole or whole > MAX_PIECES or cutting.broken_limit(side, axis.size_mm, grams):
            continue
        if isinstance(wish, CountWish):
            candidates.append((abs(math.log(whole / wish.portions)), -whole, axis))
            continue
        wanted = wish.portion_g / cutting.slab_grams() * slab.mean_area_mm2
        if keeps_rule(wish, area / wanted * wish.portion_g, area / wanted * wish.portion_g):
            candidates.append((abs(math.log(area / wanted)), -whole, axis))
    if not candidates:
        raise MismatchError(
            "No whole diamonds come out of this slab that keep the wish and the limit.",
            path=wish.argument,
            code="no_grid",
        )
    return min(candidates, key=lambda candidate: candidate[:2])[2]


def _likely(slab: RectangleSlab, wish: CountWish | MassWish, cutting: Cutting) -> range:
    """Numbers of strips whose diamonds come near the wish; parts at the ends make fewer whole ones than their area."""
    share = 1 / wish.portions if isinstance(wish, CountWish) else wish.portion_g / cutting.slab_grams()
    height = math.sqrt(share * slab.area_mm2 * math.sin(SLANT))
    middle = slab.width_mm / height
    return range(max(1, math.floor(middle / REACH)), min(MAX_PIECES, math.ceil(middle * REACH) + 1) + 1)


def _pitch_mm(axis: Axis) -> float:
    """The distance along a strip from one slanting cut to the next."""
    return (axis.size_mm + axis.knife_mm) / math.sin(SLANT)


def _starts(axis: Axis) -> list[float]:
    return [axis.trim_mm + i / SHIFTS * _pitch_mm(axis) for i in range(SHIFTS)]


def _whole_from(slab: RectangleSlab, axis: Axis, start: float) -> int:
    """Whole diamonds if a slanting cut meets the upper side of the first strip at a place."""
    pitch, half = _pitch_mm(axis), axis.knife_mm / 2 / math.sin(SLANT)
    lean = axis.size_mm / math.tan(SLANT)
    whole = 0
    for row in range(axis.count):
        top = start + row * axis.pitch_mm / math.tan(SLANT)
        first = math.ceil((axis.trim_mm - half - top) / pitch - CRUMB)
        last = math.floor((slab.length_mm - axis.trim_mm + half - lean - top) / pitch + CRUMB)
        whole += max(0, last - first)
    return whole


def _diamonds(slab: RectangleSlab, axis: Axis) -> tuple[list[Facet], list[float]]:
    """Every diamond and part, strip by strip, and where each slanting cut meets the upper side of the first strip."""
    start = max(_starts(axis), key=lambda place: _whole_from(slab, axis, place))
    pitch, half, slope = _pitch_mm(axis), axis.knife_mm / 2 / math.sin(SLANT), 1 / math.tan(SLANT)
    left, right = axis.trim_mm, slab.length_mm - axis.trim_mm
    depth = axis.end_mm - axis.trim_mm
    first, last = math.floor((left - depth * slope - start) / pitch), math.ceil((right - start) / pitch)
    facets = list[Facet]()
    for row in range(axis.count):
        top, bottom = axis.start_mm(row), axis.start_mm(row) + axis.size_mm
        window = rectangle(left, top, right, bottom)
        for i in range(first, last + 1):
            upper = start + i * pitch + (top - axis.trim_mm) * slope
            lower = upper + axis.size_mm * slope
            corners = (
                (upper + half, top),
                (upper + pitch - half, top),
                (lower + pitch - half, bottom),
                (lower + half, bottom),
            )
            shared = clip(corners, window)
            whole_mm2 = polygon_area(corners)
            if not shared or polygon_area(shared) <= CRUMB * whole_mm2:
                continue
            is_whole = polygon_area(shared) >= whole_mm2 * (1 - CRUMB)
            at_end = row in {0, axis.count - 1}
            place: Place = "part" if not is_whole else "edge" if at_end else "centre"
            facets.append(Facet(points=tuple(shared), place=place))
    places = [start + i * pitch for i in range(first, last + 1)]
    return facets, [place for place in places if left < place + depth * slope and place < right]


def _slanting(slab: RectangleSlab, axis: Axis, start: float) -> ObliqueMark:
    """One slanting cut, from where it enters the trimmed slab to where it leaves it."""
    slope, left, right = 1 / math.tan(SLANT), axis.trim_mm, slab.length_mm - axis.trim_mm
    top, bottom = axis.trim_mm, axis.end_mm

    def height(x: float) -> float:
        return top + (x - start) / slope

    upper, lower = max(top, height(left)), min(bottom, height(right))
    return ObliqueMark(
        from_x_mm=start + (upper - top) * slope,
        from_y_mm=upper,
        to_x_mm=start + (lower - top) * slope,
        to_y_mm=lower,
    )


def _weighed(
    layout: CutLayout, slab: RectangleSlab, facets: list[Facet], size: tuple[float, float], wish: Wish
) -> CutLayout:
    """The layout with its facets, and the area and mass of each kind and of what is lost."""
    faces = [slab.facet_mm2(facet.points) for facet in facets]
    means = [slab.facet_mean_mm2(facet.points) for facet in facets] if slab.slopes else faces
    means_of = _by_place(facets, means)
    whole_mm2, weighed = slab.mean_area_mm2, list[PieceKind]()
    for place, areas in _by_place(facets, faces).items():
        masses = [grams_of(layout.cutting, area, whole_mm2) for area in means_of[place]]
        known_g = [grams for grams in masses if grams is not None]
        weighed.append(
            PieceKind(
                place=place,
                count=len(areas),
                length_mm=size[0],
                width_mm=size[1],
                area_mm2=math.fsum(areas) / len(areas),
                grams=math.fsum(known_g) / len(known_g) if known_g else None,
                grams_low=min(known_g) if known_g and slab.slopes else None,
                grams_high=max(known_g) if known_g and slab.slopes else None,
            )
        )
    whole = [kind for kind in weighed if kind.place != "part"]
    piece = mean_piece(whole)
    error = None
    if isinstance(wish, MassWish) and piece.grams is not None:
        error = (piece.grams / wish.portion_g - 1) * 100
    return replace(
        layout,
        pieces=piece.count,
        piece=piece,
        kinds=tuple(weighed),
        shapes=tuple(facets),
        areas=_areas(slab, layout.cutting.trim_mm, facets, faces, slab.facet_mm2),
        mean_areas=_areas(slab, layout.cutting.trim_mm, facets, means, slab.facet_mean_mm2) if slab.slopes else None,
        error_percent=error,
    )


def _by_place(facets: Sequence[Facet], areas: Sequence[float]) -> dict[Place, list[float]]:
    by_place = defaultdict[Place, list[float]](list)
    for facet, area in zip(facets, areas, strict=True):
        by_place[facet.place].append(area)
    return dict(by_place)


def _areas(
    slab: RectangleSlab,
    trim_mm: float,
    facets: Sequence[Facet],
    areas: Sequence[float],
    measure: Callable[[tuple[Point, ...]], float],
) -> CutAreas:
    """How the slab is used, by the area of each facet and the measure that gave it."""
    inner = rectangle(trim_mm, trim_mm, slab.length_mm - trim_mm, slab.width_mm - trim_mm)
    whole_mm2, inner_mm2 = measure(rectangle(0.0, 0.0, slab.length_mm, slab.width_mm)), measure(inner)
    pieces = math.fsum(area for facet, area in zip(facets, areas, strict=True) if facet.place != "part")
    parts = math.fsum(area for facet, area in zip(facets, areas, strict=True) if facet.place == "part")
    return CutAreas(
        slab_mm2=whole_mm2,
        pieces_mm2=pieces,
        knife_mm2=max(0.0, inner_mm2 - pieces - parts),
        trim_mm2=whole_mm2 - inner_mm2,
        offcut_mm2=parts,
    )
