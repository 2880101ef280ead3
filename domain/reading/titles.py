"""The name of a recipe in its first line, with the tin or the yield that stands after it."""

from domain.reading.kept import yield_of
from domain.reading.phrases import phrase_length
from domain.reading.setting_words import SETTING_WORDS, all_words
from domain.reading.tokens import Token, tokenise
from domain.reading.values import LineReading
from domain.reading.vocabulary import Vocabulary

MAX_TITLE_WORDS = 10  # our own limit
MAX_TITLE_CHARACTERS = 100  # our own limit
MIN_TITLE_YIELD = 12  # our own limit: of fewer pieces the line may be an ingredient that we do not know
_CUTS = frozenset((",", "(", "-", "|", "for", "fur", "pour"))
# Words for tins that name a dish too.
_DISHES = frozenset(("tart", "tarte", "pie", "flan", "ring", "sandwich", "brownie", "traybake", "loaf", "cake", "slab"))


def is_titled(text: str, words: Vocabulary) -> bool:
    """Whether a recipe's name stands before its tin or yield: Lemon cake (20 cm square); Almond tart, two 9 inch rings.

    Args:
        text: a line that names a tin or a yield.
        words: of the language.
    Returns:
        True if it does.
    """
    tokens = tokenise(text.strip()) if len(text) <= MAX_TITLE_CHARACTERS else []
    cut = next((at for at, token in enumerate(tokens) if _cuts(tokens, at)), 0)
    head = tokens[:cut]
    if not head or len(head) > MAX_TITLE_WORDS or any(token.kind in ("number", "vulgar") for token in head):
        return False
    if head[0].kind != "word" or phrase_length(head, 0, ("yield", "headingstart", "number"), words):
        return False
    kinds = SETTING_WORDS.get(head[-1].key, {}).keys()
    return not all_words(head) and (head[-1].key in _DISHES or not {"tin", "shape", "oven"} & kinds)


def _cuts(tokens: list[Token], at: int) -> bool:
    """Whether a sign or word parts a name from what follows; a hyphen within a name does not."""
    if tokens[at].key != "-":
        return tokens[at].key in _CUTS
    return 0 < at < len(tokens) - 1 and tokens[at - 1].end < tokens[at].start


def yield_of_title(reading: LineReading, words: Vocabulary) -> int | None:
    """The yield after a recipe's name: Honey cakes - makes 12; Muffins for Monday 24 pcs; Financiers, 60 pièces.

    Args:
        reading: of a recipe's first line.
        words: of the language.
    Returns:
        The number of pieces; None if there is none, or if the line may be an ingredient with an amount.
    """
    tokens = tokenise(reading.text.strip()) if len(reading.text) <= MAX_TITLE_CHARACTERS else []
    for at in range(1, len(tokens)):
        worded = phrase_length(tokens, at, "yield", words) > 0
        if not worded and tokens[at].kind != "number":
            continue
        if any(token.kind in ("number", "vulgar") for token in tokens[:at]):
            return None
        count = yield_of(tokens[at:], words)
        return count if count is not None and (worded or count >= MIN_TITLE_YIELD) else None
    return None
