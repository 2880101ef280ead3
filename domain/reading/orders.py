"""Orders as people write them: `round 23 x 7 cm: 3 tins`, `20 x 30: 36 pieces`, `86 Stück`."""

import re
from dataclasses import dataclass
from types import MappingProxyType

from domain.errors import UnreadableError
from domain.reading.tokens import fold
from domain.reference import rows

MAX_ORDER = 200  # our own limit: characters of an order
MAX_COUNT = 100_000  # our own limit
_COUNT = re.compile(r"\s*+(?P<count>[0-9]{1,7})\s*+(?P<word>[^\W\d_]*+)\.?\s*+")
_KINDS = MappingProxyType({row["word"]: row["kind"] for row in rows("order_words")})


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderText:
    """An order of whole tins or of portions; `label` names the size, "" where none is written."""

    label: str
    tins: int | None = None
    portions: int | None = None


def parse_order(text: str) -> OrderText:
    """An order from its text.

    Args:
        text: a size and a colon, or neither; then a number and a word for tins or portions.
    Returns:
        The order.
    Raises:
        UnreadableError: it is not like that, or counts nothing.

    >>> parse_order("round 23 x 7 cm: 3 tins"), parse_order("86 pieces")
    (OrderText(label='round 23 x 7 cm', tins=3, portions=None), OrderText(label='', tins=None, portions=86))
    """
    label, _, counted = text[: MAX_ORDER + 1].rpartition(":")
    match = _COUNT.fullmatch(counted)
    kind = None if match is None else _KINDS.get(fold(match["word"]))
    count = 0 if match is None else int(match["count"])
    if len(text) > MAX_ORDER or kind is None or not 1 <= count <= MAX_COUNT:
        raise UnreadableError(
            "Write an order as a size, a colon and a number of tins or pieces, such as round 23 x 7 cm: 3 tins.",
            code="unreadable_order",
        )
    if kind == "tins":
        return OrderText(label=label.strip(), tins=count)
    return OrderText(label=label.strip(), portions=count)
