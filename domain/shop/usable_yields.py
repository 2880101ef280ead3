"""As purchased against edible portion: which share of what is bought whole goes into a formula."""

from dataclasses import dataclass
from types import MappingProxyType

from domain.reference import rows
from domain.shop.goods import Good
from domain.sources import Cited, cited
from domain.things.ingredients import INGREDIENTS, Ingredient


@dataclass(frozen=True, slots=True, kw_only=True)
class Yield:
    """Usable share of an ingredient bought whole, percent, and what is lost."""

    percent: float
    lost: str
    cited: Cited


def usable_yield(good: Good | None, ingredient: Ingredient | None) -> tuple[float, Cited | None]:
    """Usable share of what is bought: the shop's own, else the reference's for what is bought whole, else all of it.

    Args:
        good: the shop's.
        ingredient: ours.
    Returns:
        Percent, above 0 and at most 100, and the source if it is the reference's.
    """
    if good is not None and good.usable_yield_percent is not None:
        return good.usable_yield_percent, None
    found = YIELDS.get(ingredient.id) if ingredient is not None else None
    return (found.percent, found.cited) if found is not None else (100.0, None)


def purchased_grams(edible_g: float, yield_percent: float) -> float:
    """As-purchased mass of an edible portion.

    Args:
        edible_g: what goes into the formula, at least 0.
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
