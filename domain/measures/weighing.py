"""Rounding of exact grams to what a scale shows, and to measuring spoons for small dry lines."""

import math
from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from itertools import accumulate
from typing import NamedTuple

from domain.errors import OutOfRangeError
from domain.measures.units import MEASURES, Measures, Unit, resolve_unit

TOTAL_DECIMALS = 9  # our own limit: a scale's step has fewer
SMALL_G = 10.0  # below this a line is weighed on the finer scale; our own limit, no source
COARSE_ERROR = 0.01  # above this share of the line it is weighed on the finer scale; our own limit, no source
SMALL_MAX_G = Fraction(200)  # what a fine scale usually carries: common practice
EIGHTHS = 8  # the finest measuring spoon in common sets is an eighth of a teaspoon: common practice
MAX_SPOON_ERROR = 0.25  # of the line; our own limit: a pinch is no eighth of a teaspoon
SPOONS_UP_TO_TSP = 6  # beyond two tablespoons one weighs; our own limit, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Scales:
    """The steps of the shop's scales, in grams: one for most lines, and a finer one that carries `small_max_g`."""

    step_g: Fraction = Fraction(1)
    small_step_g: Fraction = Fraction(1, 10)
    small_max_g: Fraction = SMALL_MAX_G
    ratios: tuple[tuple[int, int], tuple[int, int]] = field(init=False, repr=False)
    most_g: float = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Check the steps, and store them as integers, because a formula has hundreds of weights."""
        for name, step_g in (("step_g", self.step_g), ("small_step_g", self.small_step_g)):
            if step_g <= 0:
                message = "A scale's step must be above 0."
                raise OutOfRangeError(message, path=(name,), value=float(step_g), limit=0, unit="g")
        if self.small_max_g < 0:
            message, most = "What the small scale carries must not be below 0.", float(self.small_max_g)
            raise OutOfRangeError(message, path=("small_max_g",), value=most, limit=0, unit="g")
        object.__setattr__(self, "most_g", float(self.small_max_g))
        object.__setattr__(self, "ratios", (self.step_g.as_integer_ratio(), self.small_step_g.as_integer_ratio()))


class Spoons(NamedTuple):
    """A line in level spoons: whole tablespoons, eighths of a teaspoon, and the error against the exact grams."""

    tablespoons: int
    teaspoon_eighths: int
    tablespoon: Unit
    teaspoon: Unit
    grams: float
    error_percent: float

    @property
    def text(self) -> str:
        """Both spoons as they are written: `1 tbsp + 1/4 tsp`."""
        tablespoons = f"{self.tablespoons} tbsp" if self.tablespoons else ""
        teaspoons = f"{_EIGHTHS[self.teaspoon_eighths]} tsp" if self.teaspoon_eighths else ""
        return " + ".join(part for part in (tablespoons, teaspoons) if part)


def weigh_grams(grams: float, scales: Scales) -> float:
    """The weight that a scale shows, on the scale that `weigh` chooses.

    Args:
        grams: exact, not below 0.
        scales: of the shop.
    Returns:
        The double nearest to a whole number of steps, so that a step of 0.1 g gives 294.4 and never
        294.40000000000003; 0 if the scale cannot show so little.

    >>> weigh_grams(294.37, Scales(step_g=Fraction(1, 10)))
    294.4
    """
    return weigh(grams, scales)[0]


def weigh(grams: float, scales: Scales) -> tuple[float, bool]:
    """The nearest weight that the scale can show, and whether it is the small scale's.

    The small scale is used below 10 g, and wherever the other errs by more than 1 %, as far as it carries the line and
    errs less.

    Args:
        grams: exact, not below 0.
        scales: of the shop.
    Returns:
        Grams, and True for the small scale. Halves go to the even number of steps.

    >>> weigh(10.5, Scales()), weigh(250.4, Scales())
    ((10.5, True), (250.0, False))
    """
    # One division of integers, which Python rounds correctly; a product of doubles would be rounded twice.
    (top, bottom), (fine_top, fine_bottom) = scales.ratios
    coarse = round(grams * bottom / top) * top / bottom
    error = abs(coarse - grams)
    if grams > scales.most_g or (grams >= SMALL_G and error <= COARSE_ERROR * grams):
        return coarse, False
    fine = round(grams * fine_bottom / fine_top) * fine_top / fine_bottom
    return (fine, True) if abs(fine - grams) <= error else (coarse, False)


def weigh_total(weighed: Iterable[float]) -> float:
    """The sum of weights that a scale shows, without the rounding errors of a sum of doubles.

    Args:
        weighed: results of `weigh_grams`.
    Returns:
        The double nearest to the sum of the weights as they are printed, to a billionth of a gram.

    >>> sum([0.1, 0.2]), weigh_total([0.1, 0.2])
    (0.30000000000000004, 0.3)
    """
    return round(math.fsum(weighed), TOTAL_DECIMALS)


def weigh_share(grams: float, vessels: int, scales: Scales) -> float:
    """The weight that the scale shows for one of several tins or cups that are alike.

    Args:
        grams: of a mix for all of them.
        vessels: how many there are, at least 1.
        scales: of the shop.
    Returns:
        As `weigh_grams`.

    >>> weigh_share(6301, 3, Scales())
    2100.0
    """
    return weigh_grams(grams / vessels, scales)


def scale_readings(weighed: Iterable[float], scales: Scales) -> list[float]:
    """What the scale shows after each line, when all go into one bowl that was tared once.

    Args:
        weighed: grams of each line, as `weigh_grams` gives them, in weighing order.
        scales: of the shop.
    Returns:
        For each line the sum of it and all lines before it, in grams, rounded to the step of the scale that it is on.

    >>> scale_readings([165.0, 7.0, 5.8], Scales())
    [165.0, 172.0, 178.0]
    """
    return [weigh_grams(round(total, TOTAL_DECIMALS), scales) for total in accumulate(weighed)]


def error_percent(shown: float, exact: float) -> float:
    """The relative error of a rounded figure.

    Args:
        shown: the rounded figure.
        exact: the exact figure, in the same unit.
    Returns:
        Percent of the exact figure, positive if *shown* is larger; 0 if *exact* is 0.
    """
    return (shown - exact) / exact * 100 if exact else 0.0


def spoons_for(grams: float, g_per_ml: float, measures: Measures | None) -> Spoons | None:
    """A small dry line in level measuring spoons.

    Args:
        grams: exact, above 0.
        g_per_ml: density of the ingredient in the spoon.
        measures: whose spoons; metric ones (5 ml, 15 ml) by default.
    Returns:
        The nearest eighth of a teaspoon, as whole tablespoons and the rest; None if no spoon comes within a
        quarter of the line, or if it is so large that it should be weighed.
    """
    teaspoon, tablespoon, tsp_ml, eighths_per_tbsp = _SPOONS[measures or "metric"]
    tsp_g = tsp_ml * g_per_ml
    eighths = round(grams / tsp_g * EIGHTHS)
    if not 1 <= eighths <= SPOONS_UP_TO_TSP * EIGHTHS:
        return None
    tablespoons, rest = divmod(eighths, eighths_per_tbsp)
    spooned = eighths / EIGHTHS * tsp_g
    if abs(spooned - grams) > MAX_SPOON_ERROR * grams:
        return None
    return Spoons(tablespoons, rest, tablespoon, teaspoon, spooned, error_percent(spooned, grams))


def _load_spoons(measures: Measures) -> tuple[Unit, Unit, float, int]:
    teaspoon, tablespoon = resolve_unit("tsp", measures), resolve_unit("tbsp", measures)
    return teaspoon, tablespoon, float(teaspoon.factor), int(tablespoon.factor / teaspoon.factor * EIGHTHS)


def _mixed(amount: Fraction) -> str:
    whole, rest = divmod(amount, 1)
    return " ".join(str(part) for part in (whole, rest) if part)


# The amounts that teaspoons can show, as text: "3/8", "1 1/4".
_EIGHTHS = [_mixed(Fraction(eighths, EIGHTHS)) for eighths in range(SPOONS_UP_TO_TSP * EIGHTHS + 1)]
_SPOONS = {measures: _load_spoons(measures) for measures in MEASURES}
