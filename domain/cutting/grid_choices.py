"""Choosing the grid that a rectangle is divided into, and the alternatives worth offering."""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from domain.cutting import budget as costs
from domain.cutting.budget import CutBudget
from domain.cutting.layouts import MAX_ALTERNATIVES, Alternative, Cutting, Reason, grams_of
from domain.cutting.marks import FITS, Axis, even_axis, sized_axis
from domain.cutting.slabs import RectangleSlab
from domain.cutting.wishes import (
    MAX_PIECES,
    MIN_PIECE_MM,
    CountWish,
    GridWish,
    MassWish,
    SizeWish,
    crumbs,
    keeps_rule,
    too_long,
    too_many,
)
from domain.errors import MismatchError, Path
from domain.notices import Notice

# Our own choices, no source.
POOR_SHAPE = math.log(1.5)  # pieces half as long again as requested: alternatives are offered
RIBBON = math.log(4)  # pieces four times as long as requested are not offered
CORNERS = 2  # a row of more pieces has some that are no corners
MAX_NEIGHBOURS = 2  # named in a warning; the others are alternatives
NEAR_COUNTS = 0.2  # counts up to this share more or fewer are offered
SHAPE_WEIGHT = 0.1  # when a mass is requested: a shape twice as long counts as a mass 7 % off
_RULES = {"nearest": "near", "at_least": "of at least", "at_most": "of at most"}


@dataclass(frozen=True, slots=True, kw_only=True)
class Grid:
    """Columns are counted along the length, rows along the width."""

    columns: Axis
    rows: Axis

    @property
    def pieces(self) -> int:
        """Number of pieces."""
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
        """Area left over, as if the slab had sharp corners."""
        return self.columns.inner_mm * self.rows.inner_mm - self.pieces * self.piece_mm2

    def shape_error(self, aspect: float) -> float:
        """How far the pieces are from a shape: the logarithm of the ratio, 0 if they have that shape."""
        shorter, longer = sorted(self.sizes_mm)
        return abs(math.log(longer / shorter / aspect))


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """The chosen grid, its alternatives and warnings."""

    grid: Grid
    alternatives: tuple[Alternative, ...] = ()
    notices: tuple[Notice, ...] = ()
    error_percent: float | None = None


def choose_grid(
    slab: RectangleSlab, wish: GridWish | CountWish | SizeWish | MassWish, cutting: Cutting, budget: CutBudget
) -> Choice:
    """Choose the grid that fits a wish best.

    Args:
        slab: the slab to divide.
        wish: rows and columns, a count, a size or a mass.
        cutting: trim, knife, mass and limits.
        budget: is charged for every grid that is looked at.
    Returns:
        The grid and up to five others, best first.
    Raises:
        OutOfRangeError: the pieces would be crumbs, or none is whole.
        MismatchError: no grid keeps the limit.
        NeededError: a mass is requested and the slab's mass is not known.
    """
    if cutting.largest_g is not None:
        cutting.slab_grams()
    match wish:
        case GridWish():
            return _by_grid(slab, wish, cutting)
        case CountWish():
            return _by_count(slab, wish, cutting, budget)
        case SizeWish():
            return _by_size(slab, wish, cutting)
        case MassWish():
            return _by_mass(slab, wish, cutting, budget)


def _by_grid(slab: RectangleSlab, wish: GridWish, cutting: Cutting) -> Choice:
    grid = _even(slab, wish.columns, wish.rows, cutting)
    if min(grid.sizes_mm) < MIN_PIECE_MM:
        raise crumbs(min(grid.sizes_mm), wish.argument)
    if path := _broken_limit(grid, slab, cutting):
        raise MismatchError(
            "Pieces of this grid exceed the limit: ask for more rows or columns, or give pieces.",
            path=path,
            code="limit_broken",
        )
    turned = _even(slab, wish.rows, wish.columns, cutting)
    alternatives: tuple[Alternative, ...] = ()
    if wish.rows != wish.columns and _possible(turned, slab, cutting):
        alternatives = (_offer(turned, slab, cutting, "turned", "The same count the other way round"),)
    return Choice(grid=grid, alternatives=alternatives)


