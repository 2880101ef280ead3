"""Reading a large body whose every part may be wrong, without finding a hundred thousand things wrong with it.

A model collects every error before it gives up, and an error costs ten times what a good value does: a megabyte of `{}`
where lines should stand is read for a second. So a large body is first read by a copy of the model that leaves a list
at its first bad item, which costs nothing where all is well; if that fails, by one that stops at a number of errors.
"""

from collections.abc import Callable, Collection, Mapping
from functools import lru_cache
from typing import Any

import orjson
from pydantic import TypeAdapter, ValidationError
from pydantic_core import CoreSchema, PydanticOmit, SchemaValidator, core_schema

SMALL = 4_000  # bytes: all that can be wrong with so few is found in some twenty milliseconds; our own limit
MOST_FIELDS, MOST_ITEMS = 200, 20_000  # of one object and of one list: several times what any of ours has
# Objects and lists in all, and what stands in them: more than any request is answered with. So many columns of a
# model's longest list come on top.
MOST_PARTS, MOST_TOGETHER, MOST_COLUMNS = 10_000, 20_000, 10
FEW_FIELDS, FEW_COMMAS = 8_000, 40_000  # in all: no more can be wrong with these than is soon found
_PLAIN = frozenset({str, int, float, bool, type(None)})
MOST_FOUND = 100  # errors looked for in a large body; twice what is listed


class TooManyFields(ValueError):  # noqa: N818 - it is a refusal on its way out
    """An object with more fields, a list with more items, or a body with more of both, than any model has."""


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

    @lru_cache(maxsize=1)
    def most_together() -> int:
        return MOST_TOGETHER + MOST_COLUMNS * _longest_list(adapter.core_schema)

    def read(raw: bytes) -> object:
        if len(raw) <= SMALL:
            return adapter.validator.validate_json(raw)
        _check_fields(raw, most_together())
        try:
            return hasty().validate_json(raw)
        except ValidationError as error:
            if not any(_in_a_list(one["loc"]) for one in error.errors(include_input=False, include_url=False)):
                raise  # no list was left early, so these are all
        return patient().validate_json(raw, context=_Found())

    return read


def _in_a_list(place: tuple[int | str, ...]) -> bool:
    return any(isinstance(step, int) for step in place)


class _Found:
    """How many errors were found so far."""

    def __init__(self) -> None:
        self.errors = 0


def _check_fields(raw: bytes, most_together: int) -> None:
    few_parts = raw.count(b"{") + raw.count(b"[") <= MOST_PARTS
    if few_parts and raw.count(b":") <= FEW_FIELDS and raw.count(b",") <= FEW_COMMAS:
        return
    try:
        whole = orjson.loads(raw)
    except orjson.JSONDecodeError:
        return  # the model says so, with its own words
    left: list[Any] = [] if type(whole) in _PLAIN else [whole]
    parts = together = 0
    while left:
        one = left.pop()
        parts += 1
        is_object = type(one) is dict
        values: Collection[Any] = one.values() if is_object else one
        together += len(values)
        if len(values) > (MOST_FIELDS if is_object else MOST_ITEMS):
            raise TooManyFields
        if not _PLAIN.issuperset(map(type, values)):
            left += [value for value in values if type(value) not in _PLAIN]
        if together > most_together or parts + len(left) > MOST_PARTS:
            raise TooManyFields


def _longest_list(schema: Any) -> int:  # noqa: ANN401 - a tree of plain values
    """How many items the longest list that a schema allows may have."""
    if isinstance(schema, Mapping):
        own = schema.get("max_length", 0) if schema.get("type") == "list" else 0
        return max(own, *map(_longest_list, schema.values())) if schema else 0
    return max(map(_longest_list, schema), default=0) if isinstance(schema, list | tuple) else 0


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
