"""Warnings about what a scale cannot weigh well enough, and how to weigh it all the same."""

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction

from domain.measures.weighing import Scales, error_percent, weigh_grams
from domain.notices import Notice
from domain.reference import rows

MOST_ERROR_PERCENT = 5.0  # of any line; our own limit, no source
MOST_EXACT_ERROR_PERCENT = 1.0  # of leavening, yeast, salt and gums; our own limit, no source
MOST_DILUTED_ERROR_PERCENT = 2.0  # good enough for a line that is diluted; our own limit, no source
PARTS = (10, 100, 1_000)  # how far a line is diluted; our own choice: easy to reckon with

EXACTING: dict[str, str] = {row["ingredient"]: row["use"] for row in rows("exacting_ingredients")}


@dataclass(frozen=True, slots=True, kw_only=True)
class Dilution:
    """A line too small for the scale, weighed `parts` times over and mixed evenly with flour or water of the formula.

    `grams` of it make `mixture_grams`, of which `grams` are used: one of the equal parts.
    """

    parts: int
    grams: float
    error_percent: float

    @property
    def mixture_grams(self) -> float:
        """What the weighed mass is made up to."""
        return self.grams * self.parts


def dilution_of(grams: float, scales: Scales) -> Dilution | None:
    """How to weigh a line that is too small for the scale: weigh more of it, dilute it, and use one part.

    Args:
        grams: the exact mass of the line, above 0.
        scales: of the shop.
    Returns:
        The fewest equal parts, 10, 100 or 1,000, that err by at most 2 %; None if even a thousand parts err more.

    >>> dilution_of(0.35, Scales(small_step_g=Fraction(1, 10)))
    Dilution(parts=10, grams=3.5, error_percent=0.0)
    """
    for parts in PARTS:
        exact = float(Fraction(repr(grams)) * parts)
        shown = weigh_grams(exact, scales)
        error = error_percent(shown, exact)
        if shown and abs(error) <= MOST_DILUTED_ERROR_PERCENT:
            return Dilution(parts=parts, grams=shown, error_percent=error)
    return None


def most_error_percent(ingredient: str | None) -> float:
    """The weighing error above which a line is warned of.

    Args:
        ingredient: its id; None for the caller's own.
    Returns:
        Percent of the line: 1 for leavening, yeast, salt and gums, 5 for the rest.
    """
    return MOST_EXACT_ERROR_PERCENT if ingredient in EXACTING else MOST_ERROR_PERCENT


def weighing_notices(lines: Iterable[tuple[str, str | None, float, float]], scales: Scales) -> list[Notice]:
    """The warnings about lines that the scales cannot weigh well enough.

    Args:
        lines: for each its name, its ingredient's id (None for the caller's own), its exact grams, and those weighed.
        scales: of the shop.
    Returns:
        A warning for each such line, with its error, its limit and how to weigh it.
    """
    notices = list[Notice]()
    for name, ingredient, grams, shown in lines:
        error, limit = error_percent(shown, grams), most_error_percent(ingredient)
        if abs(error) <= limit:
            continue
        offer = dilution_of(grams, scales)
        way = "use a finer scale, or make a larger batch"
        if offer is not None:
            way = (
                f"weigh {offer.grams:g} g, make it up to {offer.mixture_grams:g} g with flour or water of the formula, "
                f"mix it evenly and use {offer.grams:g} g of that, or make a larger batch"
            )
        if shown == 0:
            message = f"{name}: {grams:.3g} g is too little for the scale's step; {way}."
            notices.append(Notice("weighs_nothing", message, (), grams, float(scales.small_step_g), "g"))
        else:
            message = (
                f"{name}: the scale shows {shown:g} g for {grams:.4g} g, {error:+.1f} %; {limit:g} % is the most that "
                f"it should err by: {way}."
            )
            notices.append(Notice("weighing_error", message, (), error, limit, "percent"))
    return notices
