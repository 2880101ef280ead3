"""Lines and wishes as people write them: `150 g butter`, `3 eggs`; `round 23 x 7 cm`, `x 2.5`, `1500 g`."""

import re
from dataclasses import dataclass

from domain.errors import AmbiguousError, DomainError, UnknownError, UnreadableError
from domain.measures.quantities import parse_amount, parse_quantity, positive
from domain.measures.units import Measures, resolve_unit

MOST_UNIT_WORDS = 3  # the longest spelling of a unit, such as "us fl oz"
# Possessive quantifiers, so that long text is rejected in linear time.
_LINE = re.compile(r"\s*+(?P<amount>[0-9.½¼¾⅐-⅞][0-9 ./⁄½¼¾⅐-⅞]*+)(?P<words>[^,]*+)(?:,(?P<packing>[^,]*+))?")
_FACTOR = re.compile(r"\s*+[x×]\s*+(?P<amount>[^a-z]++)", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class LineText:
    """A line of a formula, taken apart."""

    quantity: str
    ingredient: str
    packing: str | None


def parse_line(text: str, measures: Measures | None = None) -> LineText:
    """Take a line of a formula apart.

    Args:
        text: an amount, a unit and an ingredient; without a unit, a count. A packing may stand after a comma.
        measures: the set of measures that kitchen words belong to.
    Returns:
        The parts, as text.
    Raises:
        UnreadableError: there is no amount, or nothing after it.

    >>> parse_line("1 1/2 us_cup plain flour, spooned")
    LineText(quantity='1 1/2 us_cup', ingredient='plain flour', packing='spooned')
    >>> parse_line("3 eggs").quantity
    '3 each'
    """
    match = _LINE.fullmatch(text)
    words = match["words"].split() if match else []
    if match is None or not words:
        raise UnreadableError("Write a line as an amount, a unit and an ingredient: 150 g butter, or 3 eggs.")
    packing = (match["packing"] or "").strip() or None
    amount = match["amount"].strip()
    for count in range(min(MOST_UNIT_WORDS, len(words) - 1), 0, -1):
        unit = " ".join(words[:count])
        if _is_unit(unit, measures):
            rest = words[count + 1 :] if words[count] == "of" and len(words) > count + 1 else words[count:]
            return LineText(quantity=f"{amount} {unit}", ingredient=" ".join(rest), packing=packing)
    return LineText(quantity=f"{amount} each", ingredient=" ".join(words), packing=packing)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """What a formula is to be rescaled to: one of a tin as text, a factor and grams of mix."""

    tin: str | None = None
    factor: float | None = None
    grams: float | None = None


def parse_wish(text: str) -> Wish:
    """Read what is wanted.

    Args:
        text: `x 2.5` is a factor, `1500 g` a mass, everything else a tin.
    Returns:
        The wish; whether the tin can be read is not checked.
    Raises:
        DomainError: a factor or a mass that is not above 0.

    >>> parse_wish("x 2.5").factor, parse_wish("1.5 kg").grams, parse_wish("round 23 x 7 cm").tin
    (2.5, 1500.0, 'round 23 x 7 cm')
    """
    if factor := _FACTOR.fullmatch(text):
        return Wish(factor=float(parse_amount(factor["amount"])))
    try:
        quantity = parse_quantity(text)
    except DomainError:
        return Wish(tin=text)
    return Wish(grams=float(positive(quantity, "mass").base))


def _is_unit(word: str, measures: Measures | None) -> bool:
    try:
        resolve_unit(word, measures)
    except AmbiguousError:
        return True  # so that the error about it names the candidates
    except UnknownError as error:
        return bool(error.candidates)  # a kitchen word that these measures do not have
    return True
