"""Warnings about lines that a scale cannot weigh accurately enough, with other ways to weigh them."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import NamedTuple

from domain.measures.weighing import Scales, error_percent, weigh_grams
from domain.notices import Notice
from domain.reference import rows

MAX_ERROR_PERCENT = 5.0  # of any line; our own limit, no source
MAX_EXACT_ERROR_PERCENT = 1.0  # of leavening, yeast, salt and gums; our own limit, no source
MAX_DILUTED_ERROR_PERCENT = 2.0  # good enough for a line that is diluted; our own limit, no source
MAX_BATCHES = 20  # batches made at once; our own limit: more batches are no advice
MAX_MIXTURE_G = 250.0  # a formula for one tin has no more flour or water to spare; our own limit, no source
PARTS = (10, 100, 1_000)  # how far a line is diluted; our own choice: easy to calculate with

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


class LineToWeigh(NamedTuple):
    """A line of a target: its ingredient's id (None for the caller's own), its exact grams, and those weighed."""

    component: str
    name: str
    ingredient: str | None
    grams: float
    weigh_grams: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HardToWeigh:
    """A line that errs by more than its limit, in percent, and other ways to weigh it, where there are any."""

    line: LineToWeigh
    error: float
    limit: float
    dilution: Dilution | None
    batch_factor: int | None


def dilution_of(grams: float, scales: Scales) -> Dilution | None:
    """How to weigh a line that is too small for the scale: weigh more of it, dilute it, and use one part.

    Args:
        grams: the exact mass of the line, above 0.
        scales: of the shop.
    Returns:
        The fewest equal parts, 10, 100 or 1,000, that err by at most 2 %; None if even a thousand parts err more, or
        if the mixture would be more than 250 g.

    >>> dilution_of(0.35, Scales(small_step_g=Fraction(1, 10)))
    Dilution(parts=10, grams=3.5, error_percent=0.0)
    """
    for parts in PARTS:
        exact = float(Fraction(repr(grams)) * parts)
        shown = weigh_grams(exact, scales)
        error = error_percent(shown, exact)
        if shown * parts > MAX_MIXTURE_G:
            return None
        if shown and abs(error) <= MAX_DILUTED_ERROR_PERCENT:
            return Dilution(parts=parts, grams=shown, error_percent=error)
    return None


def most_error_percent(ingredient: str | None) -> float:
    """The weighing error above which a line has a warning.

    Args:
        ingredient: its id; None for the caller's own.
    Returns:
        Percent of the line: 1 for leavening, yeast, salt and gums, 5 for the rest.
    """
    return MAX_EXACT_ERROR_PERCENT if ingredient in EXACTING else MAX_ERROR_PERCENT


def batch_factor_of(grams: float, scales: Scales, limit_percent: float) -> int | None:
    """The least number of batches at once whose line is weighed accurately enough, whatever its exact mass.

    Args:
        grams: the exact mass of the line, above 0.
        scales: of the shop.
        limit_percent: the most that the line may err by.
    Returns:
        At least 2; None above `MAX_BATCHES`.

    >>> batch_factor_of(0.35, Scales(small_step_g=Fraction(1, 10)), 5)
    3
    """
    allowed_g = limit_percent / 100 * grams
    for step_g, most_g in ((scales.small_step_g, scales.most_g), (scales.step_g, math.inf)):
        half_g = float(step_g) / 2
        factor = max(2, math.ceil(half_g / allowed_g)) if half_g <= MAX_BATCHES * allowed_g else MAX_BATCHES + 1
        if factor * grams <= most_g:
            return factor if factor <= MAX_BATCHES else None
    return None


def hard_to_weigh(lines: Iterable[LineToWeigh], scales: Scales) -> list[HardToWeigh]:
    """The lines that the scales cannot weigh accurately enough, each with up to two other ways to weigh it.

    Args:
        lines: of a target.
        scales: of the shop.
    Returns:
        Those that err by more than their limit, in order.
    """
    hard = list[HardToWeigh]()
    for line in lines:
        error, limit = error_percent(line.weigh_grams, line.grams), most_error_percent(line.ingredient)
        if abs(error) > limit:
            factor = batch_factor_of(line.grams, scales, limit)
            # A smaller error is not worth the work of a mixture.
            offer = dilution_of(line.grams, scales) if abs(error) > MAX_ERROR_PERCENT else None
            hard.append(HardToWeigh(line=line, error=error, limit=limit, dilution=offer, batch_factor=factor))
    return hard


def weighing_notices(lines: Iterable[HardToWeigh], scales: Scales) -> list[Notice]:
    """The warnings about lines that the scales cannot weigh accurately enough.

    Args:
        lines: as `hard_to_weigh` gives them.
        scales: of the shop.
    Returns:
        A warning for each line, with its error, its limit and how to weigh it.
    """
    notices = list[Notice]()
    for hard in lines:
        name, grams, shown, offer = hard.line.name, hard.line.grams, hard.line.weigh_grams, hard.dilution
        larger = "" if hard.batch_factor is None else f", or make {hard.batch_factor} batches at once"
        way = f"use a finer scale{larger}"
        if offer is not None:
            way = (
                f"weigh {offer.grams:g} g, make it up to {offer.mixture_grams:g} g with flour or water of the formula, "
                f"mix it evenly and use {offer.grams:g} g of that{larger}"
            )
        if shown == 0:
            message = f"{name}: {grams:.3g} g is too little for the scale's step; {way}."
            notices.append(Notice("weighs_nothing", message, (), grams, float(scales.small_step_g), "g"))
        else:
            message = (
                f"{name}: the scale shows {shown:g} g for {grams:.4g} g, {hard.error:+.1f} %; {hard.limit:g} % is the"
                f" most that it should err by: {way}."
            )
            notices.append(Notice("weighing_error", message, (), hard.error, hard.limit, "percent"))
    return notices
