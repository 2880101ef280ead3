"""Temperatures of food and ovens as people write them: `180 celsius`, `20,5 °C`, `350F`, `20 Grad`, `-18 °C`."""

import re
from fractions import Fraction

from domain.errors import DomainError, UnreadableError
from domain.measures.quantities import Quantity, parse_amount, parse_quantity
from domain.measures.units import UNITS
from domain.reading.numbers import read_amount
from domain.reading.setting_words import SETTING_WORDS
from domain.reading.settings import MAX_TEXT, decimal_text
from domain.reading.tokens import Token, tokenise
from domain.reading.vocabulary import vocabulary

DEGREE_SIGNS = frozenset(("°", "º", "degree", "degrees", "deg", "degre", "degres"))
SCALES = ("celsius", "fahrenheit")
_PLAIN = re.compile(r"(?P<amount>-?[0-9.]+)\s*(?:°|deg(?:rees?)?)?\s*(?P<scale>[cf])")
_SCALE_OF = {scale[0]: scale for scale in SCALES}
_RANGE = frozenset(("-", "to", "bis", "a"))


def read_degrees(written: str) -> Quantity:
    """A temperature from text, of an oven or of food.

    Args:
        written: `180 celsius`, `180 °C`, `350F`, `20,5 Grad`.
    Returns:
        The exact quantity; the caller checks that its unit is one of temperature.
    Raises:
        UnreadableError: not an amount and a unit, a range, or a figure without its scale.
        UnknownError, AmbiguousError: as `parse_quantity`.

    >>> read_degrees("20,5 Grad").amount, read_degrees("68F").unit.id
    (Fraction(41, 2), 'fahrenheit')
    """
    text = " ".join(written.casefold().split())
    if plain := _PLAIN.fullmatch(text):
        return Quantity(amount=parse_amount(plain["amount"]), unit=UNITS[_SCALE_OF[plain["scale"]]])
    try:
        return parse_quantity(text)
    except DomainError as error:
        values, scale = _in_words(tokenise(text) if len(text) <= MAX_TEXT else [])
        if not values and isinstance(error, UnreadableError):
            raise UnreadableError("Write a temperature with its scale, such as 20 celsius or 68 fahrenheit.") from None
        if not values:
            raise
    if len(values) > 1:
        low, high = values
        candidates = tuple(_text(value, scale) for value in (low, (low + high) / 2, high))
        raise UnreadableError("This is a range: write one temperature.", candidates=candidates)
    if not scale:
        candidates = tuple(_text(values[0], each) for each in SCALES)
        raise UnreadableError(f"Give the scale: write {' or '.join(candidates)}.", candidates=candidates)
    return Quantity(amount=values[0], unit=UNITS[scale])


def _in_words(tokens: list[Token]) -> tuple[tuple[Fraction, ...], str]:
    """The figure of a temperature, or the two of a range, and its scale, "" if none is written; no figure if unread."""
    values, scale, at = list[Fraction](), "", 0
    while len(values) < 2:
        below = at < len(tokens) and tokens[at].key == "-"
        amount = read_amount(tokens, at + below, vocabulary(None), "point")
        if amount is None or amount.worded:
            return (), ""
        values.append(-amount.value if below else amount.value)
        at, scale = _scale(tokens, amount.end)
        if at < len(tokens) and tokens[at].key in _RANGE:
            at += 1
            continue
        break
    rising = len(values) < 2 or values[0] < values[1]
    return (tuple(values), scale) if at == len(tokens) and rising and (scale or len(values) == 1) else ((), "")


def _scale(tokens: list[Token], at: int) -> tuple[int, str]:
    """Past the sign or word for degrees, and the scale that it or the next word names."""
    while at < len(tokens) and tokens[at].key in DEGREE_SIGNS:
        at += 1
    scale = SETTING_WORDS.get(tokens[at].key, {}).get("degrees", "") if at < len(tokens) else ""
    return at + bool(scale), scale


def _text(value: Fraction, scale: str) -> str:
    return f"{decimal_text(value)} {scale}"
