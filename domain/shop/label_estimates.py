"""Bounds of a nutrient where the figures of some ingredients are not known. They are estimates, not label text."""

import math
from dataclasses import dataclass

from domain.shop.composition import Content, Use
from domain.shop.nutrition import NUTRIENTS, PARTS, Nutrient, make_composition
from domain.shop.reference_compositions import composition_of
from domain.things.ingredients import INGREDIENTS

ALL_G = 100.0  # g in 100 g


@dataclass(frozen=True, slots=True, kw_only=True)
class Bounds:
    """The least and the most that a nutrient can be, in its unit."""

    low: float
    high: float

    def times(self, share: float) -> "Bounds":
        """The bounds of a share of the mass."""
        return Bounds(low=self.low * share, high=self.high * share)


def bounds_of(content: Content, finished_g: float) -> Bounds | None:
    """The bounds of a nutrient in 100 g of a finished product.

    Args:
        content: of the nutrient, with its known amount in 100 g of the finished product.
        finished_g: mass of the finished product, above 0.
    Returns:
        The known amount, and the most that the ingredients without a figure can add to it: a part is at most its
        whole, salt is at most pure salt, energy is at most that of pure fat. None for a nutrient that has no such
        bound, such as a vitamin.
    """
    limits = [(use.mass.grams, _most(use, content.nutrient)) for use in content.missing]
    added = [grams * most / finished_g for grams, most in limits if most is not None]
    if len(added) < len(limits):
        return None
    return Bounds(low=content.amount, high=content.amount + math.fsum(added))


def _most(use: Use, nutrient: Nutrient) -> float | None:
    """The most of a nutrient that 100 g of an ingredient can hold."""
    whole = _WHOLES.get(nutrient)
    figures = use.composition.per_100g if use.composition is not None else {}
    if whole is not None and whole in figures:
        return figures[whole]
    return _LIMITS.get(nutrient)


def _load_limits() -> dict[Nutrient, float]:
    """The most in 100 g of anything: all of it in grams, the energy of pure fat, the sodium of pure salt."""
    fat = make_composition({"fat_g": ALL_G, "carbohydrate_g": 0.0, "fibre_g": 0.0, "protein_g": 0.0}).per_100g
    salt = composition_of(INGREDIENTS["salt"], "salt")
    salts = {} if salt is None else salt.per_100g
    limits = {nutrient: ALL_G for nutrient in NUTRIENTS if nutrient.endswith("_g")}
    limits |= {nutrient: amount for nutrient, amount in fat.items() if nutrient.startswith("energy_")}
    return limits | {nutrient: salts[nutrient] for nutrient in ("sodium_mg", "salt_g") if nutrient in salts}


_WHOLES = dict(PARTS)
_LIMITS = _load_limits()
