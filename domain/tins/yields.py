"""Figures from two weighings: the density of a mix in a tin, the bake loss and the trim."""

from domain.errors import OutOfRangeError
from domain.tins.geometry import TinMeasure


def density_g_per_ml(measure: TinMeasure, grams: float) -> float | None:
    """The density of a mix that was weighed in a tin.

    Args:
        measure: of the tin, filled to a depth or, without a depth, to the rim.
        grams: mass of the mix, above 0.
    Returns:
        Grams per millilitre; None if the volume is not known.
    """
    volume_ml = weighed_ml(measure)
    return grams / volume_ml if volume_ml else None


def weighed_ml(measure: TinMeasure) -> float | None:
    """The volume of a mix that was weighed in a tin: to its filled depth or, without a depth, to the rim."""
    return measure.volume_ml if measure.filled_ml is None else measure.filled_ml


def loss_percent(before_g: float, after_g: float, field: str) -> float:
    """The share of a mass that is lost, such as in the oven or by trimming.

    Args:
        before_g: mass before, above 0.
        after_g: mass after, from 0 to the mass before.
        field: the argument that an error names.
    Returns:
        Percent of the mass before.
    Raises:
        OutOfRangeError: the mass after is larger.

    >>> loss_percent(1_000.0, 890.0, "baked_grams")
    11.0
    """
    if after_g > before_g:
        raise OutOfRangeError(
            f"{after_g:g} g after is more than {before_g:g} g before: check which weighing is which.",
            path=(field,),
            value=after_g,
            limit=before_g,
            unit="g",
        )
    return (before_g - after_g) / before_g * 100
