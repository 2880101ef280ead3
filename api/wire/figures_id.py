"""`figures`: which reference data and shop file an answer was made from, as a short hash.

A printed label can be explained with it after a figure was corrected.
"""

from contextvars import ContextVar
from hashlib import blake2b
from importlib.resources import files
from pathlib import Path
from typing import Annotated

from pydantic import Field

HEADER = b"x-figures"
DIGITS = 12  # our own choice: enough to tell versions of a few files apart

FiguresId = Annotated[
    str,
    Field(
        description="Names the reference data and the shop file.",
        examples=["5f1c0a9be2d4"],
    ),
]


def _reference() -> bytes:
    """Every file of the reference data, with its name."""
    parts = sorted((part for part in files("domain.reference").iterdir() if part.is_file()), key=lambda part: part.name)
    tables = [part for part in parts if not part.name.endswith(".py")]
    return b"".join(part.name.encode() + b"\0" + part.read_bytes() + b"\0" for part in tables)


def figures_of(shop_file: Path | None) -> str:
    """The hash for a service with this shop file.

    Args:
        shop_file: its path, or None.
    Returns:
        Hexadecimal digits.
    """
    content = shop_file.read_bytes() if shop_file is not None else b""
    return blake2b(_reference() + content, digest_size=DIGITS // 2).hexdigest()


_WITHOUT_SHOP = figures_of(None)  # for answers that are made at the start
# Set for each request, since a process may hold several applications, each with its own shop file.
CURRENT: ContextVar[str] = ContextVar("figures")


def figures_id() -> str:
    """The value of `figures` in the answer of the present request, as in `X-Figures`."""
    return CURRENT.get(None) or _WITHOUT_SHOP
