"""Reading a large body whose every part may be wrong, without finding a hundred thousand things wrong with it.

A model collects every error before it gives up, and an error costs ten times what a good value does: a megabyte of `{}`
where lines should stand is read for a second. So a large body is first read by a copy of the model that leaves a list
at its first bad item, which costs nothing where all is well; if that fails, by one that stops at a number of errors.
"""

from collections.abc import Callable, Mapping
from functools import lru_cache
from typing import Any

import orjson
from pydantic import TypeAdapter, ValidationError
from pydantic_core import CoreSchema, PydanticOmit, SchemaValidator, core_schema

SMALL = 4_000  # bytes: all that can be wrong with so few is found in some twenty milliseconds; our own limit
MOST_FIELDS, MOST_ITEMS = 200, 20_000  # of one object and of one list: several times what any of ours has
FEW_FIELDS, FEW_COMMAS = 8_000, 40_000  # in all: no more can be wrong with these than is soon found
MOST_FOUND = 100  # errors looked for in a large body; twice what is listed


class TooManyFields(ValueError):  # noqa: N818 - it is a refusal on its way out
    """An object with more fields, or a list with more items, than any model has."""


def bounded(adapter: TypeAdapter[Any]) -> Callable[[bytes], Any]:
    """A reader of bodies.

    Args:
        adapter: of the body's model.
    Returns:
        What takes the bytes and returns the model; raises `ValidationError` as the adapter does, of a large body with
        at most about `MOST_FOUND` errors, and `TooManyFields`.
    """

    # All validators are made when they are first wanted: together they take a tenth of the start. The adapter's own is
    # looked up each time, since what stands there until then is not it.
    @lru_cache(maxsize=1)
    def hasty() -> SchemaValidator:
        return SchemaValidator(_changed(adapter.core_schema, _hasty))

    @lru_cache(maxsize=1)
    def patient() -> SchemaValidator:
        return SchemaValidator(_changed(adapter.core_schema, _patient))

    def read(raw: bytes) -> object:
        if len(raw) <= SMALL:
            return adapter.validator.validate_json(raw)
        _check_fields(raw)
        try:
            return hasty().validate_json(raw)
        except ValidationError:
            pass
        return patient().validate_json(raw, context=_Found())

    return read


class _Found:
    """How many errors were found so far."""

    def __init__(self) -> None:
        self.errors = 0


def _check_fields(raw: bytes) -> None:
    if raw.count(b":") <= FEW_FIELDS and raw.count(b",") <= FEW_COMMAS:
        return
    try:
        left: list[Any] = [orjson.loads(raw)]
    except orjson.JSONDecodeError:
        return  # the model says so, with its own words
    while left:
        one = left.pop()
        if type(one) is dict:
            if len(one) > MOST_FIELDS:
                raise TooManyFields
            left += [value for value in one.values() if type(value) in {dict, list}]
        elif type(one) is list:
            if len(one) > MOST_ITEMS:
                raise TooManyFields
            left += [value for value in one if type(value) in {dict, list}]


def _changed(schema: Any, change: Callable[[dict[str, Any]], Any]) -> Any:  # noqa: ANN401 - a tree of plain values
    """A copy of a schema, changed from the leaves up."""
    if isinstance(schema, Mapping):  # a model built late stands in for its schema
        copy = {key: value if key == "metadata" else _changed(value, change) for key, value in schema.items()}
        return change(copy)
    if isinstance(schema, list):
        return [_changed(one, change) for one in schema]
    if isinstance(schema, tuple):
        return tuple(_changed(one, change) for one in schema)
    return schema


def _hasty(schema: dict[str, Any]) -> dict[str, Any]:
    return schema | {"fail_fast": True} if schema.get("type") == "list" else schema


def _patient(schema: dict[str, Any]) -> CoreSchema | dict[str, Any]:
    if schema.get("type") != "list":
        return schema
    return schema | {"items_schema": core_schema.with_info_wrap_validator_function(_counting, schema["items_schema"])}


def _counting(value: object, handler: Callable[[object], object], info: Any) -> object:  # noqa: ANN401 - pydantic's own
    found: _Found = info.context
    if found.errors >= MOST_FOUND:
        raise PydanticOmit
    try:
        return handler(value)
    except ValidationError as error:
        found.errors += error.error_count()
        raise
