"""Pieces set into a batter: an even pattern of a given count that can be placed with a ruler."""

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Literal, NamedTuple

from domain.cutting.slabs import PolygonSlab, RectangleSlab, RingSlab, RoundSlab, Slab
from domain.errors import OutOfRangeError, Path, broken_limit
from domain.notices import Notice
from domain.pieces.rings import PieceRing, even_rings

MAX_SET = 300  # our own limit, no source: more pieces are sprinkled, not set
UNEVEN = 0.98  # factor on the gap of a pattern that is not the same from both ends; our own choice
LONGEST_CELL = 1.7  # how far from square the space of a piece may be, as a ratio; our own choice
MAX_TRIED = 24  # numbers of rows that are compared, approximately; our own choice
STEPS = 40  # steps of bisection, to well under a micrometre


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceRow:
    """A straight row: its distance from the first side, the place of its first piece, and the distance to the next."""

    count: int
    at_mm: float
    first_mm: float
    pitch_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PiecePattern:
    """Positions of pieces, measured from the left and the top of the tin (of the rectangle that just holds it).

    Rows run `along` the tin's length or width; rings run around its middle. `nearest_mm` is the least distance between
    the middles of two pieces, `wall_mm` the least distance between a middle and a wall.
    """

    slab: Slab
    positions: tuple[tuple[float, float], ...]
    rows: tuple[PieceRow, ...]
    along: Literal["length", "width"] | None
    rings: tuple[PieceRing, ...]
    nearest_mm: float | None
    wall_mm: float
    notices: tuple[Notice, ...]


class _Spread(NamedTuple):
    """One row before it is placed: the number of pieces and their distance, centred along the row."""

    pieces: int
    first_mm: float
    pitch_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rows:
    """Rows across a depth, `margin_mm` from either end. Patterns are compared by `gap_mm`."""

    spreads: list[_Spread]
    margin_mm: float
    nearest_mm: float
    gap_mm: float

    @property
    def worth(self) -> float:
        counts = [row.pieces for row in self.spreads]
        return self.gap_mm if counts == counts[::-1] else self.gap_mm * UNEVEN

    def placed(self, depth_mm: float) -> tuple[PieceRow, ...]:
        pitch = (depth_mm - 2 * self.margin_mm) / max(1, len(self.spreads) - 1)
        return tuple(
            PieceRow(count=row.pieces, at_mm=self.margin_mm + i * pitch, first_mm=row.first_mm, pitch_mm=row.pitch_mm)
            for i, row in enumerate(self.spreads)
        )


def set_pieces(slab: Slab, count: int, ball_mm: float | None = None, *, count_path: Path = ("count",)) -> PiecePattern:
    """An even pattern of pieces in a tin.

    Args:
        slab: the batter seen from above.
        count: number of pieces, at most 300.
        ball_mm: diameter of a piece, to check whether pieces touch.
        count_path: the argument that decides the count, for errors.
    Returns:
        Rows in a rectangle, rings in a round tin (and in a polygon's inner circle). Of the patterns compared, it is
        the one with the widest gap: the least distance between two pieces, or twice that to a wall if it is less.
    Raises:
        OutOfRangeError: there are too many pieces.
    """
    if not 1 <= count <= MAX_SET:
        message, limit = f"1 to {MAX_SET} pieces can be set into one tin.", broken_limit(count, 1, MAX_SET)
        raise OutOfRangeError(message, path=count_path, value=count, limit=limit)
    pattern = _in_rectangle(slab, count) if isinstance(slab, RectangleSlab) else _in_round(slab, count)
    return replace(pattern, notices=(COOK_LAST, *touching(pattern, ball_mm)))


def _in_rectangle(slab: RectangleSlab, count: int) -> PiecePattern:
    along_length = _best_rows(count, slab.length_mm, slab.width_mm)
    along_width = _best_rows(count, slab.width_mm, slab.length_mm)
    turned = along_width.worth > along_length.worth * (1 + 1e-9)
    best, depth_mm = (along_width, slab.length_mm) if turned else (along_length, slab.width_mm)
    rows = best.placed(depth_mm)
    places = [(row.first_mm + i * row.pitch_mm, row.at_mm) for row in rows for i in range(row.count)]
    return PiecePattern(
        slab=slab,
        positions=tuple((across, along) for along, across in places) if turned else tuple(places),
        rows=rows,
        along="width" if turned else "length",
        rings=(),
        nearest_mm=best.nearest_mm if count > 1 else None,
        wall_mm=min(best.margin_mm, *(row.first_mm for row in best.spreads)),
        notices=(),
    )


def _best_rows(count: int, run_mm: float, depth_mm: float) -> _Rows:
    patterns = [
        _judged(spreads, depth_mm)
        for rows in _likely(count, run_mm, depth_mm)
        for counts in dict.fromkeys(_row_counts(count, rows))
        for spreads in _spread(counts, run_mm)
    ]
    return max(patterns, key=lambda rows: rows.worth)


