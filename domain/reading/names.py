"""Names of ingredients in several languages, and suggestions for names that are not known."""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache, lru_cache
from types import MappingProxyType

from domain.errors import DomainError
from domain.reading.tokens import phrase_key
from domain.reading.values import LANGUAGES, Language
from domain.reading.vocabulary import Vocabulary, vocabulary
from domain.reference import rows, words
from domain.things.ingredients import INGREDIENTS, PACKINGS, Ingredient, find_ingredient

MAX_WORDS = 9  # of a name; no name of ours has more
MAX_SUGGESTIONS = 5  # our own choice
SIMILAR = 82  # of 100, rapidfuzz's ratio; our own choice: one wrong letter in six
MIN_TYPO = 4  # our own choice: shorter words are not matched by their letters
MAX_TURNED = 4  # words of a name that is turned round; our own limit
_TYPES = ("t", "typ")  # before the number of a flour, as in type 550
TYPE_DIGITS = (3, 4)
_JOINTS = frozenset(("de", "d'", "du", "des", "a", "au", "aux", "la", "l'"))
_AND = frozenset(("and", "und", "et", "u"))
_SIZES = frozenset(("", "small", "medium", "large", "extra large"))
# Words that change an ingredient only in its form stand in `reading_words.csv` under these kinds.
HARMLESS = ("plain", "size", "packing", "adverb", "level", "of")


@dataclass(frozen=True, slots=True)
class NameTable:
    """The names of one language: by folded phrase, by stems, and the words that mean several ingredients."""

    exact: MappingProxyType[str, str]
    stems: MappingProxyType[str, str]
    ambiguous: MappingProxyType[str, tuple[str, ...]]


@dataclass(frozen=True, slots=True)
class NameReading:
    """What a phrase names: an ingredient's id, or several; and the words around the name."""

    ids: tuple[str, ...]
    before: tuple[str, ...] = ()
    after: tuple[str, ...] = ()


@cache
def name_tables() -> MappingProxyType[str, NameTable]:
    """The names of every language."""
    return MappingProxyType({language: _table(language) for language in LANGUAGES})


def name_in(identity: str, language: Language) -> str:
    """The usual name of an ingredient in a language.

    Args:
        identity: its id.
        language: of the reader of the name.
    Returns:
        The name, or "" where the table has none.

    >>> name_in("butter", "de"), name_in("plain-flour", "en")
    ('Butter', 'plain flour')
    """
    return _usual_names(language).get(identity, "")


@cache
def _usual_names(language: Language) -> MappingProxyType[str, str]:
    if language == "en":
        return MappingProxyType({ingredient.id: ingredient.british for ingredient in INGREDIENTS.values()})
    names = (row for row in rows("ingredient_names") if row["language"] == language)
    return MappingProxyType({row["ingredient"]: words(row["names"])[0] for row in names})


def look_up(key: str, languages: tuple[Language, ...]) -> tuple[str, ...]:
    """The ingredients that a folded phrase names, in the first language that has it.

    Args:
        key: as `phrase_key` gives it.
        languages: in the order in which they are searched.
    Returns:
        One id; several where the phrase is ambiguous; none if it is no name.
    """
    tables = name_tables()
    for language in languages:
        table = tables[language]
        if identity := table.exact.get(key):
            return (identity,)
        if meant := table.ambiguous.get(key):
            return meant
        if identity := table.stems.get(_stem(key, language)):
            return (identity,)
    return ()


def read_name(keys: list[str], language: Language | None) -> NameReading:
    """The ingredient that words name, if all other words leave the ingredient what it is.

    Args:
        keys: folded words, without signs.
        language: whose names come first.
    Returns:
        The reading; without ids if the words name nothing, or if a word might change what they name.
    """
    if not keys or len(keys) > MAX_WORDS + 6:
        return NameReading(())
    return _read_name(tuple(keys), language)


@lru_cache(maxsize=2048)  # a recipe book repeats its ingredients; without it reading takes 1.3 times as long
def _read_name(keys: tuple[str, ...], language: Language | None) -> NameReading:
    words_of = vocabulary(language)
    reading = _find(keys, words_of)
    if reading.ids or (full := _in_full(keys, words_of)) == keys:
        return reading
    return _find(full, words_of)


