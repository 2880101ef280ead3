"""From exact grams to what the bench can do: the scale's step, and spoons for small dry lines."""

from dataclasses import dataclass, field
from fractions import Fraction
from typing import NamedTuple

from domain.errors import OutOfRangeError
from domain.measures.units import MEASURES, Measures, Unit, resolve_unit

SMALL_G = 10.0  # below this a line is weighed on the finer scale; our own limit, no source
EIGHTHS = 8  # the finest measuring spoon in common sets is an eighth of a teaspoon: common practice
SPOONS_UP_TO_TSP = 6  # beyond two tablespoons one weighs; our own limit, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Scales:
    """The steps of the shop's scales, in grams: one for small lines, one for the rest."""

    step_g: Fraction = Fraction(1)
    small_step_g: Fraction = Fraction(1, 10)
    ratios: tuple[tuple[int, int], tuple[int, int]] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Check the steps, and take them apart once, since every line asks for them."""
        if min(self.step_g, self.small_step_g) <= 0:
            raise OutOfRangeError("A scale's step must be above 0.")
        ratios = self.step_g.as_integer_ratio(), self.small_step_g.as_integer_ratio()
        object.__setattr__(self, "ratios", ratios)


class Spoons(NamedTuple):
    """A line in level spoons: whole tablespoons and eighths of a teaspoon, and what that is off by."""

    tablespoons: int
    teaspoon_eighths: int
    tablespoon: Unit
    teaspoon: Unit
    grams: float
    error_percent: float

    @property
    def teaspoons(self) -> float:
        """The teaspoons as a number."""
        return self.teaspoon_eighths / EIGHTHS


def weigh_grams(grams: float, scales: Scales) -> float:
    """The nearest figure that the scale can show; halves go to the even step.

    Args:
        grams: exact, not below 0.
        scales: the small one is used for less than 10 g.
    Returns:
        The rounded grams; 0 if the scale cannot show so little.
    """
    top, bottom = scales.ratios[grams < SMALL_G]
    return round(grams * bottom / top) * top / bottom


def error_percent(shown: float, exact: float) -> float:
    """How far off a rounded figure is.

    Args:
        shown: the rounded figure.
        exact: what it stands for, in the same unit.
    Returns:
        Percent of the exact figure, above zero if too much is shown; 0 if there is nothing to show.
    """
    return (shown - exact) / exact * 100 if exact else 0.0


def spoons_for(grams: float, g_per_ml: float, measures: Measures | None) -> Spoons | None:
    """A small dry line in level measuring spoons.

    Args:
        grams: exact, above 0.
        g_per_ml: of the ingredient as it lies in the spoon.
        measures: whose spoons; metric ones (5 ml, 15 ml) if not said.
    Returns:
        The nearest eighth of a teaspoon, in whole tablespoons and the rest; None when it is too little
        for the smallest spoon or so much that one weighs.
    """
    teaspoon, tablespoon, tsp_ml, eighths_per_tbsp = _SPOONS[measures or "metric"]
    tsp_g = tsp_ml * g_per_ml
    eighths = round(grams / tsp_g * EIGHTHS)
    if not 1 <= eighths <= SPOONS_UP_TO_TSP * EIGHTHS:
        return None
    tablespoons, rest = divmod(eighths, eighths_per_tbsp)
    spooned = eighths / EIGHTHS * tsp_g
    return Spoons(tablespoons, rest, tablespoon, teaspoon, spooned, error_percent(spooned, grams))


def _load_spoons(measures: Measures) -> tuple[Unit, Unit, float, int]:
    teaspoon, tablespoon = resolve_unit("tsp", measures), resolve_unit("tbsp", measures)
    return teaspoon, tablespoon, float(teaspoon.factor), int(tablespoon.factor / teaspoon.factor * EIGHTHS)


_SPOONS = {measures: _load_spoons(measures) for measures in MEASURES}
