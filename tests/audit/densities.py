"""Plausibility of the densities."""

from collections.abc import Iterator

from domain.things.ingredients import INGREDIENTS

LIGHTEST, HEAVIEST = 0.03, 2.3  # g/ml: puffed cereal and whipped foam; salt crystals. Our own limits.


def failures() -> Iterator[str]:
    """Every implausible density, in words."""
    for ingredient in INGREDIENTS.values():
        for density in ingredient.densities.values():
            if not LIGHTEST <= density.low <= density.g_per_ml <= density.high <= HEAVIEST:
                yield f"densities: {ingredient.id}, {density.packing}: {float(density.g_per_ml):.3f} g/ml"
