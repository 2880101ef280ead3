"""Units as recipes name them: English spellings, kitchen words, and the ratio of two units."""

from fractions import Fraction

from domain.errors import AmbiguousError, DomainError
from domain.measures.units import KITCHEN_WORDS, UNITS, Measures, Unit, resolve_unit
from domain.reference import rows, words

COUNTED = frozenset(("", "each", "piece"))  # units of a count; "" where none is written
# Grams by definition: the German and French pound (Pfund, livre), and the Austrian decagram.
WEIGHT_UNITS = frozenset(("g", "kg", "oz", "lb"))
METRIC_G = {"pfund": 500, "dag": 10}
_ENGLISH_UNITS: dict[str, str] = {}
_LONGEST: dict[str, int] = {}


def _load_english_units() -> None:
    for table in ("units", "vague_measures"):
        for row in rows(table):
            if UNITS[row["unit"]].dimension in ("mass", "volume", "count", "length"):
                for word in (row["unit"], *words(row["spellings"])):
                    _ENGLISH_UNITS[word.replace("_", " ")] = row["unit"]
                    _ENGLISH_UNITS.setdefault(word.replace("_", " ") + "s", row["unit"])
    for word, entry in KITCHEN_WORDS.items():
        _ENGLISH_UNITS[word.replace("_", " ")] = entry.word
        _ENGLISH_UNITS.setdefault(word.replace("_", " ") + "s", entry.word)
    for phrase in _ENGLISH_UNITS:
        head = phrase.split(" ", 1)[0]
        _LONGEST[head] = max(_LONGEST.get(head, 1), phrase.count(" ") + 1)


_load_english_units()


def english_unit(phrase: str) -> str | None:
    """The unit or kitchen word that an English phrase names."""
    return _ENGLISH_UNITS.get(phrase)


def longest_unit(word: str) -> int:
    """How many words the longest English unit has that starts with a word; 0 if none does."""
    return _LONGEST.get(word, 0)


def unit_of(word: str, measures: Measures | None) -> Unit | None:
    """The unit of an id or kitchen word; None if the measures do not decide it."""
    try:
        return resolve_unit(word, measures)
    except DomainError:
        return None


def is_bare(word: str, measures: Measures | None) -> bool:
    """Whether a unit is a kitchen word that needs the measures."""
    try:
        resolve_unit(word, measures)
    except AmbiguousError:
        return True
    except DomainError:
        return False
    return False


def ratio(first: str, second: str, measures: Measures | None) -> Fraction | None:
    """How many of the second unit make one of the first.

    Args:
        first: a unit's id or a kitchen word.
        second: the other.
        measures: whose kitchen words; without, the ratio of the US measures, which are the same among themselves.
    Returns:
        The exact ratio; None if they measure different things.
    """
    one_of_first = unit_of(first, measures) or unit_of(first, "us")
    one_of_second = unit_of(second, measures) or unit_of(second, "us")
    if one_of_first is None or one_of_second is None or one_of_first.dimension != one_of_second.dimension:
        return None
    if one_of_first.dimension not in ("mass", "volume") or one_of_first.vague or one_of_second.vague:
        return None
    return one_of_first.factor / one_of_second.factor
