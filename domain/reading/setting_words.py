"""Words of tins and ovens, and what a text says with them: `setting_words.csv`."""

from domain.reading.tokens import Token
from domain.reference import rows

SETTING_WORDS: dict[str, dict[str, str]] = {}
for _row in rows("setting_words"):
    SETTING_WORDS.setdefault(_row["word"], {}).setdefault(_row["kind"], _row["value"])
# Words that stand beside a setting without changing it.
_BESIDE = frozenset(
    ("a", "an", "the", "x", "gas", "mark", "unterhitze", "chaleur", "au", "de", "deep", "lined", "greased")
)
_CUPS = frozenset(("cup", "cups", "hole", "holes", "cavity", "cavities"))
_CUP_SIZES = frozenset(("mini", "small", "standard", "regular", "large", "jumbo", "paper", "-", "x"))


def all_words(tokens: list[Token]) -> bool:
    """Whether every word is one of tins and ovens, or stands beside them without changing them."""
    return all(token.kind != "word" or token.key in SETTING_WORDS or token.key in _BESIDE for token in tokens)


def has_kind(tokens: list[Token], *kinds: str) -> bool:
    """Whether one of the words is of one of these kinds."""
    for token in tokens:
        meanings = SETTING_WORDS.get(token.key)
        if meanings is not None and not meanings.keys().isdisjoint(kinds):
            return True
    return False


def counts_cups(tokens: list[Token]) -> bool:
    """Whether the cups or holes of a tin are counted, without a word for the tin: 12 muffin cups; 24 mini muffin cups.

    A recipe's cup before such a word is a measure: 2 cups muffin mix.
    """
    for at, token in enumerate(tokens[:-1]):
        if "named" in SETTING_WORDS.get(token.key, ()) and tokens[at + 1].key in _CUPS:
            return cups_counted(tokens[: at + 1]) != ""
    return False


def cups_counted(tokens: list[Token]) -> str:
    """The whole number before a word for cups or for a tin that has them; "" without any: 12-hole, 24 mini muffin."""
    for at, token in enumerate(tokens):
        if token.text.isdigit():
            after = next((each.key for each in tokens[at + 1 :] if each.key not in _CUP_SIZES), "")
            if after in _CUPS or "named" in SETTING_WORDS.get(after, ()):
                return token.text
    return ""
