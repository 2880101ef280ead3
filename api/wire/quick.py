"""Reading the usual form of a table by msgspec, which reads it several times as fast as a model.

What it does not take goes to the model, which knows every form and says what is wrong. What it takes the model takes
too, and it means the same: the limits are the model's own, and tests hold one to the other.
"""

import re
from collections.abc import Callable
from dataclasses import asdict
from typing import Annotated, Any, get_args

import msgspec

# Numbers near the least that a double holds, which msgspec reads for longer than the model does all the rest.
_TINY = re.compile(rb"[0-9][eE]-[0-9]{3}")


def limited(annotation: Any) -> Any:  # noqa: ANN401 - types
    """A type with the limits of a model's field, as msgspec writes them."""
    kind, field = get_args(annotation)[:2]
    limits: dict[str, Any] = {name: limit for one in field.metadata for name, limit in asdict(one).items()}
    return Annotated[kind, msgspec.Meta(**limits)]


def struct(name: str, **fields: Any) -> Any:  # noqa: ANN401 - types
    """An object of these fields and no others; those that may be None may be left out."""
    may_be_left_out = [(field, kind, None) for field, kind in fields.items() if type(None) in get_args(kind)]
    needed = [(field, kind) for field, kind in fields.items() if type(None) not in get_args(kind)]
    # They hold none of their own kind, so the collector need not look at them.
    return msgspec.defstruct(name, [*needed, *may_be_left_out], forbid_unknown_fields=True, frozen=True, gc=False)


def many(kind: Any, most: int) -> Any:  # noqa: ANN401 - types
    """A list of at least one and at most so many."""
    return Annotated[list[kind], msgspec.Meta(min_length=1, max_length=most)]


def reader(kind: Any) -> Callable[[bytes], Any]:  # noqa: ANN401 - a type
    """What reads a body as this type, and returns None if it is not of it."""
    decode = msgspec.json.Decoder(kind).decode

    def read(raw: bytes) -> Any:  # noqa: ANN401 - of the type
        # A single byte is found ten times as fast as two, and those as a pattern.
        if b"-" in raw and (b"e-" in raw or b"E-" in raw) and _TINY.search(raw):
            return None
        try:
            return decode(raw)
        except (msgspec.MsgspecError, RecursionError, UnicodeDecodeError):
            return None

    return read
