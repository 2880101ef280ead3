"""Letters that a scanner read in place of figures: `l75 g`, `25O g`, `l 1/2 cups`, `O.5 tsp`, `Cuire l heure`."""

import re
from collections.abc import Mapping
from copy import replace
from types import MappingProxyType

from domain.reading.names import look_up
from domain.reading.setting_words import SETTING_WORDS
from domain.reading.tokens import fold
from domain.reading.unit_words import english_unit
from domain.reading.values import LineReading, Remark
from domain.reading.vocabulary import Vocabulary

_NONE: Mapping[str, object] = MappingProxyType({})
# Each pattern takes a letter only where a word begins, or after the figures with which a word begins: not H2O, not oil.
_SPOILT = re.compile(r"(?<![^\W_])(?:[lI](?=[0-9O/\s])|[0-9lI]++O|O(?=[.,]?[0-9]))")
_AFTER_FIGURES = r"(?=(?:kg|g|ml|cl|dl|°|[CF])(?![^\W\d_])|[^\w]|_|$)"  # a unit, or the end of the word
_ONE = re.compile(rf"(?<![^\W_])[lI](?=[0-9]|O++{_AFTER_FIGURES}|/[0-9])")
_ONE_AND = re.compile(r"(?<![^\W_])(?<![0-9]\s)[lI](?=\s++(?:[0-9]/[0-9]|[¼-¾⅐-⅞]))")  # not 1 l 1/2 tsp
_ONE_ALONE = re.compile(r"(?<![^\W_])(?<!['’])[lI](?=[ \u00a0](?P<word>[^\W\d_]++))")
_ZEROS = re.compile(rf"(?<![^\W_])(?P<head>[0-9]++)(?P<zeros>O++){_AFTER_FIGURES}")
_ZERO_FIRST = re.compile(r"(?<![^\W_])O(?=[.,]?[0-9])")
_WORDS = re.compile(r"[^\s,;()]++")
_MEASURES = frozenset(("unit", "pack", "size", "cupunit", "level", "stick"))
_TIMES = frozenset(("hour", "minute"))


def as_figures(text: str, words: Vocabulary) -> str:
    """The text with figures in place of letters that can be nothing else; every character keeps its place.

    Args:
        text: one line.
        words: of the language.
    Returns:
        The line; the same one if no letter stands for a figure.
    """
    if _SPOILT.search(text) is None:
        return text
    text = _ONE_AND.sub("1", _ONE.sub("1", text))
    if "O" in text:
        text = _ZEROS.sub(lambda match: match["head"] + "0" * len(match["zeros"]), text)
        text = _ZERO_FIRST.sub("0", text)
    return _ONE_ALONE.sub(lambda match: "1" if _is_one(text, match, words) else match[0], text)


def _is_one(text: str, alone: re.Match[str], words: Vocabulary) -> bool:
    """Whether a lone letter counts what follows: l teaspoon salt; bake for l hour; but not 2 l milk."""
    before = text[: alone.start()].rstrip()
    if before[-1:].isnumeric():
        return False
    key = fold(alone["word"])
    kinds = words.longest.get(key, _NONE).keys()  # of phrases too: cuillère à soupe
    if kinds & _MEASURES or english_unit(key) or SETTING_WORDS.get(key, _NONE).keys() & _TIMES:
        return True
    first = not any(map(str.isalnum, before))  # in French, l before a name is an article without its apostrophe
    return first and words.languages[0] != "fr" and alone[0] == "l" and bool(look_up(key, words.languages))


def with_scanned(readings: tuple[LineReading, ...], text: str, figures: str, start: int) -> tuple[LineReading, ...]:
    """The readings of a line that `as_figures` changed, with its own words and a remark about what was taken.

    Args:
        readings: of the changed line.
        text: the line as it was written.
        figures: the changed line.
        start: its place in the whole text.
    Returns:
        The readings.
    """
    pairs = zip(_WORDS.findall(text), _WORDS.findall(figures), strict=True)
    taken = ", ".join(f"'{written}' is read as {read}" for written, read in pairs if written != read)
    remark = Remark(code="taken", message=f"{taken}.")
    return tuple(
        replace(each, text=text[each.start - start : each.end - start], remarks=(*each.remarks, remark))
        for each in readings
    )
