"""Limits of two schemas: whether the one that takes a value lets through all that the other allows."""

import math
from collections.abc import Iterator, Mapping
from typing import Any

LEAST = ("minLength", "minItems", "minProperties")
MOST = ("maxLength", "maxItems", "maxProperties")
WORDS = ("pattern", "format")


def looser_limits(where: str, sent: Mapping[str, Any], taken: Mapping[str, Any]) -> Iterator[str]:
    """Each limit of *taken* that is tighter than that of *sent*."""
    for key in LEAST:
        if taken.get(key, 0) > sent.get(key, 0):
            yield f"{where}: {key} rose from {sent.get(key, 0)} to {taken[key]}"
    for key in MOST:
        if taken.get(key, math.inf) < sent.get(key, math.inf):
            yield f"{where}: {key} fell from {sent.get(key)} to {taken[key]}"
    if _bottom(taken) > _bottom(sent):
        yield f"{where}: the least number rose"
    if _top(taken) < _top(sent):
        yield f"{where}: the greatest number fell"
    for key in WORDS:
        if key in taken and taken[key] != sent.get(key):
            yield f"{where}: {key} changed from {sent.get(key)} to {taken[key]}"


def _bottom(schema: Mapping[str, Any]) -> tuple[float, bool]:
    """The lower bound, and whether it is itself excluded."""
    return max((schema.get("minimum", -math.inf), False), (schema.get("exclusiveMinimum", -math.inf), True))


def _top(schema: Mapping[str, Any]) -> tuple[float, bool]:
    """The upper bound, and whether it is itself allowed."""
    return min((schema.get("maximum", math.inf), True), (schema.get("exclusiveMaximum", math.inf), False))
