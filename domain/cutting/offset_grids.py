"""Grids over discs and polygons, shifted so that as many pieces as possible are whole."""

import math
from bisect import bisect_left
from dataclasses import dataclass, replace

from domain.cutting import budget as costs
from domain.cutting.budget import CutBudget
from domain.cutting.grid_cuts import mean_piece, trim_notice
from domain.cutting.layouts import PLACES, Cell, CutAreas, CutLayout, Cutting, PieceKind, Place, grams_of
from domain.cutting.marks import FITS, CutMarks, Mark
from domain.cutting.slabs import PolygonSlab, RoundSlab
from domain.cutting.wishes import (
    MAX_PIECES,
    MIN_PIECE_MM,
    GridWish,
    SizeWish,
    crumbs,
    too_long,
    too_many,
)
from domain.errors import MismatchError

SHIFTS = 64  # vertical positions tried within one row, besides the symmetrical ones; our own choice
NEARLY = 3e-3  # times the root of a piece's area: a cell that sticks out further is surely not a whole piece
MAX_SHIFTED_ROWS = 2_000  # positions times rows, which bounds the search of many narrow rows; our own choice


@dataclass(frozen=True, slots=True, kw_only=True)
class Lattice:
    """Pieces of one size, one knife width apart in both directions; (x, y) is the top left corner of one piece."""

    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float
    knife_mm: float

    @property
    def across_mm(self) -> float:
        """Distance from one piece to the next along the length."""
        return self.length_mm + self.knife_mm

    @property
    def down_mm(self) -> float:
        """Distance from one piece to the next along the width."""
        return self.width_mm + self.knife_mm


def cut_curved(
    slab: RoundSlab | PolygonSlab, wish: GridWish | SizeWish, cutting: Cutting, budget: CutBudget
) -> CutLayout:
    """Divide a disc or a polygon by a grid.

    Args:
        slab: the slab to divide; its trim is taken off all round first.
        wish: a piece's size, shifted so that as many as possible are whole, or rows and columns over the rectangle
            that just holds the slab.
        cutting: trim, knife, mass and limits.
        budget: is charged for each row of each position tried, and for each piece.
    Returns:
        The layout: `pieces` counts whole ones, parts at the rim count as offcut, and areas are exact. Marks start at
        the left and the top of the rectangle that just holds the whole slab.
    Raises:
        OutOfRangeError: no piece is whole, or there are too many.
        MismatchError: a limit is broken.
    Source:
        Plane geometry; the shift is the best of a search, exact along the length.
    """
    inner = _trimmed(slab, cutting.trim_mm)
    if isinstance(wish, SizeWish):
        # Whatever the layout turns out to be, each whole piece has this size.
        _keep_limit(wish.length_mm, wish.width_mm, slab, cutting)
    lattice, laid = _laid(inner, wish, cutting.knife_mm, budget)
    _keep_limit(lattice.length_mm, lattice.width_mm, slab, cutting)
    slab_mm2, inner_mm2, piece_mm2 = slab.area_mm2, inner.area_mm2, lattice.length_mm * lattice.width_mm
    parts = [area for cell, area in laid if cell.place == "part"]
    whole, parts_mm2 = len(laid) - len(parts), math.fsum(parts)
    if not whole:
        left, top, right, bottom = inner.bounds_mm
        diagonal_mm = math.hypot(lattice.length_mm, lattice.width_mm)
        raise too_long(diagonal_mm, min(right - left, bottom - top), wish.argument)
    if whole > MAX_PIECES:
        raise too_many(whole, wish.argument)
    kinds = _kinds(laid, cutting, slab_mm2)
    marks = _marks(slab, inner, lattice)
    return CutLayout(
        slab=slab,
        layout="grid",
        rows=len({cell.y_mm for cell, _ in laid}),
        columns=len({cell.x_mm for cell, _ in laid}),
        pieces=whole,
        piece=mean_piece(tuple(kind for kind in kinds if kind.place != "part")),
        kinds=kinds,
        shapes=tuple(cell for cell, _ in laid),
        marks=marks,
        cuts_to_make=_cuts(slab, marks, cutting),
        areas=CutAreas(
            slab_mm2=slab_mm2,
            pieces_mm2=whole * piece_mm2,
            offcut_mm2=parts_mm2,
            trim_mm2=slab_mm2 - inner_mm2 if cutting.trim_mm else 0.0,
            knife_mm2=max(0.0, inner_mm2 - whole * piece_mm2 - parts_mm2) if cutting.knife_mm else 0.0,
        ),
        cutting=cutting,
        notices=trim_notice(cutting),
    )


