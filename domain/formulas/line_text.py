"""Lines and wishes as people write them: `150 g butter`, `3 eggs`; `round 23 x 7 cm`, `x 2.5`, `1500 g`."""

import re
from dataclasses import dataclass

from domain.errors import AmbiguousError, DomainError, UnknownError, UnreadableError
from domain.measures.quantities import positive
from domain.measures.units import Measures, resolve_unit
from domain.reading.lines import read_line
from domain.reading.quantities import read_number, read_quantity
from domain.reading.texts import eggs_in_grams
from domain.reading.values import ReadingOptions, Remark
from domain.tins.text import counted_tins

MAX_UNIT_WORDS = 3  # the longest spelling of a unit, such as "us fl oz"
# Possessive quantifiers, so that long text is rejected in linear time.
_LINE = re.compile(r"\s*+(?P<amount>[0-9.½¼¾⅐-⅞][0-9 ./⁄½¼¾⅐-⅞]*+)(?P<words>[^,]*+)(?:,(?P<packing>[^,]*+))?")
_FACTOR = re.compile(r"\s*+(?:[x×]\s*+(?P<after>[^a-z]++)|(?P<before>[^a-z×]++)[x×]\s*+)", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class LineText:
    """A line of a formula, taken apart; `remarks` say what was taken where the line leaves it open."""

    quantity: str
    ingredient: str
    packing: str | None = None
    remarks: tuple[Remark, ...] = ()


def parse_line(text: str, measures: Measures | None = None, egg_class: str = "") -> LineText:
    """Take a line of a formula apart, as the reader of recipes reads it.

    Args:
        text: an amount, a unit and an ingredient, in any form that a recipe has; without a unit, a count.
        measures: the set of measures that kitchen words belong to.
        egg_class: the class of eggs of which no size is written; eggs of another size are given in grams.
    Returns:
        The parts, as text. An ingredient that is in no table, such as the shop's own, keeps its name.
    Raises:
        AmbiguousError: the line asks a question; its candidates are lines that answer it.
        UnreadableError: there is no amount, or nothing after it, or the line has several ingredients.

    >>> parse_line("1 1/2 us_cup sifted plain flour").packing
    'sifted'
    >>> parse_line("225 g (8 oz) butter, soft").quantity, parse_line("3 eggs").quantity
    ('225 g', '3 each')
    """
    readings = read_line(text, ReadingOptions(measures=measures, egg_class=egg_class or None))
    reading = eggs_in_grams(readings[0], egg_class)
    if len(readings) > 1:
        raise UnreadableError("The line has several ingredients: give each a line of its own.")
    if reading.kind == "line":
        return LineText(
            quantity=reading.quantity,
            ingredient=reading.ingredient,
            packing=reading.packing or None,
            remarks=reading.remarks,
        )
    # An amount beyond any kitchen is answered with a warning, as it is wherever a formula is weighed.
    if reading.questions and reading.questions[0].code not in {"unknown_ingredient", "implausible_amount"}:
        question = reading.questions[0]
        candidates = tuple(choice.text for choice in question.choices)
        raise AmbiguousError(question.message, candidates=candidates, code="line_unclear")
    return _short_form(text, measures)


def _short_form(text: str, measures: Measures | None) -> LineText:
    """An amount, a unit and any name."""
    match = _LINE.fullmatch(text)
    words = match["words"].split() if match else []
    if match is None or not words:
        raise UnreadableError("Write a line as an amount, a unit and an ingredient: 150 g butter, or 3 eggs.")
    packing = (match["packing"] or "").strip() or None
    amount = match["amount"].strip()
    for count in range(min(MAX_UNIT_WORDS, len(words) - 1), 0, -1):
        unit = " ".join(words[:count])
        if _is_unit(unit, measures):
            rest = words[count + 1 :] if words[count] == "of" and len(words) > count + 1 else words[count:]
            return LineText(quantity=f"{amount} {unit}", ingredient=" ".join(rest), packing=packing)
    return LineText(quantity=f"{amount} each", ingredient=" ".join(words), packing=packing)


@dataclass(frozen=True, slots=True, kw_only=True)
class Want:
    """What a formula is to be rescaled to: one of a tin as text, a factor and grams of mix; `tins` of that tin."""

    tin: str | None = None
    tins: int = 1
    factor: float | None = None
    grams: float | None = None


def parse_want(text: str, measures: Measures | None = None) -> Want:
    """Read what is wanted.

    Args:
        text: `x 2.5` or `2.5 x` is a factor, `1500 g` a mass, everything else a tin or several, as `parse_tin` and
            `counted_tins` read them.
        measures: the set of measures that kitchen words belong to, and whose decimal sign is meant.
    Returns:
        What is wanted; whether one tin can be read is not checked.
    Raises:
        AmbiguousError: a factor or a mass whose sign may separate thousands, or whose unit needs `measures`.
        DomainError: a factor that cannot be read, or a mass that is not above 0.

    >>> parse_want("x 2.5").factor, parse_want("1.5 kg").grams, parse_want("2 x 20 cm round")
    (2.5, 1500.0, Want(tin='round 20 cm', tins=2, factor=None, grams=None))
    """
    factor = _FACTOR.fullmatch(text)
    if factor is not None:
        return Want(factor=float(read_number((factor["after"] or factor["before"]).strip())))
    try:
        quantity = read_quantity(text, measures)
    except AmbiguousError:
        raise
    except DomainError:
        return _tin(text)
    if quantity.unit.dimension == "length":  # the size of a tin: "rund 26 cm" is round, or about 26 cm
        return _tin(text)
    return Want(grams=positive(quantity, "mass").base_float)


def _tin(text: str) -> Want:
    tins = counted_tins(text)
    return Want(tin=text) if tins is None else Want(tin=tins.tin, tins=tins.tins)


def _is_unit(word: str, measures: Measures | None) -> bool:
    try:
        resolve_unit(word, measures)
    except AmbiguousError:
        return True  # so that the error about it names the candidates
    except UnknownError as error:
        return bool(error.candidates)  # a kitchen word that these measures do not have
    return True
