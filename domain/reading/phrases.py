"""What stands after an amount: the name, the words after commas and in brackets, notes and further amounts."""

from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from domain.reading.measured import Measured
from domain.reading.measures import MeasureReader
from domain.reading.names import look_up
from domain.reading.tokens import Token, joined_text
from domain.reading.unit_words import english_unit
from domain.reading.values import ReadingOptions
from domain.reading.vocabulary import LONGEST_PHRASE, Vocabulary

_OPENING, _CLOSING = frozenset("(["), frozenset(")]")
_ENDING = _OPENING | frozenset(",;|@=")  # signs that end a name
_DIVIDING = _OPENING | _CLOSING | frozenset(",;|@")  # signs between what stands after a name
_EGG_LETTERS = {"s": "small", "m": "medium", "l": "large", "xl": "extra_large"}
_NONE: Mapping[str, str] = MappingProxyType({})
IMPLIED = ("pinch", "dash")  # units that mean one where no number stands
_VERY = frozenset(("extra", "sehr", "tres"))  # before "large"
_ASIDES = ("note", "state")  # kinds of words that end a name
_UNSAID = ReadingOptions()
_OF_SIZE = frozenset(("de", "of", "a", "mit", "von"))
_NO_AMOUNTS = frozenset(("cm", "mm", "in", "each", "piece"))  # units of sizes and counts
_SPOONS = frozenset(("el", "tl", "cas", "cac"))  # German and French spoons, which are amounts in every language
_WEIGHED = frozenset(("g", "kg", "mg", "ml", "cl", "dl", "l", "oz", "lb"))


@dataclass(frozen=True, slots=True, kw_only=True)
class Phrase:
    """The parts of a phrase. `name`, `keys` and `texts` are its name, `segments` what stands after it.

    `other` is a second name after "or"; `bracket` a measure in brackets; `amounts` says that further amounts
    stand in the phrase, `amounts_in_name` that they stand in the name itself; `next_amount` is the place of a
    further ingredient with an amount of its own. `counted` has the ids of what is counted after the name, `either`
    says that another choice stands in brackets. `fruit` and `parts` are a lemon and its juice.
    """

    keys: list[str] = field(default_factory=list)
    name: str = ""
    texts: tuple[str, ...] = ()
    other: list[str] = field(default_factory=list)
    segments: tuple[str, ...] = ()
    segment_keys: tuple[list[str], ...] = ()
    notes: tuple[str, ...] = ()
    size: str = ""
    bracket: Measured | None = None
    bracket_each: bool = False
    amounts: bool = False
    amounts_in_name: bool = False
    next_amount: int | None = None
    counted: frozenset[str] = frozenset()
    either: bool = False
    fruit: str = ""
    parts: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class _Rest:
    """What stands after a name, or one group of it: the fields of `Phrase` that it gives."""

    texts: tuple[str, ...] = ()
    keys: tuple[list[str], ...] = ()
    notes: tuple[str, ...] = ()
    size: str = ""
    bracket: Measured | None = None
    bracket_each: bool = False
    amounts: bool = False
    counted: frozenset[str] = frozenset()
    either: bool = False


def split_phrase(tokens: list[Token], at: int, words: Vocabulary) -> Phrase:
    """Take the words from a token on apart.

    Args:
        tokens: of the line.
        at: where the name starts.
        words: of the language.
    Returns:
        The parts.
    """
    end, other_at, next_amount = _end_of_name(tokens, at, words)
    name_end = other_at if other_at is not None else end
    if next_amount is None:
        next_amount = _joined_amount(tokens, end, words)
    keys, size = _name_keys(tokens[at:name_end], words)
    rest = _rest(tokens[end:], words)
    bracket, each = rest.bracket, rest.bracket_each
    name_amounts = has_amount(tokens[at:name_end], words)
    if name_amounts and bracket is None and (held := _held_after(tokens[at:name_end], words)) is not None:
        bracket, name_end = held[0], at + held[1]
        each, name_amounts = True, False
        keys, size = _name_keys(tokens[at:name_end], words)
    parts = [value for token in tokens[at:] if (value := words.value("part", token.key)) in ("juice", "zest")]
    return Phrase(
        keys=keys,
        name=joined_text(tokens[at:name_end]),
        texts=tuple(
            [token.text for token in tokens[at:name_end] if token.kind in ("word", "number") or token.key == "%"]
        ),
        other=[token.key for token in tokens[name_end + 1 : end] if token.kind == "word"] if other_at else [],
        segments=rest.texts,
        segment_keys=rest.keys,
        notes=rest.notes,
        size=size or rest.size,
        bracket=bracket,
        bracket_each=each,
        amounts=rest.amounts or name_amounts,
        counted=rest.counted,
        either=rest.either,
        amounts_in_name=name_amounts,
        next_amount=next_amount,
        fruit=_fruit(keys, words),
        parts=tuple(dict.fromkeys(parts)),
    )


