"""Which grid a rectangle is divided into, and which others come near."""

import math
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from domain.cutting.layouts import (
    MAX_ALTERNATIVES,
    MAX_PIECES,
    MIN_PIECE_MM,
    Alternative,
    CountWish,
    Cutting,
    GridWish,
    MassWish,
    Reason,
    SizeWish,
    grams_of,
)
from domain.cutting.marks import FITS, Axis, even_axis, sized_axis
from domain.cutting.slabs import RectangleSlab
from domain.errors import MismatchError, NeededError, OutOfRangeError
from domain.notices import Notice

POOR_SHAPE = math.log(1.5)  # half as long again as asked for; our own choice, no source
RIBBON = math.log(4)  # such a shape is not worth offering; our own choice, no source
NEAR_COUNTS = 0.2  # how far, as a share, a count may be off and still be near; our own choice, no source
SHAPE_WEIGHT = 0.25  # a shape twice as long counts as a mass 17 % off; our own choice, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Columns along the length, rows along the width."""

    columns: Axis
    rows: Axis

    @property
    def pieces(self) -> int:
        """How many pieces it has."""
        return self.columns.count * self.rows.count

    @property
    def sizes_mm(self) -> tuple[float, float]:
        """Length and width of a piece."""
        return self.columns.size_mm, self.rows.size_mm

    @property
    def piece_mm2(self) -> float:
        """Area of a piece with sharp corners."""
        return self.columns.size_mm * self.rows.size_mm

    @property
    def offcut_mm2(self) -> float:
        """Area left over, before corners are looked at."""
        return self.columns.inner_mm * self.rows.inner_mm - self.pieces * self.piece_mm2

    def shape_error(self, aspect: float) -> float:
        """How far its pieces are from a shape: the logarithm of the ratio, 0 if they have it."""
        shorter, longer = sorted(self.sizes_mm)
        return abs(math.log(longer / shorter / aspect))


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """The grid taken, the others worth offering, what to know of it."""

    grid: Grid
    alternatives: tuple[Alternative, ...] = ()
    notices: tuple[Notice, ...] = ()
    error_percent: float | None = None


def choose_grid(slab: RectangleSlab, wish: GridWish | CountWish | SizeWish | MassWish, cutting: Cutting) -> Choice:
    """The grid that fits a wish best.

    Args:
        slab: what is divided.
        wish: rows and columns, a count, a size or a mass.
        cutting: trim, knife, mass and limits.
    Returns:
        The grid and up to five others, best first.
    Raises:
        OutOfRangeError: the pieces would be crumbs, or none is whole.
        MismatchError: no grid keeps the limit.
        NeededError: a mass is asked of a slab whose mass is not known.
    """
    if cutting.largest_g is not None and cutting.slab_g is None:
        raise NeededError(_MASS_NEEDED, path=("slab_grams",), code="slab-grams-needed")
    match wish:
        case GridWish():
            return _by_grid(slab, wish, cutting)
        case CountWish():
            return _by_count(slab, wish, cutting)
        case SizeWish():
            return _by_size(slab, wish, cutting)
        case MassWish():
            return _by_mass(slab, wish, cutting)


def _by_grid(slab: RectangleSlab, wish: GridWish, cutting: Cutting) -> Choice:
    grid = _even(slab, wish.columns, wish.rows, cutting)
    _refuse_crumbs(grid, "rows")
    if not _within_limit(grid, slab, cutting):
        raise MismatchError(
            "Pieces of this grid exceed the limit: ask for more rows or columns, or give pieces.",
            path=("limit",),
            code="limit-broken",
        )
    turned = _even(slab, wish.rows, wish.columns, cutting)
    alternatives: tuple[Alternative, ...] = ()
    if wish.rows != wish.columns and _possible(turned, slab, cutting):
        alternatives = (_offer(turned, slab, cutting, "turned", "The same count the other way round"),)
    return Choice(grid=grid, alternatives=alternatives)


def _by_count(slab: RectangleSlab, wish: CountWish, cutting: Cutting) -> Choice:
    grids = _grids_of(wish.pieces, slab, cutting, wish.aspect)
    if not grids:
        raise _no_grid_of(wish, slab, cutting)
    best = grids[0]
    offers = [
        _offer(grid, slab, cutting, "other_shape", "The same count in another grid")
        for grid in _unlike(grids)[1:]
        if grid.shape_error(wish.aspect) <= RIBBON
    ]
    error = best.shape_error(wish.aspect)
    if error <= POOR_SHAPE:
        return Choice(grid=best, alternatives=tuple(offers[:MAX_ALTERNATIVES]))
    near = _near_counts(slab, wish, cutting, error)
    message = f"No grid of {wish.pieces} comes near the shape asked for" + (": see alternatives." if near else ".")
    return Choice(
        grid=best,
        alternatives=(*near, *offers)[:MAX_ALTERNATIVES],
        notices=(Notice(code="poor_shape", message=message, path=("pieces",)),),
    )


