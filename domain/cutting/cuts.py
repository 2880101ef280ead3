"""Cutting a slab: the way of dividing that each kind of slab and wish needs."""

from dataclasses import replace

from domain.cutting import budget as costs
from domain.cutting.budget import CutBudget
from domain.cutting.grid_cuts import cut_rectangle
from domain.cutting.layouts import CutLayout, Cutting
from domain.cutting.marks import FITS
from domain.cutting.oblique import cut_diamonds, cut_triangles
from domain.cutting.offset_grids import cut_curved
from domain.cutting.round_cuts import cut_rings, cut_wedges
from domain.cutting.slabs import PolygonSlab, RectangleSlab, RingSlab, RoundSlab, Slab
from domain.cutting.sloping_rounds import weighed_by_place
from domain.cutting.wishes import MIN_PIECE_MM, CountWish, GridWish, MassWish, RingsWish, SizeWish, WedgesWish, Wish
from domain.errors import MismatchError, NeededError, OutOfRangeError
from domain.notices import Notice

REFERENCE_G = 1_000.0  # any mass, for a share that does not depend on it


def cut_slab(slab: Slab, wish: Wish, cutting: Cutting, budget: CutBudget | None = None) -> CutLayout:
    """Divide a slab.

    Errors name the argument of the wish (`rows`, `portions`, `portion_size`, `portion_grams`, `wedges`, `rings`), of
    the cutting (`trim`, `slab_grams`) or the limit that they are about.

    Args:
        slab: what comes out of the tin, seen from above.
        wish: how many pieces, or their size or mass. A count or a mass of a round or ring-shaped slab means wedges.
        cutting: trim, knife, mass and limits.
        budget: is charged for the work; a new budget if it is left out.
    Returns:
        The layout; pieces, knife, trim and offcut add up to the slab.
    Raises:
        MismatchError: this kind of slab cannot be divided like this, or a limit is broken.
        OutOfRangeError: the pieces are too many or too small, none is whole, or the budget is used up.
        NeededError: masses are requested and the slab's mass is not known.

    >>> slab = RectangleSlab(length_mm=200, width_mm=200)
    >>> cut = cut_slab(slab, CountWish(portions=16), Cutting(slab_g=960))
    >>> cut.rows, cut.columns, cut.count_of("corner"), cut.count_of("edge"), cut.count_of("centre"), cut.piece.grams
    (4, 4, 4, 8, 4, 60.0)
    """
    budget = budget or CutBudget()
    budget.spend(costs.LAYOUT)
    _refuse_narrow(slab, cutting)
    if cutting.figure != "rectangle" and not isinstance(slab, RectangleSlab):
        raise MismatchError(
            f"A rectangular slab is cut into {cutting.figure}s, and no other.",
            path=("portion_shape",),
            code="cut_mismatch",
        )
    match slab, wish:
        case RectangleSlab(), GridWish() | CountWish() | SizeWish() | MassWish():
            layout = _CUTS[cutting.figure](slab, wish, cutting, budget)
        case RoundSlab() | PolygonSlab(), GridWish() | SizeWish():
            layout = cut_curved(slab, wish, cutting, budget)
        case RoundSlab() | RingSlab(), WedgesWish() | CountWish() | MassWish():
            layout = cut_wedges(slab, wish, cutting, budget)
        case RoundSlab(), RingsWish():
            layout = cut_rings(slab, wish, cutting, budget)
        case _:
            raise MismatchError(
                f"{_NAMES[type(slab)]} slab is cut by {', '.join(_WAYS[type(slab)])}.",
                path=wish.argument,
                code="cut_mismatch",
                candidates=_WAYS[type(slab)],
            )
    if isinstance(slab, RoundSlab):
        layout = weighed_by_place(layout, slab, budget)
    if not isinstance(wish, MassWish):
        return layout
    return replace(layout, rule=wish.rule, notices=(*layout.notices, *_short(wish, layout)))