def _end_of_name(tokens: list[Token], at: int, words: Vocabulary) -> tuple[int, int | None, int | None]:
    """Where a name ends, where "or" stands in it, and where a further amount follows it."""
    other_at = None
    for end in range(at, len(tokens)):
        if _ends_name(tokens, end, at, words):
            return end, other_at, None
        token = tokens[end]
        if end > at and other_at is None and "or" in words.phrases.get(token.key, _NONE):
            other_at = end
        joint = end > at and (token.key == "+" or words.value("plus", token.key) is not None)
        if joint and _amount_follows(tokens, end, words):
            return end, other_at, end
        if joint and token.key == "+":  # + extra for topping
            return end, other_at, None
    return max(at, len(tokens)), other_at, None


def _ends_name(tokens: list[Token], at: int, start: int, words: Vocabulary) -> bool:
    token = tokens[at]
    if token.kind == "sign" and (token.key in _ENDING or _spaced_dash(tokens, at)):
        return True
    if token.key in (".", ":") and at == len(tokens) - 1:
        return True
    each = at > start and "apiece" in words.phrases.get(token.key, _NONE)
    return bool(phrase_length(tokens, at, _ASIDES, words)) or (each and _amount_follows(tokens, at, words))


def _fruit(keys: list[str], words: Vocabulary) -> str:
    """The fruit that a name is; "" if it is none."""
    for length in (2, 1):
        if len(keys) <= 4 and (fruit := words.value("fruit", " ".join(keys[-length:]))):
            return fruit
    first = words.value("fruit", keys[0]) if len(keys) > 1 else None
    return first if first and _all_plain(keys[1:], words) else ""  # citron non traité


def _all_plain(keys: list[str], words: Vocabulary) -> bool:
    return words.value("plain", " ".join(keys)) is not None or all(
        words.value("plain", key) is not None for key in keys
    )


def _held_after(tokens: list[Token], words: Vocabulary) -> tuple[Measured, int] | None:
    """The size of a pack after its name, and where it starts: a carton of cream of 20 cl; Kokosmilch à 400 ml."""
    for at in range(1, len(tokens) - 2):
        if tokens[at].key in _OF_SIZE and tokens[at + 1].kind == "number":
            measured = MeasureReader(tokens, words, _UNSAID).simple(at + 1)
            if measured is not None and measured.unit in _WEIGHED and measured.end == len(tokens):
                return measured, at
    return None


def _amount_follows(tokens: list[Token], at: int, words: Vocabulary) -> bool:
    following = tokens[at + 1] if at + 1 < len(tokens) else None
    if following is None or following.kind in ("number", "vulgar"):
        return following is not None
    if (words.value("unit", following.key) or english_unit(following.key)) in IMPLIED:  # + pinch of salt
        return True
    after = tokens[at + 2].key if at + 2 < len(tokens) else ""
    return words.value("number", following.key) is not None and words.value("vague", after) is None


def _joined_amount(tokens: list[Token], at: int, words: Vocabulary) -> int | None:
    """The place of "plus" after a comma and before an amount: 1 large egg, plus 1 egg yolk."""
    for place in range(at, len(tokens) - 1):
        if tokens[place].key in _OPENING:
            return None
        joint = tokens[place].key == "+" or words.value("plus", tokens[place].key) is not None
        if joint and place and tokens[place - 1].key == "," and _amount_follows(tokens, place, words):
            return place
    return None


def phrase_length(tokens: list[Token], at: int, kinds: str | tuple[str, ...], words: Vocabulary) -> int:
    """The number of tokens at a place that form a phrase of one of some kinds.

    Args:
        tokens: of the line; hyphens and full stops between the words do not matter.
        at: the first token.
        kinds: of the vocabulary, one or several.
        words: of the language.
    Returns:
        The number of tokens, 0 if they form none.
    """
    of_kinds = words.longest.get(tokens[at].key)
    if of_kinds is None:
        return 0
    wanted = (kinds,) if isinstance(kinds, str) else kinds
    longest = min(max([of_kinds.get(kind, 0) for kind in wanted]), LONGEST_PHRASE)
    keys: list[str] = []
    best = 0
    place = at
    while place < len(tokens) and len(keys) < longest:
        if tokens[place].kind == "word":
            keys.append(tokens[place].key)
            meanings = words.phrases.get(" ".join(keys), _NONE)
            if not meanings.keys().isdisjoint(wanted):
                best = place + 1 - at
        elif tokens[place].key not in "-.'":
            break
        place += 1
    return best


def _spaced_dash(tokens: list[Token], at: int) -> bool:
    token = tokens[at]
    return token.key in ("-", "/") and at > 0 and tokens[at - 1].end < token.start