def _near_counts(slab: RectangleSlab, wish: CountWish, cutting: Cutting, error: float) -> tuple[Alternative, ...]:
    reach = max(2, math.floor(wish.pieces * NEAR_COUNTS))
    found = []
    for count in range(max(1, wish.pieces - reach), min(MAX_PIECES, wish.pieces + reach) + 1):
        grids = _grids_of(count, slab, cutting, wish.aspect) if count != wish.pieces else []
        if grids and (shape := grids[0].shape_error(wish.aspect)) < error / 2:
            off = abs(math.log(count / wish.pieces))
            found.append((shape + off, count, grids[0]))
    return tuple(
        _offer(grid, slab, cutting, "near_count", f"{count} instead of {wish.pieces} comes nearer the shape")
        for _, count, grid in sorted(found, key=lambda one: one[:2])
    )


def _by_size(slab: RectangleSlab, wish: SizeWish, cutting: Cutting) -> Choice:
    asked = _sized(slab, wish.length_mm, wish.width_mm, cutting)
    turned = _sized(slab, wish.width_mm, wish.length_mm, cutting)
    if not asked.pieces and not turned.pieces:
        raise OutOfRangeError(
            "Not one whole piece of this size fits the slab, trim taken off.", path=("piece",), code="piece-too-large"
        )
    best, other = (turned, asked) if turned.pieces > asked.pieces else (asked, turned)
    if best.pieces > MAX_PIECES:
        raise OutOfRangeError(f"More than {MAX_PIECES:,} pieces.", path=("piece",))
    if not _within_limit(best, slab, cutting):
        raise MismatchError("A piece of this size exceeds the limit.", path=("limit",), code="limit-broken")
    return Choice(grid=best, alternatives=tuple(_near_sizes(slab, best, other, cutting))[:MAX_ALTERNATIVES])


def _near_sizes(slab: RectangleSlab, best: Grid, other: Grid, cutting: Cutting) -> Iterator[Alternative]:
    columns, rows = best.columns.count, best.rows.count
    if best.offcut_mm2 > FITS * slab.area_mm2 and (best.columns.rest_mm or best.rows.rest_mm):
        even = _even(slab, columns, rows, cutting)
        if _possible(even, slab, cutting):
            yield _offer(even, slab, cutting, "even_grid", "Slightly larger, nothing left over")
        more = [(columns + 1, rows)] * bool(best.columns.rest_mm) + [(columns, rows + 1)] * bool(best.rows.rest_mm)
        grids = [_even(slab, *counts, cutting) for counts in more if counts[0] * counts[1] <= MAX_PIECES]
        for grid in sorted(grids, key=lambda one: -one.piece_mm2):
            if _possible(grid, slab, cutting):
                yield _offer(grid, slab, cutting, "more_pieces", "More pieces, smaller, nothing left over")
    if other.pieces and other.sizes_mm != best.sizes_mm:
        less = other.pieces == best.pieces and other.columns.offcut_mm + other.rows.offcut_mm < (
            best.columns.offcut_mm + best.rows.offcut_mm
        )
        yield _offer(other, slab, cutting, "less_offcut" if less else "turned", "The same size turned round")


def _by_mass(slab: RectangleSlab, wish: MassWish, cutting: Cutting) -> Choice:
    if cutting.slab_g is None:
        raise NeededError(_MASS_NEEDED, path=("slab_grams",), code="slab-grams-needed")
    wanted_mm2 = wish.piece_g / cutting.slab_g * slab.area_mm2
    grids = [grid for grid in _grids_near(slab, wanted_mm2, cutting) if _possible(grid, slab, cutting)]
    if not grids:
        raise MismatchError(
            "No grid has pieces near this mass that are neither crumbs nor past the limit.",
            path=("piece_grams",),
            code="no-grid",
        )

    def cost(grid: Grid) -> float:
        return mass_error(grid) + SHAPE_WEIGHT * grid.shape_error(wish.aspect)

    def mass_error(grid: Grid) -> float:
        return abs(math.log(grid.piece_mm2 / wanted_mm2))

    best, *others = sorted(grids, key=lambda grid: (cost(grid), grid.pieces, grid.columns.count))
    nearer = [grid for grid in others if mass_error(grid) < mass_error(best) * (1 - FITS)]
    rest = [grid for grid in others if grid.pieces != best.pieces]
    offers = [
        _offer(
            grid, slab, cutting, "near_mass", f"{(grid.piece_mm2 / wanted_mm2 - 1) * 100:+.1f} % off the mass asked for"
        )
        for grid in _unlike((*nearer[:2], *rest))
        if grid.shape_error(wish.aspect) <= RIBBON
    ]
    return Choice(
        grid=best,
        alternatives=tuple(offers[:MAX_ALTERNATIVES]),
        error_percent=(best.piece_mm2 / wanted_mm2 - 1) * 100,
    )


