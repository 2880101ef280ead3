"""Quantities that a field holds, read as a recipe's amounts are: `200 g`, `1 lb 4 oz`, `½ a cup`, `2 EL`, `1,5 kg`."""

import re
from copy import copy
from fractions import Fraction
from functools import lru_cache

from domain.errors import AmbiguousError, DomainError, UnknownError, UnreadableError
from domain.measures.quantities import Quantity, parse_amount, parse_quantity
from domain.measures.units import KITCHEN_WORDS, Measures, Unit, resolve_unit
from domain.reading.drafts import DISAGREE, VESSELS_ML, quantity_text
from domain.reading.measured import Measured
from domain.reading.measures import MeasureReader
from domain.reading.numbers import plain_number, read_amount
from domain.reading.plausible import greatest_plausible
from domain.reading.setting_words import SETTING_WORDS
from domain.reading.settings import decimal_text
from domain.reading.tokens import INCH_SIGNS, Token, tokenise
from domain.reading.unit_words import COUNTED, METRIC_G, ratio
from domain.reading.values import ReadingOptions
from domain.reading.vocabulary import SPOON_LEVELS, vocabulary

MAX_TEXT = 80  # our own limit: characters of one quantity
MAX_TOKENS = 16  # the same in words and signs
MAX_NUMBER_TOKENS, MAX_UNIT_TOKENS = 5, 8  # the same of a number with its unit, and of a unit after its number
# Three digits after a point may be thousands: 1.500 g is 1.5 or 1,500 g.
_OWNERS_WITH_POINT = frozenset(("us", "imperial", "au", "jp"))  # of units, such as us_cup
_GROUPED = re.compile(r"\s*+-?[1-9][0-9]{0,2}[.][0-9]{3}(?![0-9.])")
# Not three digits after the comma, which may be thousands.
_COMMA_THEN_UNIT = re.compile(
    r"\s*+(?P<whole>[0-9]{1,7}+),(?P<part>[0-9]{1,2}|[0-9]{4,8}+)(?P<unit> ?+[^\W0-9_][^\W0-9_.]*+)"
)
_WITH_COMMA = re.compile(r"[0-9.]{1,11}+,[0-9]{1,8}+")
_THOUSANDS = frozenset(("mass", "volume", "count"))  # no tin or oven is measured in thousands


def read_quantity(written: str, measures: Measures | None = None) -> Quantity:
    """A quantity from text, as people write it.

    Args:
        written: an amount and a unit; anything that `parse_quantity` takes, and the amounts of recipe lines.
        measures: the set of measures that kitchen words belong to, and whose decimal sign is meant.
    Returns:
        The exact quantity.
    Raises:
        UnreadableError: not one amount of a unit, for example a range or a heaped spoon.
        AmbiguousError: a number whose point may separate thousands, or a unit that needs `measures`.
        UnknownError, OutOfRangeError: as `parse_quantity`.

    >>> read_quantity("1 lb 4 oz") == read_quantity("20 oz"), float(read_quantity("1,5 kg").base)
    (True, 1500.0)
    """
    quantity = plain_quantity(written, measures)
    if quantity is not None:
        return quantity
    read = _worded_quantity(written, measures)
    if isinstance(read, DomainError):
        raise copy(read)  # callers put it into its place in their request
    return read


@lru_cache(maxsize=1024)  # tables and formulas repeat few quantities
def plain_quantity(written: str, measures: Measures | None = None) -> Quantity | None:
    """A quantity of one number and one unit; faster than `read_quantity`, of which it is a part.

    Args:
        written: as for `read_quantity`.
        measures: as for `read_quantity`.
    Returns:
        The exact quantity; None if the text has another form, or no form of a quantity.
    Raises:
        AmbiguousError, OutOfRangeError: as `read_quantity`.

    >>> float(plain_quantity("1,5 kg").base), plain_quantity("1 lb 4 oz")
    (1500.0, None)
    """
    comma = _COMMA_THEN_UNIT.fullmatch(written) if "," in written else None
    try:
        quantity = parse_quantity(
            written if comma is None else f"{comma['whole']}.{comma['part']}{comma['unit']}", measures
        )
    except (UnreadableError, UnknownError):
        return None
    if comma is None and _GROUPED.match(written) is not None:
        _check_point(quantity, measures)
    return quantity


@lru_cache(maxsize=1024)  # a bad row is read twice
def _worded_quantity(written: str, measures: Measures | None) -> Quantity | DomainError:
    """A quantity of another form than `plain_quantity` has, or why it is none."""
    tokens = _tokens(written)
    try:
        measured = _whole(tokens, measures)
        if measured is not None and _unsized(measured):
            return _size_needed(measured)
        if measured is not None and (measured.unit or _is_dozen(tokens)):
            return _quantity(measured, measures)
        other = _other_quantity(written, tokens, measures)
        return parse_quantity(written, measures) if other is None else other
    except DomainError as error:
        return error.with_traceback(None)


