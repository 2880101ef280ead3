"""One figure of an answer as text: found by its path, written so that a spreadsheet reads it rightly."""

import math
import re
from collections.abc import Iterator, Sequence
from decimal import Decimal

from domain.errors import NeededError, UnknownError

# What tells the members of a list apart, so that a path may say `parts.whole` and not only `parts.0`.
NAMING_KEYS = ("id", "class", "part", "packing", "name", "word", "label", "shape", "ingredient")
MOST_CANDIDATES = 40  # our own limit: a person reads no more
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")


def plain(number: float) -> str:
    """A number with a point, without exponent or thousands sign; the shortest digits that read back the same.

    >>> plain(187.5), plain(1500.0), plain(1e-7), plain(4)
    ('187.5', '1500', '0.0000001', '4')
    """
    if not math.isfinite(number):
        return ""
    text = repr(number)
    return (f"{Decimal(text):f}" if "e" in text else text).removesuffix(".0")


def locale_proof(number: float) -> str:
    """The same as a whole mantissa and an exponent, which no locale can read as anything else.

    `3.4` is a date or 34 where a comma marks the decimals; `34E-1` is 3.4 everywhere.

    >>> locale_proof(3.4), locale_proof(1500.0), locale_proof(-0.125), locale_proof(4)
    ('34E-1', '1500E0', '-125E-3', '4E0')
    """
    if not math.isfinite(number):
        return ""
    whole, _, part = plain(number).partition(".")
    return f"{int(whole + part) if number else 0}E{-len(part)}"


def readable(text: str) -> str:
    """The text with what XML and a cell cannot hold replaced."""
    return text if text.isprintable() else _CONTROL.sub("\ufffd", text)


def figure_text(value: str | float | bool, *, proof: bool) -> str:  # noqa: FBT001 - one of the values of JSON
    """One value as the whole of an answer: no newline, nothing around it.

    Args:
        value: text, a number or a truth value.
        proof: write numbers (and truth values, as 1 and 0) for any locale.
    """
    if isinstance(value, bool):
        return str(int(value)) + "E0" if proof else str(value).lower()
    if isinstance(value, str):
        return " ".join(readable(value).split())
    return locale_proof(value) if proof else plain(value)


def value_at(answer: object, path: str) -> object:
    """What an answer holds at a dotted path: keys, and of a list the position or the name of a member.

    Raises:
        UnknownError: nothing is there.

    >>> value_at({"parts": [{"part": "whole", "grams": 200.0}]}, "parts.whole.grams")
    200.0
    """
    here, gone = answer, ""
    for part in path.split("."):
        found = _member(here, part)
        if found is None:
            candidates = tuple((gone + leaf).removesuffix(".") for leaf in _below(here))
            raise UnknownError(
                "This answer has no such field.", path=("field",), candidates=candidates, code="unknown-field"
            )
        here, gone = found, f"{gone}{part}."
    return here


def figure_at(answer: object, path: str) -> str | float | bool:
    """The one value at a dotted path.

    Raises:
        UnknownError: nothing is there.
        NeededError: the path ends above several values.
    """
    value = value_at(answer, path)
    if isinstance(value, str | int | float):
        return value
    raise NeededError(
        "That field holds several values; say which.",
        path=("field",),
        candidates=tuple(f"{path}.{leaf}" for leaf in _below(value)),
        code="field-needed",
    )


def first_figure(answer: object, among: Sequence[str]) -> str | float | bool:
    """The first of several fields that the answer has.

    Raises:
        NeededError: it has none of them, so the caller must name one.
    """
    for name in among:
        if isinstance(value := _member(answer, name), str | int | float):
            return value
    raise NeededError(
        "Say with `field` which figure is wanted.", path=("field",), candidates=_below(answer), code="field-needed"
    )


def _member(value: object, part: str) -> object | None:
    found: object | None = None
    if isinstance(value, dict):
        found = value.get(part)
    elif isinstance(value, list):
        if part.isascii() and part.isdigit():
            found = value[int(part)] if len(part) < 7 and int(part) < len(value) else None
        else:
            named = (one for one in value if isinstance(one, dict) and _name(one) == part)
            found = next(named, None)
    return found


def _name(member: dict[str, object]) -> object:
    return next((member[key] for key in NAMING_KEYS if key in member), None)


def _below(value: object) -> tuple[str, ...]:
    """Paths that would have worked, shallow ones first."""
    found = [path for path, _ in zip(_leaves(value), range(MOST_CANDIDATES * 5), strict=False)]
    return tuple(sorted(found, key=lambda path: path.count("."))[:MOST_CANDIDATES])


def _leaves(value: object, before: str = "") -> Iterator[str]:
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from _leaves(inner, f"{before}{key}.")
    elif isinstance(value, list):
        for position, inner in enumerate(value):
            yield from _leaves(inner, f"{before}{_label(inner, position)}.")
    elif value is not None:
        yield before[:-1]


def _label(member: object, position: int) -> str:
    name = _name(member) if isinstance(member, dict) else None
    return name if isinstance(name, str) and re.fullmatch(r"[a-z][a-z0-9_-]*", name) else str(position)
