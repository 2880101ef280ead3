"""One figure of an answer as text: found by its path, and written so that spreadsheets read it correctly."""

import math
import re
from collections.abc import Iterator, Sequence
from decimal import Decimal

from domain.errors import NeededError, UnknownError

# Keys that identify a member of a list, so that a path may be `parts.whole` instead of `parts.0`.
NAMING_KEYS = ("id", "egg_class", "class", "part", "packing", "name", "word", "label", "shape", "ingredient")
MAX_CANDIDATES = 40  # our own limit: a person does not read more
_CONTROL = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ud800-\udfff\ufffe\uffff]")


def plain(number: float) -> str:
    """A number with a decimal point, without exponent or thousands separator, in the shortest digits that round-trip.

    >>> plain(187.5), plain(1500.0), plain(1e-7), plain(4)
    ('187.5', '1500', '0.0000001', '4')
    """
    if not math.isfinite(number):
        return ""
    text = repr(number)
    return (f"{Decimal(text):f}" if "e" in text else text).removesuffix(".0")


def locale_proof(number: float) -> str:
    """The number as an integer mantissa and an exponent, which means the same in every locale.

    `3.4` is a date or 34 where the decimal separator is a comma; `34E-1` is 3.4 everywhere.

    >>> locale_proof(3.4), locale_proof(1500.0), locale_proof(-0.125), locale_proof(4)
    ('34E-1', '1500E0', '-125E-3', '4E0')
    """
    if not math.isfinite(number):
        return ""
    whole, _, part = plain(number).partition(".")
    return f"{int(whole + part) if number else 0}E{-len(part)}"


def readable(text: str) -> str:
    """The text with the characters replaced that XML and spreadsheets do not allow."""
    return text if text.isprintable() else _CONTROL.sub("\ufffd", text)


def figure_text(value: str | float | bool, *, proof: bool) -> str:  # noqa: FBT001 - one of the values of JSON
    """One value as the whole body: no newline, no quotes.

    Args:
        value: a text, a number or a boolean.
        proof: write numbers (and booleans, as 1 and 0) for any locale.
    """
    if isinstance(value, bool):
        return str(int(value)) + "E0" if proof else str(value).lower()
    if isinstance(value, str):
        return " ".join(readable(value).split())
    return locale_proof(value) if proof else plain(value)


def value_at(answer: object, path: str) -> object:
    """The part of an answer at a dotted path of keys and, in lists, positions or names of members.

    Raises:
        UnknownError: there is nothing at the path.

    >>> value_at({"parts": [{"part": "whole", "grams": 200.0}]}, "parts.whole.grams")
    200.0
    """
    value, before = answer, ""
    for part in path.split("."):
        member = _member(value, part)
        if member is None:
            candidates = tuple((before + leaf).removesuffix(".") for leaf in _below(value))
            raise UnknownError(
                "This answer has no such field.", path=("field",), candidates=candidates, code="unknown_answer_field"
            )
        value, before = member, f"{before}{part}."
    return value


def figure_at(answer: object, path: str) -> str | float | bool:
    """The one value at a dotted path.

    Raises:
        UnknownError: there is nothing at the path.
        NeededError: there are several values below the path.
    """
    value = value_at(answer, path)
    if isinstance(value, str | int | float):
        return value
    raise NeededError(
        "This field has several values; choose one of them.",
        path=("field",),
        candidates=tuple(f"{path}.{leaf}" for leaf in _below(value)),
        code="field_needed",
    )


def first_figure(answer: object, names: Sequence[str]) -> str | float | bool:
    """The first of several fields that the answer has.

    Raises:
        NeededError: it has none of them, so the caller must choose one.
    """
    for name in names:
        value: object = answer
        for part in name.split("."):
            value = _member(value, part)
        if isinstance(value, str | int | float):
            return value
    raise NeededError("Choose a figure with `field`.", path=("field",), candidates=_below(answer), code="field_needed")


def doubts_about(answer: object, path: str) -> list[str]:
    """The warnings that an amount behind a figure is beyond any kitchen.

    Args:
        answer: plain JSON.
        path: of the figure; the warnings of the objects that it is in count, and those of the formula as written.
    """
    parts = path.split(".")[:-1]
    holders = [answer, *(value_at(answer, ".".join(parts[: length + 1])) for length in range(len(parts)))]
    listed = [_member(holder, "warnings") for holder in (*holders, _member(answer, "written"))]
    warnings = [warning for each in listed if isinstance(each, list) for warning in each]
    return [str(_member(each, "message")) for each in warnings if _member(each, "code") == "unlikely_amount"]


def _member(value: object, part: str) -> object | None:
    member: object | None = None
    if isinstance(value, dict):
        member = value.get(part)
    elif isinstance(value, list):
        if part.isascii() and part.isdigit():
            member = value[int(part)] if len(part) < 7 and int(part) < len(value) else None
        else:
            named = (member for member in value if isinstance(member, dict) and _name(member) == part)
            member = next(named, None)
    return member


def _name(member: dict[str, object]) -> object:
    return next((member[key] for key in NAMING_KEYS if key in member), None)


def _below(value: object) -> tuple[str, ...]:
    """Paths of single values, the shortest first."""
    paths = [path for path, _ in zip(_leaves(value), range(MAX_CANDIDATES * 5), strict=False)]
    return tuple(sorted(paths, key=lambda path: path.count("."))[:MAX_CANDIDATES])


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
