"""Limits of two schemas: whether the accepting schema allows every value that the other allows."""

import math
from collections.abc import Iterator, Mapping
from typing import Any

LOWER_LIMITS = ("minLength", "minItems", "minProperties")
UPPER_LIMITS = ("maxLength", "maxItems", "maxProperties")
EXACT = ("pattern", "format")


def looser_limits(where: str, sent: Mapping[str, Any], accepted: Mapping[str, Any]) -> Iterator[str]:
    """Report each limit of *accepted* that is tighter than that of *sent*."""
    for key in LOWER_LIMITS:
        if accepted.get(key, 0) > sent.get(key, 0):
            yield f"{where}: {key} rose from {sent.get(key, 0)} to {accepted[key]}"
    for key in UPPER_LIMITS:
        if accepted.get(key, math.inf) < sent.get(key, math.inf):
            yield f"{where}: {key} fell from {sent.get(key)} to {accepted[key]}"
    if _bottom(accepted) > _bottom(sent):
        yield f"{where}: the minimum rose"
    if _top(accepted) < _top(sent):
        yield f"{where}: the maximum fell"
    for key in EXACT:
        if key in accepted and accepted[key] != sent.get(key):
            yield f"{where}: {key} changed from {sent.get(key)} to {accepted[key]}"


def _bottom(schema: Mapping[str, Any]) -> tuple[float, bool]:
    """The lower bound, and whether it is itself excluded."""
    return max((schema.get("minimum", -math.inf), False), (schema.get("exclusiveMinimum", -math.inf), True))


def _top(schema: Mapping[str, Any]) -> tuple[float, bool]:
    """The upper bound, and whether it is itself allowed."""
    return min((schema.get("maximum", math.inf), True), (schema.get("exclusiveMaximum", math.inf), False))