def best_shift(
    slab: RoundSlab | PolygonSlab, length_mm: float, width_mm: float, knife_mm: float, budget: CutBudget
) -> Lattice:
    """The position of a grid at which most pieces are whole.

    Args:
        slab: symmetrical about the vertical through its middle, and convex.
        length_mm: length of a piece.
        width_mm: width of a piece.
        knife_mm: distance between pieces.
        budget: is charged for each row of each position.
    Returns:
        The best position of those tried: the symmetrical heights and `SHIFTS` others. Along the length it is exact.
    """
    lattice = Lattice(x_mm=0.0, y_mm=0.0, length_mm=length_mm, width_mm=width_mm, knife_mm=knife_mm)
    _, top, _, bottom = slab.bounds_mm
    rows = max(1.0, (bottom - top) / lattice.down_mm)
    shifts = max(1, min(SHIFTS, int(MAX_SHIFTED_ROWS / rows)))
    heights = [-width_mm / 2, knife_mm / 2, top, bottom - width_mm]  # a row or a cut in the middle; flush with an end
    heights += [top + lattice.down_mm * i / shifts for i in range(shifts)]
    budget.spend(len(heights) * (costs.POSITION + costs.ROW * rows))
    most, best = 0, lattice
    for height in heights:
        whole, x = _best_along(slab, replace(lattice, y_mm=height))
        if whole > most:
            most, best = whole, replace(lattice, x_mm=x, y_mm=height)
    return best


def _best_along(slab: RoundSlab | PolygonSlab, lattice: Lattice) -> tuple[int, float]:
    """The largest number of whole pieces for one height, and the x that gives it.

    In each row, the left edges of whole pieces lie in a centred stretch of width W. It holds at least
    floor(W / pitch) of them, and one more if the lattice is within (W mod pitch) / 2 of centring a piece (where that
    floor is even) or a cut (where it is odd). So only these two positions, and the ends of the ranges around the
    first, have to be compared.
    """
    pitch, length, width = lattice.across_mm, lattice.length_mm, lattice.width_mm
    tolerance = FITS * pitch
    base = 0
    centred: list[float] = []
    between: list[float] = []
    tops = _row_tops(slab, lattice)
    upper, lower = slab.half_chords_mm(tops), slab.half_chords_mm([y + width for y in tops])
    for half in map(min, upper, lower):
        stretch = 2 * half - length + tolerance
        if stretch < 0:
            continue
        count, rest = divmod(stretch, pitch)
        base += int(count)
        (between if count % 2 else centred).append(rest / 2)
    centred.sort()
    between.sort()
    best, shift = len(centred) + len(between) - bisect_left(between, pitch / 2), 0.0
    if (more := len(between) + len(centred) - bisect_left(centred, pitch / 2)) > best:
        best, shift = more, pitch / 2
    for i, candidate in enumerate(centred):
        if candidate > pitch / 2 or len(centred) - i + len(between) <= best:
            break
        more = len(centred) - i + len(between) - bisect_left(between, pitch / 2 - candidate)
        if more > best:
            best, shift = more, candidate
    return base + best, shift - length / 2