def _grids_near(slab: RectangleSlab, wanted_mm2: float, cutting: Cutting) -> Iterator[Grid]:
    """For each number of columns the two numbers of rows whose pieces come nearest an area."""
    rows_room = slab.width_mm - 2 * cutting.trim_mm + cutting.knife_mm
    for columns in range(1, MAX_PIECES + 1):
        length = even_axis(slab.length_mm, columns, trim_mm=cutting.trim_mm, knife_mm=cutting.knife_mm).size_mm
        if length < MIN_PIECE_MM:
            return
        nearest = math.floor(rows_room / (wanted_mm2 / length + cutting.knife_mm))
        for rows in (nearest, nearest + 1):
            if rows and columns * rows <= MAX_PIECES:
                yield _even(slab, columns, rows, cutting)


def _grids_of(count: int, slab: RectangleSlab, cutting: Cutting, aspect: float) -> list[Grid]:
    """Every possible grid of a count, the best shape first; of two alike, more columns first."""
    grids = [_even(slab, count // rows, rows, cutting) for rows in range(1, count + 1) if count % rows == 0]
    possible = [grid for grid in grids if _possible(grid, slab, cutting)]
    return sorted(possible, key=lambda grid: (round(grid.shape_error(aspect), 9), grid.rows.count))


def _unlike(grids: Iterable[Grid]) -> list[Grid]:
    """The grids in their order, without those whose pieces are the size of earlier ones, turned or not."""
    found: dict[tuple[float, ...], Grid] = {}
    for grid in grids:
        found.setdefault(tuple(round(size, 6) for size in sorted(grid.sizes_mm)), grid)
    return list(found.values())


def _no_grid_of(wish: CountWish, slab: RectangleSlab, cutting: Cutting) -> MismatchError:
    counts = range(wish.pieces + 1, MAX_PIECES + 1)
    more = next((str(count) for count in counts if _grids_of(count, slab, cutting, wish.aspect)), None)
    if more is None or (cutting.largest_g is None and cutting.longest_side_mm is None):
        detail = f"No grid of {wish.pieces} has pieces of at least {MIN_PIECE_MM:g} mm each way within the limit."
        return MismatchError(detail, path=("pieces",), code="no-grid")
    detail = f"No grid of {wish.pieces} keeps the limit; {more} is the next count that does."
    return MismatchError(detail, path=("limit",), code="limit-broken", candidates=(more,))


def _even(slab: RectangleSlab, columns: int, rows: int, cutting: Cutting) -> Grid:
    knife = {"trim_mm": cutting.trim_mm, "knife_mm": cutting.knife_mm}
    return Grid(columns=even_axis(slab.length_mm, columns, **knife), rows=even_axis(slab.width_mm, rows, **knife))


def _sized(slab: RectangleSlab, length: float, width: float, cutting: Cutting) -> Grid:
    knife = {"trim_mm": cutting.trim_mm, "knife_mm": cutting.knife_mm}
    return Grid(columns=sized_axis(slab.length_mm, length, **knife), rows=sized_axis(slab.width_mm, width, **knife))


def _refuse_crumbs(grid: Grid, field: str) -> None:
    if min(grid.sizes_mm) < MIN_PIECE_MM:
        raise OutOfRangeError(f"Pieces would be under {MIN_PIECE_MM:g} mm: ask for fewer.", path=(field,))


def _possible(grid: Grid, slab: RectangleSlab, cutting: Cutting) -> bool:
    return min(grid.sizes_mm) >= MIN_PIECE_MM and _within_limit(grid, slab, cutting)


def _within_limit(grid: Grid, slab: RectangleSlab, cutting: Cutting) -> bool:
    grams = grams_of(cutting, grid.piece_mm2, slab.area_mm2)
    too_long = cutting.longest_side_mm is not None and max(grid.sizes_mm) > cutting.longest_side_mm * (1 + FITS)
    too_heavy = cutting.largest_g is not None and grams is not None and grams > cutting.largest_g * (1 + FITS)
    return not too_long and not too_heavy


def _offer(grid: Grid, slab: RectangleSlab, cutting: Cutting, reason: Reason, why: str) -> Alternative:
    length, width = grid.sizes_mm
    return Alternative(
        pieces=grid.pieces,
        rows=grid.rows.count,
        columns=grid.columns.count,
        length_mm=length,
        width_mm=width,
        grams=grams_of(cutting, grid.piece_mm2, slab.area_mm2),
        reason=reason,
        message=f"{why}: {grid.columns.count} × {grid.rows.count}, each {length:.0f} × {width:.0f} mm.",
    )


_MASS_NEEDED = "Give slab_grams, or mix_grams and bake_loss_percent: pieces are weighed as a share of the slab."
