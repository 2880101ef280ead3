"""Finds what a JSON text holds that its model does not report: nulls, fields given twice, and numbers that become 0."""

import json
import re
import sys
from collections.abc import Callable, Iterator
from typing import Any

import orjson

from api.wire.problems import MAX_ERRORS
from api.wire.query_numbers import is_underflow
from domain.errors import Path

# A number near or below the least normal double: an exponent of three digits, or hundreds of zeros.
_TINY_EXPONENT = re.compile(rb"[eE]-[0-9]{3}")
_MANY_ZEROS = b"0" * 200
_ESCAPED_COLON = re.compile(rb"\\u003[aA]")
_REPEATED = object()


class _Tiny(float):
    """A number that became 0, or lost digits, because it is below the least normal double."""


def decoded(raw: bytes) -> object:
    """A JSON text as plain values; None if it is no JSON."""
    try:
        # The standard library's reader, since it takes NaN, as pydantic does in order to refuse it by its place.
        return json.loads(raw)
    except (ValueError, RecursionError):
        return None


def may_underflow(raw: bytes) -> bool:
    """Whether a JSON text may have a number that is too small for a double; cheap, and true of some without any."""
    # One byte is found fifteen times as fast as two, and few texts have a minus sign.
    return (b"-" in raw and _TINY_EXPONENT.search(raw) is not None) or _MANY_ZEROS in raw


def underflows(raw: bytes) -> list[Path]:
    """The places of the numbers in a JSON text that a double cannot represent because they are too small."""
    tiny: list[str] = []

    def parse(written: str) -> float:
        value = float(written)
        if abs(value) >= sys.float_info.min or len(tiny) >= MAX_ERRORS or not is_underflow(written):
            return value
        tiny.append(written)
        return _Tiny(value)

    try:
        body = json.loads(raw, parse_float=parse)
    except (ValueError, RecursionError):
        return []  # the model refuses it
    return _places_in(body, lambda value: isinstance(value, _Tiny)) if tiny else []


def nulls(raw: bytes) -> list[Path]:
    """The places of the nulls in a JSON text, at most as many as are reported."""
    try:
        return _places_in(json.loads(raw), lambda value: value is None)
    except (ValueError, RecursionError):
        return []  # the model refuses it


def plain_data(raw: bytes) -> Any:  # noqa: ANN401 - any JSON
    """A JSON text as dictionaries and lists, which keep the last of two equal fields; None if it is not readable."""
    try:
        return orjson.loads(raw)
    except orjson.JSONDecodeError:
        return None


def may_repeat_a_field(raw: bytes, data: object) -> bool:
    """Whether an object in a JSON text may give a field twice; cheap, and true of some without any.

    Args:
        raw: the text.
        data: the same, read by `plain_data`.

    >>> raw = b'{"note": "a: b", "note": "c"}'
    >>> may_repeat_a_field(raw, plain_data(raw))
    True
    """
    try:  # the text of what was kept has fewer colons
        return orjson.dumps(data).count(b":") != raw.count(b":") or (
            b"\\" in raw and _ESCAPED_COLON.search(raw) is not None
        )
    except orjson.JSONEncodeError:
        return True


def repeated_fields(raw: bytes) -> list[Path]:
    """The places of the fields in a JSON text that their object gives more than once, with different values.

    RFC 8259, section 4: which of them a reader keeps is not predictable. The same value twice loses nothing, and some
    generated clients write the discriminator of an object twice.
    """

    def marked(fields: list[tuple[str, object]]) -> dict[str, object]:
        values: dict[str, object] = {}
        for name, value in fields:
            values[name] = _REPEATED if name in values and values[name] != value else value
        return values

    try:
        return _places_in(json.loads(raw, object_pairs_hook=marked), lambda value: value is _REPEATED)
    except (ValueError, RecursionError):
        return []  # the model refuses it


def _places_in(body: object, is_wrong: Callable[[object], bool]) -> list[Path]:
    """The places of the values that are wrong, in the order of the text, at most as many as are reported."""
    places: list[Path] = []
    left: list[tuple[Path, Iterator[tuple[str | int, object]]]] = [((), iter([("", body)]))]
    while left and len(places) < MAX_ERRORS:
        above, values = left[-1]
        part, value = next(values, (None, None))
        if part is None:
            left.pop()
            continue
        path = (*above, part) if len(left) > 1 else ()
        if is_wrong(value):
            places.append(path)
        elif isinstance(value, dict):
            left.append((path, iter(value.items())))
        elif isinstance(value, list):
            left.append((path, iter(enumerate(value))))
    return places
