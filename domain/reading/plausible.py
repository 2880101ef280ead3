"""Amounts that no recipe holds, such as a date that a spreadsheet made of 1/2."""

from fractions import Fraction

from domain.measures.quantities import MAX_AMOUNT
from domain.reading.vocabulary import PLAUSIBLE

_MOST = Fraction(MAX_AMOUNT)
_OWNERS = frozenset(("us", "imperial", "metric", "au", "jp"))


def greatest_plausible(unit: str) -> Fraction:
    """The greatest amount of a unit that a line of a recipe has.

    Args:
        unit: a unit's id or a kitchen word.
    Returns:
        The amount from plausible_amounts.csv, or the limit of all amounts.
    """
    return PLAUSIBLE.get(_family(unit), _MOST)


def _family(unit: str) -> str:
    """The kitchen word of a qualified unit: us_cup is a cup."""
    head, _, tail = unit.partition("_")
    return tail if head in _OWNERS else unit
