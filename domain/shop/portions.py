"""What a target is sold as: the number of its portions, and the mass of one."""

from dataclasses import dataclass

from domain.formulas.rescaling import Rescaled
from domain.tins.shapes import CavitiesTin


@dataclass(frozen=True, slots=True, kw_only=True)
class SoldPortions:
    """The portions of all tins of a target. `grams_each` is None if the mass after the oven is not known."""

    count: int
    grams_each: float | None


def portions_sold(
    target: Rescaled, loss_percent: float | None, cut_portions: int | None = None, cut_portion_g: float | None = None
) -> SoldPortions | None:
    """The portions that a target is sold as.

    Args:
        target: the formula for the target.
        loss_percent: mass lost in the oven, in percent of the mix; None if it is not known.
        cut_portions: portions of one tin, if its bake is cut.
        cut_portion_g: mass of one of them, without trim and knife; None if it is not known.
    Returns:
        The portions that the target asks for, or those that its bake is cut into, or one for each cavity of the tins;
        None if it is none of these.
    """
    wanted = target.target
    if wanted.portions is not None:
        return SoldPortions(count=wanted.portions.count, grams_each=wanted.portions.grams_each)
    if cut_portions is not None:
        return SoldPortions(count=cut_portions * wanted.tins, grams_each=cut_portion_g)
    if isinstance(wanted.tin, CavitiesTin):
        count = wanted.tin.count * wanted.tins
        each_g = None if loss_percent is None else target.mass.grams * (1 - loss_percent / 100) / count
        return SoldPortions(count=count, grams_each=each_g)
    return None


def portions_of_one_tin(
    target: Rescaled, loss_percent: float | None, cut_portions: int | None = None, cut_portion_g: float | None = None
) -> SoldPortions:
    """The portions of a target that is one tin; a tin that is not cut is one portion.

    Args:
        target: the formula for one tin.
        loss_percent: mass lost in the oven, in percent of the mix; None if it is not known.
        cut_portions: portions of the tin, if its bake is cut.
        cut_portion_g: mass of one of them; None if it is not known.
    Returns:
        The portions.
    """
    whole_g = None if loss_percent is None else target.mass.grams * (1 - loss_percent / 100)
    sold = portions_sold(target, loss_percent, cut_portions, cut_portion_g)
    return sold or SoldPortions(count=1, grams_each=whole_g)


def baked_together_g(target: Rescaled, slab_g: float) -> float:
    """The mass of the whole bake of a target, from that of one cooled slab.

    Args:
        target: the formula for the target.
        slab_g: mass of the bake of one tin.
    Returns:
        Grams of the bakes of all tins.
    """
    return slab_g * target.target.tins


def tins_sold(target: Rescaled) -> int | None:
    """The number of tins of a target; None if it is not baked in known tins."""
    wanted = target.target
    return wanted.tins if wanted.tin is not None or wanted.as_written else None
