"""Parts of answers that the shop's topics share."""

from typing import Any

from api.wire.answers import source_refs
from domain.shop.label_rules import CAUTIONS

_CAUTIONS = [{"id": caution.id, "text": caution.text, "cited": source_refs((caution.cited,))} for caution in CAUTIONS]


def cautions_answer() -> list[dict[str, Any]]:
    """The usual cautions for labels and allergens."""
    return _CAUTIONS
