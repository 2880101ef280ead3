"""The fields of a card as people write them: decimal commas, units, percent signs, lists with commas."""

import re
from collections.abc import Callable, Iterable, Iterator
from fractions import Fraction

from api.pages.cards.errors import CardError, domain_errors
from api.pages.cards.fields import CardFields
from domain.errors import DomainError
from domain.reading.fields import grams_in, percent_in, with_points
from domain.reading.orders import parse_order
from domain.reading.values import Decimal

Written = dict[str, str | list[str]]
_MASSES = frozenset({"slab_grams", "mix_grams", "portion_grams", "piece_grams", "bowl"})
# Lists that people write into one field, and what stands between their parts.
_SEPARATORS = {"rings": r"[,;\s]+", "may_contain": r"[,;\s]+", "order": r"[\r\n]+"}
_WITH_NUMBERS = frozenset(
    {
        "baked_depth",
        "core",
        "cut_temperature",
        "depth",
        "knife_width",
        "longest_side",
        "minutes",
        "oven",
        "portion_shape",
        "portion_size",
        "ring_width",
        "slab",
        "tin",
        "trim",
        "want",
        "want_depth",
    }
)


def read_written(entered: CardFields, sign: Decimal) -> tuple[Written, list[CardError]]:
    """The fields as the API takes them: decimal points, grams, percentages without their sign.

    Args:
        entered: the filled-in fields, as they were written.
        sign: the decimal sign where the writing does not decide.
    Returns:
        The fields that can be read, and the errors of the others.
    """
    fields, errors = Written(), list[CardError]()
    for name, value in entered.items():
        if separator := _SEPARATORS.get(name):
            texts = [value] if isinstance(value, str) else value
            parts = (part.strip() for text in texts for part in re.split(separator, text.strip(" ,;")))
            fields[name] = [part for part in parts if part]
            if name == "order":
                errors += _unread_orders(fields[name])
            continue
        read = _reader(name, sign)
        try:
            fields[name] = read(value) if isinstance(value, str) else [read(each) for each in value]
        except DomainError as error:
            errors += domain_errors(error.within(name))
    return fields, errors


def _unread_orders(orders: Iterable[str]) -> Iterator[CardError]:
    for order in orders:
        try:
            parse_order(order)
        except DomainError as error:
            yield from domain_errors(error.within("order"))


def decimal_of(decimal_sign: str) -> Decimal:
    """The name of a decimal sign."""
    return "comma" if decimal_sign == "," else "point"


def _reader(name: str, sign: Decimal) -> Callable[[str], str]:
    if name in _MASSES:
        return lambda text: _plain(grams_in(text, sign))
    if name == "largest_mass":
        return lambda text: f"{_plain(grams_in(text, sign))} g"
    if name == "bake_loss_percent":
        return lambda text: _plain(percent_in(text, sign))
    return (lambda text: with_points(text, sign)) if name in _WITH_NUMBERS else str


def _plain(value: Fraction) -> str:
    return f"{float(value):.15g}"
