"""Errors of validation in the contract's own codes and words, not the validation library's."""

import re
from collections.abc import Mapping
from typing import Any, NamedTuple

Context = Mapping[str, Any]


class Meaning(NamedTuple):
    """What one kind of validation error means: our code, our message, and the name of the limit in its context."""

    code: str
    message: str
    limit: str = ""


_TEXT = Meaning("wrong_type", "Send text.")
_NUMBER = Meaning("wrong_type", "Send a number.")
_WHOLE = Meaning("wrong_type", "Send a whole number.")
_FLAG = Meaning("wrong_type", "Send true or false.")
_LIST = Meaning("wrong_type", "Send a list.")
_OBJECT = Meaning("wrong_type", "Send an object.")
# The library's error types (its documented `type`), each in our terms.
MEANINGS: Mapping[str, Meaning] = {
    "missing": Meaning("missing_field", "This field is required."),
    "extra_forbidden": Meaning("unknown_field", "There is no field of this name here; leave it out."),
    "string_type": _TEXT,
    "string_sub_type": _TEXT,
    "string_unicode": Meaning("bad_format", "Send text in UTF-8."),
    "string_too_short": Meaning("too_short", "The text must have at least {limit} characters.", "min_length"),
    "string_too_long": Meaning("too_long", "The text must have at most {limit} characters.", "max_length"),
    "string_pattern_mismatch": Meaning("bad_format", "The text does not have the form that this field takes."),
    "literal_error": Meaning("not_allowed", "The value must be {limit}.", "expected"),
    "market_without_rules": Meaning("not_allowed", "{limit}", "reason"),
    "enum": Meaning("not_allowed", "The value must be {limit}.", "expected"),
    "int_type": _WHOLE,
    "int_parsing": _WHOLE,
    "int_parsing_size": Meaning("too_large", "The number has too many digits."),
    "int_from_float": _WHOLE,
    "float_type": _NUMBER,
    "float_parsing": _NUMBER,
    "finite_number": Meaning("not_finite", "Send a finite number."),
    "bool_type": _FLAG,
    "bool_parsing": _FLAG,
    "list_type": _LIST,
    "dict_type": _OBJECT,
    "model_type": _OBJECT,
    "model_attributes_type": _OBJECT,
    "too_short": Meaning("too_few", "The list must have at least {limit} items.", "min_length"),
    "too_long": Meaning("too_many", "The list must have at most {limit} items.", "max_length"),
    "greater_than": Meaning("too_small", "The number must be above {limit}.", "gt"),
    "greater_than_equal": Meaning("too_small", "The number must be at least {limit}.", "ge"),
    "less_than": Meaning("too_large", "The number must be below {limit}.", "lt"),
    "less_than_equal": Meaning("too_large", "The number must be at most {limit}.", "le"),
    "union_tag_not_found": Meaning("missing_field", "This field is required.", "discriminator"),
    "union_tag_invalid": Meaning("not_allowed", "The value must be one of {limit}.", "expected_tags"),
    "json_invalid": Meaning("invalid_json", "The body is not JSON."),
}
_REPEATED = Meaning("wrong_type", "Send one value; this field takes no list and is not repeated.")
_SINGLE = {"string_type", "int_type", "float_type", "bool_type"}  # what a list is no value of
NULL_VALUE, ONE_OF_NEEDED, OUT_OF_RANGE = "null_value", "one_of_needed", "out_of_range"
CODES = tuple(sorted({meaning.code for meaning in MEANINGS.values()} | {NULL_VALUE, ONE_OF_NEEDED}))
EMPTY_MESSAGE = "This is empty: fill it in, or leave it out."
NULL_MESSAGE = "Null is not accepted; leave the field out."
_OTHERWISE = Meaning("bad_format", "The value does not have the form that this field takes.")
_RULES = {"value_error", "assertion_error"}  # checks of our own models, with a message of our own
_QUOTED = re.compile("'([^']*)'")
_LONGEST_NUMBER = 40


class ValidationFault(NamedTuple):
    """One error of validation as the contract reports it."""

    code: str
    message: str
    value: float | None = None
    limit: float | None = None
    candidates: tuple[str, ...] = ()


def fault_of(error: Mapping[str, Any]) -> ValidationFault:
    """Translate one error of the validation library.

    Args:
        error: as the library lists it, with its input and context.
    Returns:
        Our code and message; the number that was sent, if the limit is of numbers, and the limit; the values that
        would have been accepted, if there are few.
    """
    kind, value, context = error["type"], error.get("input"), error.get("ctx", {})
    if kind in _RULES:
        message = str(context.get("error", ""))
        return ValidationFault(ONE_OF_NEEDED, f"{message[:1].upper()}{message[1:]}".removesuffix(".") + ".")
    if value is None and kind != "missing":
        return ValidationFault(NULL_VALUE, NULL_MESSAGE)
    meaning = _REPEATED if kind in _SINGLE and isinstance(value, list) else MEANINGS.get(kind, _OTHERWISE)
    limit = context.get(meaning.limit) if meaning.limit else None
    is_number = isinstance(limit, int | float)
    message = EMPTY_MESSAGE if kind == "string_too_short" and limit == 1 else meaning.message
    return ValidationFault(
        code=meaning.code,
        message=message.format(limit=f"{limit:,}".removesuffix(".0") if is_number else limit),
        value=_number(value) if meaning.code in {"too_small", "too_large"} else None,
        limit=limit if is_number else None,
        candidates=tuple(_QUOTED.findall(str(limit))) if meaning.code == "not_allowed" else (),
    )


def _number(value: object) -> float | None:
    """A number that was sent, in a query as text."""
    if isinstance(value, str) and len(value) <= _LONGEST_NUMBER:
        try:
            value = float(value)
        except ValueError:
            return None
    is_finite = isinstance(value, int | float) and abs(value) < 10**15
    return value if is_finite and not isinstance(value, bool) else None  # type: ignore[return-value]
