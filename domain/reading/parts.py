"""Parts of fruits and eggs that are named before them: juice of half a lemon, zest of 2 oranges, yolks of 3 eggs."""

from collections.abc import Mapping
from copy import replace
from types import MappingProxyType

from domain.reading.measured import Measured
from domain.reading.measures import MeasureReader
from domain.reading.names import look_up
from domain.reading.tokens import Token
from domain.reading.unit_words import COUNTED
from domain.reading.vocabulary import Vocabulary
from domain.things.ingredients import INGREDIENTS

MAX_FILLERS = 4  # words before that for the part; our own limit
_NONE: Mapping[str, str] = MappingProxyType({})
_EGGS = frozenset(("egg", "eggs", "ei", "eiern", "eier", "oeuf", "oeufs"))


def read_parts(
    tokens: list[Token], at: int, reader: MeasureReader, words: Vocabulary
) -> tuple[str, Measured, int] | None:
    """A part of a fruit or an egg: juice of half a lemon, finely grated zest of 2 oranges, yolks of 3 eggs.

    Args:
        tokens: of the line.
        at: where the part would start.
        reader: of the same line.
        words: of the language.
    Returns:
        The ingredient's id, the count and where the phrase ends; None if it is no part.
    """
    place = _part_at(tokens, at, words)
    if place is None:
        return None
    part, after = words.value("part", tokens[place].key), place + 1
    while _is_one_of(("packing", "plain"), tokens, after, words):  # le zeste râpé
        after += 1
    measured = reader.simple(reader.skip(after, "of"))
    if measured is None or measured.unit not in COUNTED or measured.pack or measured.vague:
        return None
    end = reader.skip(measured.end, "of")
    while end < len(tokens) and (tokens[end].key == "-" or _is_one_of(("plain", "size"), tokens, end, words)):
        end += 1
    if part == "pod":
        length = _pod_length(tokens, end, words)
        return ("vanilla-pod", measured, end + length) if length else None
    if part in ("yolk", "white"):
        is_egg = end < len(tokens) and tokens[end].key in _EGGS
        return (f"egg-{part}", measured, end + 1) if is_egg else None
    for length in (3, 2, 1):
        group = tokens[end : end + length]
        fruit = words.value("fruit", " ".join(token.key for token in group if token.key != "-"))
        if fruit and f"{fruit}-{part}" in INGREDIENTS:
            return f"{fruit}-{part}", replace(measured, unit="each"), end + length
    return None


def _part_at(tokens: list[Token], at: int, words: Vocabulary) -> int | None:
    """The place of the word for the part, with words such as "finely grated" before it; None if there is none."""
    for place in range(at, min(len(tokens), at + MAX_FILLERS + 1)):
        if words.value("part", tokens[place].key) is not None:
            return place
        if not _is_one_of(("adverb", "packing", "plain", "of"), tokens, place, words):
            return None
    return None


def _is_one_of(kinds: tuple[str, ...], tokens: list[Token], at: int, words: Vocabulary) -> bool:
    return at < len(tokens) and any(kind in words.words.get(tokens[at].key, _NONE) for kind in kinds)


def _pod_length(tokens: list[Token], at: int, words: Vocabulary) -> int:
    """The number of tokens at a place that name a vanilla pod, 0 if none do."""
    for length in (3, 2, 1):
        if "vanilla-pod" in look_up(" ".join(token.key for token in tokens[at : at + length]), words.languages):
            return length
    return 0