def kept_share(slab: Slab, wish: Wish, cutting: Cutting, budget: CutBudget) -> float:
    """The share of a slab's mass that its whole pieces have, whatever it weighs.

    Args:
        slab: as for `cut_slab`.
        wish: as for `cut_slab`. Pieces of a mass have a share only once the slab's mass is known.
        cutting: trim and knife; its mass and limits are not used.
        budget: is charged for the work.
    Returns:
        Above 0 and at most 1: the rest is trim, knife cuts, parts of pieces and offcut.
    Raises:
        MismatchError, OutOfRangeError, NeededError: as `cut_slab`.
    """
    plain = replace(cutting, slab_g=REFERENCE_G, largest_g=None, longest_side_mm=None)
    layout = cut_slab(slab, wish, plain, budget)
    return min(1.0, layout.pieces * (layout.piece.grams or 0.0) / REFERENCE_G)


def _short(wish: MassWish, layout: CutLayout) -> tuple[Notice, ...]:
    """The warning that portions are short of the mass wished."""
    lightest_g = layout.lightest_g
    if lightest_g is None or lightest_g >= wish.portion_g * (1 - FITS):
        return ()
    message = (
        f"The lightest portion weighs {lightest_g:.1f} g, short of the {wish.portion_g:g} g wished. If they are sold "
        "by weight, ask for at_least."
    )
    return (Notice("portions_short", message, wish.argument, lightest_g, wish.portion_g, "g"),)


def charge_drawing(layout: CutLayout, budget: CutBudget) -> None:
    """Charge the work of drawing a layout, before it is drawn.

    Args:
        layout: the layout to draw.
        budget: is charged.
    Raises:
        OutOfRangeError: the budget is used up.
    """
    each = costs.DRAWN_PIECE
    if layout.layout != "grid":
        each = costs.DRAWN_WEDGE + (costs.DRAWN_KNIFE if layout.cutting.knife_mm else 0.0)
    marks = layout.marks
    # Each circle between rings crosses both rulers twice.
    on_rulers = len(marks.length) + len(marks.width) + 4 * len(marks.radius)
    budget.spend(costs.DRAWING + each * len(layout.shapes) + costs.DRAWN_MARK * on_rulers)


def baked_grams(mix_g: float, bake_loss_percent: float | None) -> float:
    """The mass of a slab, from the mass of its mix.

    Args:
        mix_g: mass of the mix in the tin.
        bake_loss_percent: mass lost in the oven and in cooling, percent of the mix.
    Returns:
        Grams of the cooled slab.
    Raises:
        NeededError: the bake loss is not given.
    """
    if bake_loss_percent is None:
        raise NeededError(
            "Give bake_loss_percent: weigh one slab when it has cooled and compare it with the mass of its mix.",
            path=("bake_loss_percent",),
            code="bake_loss_needed",
        )
    return mix_g * (1 - bake_loss_percent / 100)


def _refuse_narrow(slab: Slab, cutting: Cutting) -> None:
    match slab:
        case RectangleSlab(length_mm=length, width_mm=width):
            narrowest = min(length, width)
        case RingSlab(diameter_mm=diameter, hole_mm=hole):
            narrowest = (diameter - hole) / 2
        case PolygonSlab(across_flats_mm=across):
            narrowest = across
        case _:
            narrowest = slab.diameter_mm
    if narrowest < MIN_PIECE_MM:
        message = f"The slab is under {MIN_PIECE_MM:g} mm wide: there is nothing to cut."
        raise OutOfRangeError(message, value=narrowest, limit=MIN_PIECE_MM, unit="mm")
    if narrowest - 2 * cutting.trim_mm < MIN_PIECE_MM:
        most = max(0.0, (narrowest - MIN_PIECE_MM) / 2)
        message = f"A trim of {cutting.trim_mm:g} mm on each side leaves nothing to cut of {narrowest:g} mm."
        raise OutOfRangeError(message, path=("trim",), value=cutting.trim_mm, limit=most, unit="mm")


_CUTS = {"rectangle": cut_rectangle, "triangle": cut_triangles, "diamond": cut_diamonds}
_NAMES = {RectangleSlab: "A rectangular", RoundSlab: "A round", RingSlab: "A ring", PolygonSlab: "A polygonal"}
_WAYS = {
    RectangleSlab: ("rows and columns", "portions", "portion_size", "portion_grams"),
    RoundSlab: ("wedges", "rings", "portion_size", "rows and columns", "portions", "portion_grams"),
    RingSlab: ("wedges", "portions", "portion_grams"),
    PolygonSlab: ("portion_size", "rows and columns"),
}
