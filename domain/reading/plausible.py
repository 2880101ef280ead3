"""Amounts that no recipe holds, such as a date that a spreadsheet made of 1/2."""

from fractions import Fraction

from domain.errors import OutOfRangeError
from domain.measures.quantities import MAX_AMOUNT
from domain.measures.units import Measures
from domain.reading.unit_words import unit_of
from domain.reading.vocabulary import PLAUSIBLE

_OWNERS = frozenset(("us", "imperial", "metric", "au", "jp"))


def greatest_plausible(unit: str) -> Fraction:
    """The greatest amount of a unit that a line of a recipe has.

    Args:
        unit: a unit's id or a kitchen word.
    Returns:
        The amount from plausible_amounts.csv, or the limit of all amounts.
    """
    return PLAUSIBLE.get(_family(unit), Fraction(MAX_AMOUNT))


def check_plausible(top: int, bottom: int, unit: str, measures: Measures | None) -> None:
    """Reject an amount that can only be a slip.

    Args:
        top: the amount's numerator.
        bottom: its denominator, above 0.
        unit: the word for its unit; units that no recipe uses, such as lengths, are not checked.
        measures: whose kitchen words.
    Raises:
        OutOfRangeError: the amount is beyond what a recipe holds.
    """
    resolved = unit_of(unit, measures)
    if resolved is None or _family(resolved.id) not in PLAUSIBLE:
        return
    greatest = greatest_plausible(resolved.id)
    if top > greatest * bottom:
        raise OutOfRangeError(
            f"A recipe has at most {greatest:,} {resolved.id}. A sheet may have turned 1/2 into a date: format the "
            "amounts as text.",
            value=top / bottom,
            limit=float(greatest),
            unit=resolved.id,
        )


def _family(unit: str) -> str:
    """The kitchen word of a qualified unit: us_cup is a cup."""
    head, _, tail = unit.partition("_")
    return tail if head in _OWNERS else unit