def _by_count(slab: RectangleSlab, wish: CountWish, cutting: Cutting, budget: CutBudget) -> Choice:
    grids = _grids_of(wish.portions, slab, cutting, wish.aspect, budget)
    if not grids:
        raise _no_grid_of(wish, slab, cutting, budget)
    best = grids[0]
    offers = [
        _offer(grid, slab, cutting, "other_shape", "The same count in another grid")
        for grid in _unlike(grids)[1:]
        if grid.pieces > 1 and grid.shape_error(wish.aspect) <= RIBBON
    ]
    error = best.shape_error(wish.aspect)
    if error <= POOR_SHAPE:
        return Choice(grid=best, alternatives=tuple(offers[:MAX_ALTERNATIVES]))
    near = _near_counts(slab, wish, cutting, error, budget)
    message = _poor_shape(best, near)
    return Choice(
        grid=best,
        alternatives=(*near, *offers)[:MAX_ALTERNATIVES],
        notices=(Notice("poor_shape", message, wish.argument, math.exp(error), math.exp(POOR_SHAPE)),),
    )


def _poor_shape(grid: Grid, near: Sequence[Alternative]) -> str:
    """What a count makes, and what its neighbours make."""
    length, width = grid.sizes_mm
    message = f"{grid.pieces} make portions of {length:.0f} × {width:.0f} mm, far from the shape wanted"
    if not near:
        return f"{message}."
    better = [f"{each.pieces} make {each.length_mm:.0f} × {each.width_mm:.0f} mm" for each in near[:MAX_NEIGHBOURS]]
    return f"{message}; {', '.join(better)}."


def _near_counts(
    slab: RectangleSlab, wish: CountWish, cutting: Cutting, error: float, budget: CutBudget
) -> tuple[Alternative, ...]:
    """Grids of a few pieces more or fewer, but at least two, whose shape is at most half as far off."""
    reach = max(2, math.floor(wish.portions * NEAR_COUNTS))
    near = []
    for count in range(max(2, wish.portions - reach), min(MAX_PIECES, wish.portions + reach) + 1):
        grids = _grids_of(count, slab, cutting, wish.aspect, budget) if count != wish.portions else []
        if grids and (shape := grids[0].shape_error(wish.aspect)) < error / 2:
            off = abs(math.log(count / wish.portions))
            near.append((shape + off, count, grids[0]))
    near.sort(key=lambda candidate: candidate[:2])
    return tuple(
        _offer(grid, slab, cutting, "near_count", f"{count} instead of {wish.portions} comes nearer the shape")
        for _, count, grid in near[:MAX_ALTERNATIVES]
    )


def _by_size(slab: RectangleSlab, wish: SizeWish, cutting: Cutting) -> Choice:
    straight = _sized(slab, wish.length_mm, wish.width_mm, cutting)
    turned = _sized(slab, wish.width_mm, wish.length_mm, cutting)
    if not straight.pieces and not turned.pieces:
        pieces, sides = (sorted(pair) for pair in ((wish.length_mm, wish.width_mm), (slab.length_mm, slab.width_mm)))
        # The side that lacks most; where both fit, the trim takes what is missing of the other.
        piece_mm, side_mm = max(zip(pieces, sides, strict=True), key=lambda pair: pair[0] - pair[1])
        raise too_long(piece_mm, side_mm - 2 * cutting.trim_mm, wish.argument)
    best, other = (turned, straight) if turned.pieces > straight.pieces else (straight, turned)
    if best.pieces > MAX_PIECES:
        raise too_many(best.pieces, wish.argument)
    if path := _broken_limit(best, slab, cutting):
        raise MismatchError("A piece of this size exceeds the limit.", path=path, code="limit_broken")
    return Choice(grid=best, alternatives=tuple(_near_sizes(slab, best, other, cutting))[:MAX_ALTERNATIVES])


