"""Amounts in words and figures: `1 1/2`, `1½`, `1-3/4`, `half a`, `1.500`, `2 bis 3`."""

import re
from dataclasses import dataclass
from fractions import Fraction

from domain.measures.quantities import MAX_DIGITS
from domain.reading.tokens import VULGAR, Token
from domain.reading.values import Decimal
from domain.reading.vocabulary import Vocabulary

FINEST_PART = 32  # our own limit: no kitchen divides further
TWO_DIGITS = 10  # tops of a fraction that only parts of an inch have
_SIXTEENTHS = (16, 32)
_GROUPED = re.compile(r"[0-9]{1,3}(?:([.,'’\u00a0\u202f\u2009])[0-9]{3})(?:\1[0-9]{3})*+")


@dataclass(frozen=True, slots=True)
class Amount:
    """The values that a written amount may have: one, or several if the writing does not decide; and where it ends."""

    values: tuple[Fraction, ...]
    end: int
    worded: bool = False

    @property
    def value(self) -> Fraction:
        """The first value."""
        return self.values[0]


def plain_number(text: str, decimal: Decimal | None) -> tuple[Fraction, ...]:  # noqa: PLR0911 - one branch for each form
    """The values of one number with separators.

    Args:
        text: digits with points, commas, apostrophes or thin spaces between them.
        decimal: the decimal sign, if it is known.
    Returns:
        The value; two where a group of three digits may be thousands or decimals; none if it is not a number.

    >>> plain_number("1.500", None)
    (Fraction(1500, 1), Fraction(3, 2))
    >>> plain_number("1,5", "point"), plain_number("1.250,5", None)
    ((Fraction(3, 2),), (Fraction(2501, 2),))
    """
    if text.isdigit():
        return (Fraction(int(text)),) if len(text) <= MAX_DIGITS else ()
    if len(text) > 2 * MAX_DIGITS:
        return ()
    signs = [c for c in text if not c.isdigit()]
    last, kinds = signs[-1], set(signs)
    if len(kinds) == 2 and signs.count(last) == 1 and last in ".,":  # 1.250,5 or 1,250.5
        whole = text.rpartition(last)[0]
        return _decimal(text, last) if _GROUPED.fullmatch(whole) else ()
    if len(kinds) != 1:
        return ()
    if _GROUPED.fullmatch(text):
        thousands = (Fraction(int(re.sub(r"\D", "", text))),)
        if last not in ".," or len(signs) > 1:
            return thousands
        as_decimal = _decimal(text, last)
        if text.startswith("0"):
            return as_decimal
        if decimal is None:
            return thousands + as_decimal
        return as_decimal if (decimal == "point") == (last == ".") else thousands
    return _decimal(text, last) if len(signs) == 1 and last in ".," else ()


def _decimal(text: str, sign: str) -> tuple[Fraction, ...]:
    whole, _, part = text.rpartition(sign)
    digits = re.sub(r"\D", "", whole)
    return (Fraction(int(digits + part), 10 ** len(part)),) if len(digits + part) <= MAX_DIGITS else ()


def read_amount(tokens: list[Token], at: int, words: Vocabulary, decimal: Decimal | None) -> Amount | None:
    """The amount that starts at a token.

    Args:
        tokens: of a line.
        at: where the amount would start.
        words: for number words.
        decimal: the decimal sign, if it is known.
    Returns:
        The amount, or None.
    """
    if at >= len(tokens):
        return None
    token = tokens[at]
    following = tokens[at + 1] if at + 1 < len(tokens) else token
    if token.key == "." and following.kind == "number" and following.start == token.end:  # .5
        digits = following.text
        short = digits.isdigit() and len(digits) <= MAX_DIGITS
        return Amount((Fraction(int(digits), 10 ** len(digits)),), at + 2) if short else None
    if token.kind == "vulgar":
        half_a = following is not token and following.key in ("a", "an")  # ½ a cup
        return Amount((Fraction(VULGAR[token.text]),), at + 1 + half_a)
    if token.kind == "number":
        return _figures(tokens, at, words, decimal)
    return _worded(tokens, at, words) if token.kind == "word" else None