def _row_tops(slab: RoundSlab | PolygonSlab, lattice: Lattice) -> list[float]:
    """The top of every row that lies completely between the slab's top and bottom."""
    _, top, _, bottom = slab.bounds_mm
    y, down, lowest = lattice.y_mm, lattice.down_mm, bottom - lattice.width_mm
    tolerance = FITS * down
    first = math.ceil((top - tolerance - y) / down)
    last = math.floor((bottom + tolerance - lattice.width_mm - y) / down)
    return [min(max(y + j * down, top), lowest) for j in range(first, last + 1)]


def _laid(
    inner: RoundSlab | PolygonSlab, wish: GridWish | SizeWish, knife_mm: float, budget: CutBudget
) -> tuple[Lattice, list[tuple[Cell, float]]]:
    left, top, right, bottom = inner.bounds_mm
    if isinstance(wish, GridWish):
        length = (right - left + knife_mm) / wish.columns - knife_mm
        width = (bottom - top + knife_mm) / wish.rows - knife_mm
        if min(length, width) < MIN_PIECE_MM:
            raise crumbs(min(length, width), wish.argument)
        lattice = Lattice(x_mm=left, y_mm=top, length_mm=length, width_mm=width, knife_mm=knife_mm)
        return lattice, _cells(inner, lattice, budget)
    sizes = dict.fromkeys([(wish.length_mm, wish.width_mm), (wish.width_mm, wish.length_mm)])
    if (count := (right - left) * (bottom - top) / (wish.length_mm * wish.width_mm)) > 2 * MAX_PIECES:
        raise too_many(count, wish.argument)
    shifted = [best_shift(inner, *size, knife_mm, budget) for size in sizes]
    # The more promising lattice is laid out first, so that the other is seldom needed.
    most = [_most_whole(inner, lattice) for lattice in shifted]
    best, whole, laid = shifted[0], -1, list[tuple[Cell, float]]()
    for lattice, promised in sorted(zip(shifted, most, strict=True), key=lambda pair: -pair[1]):
        least = whole + 1 if lattice is not shifted[0] else whole  # if both are as good, the size is not turned
        if promised >= least and _whole(cells := _cells(inner, lattice, budget)) >= least:
            best, whole, laid = lattice, _whole(cells), cells
    return best, laid


def _whole(laid: list[tuple[Cell, float]]) -> int:
    return sum(cell.place != "part" for cell, _ in laid)


def _most_whole(slab: RoundSlab | PolygonSlab, lattice: Lattice) -> int:
    """An upper bound of the whole cells: it includes cells that stick out a little."""
    _, top, _, bottom = slab.bounds_mm
    length, width = lattice.length_mm, lattice.width_mm
    slack = NEARLY * math.sqrt(length * width)
    most = 0
    for j in _indexes(lattice.y_mm, lattice.down_mm, width, top, bottom):
        y = lattice.y_mm + j * lattice.down_mm
        if top - slack <= y and y + width <= bottom + slack:
            reach = slab.whole_mm(max(y, top), min(y + width, bottom)) + slack
            first = math.ceil((-reach - lattice.x_mm) / lattice.across_mm)
            last = math.floor((reach - length - lattice.x_mm) / lattice.across_mm)
            most += max(0, last - first + 1)
    return most


def _cells(slab: RoundSlab | PolygonSlab, lattice: Lattice, budget: CutBudget) -> list[tuple[Cell, float]]:
    """Every cell that shares more than a crumb with the slab, and the area it shares, row by row."""
    left, top, right, bottom = slab.bounds_mm
    length, width = lattice.length_mm, lattice.width_mm
    crumb, cells = FITS * length * width, []
    columns = _indexes(lattice.x_mm, lattice.across_mm, length, left, right)
    starts = [lattice.x_mm + i * lattice.across_mm for i in columns]
    stretches = [(x, x + length) for x in starts]
    for j in _indexes(lattice.y_mm, lattice.down_mm, width, top, bottom):
        y = lattice.y_mm + j * lattice.down_mm
        reach = slab.whole_mm(y, y + width)
        whole = max(0, min(len(starts), int((2 * reach - length) / lattice.across_mm)))
        budget.spend(costs.CELL * len(starts) + slab.part_cost * (len(starts) - whole))
        for x, area in zip(starts, slab.row_mm2(y, y + width, stretches), strict=True):
            if area > crumb:
                place = _place(slab, x, y, lattice) if area >= length * width - crumb else "part"
                cells.append((Cell(x_mm=x, y_mm=y, length_mm=length, width_mm=width, place=place), area))
    return cells