def read_number(written: str) -> Fraction:
    """The amount of a field beside a unit, as people write it: `1,5`, `1-3/4`, `half`.

    Args:
        written: anything that `parse_amount` takes, and the amounts of recipe lines.
    Returns:
        The exact value. A point is a decimal point, as in a number of JSON.
    Raises:
        UnreadableError: not an amount.
        AmbiguousError: a number whose comma may separate thousands.
        OutOfRangeError: as `parse_amount`.

    >>> read_number("1,5"), read_number("1-3/4")
    (Fraction(3, 2), Fraction(7, 4))
    """
    value = read_comma(written)
    if value is not None:
        return value
    try:
        return parse_amount(written)
    except UnreadableError as error:
        tokens = _tokens(written)
        amount = read_amount(tokens, 0, vocabulary(None), None)
        if amount is None or amount.end != len(tokens):
            _refuse_unit(tokens)
            raise
        if len(amount.values) > 1:
            raise _ambiguous(amount.values, "") from error
        return amount.value


def read_comma(written: str) -> Fraction | None:
    """A number with a decimal comma, as a spreadsheet writes it; faster than `read_number`, of which it is a part.

    Args:
        written: such as `1,5` or `1.234,5`.
    Returns:
        The exact value; None if the text has another form.
    Raises:
        AmbiguousError: the comma may separate thousands.

    >>> read_comma("1.234,5"), read_comma("1.5")
    (Fraction(2469, 2), None)
    """
    values = plain_number(written, None) if "," in written and _WITH_COMMA.fullmatch(written) else ()
    if len(values) > 1:
        raise _ambiguous(values, "")
    return values[0] if values else None


def read_unit(word: str, measures: Measures | None = None) -> Unit:
    """The unit of a field beside an amount, in any of the reader's languages: `EL`, `c. à s.`, `lb`.

    Args:
        word: anything that `resolve_unit` takes, and the units of recipe lines.
        measures: the set of measures that kitchen words belong to.
    Returns:
        The unit.
    Raises:
        AmbiguousError, UnknownError: as `resolve_unit`.

    >>> read_unit("Esslöffel").id
    'metric_tbsp'
    """
    try:
        return resolve_unit(word, measures)
    except UnknownError:
        tokens = _tokens(f"1 {word}")
        measured = _whole(tokens, measures) if len(tokens) <= MAX_UNIT_TOKENS else None
        if measured is None or measured.value != 1 or measured.alternatives:
            raise
        if not measured.unit and not _unsized(measured):
            raise
    if measured.vessel and measured.vessel_unit and measures in {"us", "au"}:
        return resolve_unit(measured.vessel_unit, measures)
    if _unsized(measured):
        cups = tuple(dict.fromkeys(KITCHEN_WORDS["cup"].meanings.values())) if measured.vessel else ()
        cup = f", or {' or '.join(cups)}" if cups else ""
        message = f"'{word}' has no fixed size: write the grams or millilitres that yours holds{cup}."
        raise UnknownError(message, code="unknown_unit", candidates=cups)
    if measured.unit in METRIC_G:
        message = f"'{word}' is {METRIC_G[measured.unit]} g: write the amount in grams."
        raise UnknownError(message, code="unknown_unit", candidates=("g",))
    return resolve_unit("each" if measured.unit in COUNTED else measured.unit, measures)


def _tokens(written: str) -> list[Token]:
    """The tokens of a field; none of a text that is too long for one."""
    tokens = tokenise(written) if len(written) <= MAX_TEXT else []
    return tokens if len(tokens) <= MAX_TOKENS else []


def _is_dozen(tokens: list[Token]) -> bool:
    """Whether the text counts by the dozen, which is a quantity without a unit."""
    return any(vocabulary(None).value("dozen", token.key) for token in tokens)


def _whole(tokens: list[Token], measures: Measures | None) -> Measured | None:
    """The measure that all of the tokens are, or None."""
    if not tokens:
        return None
    measured = MeasureReader(tokens, vocabulary(None), ReadingOptions(measures=measures)).read(0)
    if measured is None or measured.size or measured.packing:
        return None
    ends = measured.end + (measured.end + 1 == len(tokens) and tokens[-1].key == ".")
    return measured if ends == len(tokens) else None


def _unsized(measured: Measured) -> bool:
    """Whether the unit is a cup, a pack or a word that no standard fixes."""
    return bool(measured.pack or measured.vague or measured.vessel)


def _size_needed(measured: Measured) -> UnreadableError:
    """What is asked about an amount of a cup or pack of no fixed size, or of a word that nobody can weigh."""
    if measured.vague:
        return UnreadableError(f"Nobody can weigh '{measured.vague}': give grams or spoons.")
    number = decimal_text(measured.value)
    if measured.pack:
        return UnreadableError(f"Say what one '{measured.pack_word}' holds: write, for example, {number} x 400 g.")
    candidates = tuple(f"{number} x {held}" for held in VESSELS_ML)
    message = f"A '{measured.vessel}' has no fixed size: say how many millilitres it holds."
    return UnreadableError(message, candidates=candidates)