def _near_sizes(slab: RectangleSlab, best: Grid, other: Grid, cutting: Cutting) -> Iterator[Alternative]:
    columns, rows = best.columns.count, best.rows.count
    if best.offcut_mm2 > FITS * slab.area_mm2 and (best.columns.rest_mm or best.rows.rest_mm):
        even = _even(slab, columns, rows, cutting)
        if even.pieces > 1 and _possible(even, slab, cutting):
            yield _offer(even, slab, cutting, "even_grid", "Slightly larger, nothing left over")
        more = [(columns + 1, rows)] * bool(best.columns.rest_mm) + [(columns, rows + 1)] * bool(best.rows.rest_mm)
        grids = [_even(slab, *counts, cutting) for counts in more if counts[0] * counts[1] <= MAX_PIECES]
        for grid in sorted(grids, key=lambda grid: -grid.piece_mm2):
            if _possible(grid, slab, cutting):
                yield _offer(grid, slab, cutting, "more_pieces", "More pieces, smaller, nothing left over")
    if other.pieces and other.sizes_mm != best.sizes_mm:
        less = other.pieces == best.pieces and other.columns.offcut_mm + other.rows.offcut_mm < (
            best.columns.offcut_mm + best.rows.offcut_mm
        )
        yield _offer(other, slab, cutting, "less_offcut" if less else "turned", "The same size turned round")


def _by_mass(slab: RectangleSlab, wish: MassWish, cutting: Cutting, budget: CutBudget) -> Choice:
    wanted_mm2 = wish.portion_g / cutting.slab_grams() * slab.area_mm2
    grids = [
        grid
        for grid in _grids_near(slab, wanted_mm2, cutting, budget)
        if _possible(grid, slab, cutting)
        and (wish.rule == "nearest" or keeps_rule(wish, *_masses(grid, slab, cutting)))
    ]
    if not grids:
        raise MismatchError(
            f"No grid has pieces {_RULES[wish.rule]} {wish.portion_g:g} g that keep the limit and are larger than "
            "crumbs.",
            path=wish.argument,
            code="no_grid",
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
        if grid.pieces > 1 and grid.shape_error(wish.aspect) <= RIBBON
    ]
    return Choice(
        grid=best,
        alternatives=tuple(offers[:MAX_ALTERNATIVES]),
        error_percent=(best.piece_mm2 / wanted_mm2 - 1) * 100,
    )


def _masses(grid: Grid, slab: RectangleSlab, cutting: Cutting) -> tuple[float, float]:
    """The mass of the lightest piece, which is a corner, and an upper bound of the heaviest."""
    left, top = grid.columns.start_mm(0), grid.rows.start_mm(0)
    length, width = grid.sizes_mm
    corner_mm2 = slab.mean_mm2(left, top, left + length, top + width)
    slab_g, whole_mm2 = cutting.slab_grams(), slab.mean_area_mm2
    beyond_corners = max(grid.columns.count, grid.rows.count) > CORNERS
    heaviest_mm2 = grid.piece_mm2 if beyond_corners else corner_mm2
    return slab_g * corner_mm2 / whole_mm2, slab_g * heaviest_mm2 / whole_mm2


def _grids_near(slab: RectangleSlab, wanted_mm2: float, cutting: Cutting, budget: CutBudget) -> Iterator[Grid]:
    """For each number of columns, the two numbers of rows whose pieces come nearest an area."""
    rows_mm = slab.width_mm - 2 * cutting.trim_mm + cutting.knife_mm
    for columns, length in _columns(slab, cutting, budget):
        nearest = math.floor(rows_mm / (wanted_mm2 / length + cutting.knife_mm))
        for rows in (nearest, nearest + 1):
            if rows and columns * rows <= MAX_PIECES:
                budget.spend(costs.GRID)
                yield _even(slab, columns, rows, cutting)


def _columns(slab: RectangleSlab, cutting: Cutting, budget: CutBudget) -> Iterator[tuple[int, float]]:
    """Numbers of columns that are wider than crumbs, and how long a piece is then."""
    for columns in range(1, MAX_PIECES + 1):
        budget.spend(costs.COLUMNS)
        length = even_axis(slab.length_mm, columns, trim_mm=cutting.trim_mm, knife_mm=cutting.knife_mm).size_mm
        if length < MIN_PIECE_MM:
            return
        yield columns, length


def _grids_of(count: int, slab: RectangleSlab, cutting: Cutting, aspect: float, budget: CutBudget) -> list[Grid]:
    """Every possible grid of a count, the best shape first; of two with the same shape, more columns first."""
    pairs = _factor_pairs(count)
    budget.spend(costs.GRID * len(pairs))
    grids = [_even(slab, columns, rows, cutting) for columns, rows in pairs]
    possible = [grid for grid in grids if _possible(grid, slab, cutting)]
    return sorted(possible, key=lambda grid: (round(grid.shape_error(aspect), 9), grid.rows.count))