def _place(slab: RoundSlab | PolygonSlab, x: float, y: float, lattice: Lattice) -> Place:
    """The place of a whole piece: edge or corner if it lies along a flat side of the slab, else centre."""
    if isinstance(slab, RoundSlab):
        return "centre"
    left, top, right, bottom = slab.bounds_mm
    near = FITS * slab.across_flats_mm
    level = bottom - y - lattice.width_mm < near or (slab.sides % 2 == 0 and y - top < near)
    upright = slab.sides % 4 == 0 and (x - left < near or right - x - lattice.length_mm < near)
    return "corner" if level and upright else "edge" if level or upright else "centre"


def _indexes(origin: float, pitch: float, size: float, low: float, high: float) -> range:
    return range(math.floor((low - origin - size) / pitch) + 1, math.ceil((high - origin) / pitch))


def _kinds(laid: list[tuple[Cell, float]], cutting: Cutting, slab_mm2: float) -> tuple[PieceKind, ...]:
    kinds = []
    for place in PLACES:
        areas = [area for cell, area in laid if cell.place == place]
        if areas:
            cell, mean = laid[0][0], math.fsum(areas) / len(areas)
            kinds.append(
                PieceKind(
                    place=place,
                    count=len(areas),
                    length_mm=cell.length_mm,
                    width_mm=cell.width_mm,
                    area_mm2=mean,
                    grams=grams_of(cutting, mean, slab_mm2),
                )
            )
    return tuple(kinds)


def _marks(slab: RoundSlab | PolygonSlab, inner: RoundSlab | PolygonSlab, lattice: Lattice) -> CutMarks:
    left, top, right, bottom = inner.bounds_mm
    start_x, start_y = slab.bounds_mm[:2]
    knife = lattice.knife_mm
    return CutMarks(
        length=_between(lattice.x_mm - knife / 2, lattice.across_mm, left, right, start_x),
        width=_between(lattice.y_mm - knife / 2, lattice.down_mm, top, bottom, start_y),
    )


def _between(origin: float, pitch: float, low: float, high: float, start: float) -> tuple[Mark, ...]:
    """The cuts inside the slab, measured from the edge of the rectangle that holds it."""
    tolerance = FITS * (high - low)
    places = [origin + i * pitch for i in _indexes(origin, pitch, 0.0, low, high)]
    return tuple(Mark(mm=place - start) for place in places if low + tolerance < place < high - tolerance)


def _cuts(slab: RoundSlab | PolygonSlab, marks: CutMarks, cutting: Cutting) -> int:
    trims = 0 if not cutting.trim_mm else 1 if isinstance(slab, RoundSlab) else slab.sides
    return len(marks.length) + len(marks.width) + trims


def _trimmed(slab: RoundSlab | PolygonSlab, trim_mm: float) -> RoundSlab | PolygonSlab:
    if isinstance(slab, RoundSlab):
        return replace(slab, diameter_mm=slab.diameter_mm - 2 * trim_mm)
    return replace(slab, trim_mm=trim_mm)


def _keep_limit(length_mm: float, width_mm: float, slab: RoundSlab | PolygonSlab, cutting: Cutting) -> None:
    if cutting.largest_g is not None:
        cutting.slab_grams()
    grams = grams_of(cutting, length_mm * width_mm, slab.area_mm2)
    if path := cutting.broken_limit(length_mm, width_mm, grams):
        raise MismatchError("A piece of this size exceeds the limit.", path=path, code="limit_broken")
