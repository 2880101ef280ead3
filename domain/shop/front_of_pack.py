"""The bands of nutrients on the front of a pack: low, medium or high in 100 g of a food."""

from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from domain.reference import rows
from domain.shop.allergens import MARKETS, Market
from domain.shop.nutrition import NUTRIENTS, Nutrient
from domain.sources import Cited, cited

Band = Literal["low", "medium", "high"]
LARGE_PORTION_G = 100.0  # our own limit: the guide has other limits for larger portions, which were not read


@dataclass(frozen=True, slots=True, kw_only=True)
class Banded:
    """The band of a nutrient, and the source of its limits."""

    band: Band
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class _Limits:
    """The limits of a nutrient in 100 g of a food: low up to `low_at_most`, high above `high_above`."""

    low_at_most: float
    high_above: float
    cited: Cited


def nutrient_band(amount: float, nutrient: Nutrient, market: Market, portion_g: float | None = None) -> Banded | None:
    """The band of a nutrient on the front of a pack.

    Args:
        amount: in 100 g of the finished product, in the label's unit, at least 0.
        nutrient: whose amount it is.
        market: whose guide applies; only the UK's has limits here.
        portion_g: mass of a portion, if the product is sold in portions.
    Returns:
        The band; None if the market has none for the nutrient, or if the portion is above 100 g and only `high` would
        be sure, because the limits of large portions are not known.
    Source:
        front_of_pack.csv.

    >>> nutrient_band(17.6, "fat_g", "uk").band, nutrient_band(3.0, "fat_g", "uk").band
    ('high', 'low')
    """
    limits = _LIMITS.get((market, nutrient))
    if limits is None:
        return None
    if amount > limits.high_above:
        return Banded(band="high", cited=limits.cited)
    if portion_g is not None and portion_g > LARGE_PORTION_G:
        return None
    return Banded(band="low" if amount <= limits.low_at_most else "medium", cited=limits.cited)


def _load_limits() -> MappingProxyType[tuple[Market, Nutrient], _Limits]:
    table: dict[tuple[Market, Nutrient], _Limits] = {}
    for row in rows("front_of_pack"):
        limits = _Limits(low_at_most=float(row["low_at_most"]), high_above=float(row["high_above"]), cited=cited(row))
        if row["market"] not in MARKETS or row["nutrient"] not in NUTRIENTS or limits.low_at_most >= limits.high_above:
            raise ValueError(f"front_of_pack.csv: bad row {row}")
        table[row["market"], row["nutrient"]] = limits
    return MappingProxyType(table)


_LIMITS = _load_limits()