def _in_full(keys: tuple[str, ...], words_of: Vocabulary) -> tuple[str, ...]:
    """The words without abbreviations, and with the word before a flour's type."""
    full: list[str] = []
    for at, key in enumerate(keys):
        if at and key.isdigit() and len(key) in TYPE_DIGITS and keys[at - 1] != "type":
            if keys[at - 1] in _TYPES:
                full.pop()
            full.append("type")
        full.append(words_of.value("short", key) or key)
    return tuple(full)


def _find(keys: tuple[str, ...], words_of: Vocabulary) -> NameReading:
    count = len(keys)
    first = _harmless_run(keys, words_of)
    last = _harmless_run(keys[::-1], words_of, backwards=True)
    for length in range(min(count, MAX_WORDS), 0, -1):
        starts = [start for start in range(min(first, count - length) + 1) if count - start - length <= last]
        for find in (_straight, _turned):
            for start in starts:
                if ids := find(keys[start : start + length], words_of):
                    return NameReading(ids, keys[:start], keys[start + length :])
    return NameReading(())


def _straight(keys: tuple[str, ...], words_of: Vocabulary) -> tuple[str, ...]:
    return look_up(" ".join(keys), words_of.languages)


def _turned(keys: tuple[str, ...], words_of: Vocabulary) -> tuple[str, ...]:
    """The ingredient of a name whose first words stand last: sugar caster."""
    for turn in range(1, len(keys)) if len(keys) <= MAX_TURNED else ():
        ids = look_up(" ".join((*keys[turn:], *keys[:turn])), words_of.languages)
        if len(ids) == 1:
            return ids
    return ()


def written_name(phrase: str, ingredient: Ingredient) -> str:
    """The phrase itself where it is a name that the service knows, else the ingredient's British name."""
    try:
        if find_ingredient(phrase) is ingredient:
            return phrase
    except DomainError:
        pass
    return ingredient.british


def suggest(keys: list[str], language: Language | None) -> tuple[str, ...]:
    """Ids of ingredients that unknown words may mean; none rather than an implausible one.

    Args:
        keys: folded words of the phrase.
        language: whose names come first.
    Returns:
        First the names with a letter or two mistyped, then the name in the last words of the phrase.
    """
    words_of = vocabulary(language)
    order = words_of.languages
    ids: dict[str, None] = {}
    for each in order:
        ids |= dict.fromkeys(_mistyped(" ".join(keys)[:80], each))
        if ids:
            return tuple(ids)[:MAX_SUGGESTIONS]
    # What follows a word that changes the ingredient is another one: kosher salt is not table salt.
    changing = (at for at, key in enumerate(keys) if "changing" in words_of.words.get(key, ()))
    for start in range(max(0, len(keys) - MAX_WORDS), next(changing, len(keys) - 1) + 1):
        if len(meant := look_up(" ".join(keys[start:]), order)) == 1:
            ids |= dict.fromkeys(meant)
    return tuple(ids)[:MAX_SUGGESTIONS]


def near_names(name: str) -> tuple[str, ...]:
    """Ids of ingredients that an unknown name may mean, the likeliest first.

    Args:
        name: as written, in any language.
    Returns:
        At most five: those of a known word of another language, then as `suggest`.

    >>> near_names("Zucker"), near_names("moon dust")
    (('granulated-sugar',), ())
    """
    keys = phrase_key(name).split()[: MAX_WORDS + 1]
    ids = read_name(keys, None).ids
    return (ids or suggest(keys, None))[:MAX_SUGGESTIONS]


@lru_cache(maxsize=1024)  # its keys are bounded
def _mistyped(key: str, language: Language) -> tuple[str, ...]:
    from rapidfuzz import fuzz, process  # noqa: PLC0415 - only errors need it, so it is not loaded at start

    if len(key) < MIN_TYPO:
        return ()
    names = name_tables()[language].exact
    matches = process.extract(key, names.keys(), scorer=fuzz.ratio, limit=MAX_SUGGESTIONS, score_cutoff=SIMILAR)
    return tuple(dict.fromkeys(names[name] for name, _, _ in matches))


def _harmless_run(keys: tuple[str, ...], words_of: Vocabulary, *, backwards: bool = False) -> int:
    """The number of words at the head that do not change the ingredient; some are pairs, such as free range."""
    run = 0
    while run < len(keys):
        pair = " ".join(keys[run : run + 2][::-1] if backwards else keys[run : run + 2])
        for length, phrase in ((2, pair), (1, keys[run])):
            kinds = words_of.phrases.get(phrase, ())
            if any(kind in kinds for kind in HARMLESS):
                run += length
                break
        else:
            if not (run and keys[run] in _AND and _harmless_run(keys[run + 1 : run + 2], words_of)):
                return run
            run += 1  # torréfiées et concassées
    return min(run, len(keys))


