"""Depths in people's words: of a tin, and of what fills it: `7 cm deep`, `filled 3 cm deep`, `Masse 4 cm hoch`."""

import re

from domain.reading.setting_words import SETTING_WORDS
from domain.reading.tokens import fold, tokenise

LENGTHS = "|".join(sorted((word for word, kinds in SETTING_WORDS.items() if "length" in kinds), key=len, reverse=True))
DEPTH = re.compile(
    rf"(?P<amount>[0-9]++(?:[.,][0-9]++)?+)[ -]?(?P<unit>{LENGTHS})\b\.?[ -]?(?:deep|depth|tief|hoch|de haut|high)\b",
    re.IGNORECASE,
)
# What fills a tin, beside its depth: 3 cm deep batter; filled 3 cm deep.
_FILLINGS = frozenset(
    (
        "batter",
        "mixture",
        "mix",
        "dough",
        "filling",
        "sponge",
        "fill",
        "filled",
        "teig",
        "masse",
        "fullung",
        "gefullt",
        "pate",
    )
)
_PAUSES = frozenset((",", ";"))
_NEAR = 2  # words and signs between a depth and what it is of; our own limit


def read_depths(text: str) -> tuple[re.Match[str] | None, re.Match[str] | None]:
    """The depth of a tin and the depth to which it is filled, of which one or both may be missing."""
    matches = [(each, _is_of_filling(text, each)) for each in DEPTH.finditer(text)]
    return (
        next((each for each, fills in matches if not fills), None),
        next((each for each, fills in matches if fills), None),
    )


def depth_text(depth: re.Match[str]) -> str:
    """A depth as a length that every endpoint takes."""
    return f"{depth['amount'].replace(',', '.')} {SETTING_WORDS[fold(depth['unit'])]['length']}"


def _is_of_filling(text: str, depth: re.Match[str]) -> bool:
    """Whether a depth is of what fills the tin: batter 3 cm deep; filled to 3 cm deep; 3 cm deep layer of mixture."""
    after = [token.key for token in tokenise(text[depth.end() :])[: _NEAR + 1]]
    if after and not {"tin", "shape", "named"}.isdisjoint(SETTING_WORDS.get(after[0], ())):  # 3 cm deep tin
        return False
    before = [token.key for token in tokenise(text[: depth.start()])[-_NEAR:]]
    joined = before[max((at + 1 for at, key in enumerate(before) if key in _PAUSES), default=0) :]
    following = after[: next((at for at, key in enumerate(after) if key in _PAUSES), len(after))]
    return not _FILLINGS.isdisjoint((*joined, *following))


def depth_of_filling(text: str) -> str:
    """How deep a tin is filled, where that is the only figure of a text.

    >>> depth_of_filling("Batter 3 cm deep"), depth_of_filling("20 cm square, 3 cm deep")
    ('3 cm', '')
    """
    depth = DEPTH.search(text)
    around = "" if depth is None else text[: depth.start()] + text[depth.end() :]
    only = depth is not None and not any(map(str.isdigit, around)) and _is_of_filling(text, depth)
    return depth_text(depth) if depth is not None and only else ""