def _likely(count: int, run_mm: float, depth_mm: float) -> range:
    """Numbers of rows that give each piece a space that is not far from square."""
    square = math.sqrt(count * depth_mm / run_mm)
    least, most = math.floor(square / LONGEST_CELL), math.ceil(square * LONGEST_CELL)
    first, last = min(count, max(1, least)), min(count, most)
    return range(first, last + 1, max(1, (last - first) // MAX_TRIED))


def _row_counts(count: int, rows: int) -> Iterator[tuple[int, ...]]:
    """Ways to divide pieces among rows that differ by at most one: spread evenly, and mirrored about the middle."""
    base, extra = divmod(count, rows)
    longer = {(2 * k + 1) * rows // (2 * extra) for k in range(extra)}
    yield tuple(base + (i in longer) for i in range(rows))
    half, pairs = rows // 2, extra // 2
    if extra % 2 and not rows % 2:
        return
    longer = {(2 * k + 1) * half // (2 * pairs) for k in range(pairs)}
    longer |= {rows - 1 - i for i in longer} | ({half} if extra % 2 else set())
    yield tuple(base + (i in longer) for i in range(rows))


def _spread(counts: tuple[int, ...], run_mm: float) -> Iterator[list[_Spread]]:
    """Rows with each spread by itself and, if their counts alternate, with the shorter rows set between the longer."""
    yield [_row(count, run_mm / count, run_mm) for count in counts]
    most = max(counts)
    if len(counts) > 1 and all(abs(count - following) == 1 for count, following in pairwise(counts)):
        yield [_row(count, run_mm / most, run_mm) for count in counts]


def _row(count: int, pitch_mm: float, run_mm: float) -> _Spread:
    return _Spread(count, (run_mm - (count - 1) * pitch_mm) / 2, pitch_mm)


def _judged(rows: list[_Spread], depth_mm: float) -> _Rows:
    """Rows placed across the depth so that the gap to the walls is half the least gap between rows."""
    # There are at most two kinds of rows, so few pairs differ.
    beside = min((_least_shift(*pair) for pair in set(pairwise(rows))), default=0.0)
    beyond = min((_least_shift(*pair) for pair in set(zip(rows, rows[2:], strict=False))), default=math.inf)

    def between(margin: float) -> float:
        if len(rows) == 1:
            return math.inf
        pitch = (depth_mm - 2 * margin) / (len(rows) - 1)
        return min(math.hypot(beside, pitch), math.hypot(beyond, 2 * pitch))

    low, high = 0.0, depth_mm / 2
    for _ in range(STEPS):
        margin = (low + high) / 2
        low, high = (low, margin) if 2 * margin > between(margin) else (margin, high)
    in_row = min((row.pitch_mm for row in rows if row.pieces > 1), default=math.inf)
    nearest = min(in_row, between(high))
    walls = 2 * min(high, *(row.first_mm for row in rows))
    return _Rows(spreads=rows, margin_mm=high, nearest_mm=nearest, gap_mm=min(nearest, walls))


def _least_shift(row: _Spread, other: _Spread) -> float:
    """The least distance between pieces of two rows, measured along the rows."""
    least = math.inf
    for i in range(row.pieces):
        place = row.first_mm + i * row.pitch_mm
        j = min(max(round((place - other.first_mm) / other.pitch_mm), 0), other.pieces - 1)
        least = min(least, abs(place - other.first_mm - j * other.pitch_mm))
    return least


def _in_round(slab: RoundSlab | RingSlab | PolygonSlab, count: int) -> PiecePattern:
    if isinstance(slab, PolygonSlab):
        outer, (left, top, _, _) = slab.across_flats_mm / 2, slab.bounds_mm
    else:
        outer = slab.diameter_mm / 2
        left = top = -outer
    hole = slab.hole_mm / 2 if isinstance(slab, RingSlab) else 0.0
    pattern = even_rings(count, outer, hole)
    return PiecePattern(
        slab=slab,
        rows=(),
        along=None,
        rings=pattern.rings,
        nearest_mm=pattern.nearest_mm,
        wall_mm=pattern.wall_mm,
        notices=(),
        positions=tuple((x - left, y - top) for ring in pattern.rings for x, y in ring.positions()),
    )


def touching(pattern: PiecePattern, ball_mm: float | None) -> tuple[Notice, ...]:
    """The warning that pieces touch.

    Args:
        pattern: places of pieces.
        ball_mm: diameter of a piece, if it is known.
    Returns:
        The warning with the least distance, or nothing.
    """
    if ball_mm is None:
        return ()
    touch = pattern.nearest_mm is not None and pattern.nearest_mm < ball_mm
    if not touch and pattern.wall_mm >= ball_mm / 2:
        return ()
    neighbour, apart_mm = ("each other", pattern.nearest_mm) if touch else ("the wall", 2 * pattern.wall_mm)
    message = f"Pieces of {ball_mm:.0f} mm touch {neighbour}: only {apart_mm:.0f} mm fit. Use fewer or smaller ones."
    return (Notice("pieces_touch", message, (), ball_mm, apart_mm, "mm"),)


COOK_LAST = Notice(
    code="pieces_cook_last",
    message="Dough pieces inside a batter cook last: check the core of one with a probe.",
)