def packing_word(key: str, words_of: Vocabulary) -> str:
    """The packing that a word names, or ""."""
    if packing := words_of.value("packing", key):
        return packing
    return key if key in PACKINGS else ""


def _stem(phrase: str, language: str) -> str:
    return " ".join(_STEMS[language](word) for word in phrase.split(" "))


def _english(word: str) -> str:
    if len(word) > 3:
        if word.endswith("ies"):
            return word[:-3] + "y"
        if word.endswith("ves"):
            return word[:-3] + "f"
        if word.endswith(("oes", "shes", "ches", "xes")):
            return word[:-2]
        if word.endswith("s") and not word.endswith("ss"):
            return word[:-1]
    return word


def _german(word: str) -> str:
    for _ in range(2):  # gemahlene, gemahlen
        if len(word) < 5 or word[-1] not in "nmrse":
            return word
        for ending in ("en", "em", "er", "es", "e", "n", "s"):
            if len(word) - len(ending) > 3 and word.endswith(ending):
                word = word.removesuffix(ending)
                break
    return word


def _french(word: str) -> str:
    return word[:-1] if len(word) > 3 and word.endswith(("s", "x")) else word


_STEMS = {"en": _english, "de": _german, "fr": _french}


def _names_of(language: str) -> Iterator[tuple[str, str]]:
    if language == "en":
        for ingredient in INGREDIENTS.values():
            for name in (ingredient.id, ingredient.british, ingredient.american, *ingredient.other_names):
                yield name, ingredient.id
            for kind in ingredient.pieces.keys() - _SIZES:  # plum tomatoes, gold leaf gelatine
                yield f"{kind} {ingredient.british}", ingredient.id
    for row in rows("ingredient_names"):
        if row["language"] == language:
            for name in words(row["names"]):
                yield name, row["ingredient"]
    for row in rows("reading_words"):
        if row["language"] == language and row["kind"] == "alias":
            yield row["word"], row["value"]


def _table(language: str) -> NameTable:
    exact: dict[str, str] = {}
    for name, identity in _names_of(language):
        if identity not in INGREDIENTS:
            raise ValueError(f"{name!r} names an unknown ingredient {identity!r}")
        for key in _spellings(name):
            if exact.setdefault(key, identity) != identity:
                raise ValueError(f"{name!r} names two ingredients in {language!r}: {identity}, {exact[key]}")
    ambiguous = _ambiguous(language, exact)
    exact |= _without_joints(exact, ambiguous) if language == "fr" else {}
    stems: dict[str, str] = {}
    clashes = {_stem(key, language) for key in ambiguous}
    for key, identity in exact.items():
        stem = _stem(key, language)
        if stems.setdefault(stem, identity) != identity:
            clashes.add(stem)  # two names with one stem: only their exact forms count
    for stem in clashes:
        stems.pop(stem, None)
    return NameTable(MappingProxyType(exact), MappingProxyType(stems), MappingProxyType(ambiguous))


def _without_joints(exact: dict[str, str], ambiguous: dict[str, tuple[str, ...]]) -> dict[str, str]:
    """French names as messages shorten them, without the words between: graines pavot; poudre amandes."""
    meant: dict[str, set[str]] = {}
    for key, identity in exact.items():
        short = " ".join(word for word in key.split(" ") if word not in _JOINTS)
        if " " in short and short not in exact and short not in ambiguous:
            meant.setdefault(short, set()).add(identity)
    return {short: identity for short, (identity, *others) in meant.items() if not others}


def _ambiguous(language: str, exact: dict[str, str]) -> dict[str, tuple[str, ...]]:
    table: dict[str, tuple[str, ...]] = {}
    for row in rows("ambiguous_names" if language == "en" else "ambiguous_foreign_names"):
        if language not in ("en", row.get("language")):
            continue
        meant = words(row["ingredients"])
        for key in _spellings(row["word"]):
            if key in exact or not all(identity in INGREDIENTS for identity in meant):
                raise ValueError(f"{row['word']!r} is a name of its own, or means an unknown ingredient")
            table[key] = meant
    return table


def _spellings(name: str) -> set[str]:
    """The folded name, and for German also with ae, oe and ue."""
    lower = name.casefold()
    spelled = lower.replace("ä", "ae").replace("ö", "oe").replace("ü", "ue")
    return {phrase_key(name), phrase_key(spelled)}
