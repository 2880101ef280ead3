"""Amounts as people write them into a field whose unit is known: `812,5`, `65 g`, `1 kg`, `11 %`."""

import decimal
import re
from fractions import Fraction

from domain.measures.quantities import parse_amount
from domain.measures.units import expect
from domain.reading.numbers import plain_number
from domain.reading.quantities import read_quantity
from domain.reading.values import Decimal

MAX_FIELD = 200  # our own limit: characters of a field
_NUMBER = re.compile(r"(?<![.,'’\u00a0\u202f\u2009])[0-9]*+(?:[.,'’\u00a0\u202f\u2009][0-9]++)++")
_BARE = re.compile(r"[-0-9./ \u00bc-\u00be\u2044\u2150-\u215e]++")


def with_points(text: str, decimal: Decimal) -> str:
    """A text with its numbers written with a decimal point and without signs between thousands.

    A sign that can only be a decimal sign is one, whichever *decimal* is.

    Args:
        text: of one field; longer than 200 characters, it is returned as it is.
        decimal: decides what a sign before three digits is.
    Returns:
        The text; a number that cannot be read stays as it is.

    >>> with_points("27,5 x 18 cm", "point"), with_points("1.500 g", "comma"), with_points("1.500 kg", "point")
    ('27.5 x 18 cm', '1500 g', '1.5 kg')
    """
    if len(text) > MAX_FIELD:
        return text

    def rewritten(match: re.Match[str]) -> str:
        values = plain_number(match[0], decimal)
        return _decimal_digits(values[0]) if len(values) == 1 else match[0]

    return _NUMBER.sub(rewritten, text)


def grams_in(text: str, decimal: Decimal) -> Fraction:
    """A mass, in grams if no unit is written.

    Args:
        text: such as `812,5`, `65 g`, `1 kg` or `1 lb 4 oz`.
        decimal: the decimal sign where the writing does not decide.
    Returns:
        The exact grams.
    Raises:
        UnreadableError: not an amount, with or without a unit.
        MismatchError: not a mass.
        UnknownError: an unknown unit.
        OutOfRangeError: an amount beyond its limits.

    >>> grams_in("812,5", "point"), grams_in("1 kg", "point")
    (Fraction(1625, 2), Fraction(1000, 1))
    """
    written = with_points(text.strip(), decimal)
    if _BARE.fullmatch(written):
        return parse_amount(written)
    quantity = read_quantity(written)
    expect(quantity.unit, "mass")
    return quantity.base


def percent_in(text: str, decimal: Decimal) -> Fraction:
    """A percentage, with or without its sign.

    Args:
        text: such as `11`, `11,5` or `11 %`.
        decimal: the decimal sign where the writing does not decide.
    Returns:
        The exact percentage.
    Raises:
        UnreadableError: not an amount.
        OutOfRangeError: an amount beyond its limits.

    >>> percent_in("11,5 %", "point")
    Fraction(23, 2)
    """
    return parse_amount(with_points(text, decimal).strip().removesuffix("%"))


def _decimal_digits(value: Fraction) -> str:
    """All digits of a decimal fraction of at most `MAX_DIGITS` digits."""
    return f"{decimal.Decimal(value.numerator) / value.denominator:f}"
