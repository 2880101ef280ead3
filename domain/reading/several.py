"""Several ingredients in one line: two columns, a list with commas, and a heading that the first of them follows."""

from collections.abc import Callable, Sequence
from copy import replace
from itertools import pairwise

from domain.reading.kept import MAX_HEADING_WORDS, is_heading
from domain.reading.numbers import plain_number
from domain.reading.tokens import Token, phrase_key
from domain.reading.values import LineReading
from domain.reading.vocabulary import Vocabulary

Readings = tuple[LineReading, ...]
Reader = Callable[[str, int], Readings]
_SIGNS = frozenset((",", ";", "/", "+", "&"))
_INTO = frozenset(("in", "with", "mit", "avec", "dans"))  # raisins soaked in 2 tbsp rum
MAX_WITHOUT_SUM = 3  # fewer amounts have no sum among them
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
    colon = _head(tokens, words)
    at = colon + 1 if colon else 0
    start = tokens[at].start if colon else 0
    readings = read(base.text[start:], base.start + start) if colon else ()
    if not (readings and all(map(_is_ingredient, readings))):
        place = replace(base, text=base.text[start:], start=base.start + start)
        readings = _split(place, [_moved(token, start) for token in tokens[at:]], words, read)
    if not colon or not readings:
        return readings
    title = base.text[tokens[0].start : tokens[colon].start].strip()
    title = "" if words.value("methodheading", phrase_key(title)) is not None else title  # Zutaten: 250 g Butter
    text = base.text[:start]
    return (
        replace(base, text=text, end=base.start + start, kept_as="heading", rule="heading", heading=title),
        *readings,
    )


def _moved(token: Token, start: int) -> Token:
    return replace(token, start=token.start - start, end=token.end - start)


def _split(base: LineReading, tokens: list[Token], words: Vocabulary, read: Reader) -> Readings:
    """The readings of the parts at the first kind of cut where every part is an ingredient with an amount."""
    starts = [at for at in range(1, len(tokens)) if tokens[at].kind in ("number", "vulgar")]
    columns = [(at, at) for at in starts if _is_gap(base.text, tokens, at)]
    joined = [
        (at - 1, at) for at in range(2, len(tokens)) if _joins(tokens[at - 1], words) and _begins(tokens[at], words)
    ]
    listed = [(at, at + 1) for at in range(1, len(tokens) - 1) if tokens[at].key in ",;"]  # butter 250 g, sugar 200 g
    for cuts in dict.fromkeys(map(tuple, (columns, joined, sorted({*columns, *joined}), listed))):
        if cuts and (readings := _parts(base, tokens, cuts, read)):
            return readings
    return ()


def _head(tokens: list[Token], words: Vocabulary) -> int:
    """The place of a colon after the words of a heading: For the glaze: 100 g icing sugar; 0 without one."""
    colon = next((at for at, token in enumerate(tokens[: MAX_HEADING_WORDS + 1]) if token.key == ":"), 0)
    return colon if colon and colon + 1 < len(tokens) and is_heading(tokens[:colon], words) else 0


def _is_gap(text: str, tokens: list[Token], at: int) -> bool:
    """Whether a tab or several spaces stand before a token."""
    between = text[tokens[at - 1].end : tokens[at].start]
    return len(between) > 1 or between == "\t"


def _begins(token: Token, words: Vocabulary) -> bool:
    return token.kind in ("number", "vulgar") or words.value("part", token.key) is not None


def _joins(token: Token, words: Vocabulary) -> bool:
    return token.key in _SIGNS or token.key in _INTO or words.value("plus", token.key) is not None


def _parts(base: LineReading, tokens: list[Token], cuts: Sequence[tuple[int, int]], read: Reader) -> Readings:
    """The readings of the parts between cuts, each a joint and the amount that follows it."""
    readings: list[LineReading] = []
    bounds = [(0, 0), *((tokens[joint].start, tokens[amount].start) for joint, amount in cuts), (len(base.text),) * 2]
    for (start, at), (end, _) in pairwise(bounds):
        of_part = read(base.text[at:end].rstrip(), base.start + at)
        if len(of_part) > 1 or not _is_ingredient(of_part[0]):
            return ()
        readings.append(replace(of_part[0], text=base.text[start:end], start=base.start + start, end=base.start + end))
    return () if _is_breakdown(readings) else tuple(readings)


def _is_breakdown(readings: list[LineReading]) -> bool:
    """500 g mixed fruit, 200 g raisins, 300 g sultanas: the rest may be what the first is made of."""
    amounts = [each.quantity.split(" ", 1) for each in readings if each.kind == "line"]
    if (
        len(amounts) < MAX_WITHOUT_SUM
        or {len(each) for each in amounts} != {2}
        or len({each[1] for each in amounts}) > 1
    ):
        return False
    values = [plain_number(value, "point") for value, _ in amounts]
    return all(values) and values[0][0] == sum(value[0] for value in values[1:])


def _is_ingredient(reading: LineReading) -> bool:
    """Whether a part is an ingredient with an amount, or one that only its kind is asked of."""
    is_ambiguous = bool(reading.questions) and reading.questions[0].code == _AMBIGUOUS
    return reading.kind == "line" or (reading.kind == "question" and (bool(reading.ingredient_id) or is_ambiguous))
