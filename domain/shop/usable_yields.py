"""Usable yield: which share of an ingredient bought whole goes into a formula (as purchased, edible portion)."""

from dataclasses import dataclass
from types import MappingProxyType

from domain.reference import rows
from domain.sources import Cited, cited
from domain.things.ingredients import INGREDIENTS, Ingredient


@dataclass(frozen=True, slots=True, kw_only=True)
class Yield:
    """The usable share of an ingredient bought whole, in percent, and what is trimmed off."""

    percent: float
    lost: str
    cited: Cited


def usable_yield(own_percent: float | None, ingredient: Ingredient | None) -> tuple[float, Cited | None]:
    """The usable share of what is bought: the shop's own figure, else the reference table's, else all of it.

    Args:
        own_percent: the shop's figure, if it has one.
        ingredient: the ingredient of ours, if it is one.
    Returns:
        Percent, above 0 and at most 100, and the source if the figure is the reference table's.
    """
    if own_percent is not None:
        return own_percent, None
    reference = YIELDS.get(ingredient.id) if ingredient is not None else None
    return (reference.percent, reference.cited) if reference is not None else (100.0, None)


def purchased_grams(edible_g: float, yield_percent: float) -> float:
    """The as-purchased mass of an edible portion.

    Args:
        edible_g: mass that goes into the formula, at least 0.
        yield_percent: usable share of what is bought, above 0.
    Returns:
        Grams to buy.
    Source:
        Edible portion = as purchased × yield: openwa-math, chapter 25.

    >>> round(purchased_grams(4350, 87), 6)
    5000.0
    """
    return edible_g * 100 / yield_percent


def _load_yields() -> MappingProxyType[str, Yield]:
    table = {}
    for row in rows("usable_yields"):
        percent = float(row["percent"])
        if row["ingredient"] not in INGREDIENTS or not 0 < percent <= 100:
            raise ValueError(f"usable_yields.csv: bad row {row}")
        table[row["ingredient"]] = Yield(percent=percent, lost=row["lost"], cited=cited(row))
    return MappingProxyType(table)


YIELDS = _load_yields()
