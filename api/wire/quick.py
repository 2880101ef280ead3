"""Reads the usual form of a table with msgspec, several times as fast as the model does.

Everything else is left to the model, which accepts every form and reports the errors. Whatever msgspec accepts the
model accepts too, with the same meaning: the limits are the model's own, and tests compare the two.
"""

import re
from collections.abc import Callable
from dataclasses import asdict
from typing import Annotated, Any, get_args

import msgspec

# Numbers near the least double, which msgspec reads slowly.
_TINY = re.compile(rb"[0-9][eE]-[0-9]{3}")


def limited(annotation: Any) -> Any:  # noqa: ANN401 - types
    """A type with the limits of a model's field, in msgspec's terms."""
    kind, field = get_args(annotation)[:2]
    limits: dict[str, Any] = {name: value for limit in field.metadata for name, value in asdict(limit).items()}
    return Annotated[kind, msgspec.Meta(**limits)]


def struct(name: str, **fields: Any) -> Any:  # noqa: ANN401 - types
    """An object with these fields and no others; a field that may be None is optional."""
    optional = [(field, kind, None) for field, kind in fields.items() if type(None) in get_args(kind)]
    required = [(field, kind) for field, kind in fields.items() if type(None) not in get_args(kind)]
    # They cannot form reference cycles, so the garbage collector need not track them. Written again, an object has the
    # fields that were sent, since a null is not accepted.
    return msgspec.defstruct(
        name, [*required, *optional], forbid_unknown_fields=True, omit_defaults=True, frozen=True, gc=False
    )


def many(kind: Any, max_length: int) -> Any:  # noqa: ANN401 - types
    """A list of at least one and at most *max_length* items."""
    return Annotated[list[kind], msgspec.Meta(min_length=1, max_length=max_length)]


def reader(kind: Any, rows: str) -> Callable[[bytes], Any]:  # noqa: ANN401 - a type
    """A function that reads a body as this type, and returns None if the body is not of the type or repeats a field.

    Args:
        kind: a struct.
        rows: its list of structs.
    """
    decode, encode = msgspec.json.Decoder(kind).decode, msgspec.json.Encoder().encode

    def is_even(value: Any, colons: int) -> bool:  # noqa: ANN401 - of the type
        """Whether a table has as many colons as if all its rows had the fields of its first row, the usual form."""
        items = getattr(value, rows)
        outer = sum(getattr(value, name) is not None for name in kind.__struct_fields__)
        return outer + len(items) * encode(items[0]).count(b":") == colons

    def read(raw: bytes) -> Any:  # noqa: ANN401 - of the type
        if b"-" in raw and (b"e-" in raw or b"E-" in raw) and _TINY.search(raw):
            return None
        try:
            value = decode(raw)
        except (msgspec.MsgspecError, RecursionError, UnicodeDecodeError):
            return None
        # Of two equal fields the last is kept, so the text has fewer colons when it is written again. To write an even
        # table again would take a seventh of its time.
        colons, escapes = raw.count(b":"), b"\\" in raw
        if not escapes and is_even(value, colons):
            return value
        return value if encode(value).count(b":") == colons and not (escapes and b"\\u003" in raw) else None

    return read
