"""Several ingredients in one line: two columns, a list with commas, and a heading that the first of them follows."""

from collections.abc import Callable
from copy import replace
from itertools import pairwise

from domain.reading.kept import MOST_HEADING_WORDS, is_heading
from domain.reading.tokens import Token
from domain.reading.values import LineReading
from domain.reading.vocabulary import Vocabulary

Readings = tuple[LineReading, ...]
Reader = Callable[[str, int], Readings]
_SIGNS = frozenset((",", ";", "/", "+", "&"))
_INTO = frozenset(("in", "with", "mit", "avec", "dans"))  # raisins soaked in 2 tbsp rum
_AMBIGUOUS = "ambiguous_ingredient"


def split_line(base: LineReading, tokens: list[Token], words: Vocabulary, read: Reader) -> Readings:
    """The readings of a line's parts, if every part has an amount of an ingredient.

    Args:
        base: the line.
        tokens: of the line.
        words: of the language.
        read: reads a part, given its text and its place in the whole text.
    Returns:
        The readings, which together cover the line; none if a part is no ingredient with an amount.
    """
    if headed := _headed(base, tokens, words, read):
        return headed
    starts = [at for at in range(1, len(tokens)) if tokens[at].kind in ("number", "vulgar")]
    columns = [(at, at) for at in starts if _is_gap(base.text, tokens, at)]
    joined = [(at - 1, at) for at in starts if _joins(tokens[at - 1], words)]
    joined += [
        (at - 1, at)
        for at in range(2, len(tokens))
        if _joins(tokens[at - 1], words) and words.value("part", tokens[at].key) is not None
    ]
    listed = [(at, at + 1) for at in range(1, len(tokens) - 1) if tokens[at].key in ",;"]  # butter 250 g, sugar 200 g
    for cuts in (columns, sorted(joined), listed):
        if cuts and (readings := _parts(base, tokens, cuts, read)):
            return readings
    return ()


def _headed(base: LineReading, tokens: list[Token], words: Vocabulary, read: Reader) -> Readings:
    """For the glaze: 100 g icing sugar, 2 tbsp water."""
    colon = next((at for at, token in enumerate(tokens[: MOST_HEADING_WORDS + 1]) if token.key == ":"), 0)
    if not colon or colon + 1 == len(tokens) or not is_heading(tokens[:colon], words):
        return ()
    place = tokens[colon + 1].start
    readings = read(base.text[place:], base.start + place)
    if not all(map(_is_ingredient, readings)):
        return ()
    title = base.text[tokens[0].start : tokens[colon].start].strip()
    heading = replace(
        base, text=base.text[:place], end=base.start + place, kept_as="heading", rule="heading", heading=title
    )
    return (heading, *readings)


def _is_gap(text: str, tokens: list[Token], at: int) -> bool:
    """Whether a tab or several spaces stand before a token."""
    between = text[tokens[at - 1].end : tokens[at].start]
    return len(between) > 1 or between == "\t"


def _joins(token: Token, words: Vocabulary) -> bool:
    return token.key in _SIGNS or token.key in _INTO or words.value("plus", token.key) is not None


def _parts(base: LineReading, tokens: list[Token], cuts: list[tuple[int, int]], read: Reader) -> Readings:
    """The readings of the parts between cuts, each a joint and the amount that follows it."""
    readings: list[LineReading] = []
    bounds = [(0, 0), *((tokens[joint].start, tokens[amount].start) for joint, amount in cuts), (len(base.text),) * 2]
    for (start, at), (end, _) in pairwise(bounds):
        of_part = read(base.text[at:end].rstrip(), base.start + at)
        if not all(map(_is_ingredient, of_part)):
            return ()
        first, last = of_part[0], of_part[-1]
        if len(of_part) == 1:
            readings.append(_covering(first, base, start, end))
        else:
            readings += [_covering(first, base, start, first.end - base.start), *of_part[1:-1]]
            readings.append(_covering(last, base, last.start - base.start, end))
    return tuple(readings)


def _covering(reading: LineReading, base: LineReading, start: int, end: int) -> LineReading:
    return replace(reading, text=base.text[start:end], start=base.start + start, end=base.start + end)


def _is_ingredient(reading: LineReading) -> bool:
    """Whether a part is an ingredient with an amount, or one that only its kind is asked of."""
    asked = bool(reading.questions) and reading.questions[0].code == _AMBIGUOUS
    return reading.kind == "line" or (reading.kind == "question" and (bool(reading.ingredient_id) or asked))