def _factor_pairs(count: int) -> list[tuple[int, int]]:
    """Every pair of columns and rows that multiply to a count."""
    pairs = [(count // rows, rows) for rows in range(1, math.isqrt(count) + 1) if count % rows == 0]
    return pairs + [(rows, columns) for columns, rows in reversed(pairs) if rows != columns]


def _unlike(grids: Iterable[Grid]) -> list[Grid]:
    """The grids in their order, without those whose pieces have the size of earlier ones, turned or not."""
    by_size: dict[tuple[float, ...], Grid] = {}
    for grid in grids:
        by_size.setdefault(tuple(round(size, 6) for size in sorted(grid.sizes_mm)), grid)
    return list(by_size.values())


def _no_grid_of(wish: CountWish, slab: RectangleSlab, cutting: Cutting, budget: CutBudget) -> MismatchError:
    """The error for a count of which no grid is possible: it names the limit, if that is the reason."""
    grids = [_even(slab, columns, rows, cutting) for columns, rows in _factor_pairs(wish.portions)]
    large = [grid for grid in grids if min(grid.sizes_mm) >= MIN_PIECE_MM]
    if not large:
        detail = f"No grid of {wish.portions} has pieces of at least {MIN_PIECE_MM:g} mm each way."
        return MismatchError(detail, path=wish.argument, code="no_grid")
    limit = _broken_limit(large[0], slab, cutting) or ("longest_side",)
    more = _next_count(wish.portions, slab, cutting, budget)
    if more is None:
        detail = f"No grid keeps the limit with pieces of at least {MIN_PIECE_MM:g} mm each way: raise the limit."
        return MismatchError(detail, path=limit, code="no_grid")
    detail = f"No grid of {wish.portions} keeps the limit; {more} is the next count that does."
    return MismatchError(detail, path=limit, code="limit_broken", candidates=(str(more),))


def _next_count(pieces: int, slab: RectangleSlab, cutting: Cutting, budget: CutBudget) -> int | None:
    """The least count above *pieces* that some grid has within the limit, or None."""
    counts: list[int] = []
    for columns, _ in _columns(slab, cutting, budget):
        rows = max(pieces // columns + 1, _fewest_rows(columns, slab, cutting))
        if columns * rows <= min([MAX_PIECES, *counts]):
            budget.spend(costs.GRID)
            if _possible(_even(slab, columns, rows, cutting), slab, cutting):
                counts.append(columns * rows)
    return min(counts, default=None)


def _fewest_rows(columns: int, slab: RectangleSlab, cutting: Cutting) -> int:
    """The least number of rows that may keep the limit with so many columns."""
    length = even_axis(slab.length_mm, columns, trim_mm=cutting.trim_mm, knife_mm=cutting.knife_mm).size_mm
    widest = math.inf if cutting.longest_side_mm is None else cutting.longest_side_mm
    if cutting.largest_g is not None:
        widest = min(widest, cutting.largest_g / cutting.slab_grams() * slab.area_mm2 / length)
    rows_mm = slab.width_mm - 2 * cutting.trim_mm + cutting.knife_mm
    return max(1, math.ceil(rows_mm / (widest * (1 + FITS) + cutting.knife_mm)))


def _even(slab: RectangleSlab, columns: int, rows: int, cutting: Cutting) -> Grid:
    knife = {"trim_mm": cutting.trim_mm, "knife_mm": cutting.knife_mm}
    return Grid(columns=even_axis(slab.length_mm, columns, **knife), rows=even_axis(slab.width_mm, rows, **knife))


def _sized(slab: RectangleSlab, length: float, width: float, cutting: Cutting) -> Grid:
    knife = {"trim_mm": cutting.trim_mm, "knife_mm": cutting.knife_mm}
    return Grid(columns=sized_axis(slab.length_mm, length, **knife), rows=sized_axis(slab.width_mm, width, **knife))


def _possible(grid: Grid, slab: RectangleSlab, cutting: Cutting) -> bool:
    return min(grid.sizes_mm) >= MIN_PIECE_MM and _broken_limit(grid, slab, cutting) is None


def _broken_limit(grid: Grid, slab: RectangleSlab, cutting: Cutting) -> Path | None:
    return cutting.broken_limit(*grid.sizes_mm, grams_of(cutting, grid.piece_mm2, slab.area_mm2))


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
