"""Cutting a slab: which way of dividing serves which slab and wish."""

from domain.cutting.grid_cuts import cut_rectangle
from domain.cutting.layouts import (
    MIN_PIECE_MM,
    CountWish,
    CutLayout,
    Cutting,
    GridWish,
    MassWish,
    RingsWish,
    SizeWish,
    WedgesWish,
    Wish,
)
from domain.cutting.offset_grids import cut_curved
from domain.cutting.round_cuts import cut_rings, cut_wedges
from domain.cutting.slabs import PolygonSlab, RectangleSlab, RingSlab, RoundSlab, Slab
from domain.errors import MismatchError, NeededError, OutOfRangeError


def cut_slab(slab: Slab, wish: Wish, cutting: Cutting) -> CutLayout:
    """A slab divided as wished.

    Args:
        slab: what came out of the tin, seen from above.
        wish: how many pieces, or of what size or mass. A count or a mass of a round or ring slab means wedges.
        cutting: trim, knife, mass and limits.
    Returns:
        The layout; pieces, knife, trim and offcut add up to the slab.
    Raises:
        MismatchError: this kind of slab cannot be divided so, or a limit is broken.
        OutOfRangeError: too many pieces, too small, or none whole.
        NeededError: masses are asked for and the slab's is not known.

    >>> slab = RectangleSlab(length_mm=200, width_mm=200)
    >>> cut = cut_slab(slab, CountWish(pieces=16), Cutting(slab_g=960))
    >>> cut.rows, cut.columns, cut.count_of("corner"), cut.count_of("edge"), cut.count_of("centre"), cut.piece.grams
    (4, 4, 4, 8, 4, 60.0)
    """
    _refuse_trim(slab, cutting)
    match slab, wish:
        case RectangleSlab(), GridWish() | CountWish() | SizeWish() | MassWish():
            return cut_rectangle(slab, wish, cutting)
        case RoundSlab() | PolygonSlab(), GridWish() | SizeWish():
            return cut_curved(slab, wish, cutting)
        case RoundSlab() | RingSlab(), WedgesWish() | CountWish() | MassWish():
            return cut_wedges(slab, wish, cutting)
        case RoundSlab(), RingsWish():
            return cut_rings(slab, wish, cutting)
    raise MismatchError(
        f"{_NAMES[type(slab)]} slab is cut by {', '.join(_WAYS[type(slab)])}.",
        code="cut-mismatch",
        candidates=_WAYS[type(slab)],
    )


def baked_grams(mix_g: float, bake_loss_percent: float | None) -> float:
    """What a mix weighs once baked and cooled.

    Args:
        mix_g: into the tin.
        bake_loss_percent: of what went in, lost in the oven and in cooling.
    Returns:
        Grams of the slab.
    Raises:
        NeededError: the bake loss is not given.
    """
    if bake_loss_percent is None:
        raise NeededError(
            "Give bake_loss_percent: weigh one slab when it has cooled and compare it with its mix.",
            path=("bake_loss_percent",),
            code="bake-loss-needed",
        )
    return mix_g * (1 - bake_loss_percent / 100)


def _refuse_trim(slab: Slab, cutting: Cutting) -> None:
    match slab:
        case RectangleSlab(length_mm=length, width_mm=width):
            narrowest = min(length, width)
        case RingSlab(diameter_mm=diameter, hole_mm=hole):
            narrowest = (diameter - hole) / 2
        case PolygonSlab(across_flats_mm=across):
            narrowest = across
        case _:
            narrowest = slab.diameter_mm
    if narrowest - 2 * cutting.trim_mm < MIN_PIECE_MM:
        raise OutOfRangeError("The trim leaves nothing to cut.", path=("trim",))


_NAMES = {RectangleSlab: "A rectangular", RoundSlab: "A round", RingSlab: "A ring", PolygonSlab: "A polygonal"}
_WAYS = {
    RectangleSlab: ("rows and columns", "pieces", "piece", "piece_grams"),
    RoundSlab: ("wedges", "rings", "piece", "rows and columns", "pieces", "piece_grams"),
    RingSlab: ("wedges", "pieces", "piece_grams"),
    PolygonSlab: ("piece", "rows and columns"),
}