def _name_keys(tokens: list[Token], words: Vocabulary) -> tuple[list[str], str]:
    """The folded words of a name; a percentage and an egg's size are taken out."""
    keys: list[str] = []
    size, at = "", 0
    while at < len(tokens):
        token = tokens[at]
        following = tokens[at + 1].key if at + 1 < len(tokens) else ""
        kinds = words.phrases.get(token.key, _NONE)
        if "sizemark" in kinds:
            place = at + 2 if following == "." else at + 1
            letter = tokens[place].key if place < len(tokens) else ""
            if letter in _EGG_LETTERS:
                size, at = _EGG_LETTERS[letter], place + 1
                continue
        place = at + 1 + (following == "-")
        very = token.key in _VERY and place < len(tokens)
        if very and words.value("size", tokens[place].key) == "large":
            size, at = "extra_large", place + 1
            continue
        if token.kind == "word":
            size = kinds.get("size") or size
        if token.kind == "number" and following == "%" and token.key not in ("1", "2"):
            at += 2
            if keys and keys[-1] == "a":
                keys.pop()
            continue
        if token.key not in "-.":
            keys.append(token.key)
        at += 1
    return keys, size


def _rest(tokens: list[Token], words: Vocabulary) -> _Rest:
    """What stands after the name, by commas and brackets."""
    groups: list[list[Token]] = [[]]
    for token in tokens:
        if token.key in _DIVIDING:
            groups.append([])
        else:
            groups[-1].append(token)
    rest = _Rest()
    for group in groups:
        if group:
            rest = _joined_rest(rest, _segment(group, words))
        if rest.amounts:  # the line is asked about, whatever follows
            break
    return rest


def _joined_rest(first: _Rest, second: _Rest) -> _Rest:
    counted = first.counted - second.counted if second.notes else first.counted | second.counted
    return _Rest(
        texts=first.texts + second.texts,
        keys=first.keys + second.keys,
        notes=first.notes + second.notes,
        size=first.size or second.size,
        bracket=first.bracket or second.bracket,
        bracket_each=first.bracket_each or second.bracket_each,
        amounts=first.amounts or second.amounts,
        counted=counted,
        either=first.either or second.either,
    )


def _segment(group: list[Token], words: Vocabulary) -> _Rest:
    """One group of words between commas or brackets."""
    texts, reader = (joined_text(group),), MeasureReader(group, words, _UNSAID)
    start = 1 if group[0].key in ("a", "je", "=", "~") else 0
    measured = reader.read(start) if (group[start:] and group[start].kind != "word") or start else None
    if measured is None and group[0].kind == "word" and phrase_length(group, 0, "about", words):
        measured = reader.simple(0)
    if measured is not None and measured.unit in _WEIGHED and not measured.vague:
        end = reader.skip(measured.end, "apiece")
        if end >= len(group):
            each = start == 1 or end > measured.end
            return _Rest(texts=texts, keys=([],), bracket=measured, bracket_each=each)
    if measured is not None and measured.unit and _is_rest_harmless(group[measured.end :], words):
        return _Rest(texts=texts, keys=([],))
    if words.value("or", group[0].key) is not None:  # or 7 g dried
        return _Rest(texts=texts, keys=([],), either=True)
    counted = _counts(group, words)
    noted = any(phrase_length(group, i, "note", words) for i in range(len(group)) if group[i].kind == "word")
    packed = measured is not None and measured.pack != "" and measured.end < len(group)  # 2 Pck. Vanillezucker
    if not noted and (packed or has_amount(group, words)):
        return _Rest(amounts=True, counted=counted)
    keys, size = _name_keys(group, words)
    letter = _EGG_LETTERS.get(group[0].key, "") if len(group) == 1 else ""
    return _Rest(
        texts=texts,
        keys=([] if noted else [key for key in keys if key.isalnum() or "'" in key],),
        notes=texts if noted else (),
        size=(size or letter) if len(group) <= 3 else "",
        counted=counted,
    )


def _counts(group: list[Token], words: Vocabulary) -> frozenset[str]:
    """The ids of ingredients before whose names a number stands: 3 eggs, of which 1 yolk."""
    counted: set[str] = set()
    for place, token in enumerate(group[:-1]):
        if token.kind in ("number", "vulgar"):
            key = group[place + 1].key
            counted.update(look_up(key, words.languages))
            if fruit := words.value("fruit", key):
                counted |= {f"{fruit}-juice", f"{fruit}-zest"}
    return frozenset(counted)


def _is_rest_harmless(tokens: list[Token], words: Vocabulary) -> bool:
    """Whether words after a measure say only how it was filled: about 1 1/2 cups mashed."""
    return all(
        any(kind in words.words.get(token.key, _NONE) for kind in ("packing", "adverb", "plain", "apiece"))
        for token in tokens
    )


def has_amount(tokens: list[Token], words: Vocabulary | None = None) -> bool:
    """Whether a number with a unit of mass, volume or spoons stands among the words.

    Args:
        tokens: of the words.
        words: of the language, whose own units count too where a further word follows them.
    Returns:
        True if there is one.
    """
    for at, token in enumerate(tokens[:-1]):
        if token.kind not in ("number", "vulgar"):
            continue
        following = tokens[at + 1]
        if words is not None and any(each.kind == "word" for each in tokens[at + 2 : at + 4]):
            short = words.value("shortunit", following.text) if len(following.text) == 1 else None
            if short or words.value("unit", following.key):
                return True
        unit = english_unit(following.key)
        if (unit and unit not in _NO_AMOUNTS) or following.key in _SPOONS:
            return True
    return False