def _figures(tokens: list[Token], at: int, words: Vocabulary, decimal: Decimal | None) -> Amount | None:
    values = plain_number(tokens[at].text, decimal)
    if not values:
        return None
    end = at + 1
    whole = tokens[at].text.isdigit()
    if whole and (part := _slash(tokens, at)):
        return Amount((part[0],), part[1])
    if whole and end < len(tokens):
        # 1 1/2, 1½, 1-1/2, 1 ½
        after = end + 1 if tokens[end].key == "-" else end
        if after < len(tokens) and tokens[after].kind == "vulgar":
            return Amount((values[0] + Fraction(VULGAR[tokens[after].text]),), after + 1)
        if (part := _slash(tokens, after)) and part[0] < 1:
            return Amount((values[0] + part[0],), part[1])
    if end < len(tokens) and (dozen := words.value("dozen", tokens[end].key)):
        return Amount((values[0] * int(dozen),), end + 1, worded=True)
    return Amount(values, end)


def _slash(tokens: list[Token], at: int) -> tuple[Fraction, int] | None:
    """A simple fraction such as 3/4, whose parts are short whole numbers."""
    if at + 2 >= len(tokens) or tokens[at + 1].key not in ("/", "\u2044"):
        return None
    top, bottom = tokens[at].text, tokens[at + 2].text
    if not (top.isdecimal() and bottom.isdecimal() and len(top) <= 3 and len(bottom) <= 3 and int(bottom)):
        return None
    if int(bottom) > FINEST_PART or (int(top) >= TWO_DIGITS and int(bottom) not in _SIXTEENTHS):
        return None  # 100/120 g; 3 / 150 g
    return Fraction(int(top), int(bottom)), at + 3


def _worded(tokens: list[Token], at: int, words: Vocabulary) -> Amount | None:  # noqa: PLR0911 - one branch for each form
    token, end = tokens[at], at + 1
    if number := words.value("number", token.key):
        value = Fraction(number)
        after = _skip_hyphen(tokens, end)
        if after < len(tokens) and (part := words.value("fraction", tokens[after].key)):
            end = _skip_of(tokens, after + 1, words)
            value *= Fraction(part)
            if end < len(tokens) and (dozen := words.value("dozen", tokens[end].key)):
                return Amount((value * int(dozen),), end + 1, worded=True)
            return Amount((value,), end, worded=True)
        if after < len(tokens) and (dozen := words.value("dozen", tokens[after].key)):
            return Amount((value * int(dozen),), after + 1, worded=True)
        if end + 2 < len(tokens) and tokens[end].key in ("and", "und", "et"):  # one and a half
            half = end + 2 if words.value("number", tokens[end + 1].key) == "1" else end + 1
            if half < len(tokens) and (part := words.value("fraction", tokens[half].key)):
                return Amount((value + Fraction(part),), half + 1, worded=True)
        return Amount((value,), end, worded=True)
    if part := words.value("fraction", token.key):
        end = _skip_of(tokens, end, words)
        if end < len(tokens) and (dozen := words.value("dozen", tokens[end].key)):
            return Amount((Fraction(part) * int(dozen),), end + 1, worded=True)
        return Amount((Fraction(part),), end, worded=True)
    if dozen := words.value("dozen", token.key):
        return Amount((Fraction(int(dozen)),), end, worded=True)
    return None


def _skip_hyphen(tokens: list[Token], at: int) -> int:
    return at + 1 if at < len(tokens) and tokens[at].key == "-" else at


def _skip_of(tokens: list[Token], at: int, words: Vocabulary) -> int:
    """Past "of a", "a", or a hyphen: half of a, half a, demi-."""
    at = _skip_hyphen(tokens, at)
    if at < len(tokens) and tokens[at].key == "of":
        at += 1
    if at < len(tokens) and words.value("number", tokens[at].key) == "1":
        at += 1
    return at
