"""How far dough pieces lift the batter that they are set into."""

from collections.abc import Iterable
from dataclasses import dataclass

from domain.notices import Notice
from domain.pieces.counts import Pieces
from domain.tins.geometry import depth_mm, fill_of, volume_ml
from domain.tins.shapes import Tin, walls_of

DOUGH_G_PER_ML = 1.2  # our own assumption if none is given: flour and sugar are denser than water


@dataclass(frozen=True, slots=True, kw_only=True)
class BatterLift:
    """The height of the batter with and without its pieces, and the difference that they make.

    `fill_percent` is the share of the tin's capacity with the pieces, None if the capacity is not known.
    """

    lift_mm: float
    with_pieces_mm: float
    without_pieces_mm: float
    fill_percent: float | None
    notices: tuple[Notice, ...]


def batter_lift(
    tin: Tin, filled_depth_mm: float, pieces: Iterable[Pieces], *, measured_with_pieces: bool = True
) -> BatterLift | None:
    """How far pieces lift the batter of one tin.

    Args:
        tin: one of the tins.
        filled_depth_mm: height of the batter.
        pieces: the pieces in all the tins, which share them evenly.
        measured_with_pieces: whether that height was measured with the pieces in the batter.
    Returns:
        The heights; None for a tin that is known only by its volume, and where the pieces take more than the height
        that was measured.
    Source:
        The volume of a piece is its mass over its density; it displaces as much batter.

    >>> from domain.tins.text import parse_tin
    >>> from domain.pieces.counts import pieces_of
    >>> lift = batter_lift(parse_tin("square 20 cm"), 32.0, [pieces_of(280.0, 280 / 24)])
    >>> round(lift.lift_mm, 1), round(lift.without_pieces_mm, 1)
    (5.8, 26.2)
    """
    walls = walls_of(tin)
    if walls is None:
        return None
    displaced_ml = sum(_volume_ml(each) for each in pieces)
    measured_ml = volume_ml(walls, filled_depth_mm)
    batter_ml = measured_ml - displaced_ml if measured_with_pieces else measured_ml
    if batter_ml <= 0:
        return None
    without = depth_mm(walls, batter_ml) if measured_with_pieces else filled_depth_mm
    with_pieces = filled_depth_mm if measured_with_pieces else depth_mm(walls, batter_ml + displaced_ml)
    percent, notices = fill_of(tin, batter_ml + displaced_ml, with_pieces)
    # If the height was measured with the pieces, the warning about its fill is with the tin.
    own_notices = () if measured_with_pieces else tuple(notice for notice in notices if notice.code == "past_rim")
    return BatterLift(
        lift_mm=with_pieces - without,
        with_pieces_mm=with_pieces,
        without_pieces_mm=without,
        fill_percent=percent,
        notices=own_notices,
    )


def _volume_ml(pieces: Pieces) -> float:
    """The volume of the pieces of one tin."""
    density = pieces.division.g_per_ml if pieces.division is not None else None
    return pieces.count * pieces.grams_each / pieces.tins / (density or DOUGH_G_PER_ML)
