"""The words of written recipes, by language, from `reading_words.csv` and its neighbours."""

from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from types import MappingProxyType

from domain.reading.tokens import phrase_key
from domain.reading.values import LANGUAGES, Language
from domain.reference import rows

LONGEST_PHRASE = 4  # words


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """All words for one language: its own come first, then those of the other languages.

    `words` gives the kinds of a single word, each with its value; `phrases` gives those of up to four words. `longest`
    gives for the first word of phrases how many words the longest of each kind has.
    """

    words: Mapping[str, Mapping[str, str]]
    phrases: Mapping[str, Mapping[str, str]]
    longest: Mapping[str, Mapping[str, int]]
    languages: tuple[Language, ...]

    def value(self, kind: str, key: str) -> str | None:
        """What a word of this kind stands for, or None if it is not of this kind."""
        kinds = self.phrases.get(key)
        return None if kinds is None else kinds.get(kind)


@cache  # one for each language, and one without
def vocabulary(language: Language | None) -> Vocabulary:
    """The vocabulary of a language.

    Args:
        language: whose words come first; None is English first.
    Returns:
        The vocabulary.
    """
    first: Language = language or "en"
    order = (first, *(each for each in LANGUAGES if each != first))
    table: dict[str, dict[str, str]] = {}
    longest: dict[str, dict[str, int]] = {}
    for each in order:
        for row in rows("reading_words"):
            if row["language"] != each:
                continue
            # A single capital letter keeps its case: T is a tablespoon, t a teaspoon.
            key = row["word"] if row["kind"] == "shortunit" else phrase_key(row["word"])
            if row["kind"] == "shortunit" and each != first:
                continue
            table.setdefault(key, {}).setdefault(row["kind"], row["value"])
            of_head = longest.setdefault(key.split(" ", 1)[0], {})
            of_head[row["kind"]] = max(of_head.get(row["kind"], 1), key.count(" ") + 1)
    single = {key: kinds for key, kinds in table.items() if " " not in key}
    # Plain dictionaries, because every word of a text is looked up several times.
    return Vocabulary(words=single, phrases=table, longest=longest, languages=order)


@dataclass(frozen=True, slots=True)
class PackWeight:
    """What one pack holds, with its range, in `unit`; `published` by a source, or common practice."""

    amount: Fraction
    unit: str
    low: Fraction
    high: Fraction
    published: bool


@dataclass(frozen=True, slots=True)
class SpoonLevel:
    """How much of a level measure a word means."""

    factor: Fraction
    low: Fraction
    high: Fraction


PACK_WEIGHTS: MappingProxyType[tuple[str, str, str], PackWeight] = MappingProxyType(
    {
        (row["language"], row["pack"], row["ingredient"]): PackWeight(
            Fraction(row["amount"]),
            row["unit"],
            Fraction(row["low"]),
            Fraction(row["high"]),
            row["source"] != "trade-common",
        )
        for row in rows("pack_weights")
    }
)
SPOON_LEVELS: MappingProxyType[str, SpoonLevel] = MappingProxyType(
    {
        row["level"]: SpoonLevel(Fraction(row["factor"]), Fraction(row["low"]), Fraction(row["high"]))
        for row in rows("spoon_levels")
    }
)
PLAUSIBLE: MappingProxyType[str, Fraction] = MappingProxyType(
    {row["unit"]: Fraction(row["greatest"]) for row in rows("plausible_amounts")}
)