def _refuse_unit(tokens: list[Token]) -> None:
    """Reject an amount that stands beside its unit, or a range, where a field holds the number alone."""
    short = len(tokens) <= MAX_NUMBER_TOKENS and tokens[0].kind in ("number", "vulgar") if tokens else False
    measured = _whole(tokens, None) if short else None
    if measured is None or len(measured.values) > 1:
        return
    if measured.low is not None and measured.high is not None:
        numbers = (measured.low, measured.value, measured.high)
        raise UnreadableError("This is a range: write one amount.", candidates=tuple(map(decimal_text, numbers)))
    if measured.unit or measured.pack or measured.vessel:
        number = decimal_text(measured.value)
        message = f"Write the number alone, such as {number}: its unit has a field of its own."
        raise UnreadableError(message, candidates=(number,))


def _other_quantity(written: str, tokens: list[Token], measures: Measures | None) -> Quantity | None:
    """An amount of a unit that recipe lines do not have: `2 Zoll`, `1/2"`, `400,5 cm2`; None if it is not one."""
    amount = read_amount(tokens, 0, vocabulary(None), None)
    if amount is None or amount.worded or amount.end == len(tokens):
        return None
    first, *more = tokens[amount.end :]
    word = written[first.start :].strip()
    length = "in" if first.key in INCH_SIGNS else SETTING_WORDS.get(first.key, {}).get("length")
    unit_word = word if more or length is None else length
    try:
        unit = resolve_unit(unit_word, measures)
    except UnknownError:
        return None
    # Of the two meanings of 1.500, the last has decimals.
    return None if unit.dimension in _THOUSANDS else Quantity(amount=amount.values[-1], unit=unit)


def _quantity(measured: Measured, measures: Measures | None) -> Quantity:
    unit = resolve_unit(
        "g" if measured.unit in METRIC_G else "each" if measured.unit in COUNTED else measured.unit, measures
    )
    times = METRIC_G.get(measured.unit, 1)
    values = measured.values
    if len(values) > 1 and unit.dimension not in _THOUSANDS:
        values = values[1:]
    if len(values) > 1:  # candidates are plausible or absent
        values = tuple(value for value in values if value <= greatest_plausible(unit.id)) or values[1:]
    if len(values) > 1:
        raise _ambiguous(values, measured.unit)
    if measured.rule == "packs" and unit.dimension not in _THOUSANDS:
        raise UnreadableError(f"Two sizes have an x between them: write one {unit.dimension}.")
    _check_one(measured)
    return Quantity(amount=values[0] * times, unit=unit)


def _check_point(quantity: Quantity, measures: Measures | None) -> None:
    """Reject a number whose point may separate thousands, unless the measures or the unit say whose point it is."""
    unit, grouped = quantity.unit, quantity.amount * 1_000
    owner, _, _ = unit.id.partition("_")
    if owner in _OWNERS_WITH_POINT or ReadingOptions(measures=measures).decimal_sign is not None:
        return
    if unit.dimension in _THOUSANDS and grouped <= greatest_plausible(unit.id):
        raise _ambiguous((grouped, quantity.amount), unit.id)


def _check_one(measured: Measured) -> None:
    """Reject what a recipe's line says with a range, because a field has no place for one."""
    unit, value = measured.unit, measured.value
    if measured.rule == "stick":
        message = "A stick is a measure of butter: write it in ounces or grams."
        raise UnreadableError(message, candidates=(quantity_text(value, unit),))
    if measured.low is not None and measured.high is not None:
        message = "This is a range: write one amount."
        raise UnreadableError(message, candidates=_texts((measured.low, value, measured.high), unit))
    if (level := SPOON_LEVELS.get(measured.level)) is not None and level.factor != 1:
        message = f"'{measured.level}' is no fixed amount: write level measures."
        raise UnreadableError(message, candidates=_texts((value * level.low, value * level.factor), unit))
    for other in measured.alternatives:
        times = ratio(other.unit, unit, None) if other.unit not in METRIC_G else None
        if times is None or abs(other.value * times - value) > DISAGREE * min(other.value * times, value):
            message = "These two amounts are not the same: write one of them."
            raise UnreadableError(
                message, candidates=(quantity_text(value, unit), quantity_text(other.value, other.unit))
            )


def _texts(values: tuple[Fraction, ...], unit: str) -> tuple[str, ...]:
    return tuple(quantity_text(value, unit) for value in values)


def _ambiguous(values: tuple[Fraction, ...], unit: str) -> AmbiguousError:
    candidates = tuple(text.strip() for text in _texts(values, unit))
    message = f"The sign in this number may separate thousands or decimals: write {' or '.join(candidates)}."
    return AmbiguousError(message, candidates=candidates, code="ambiguous_number")
