"""Bake times in people's words: `25 to 30 minutes`, `1 h 30`, `an hour and a quarter`, `prep 20 min, cook 1 hr`."""

from fractions import Fraction

from domain.reading.degrees import DEGREE_SIGNS
from domain.reading.numbers import read_amount
from domain.reading.setting_words import SETTING_WORDS
from domain.reading.tokens import Token
from domain.reading.vocabulary import Vocabulary, vocabulary

PAUSE = 10  # our own choice: words that a comma between a time and its verb counts as
MAX_LABEL = 4  # words and signs between a time and the word that says what it is for; our own limit
DEGREES = DEGREE_SIGNS | {"-"}
_TO = frozenset(("-", "to", "bis", "a"))
_PAUSES = frozenset((",", ";", ".", "|", "·", "•"))


def read_minutes(tokens: list[Token]) -> float | None:
    """The minutes of a sentence about baking; the middle of a range.

    Args:
        tokens: of the sentence.
    Returns:
        The time that stands nearest to the word for baking, and none of preparing or of everything together; None
        without one.
    """
    times = bake_times(tokens)
    if not times:
        return None
    verbs = [at for at, token in enumerate(tokens) if "bake" in SETTING_WORDS.get(token.key, ())]
    if not verbs:
        return times[0][2]
    return min(times, key=lambda time: min(_distance(tokens, time, verb) for verb in verbs))[2]


def _distance(tokens: list[Token], time: tuple[int, int, float], verb: int) -> int:
    """Words between a time and a verb; a comma or full stop between them counts as many."""
    start, end, _ = time
    between = tokens[end:verb] if verb >= end else tokens[verb + 1 : start]
    labelled = end <= verb and any(
        token.key == ":" for token in tokens[verb + 1 : verb + 3]
    )  # 25 min cook time: 40 min
    return len(between) + PAUSE * labelled + PAUSE * sum(token.key in _PAUSES for token in between)


def _is_other(tokens: list[Token], at: int, words: Vocabulary) -> bool:
    """Whether the words before a time say that nothing bakes in it: prep time: 20 min; total 2 h."""
    for token in tokens[max(0, at - MAX_LABEL) : at][::-1]:
        if token.key in _PAUSES or token.kind != "word":
            if token.key != ":":
                return False
        elif words.value("othertime", token.key) is not None:
            return True
        elif "bake" in SETTING_WORDS.get(token.key, ()):
            return False
    return False


def bake_times(tokens: list[Token]) -> list[tuple[int, int, float]]:
    """The times of a sentence about baking.

    Args:
        tokens: of the sentence.
    Returns:
        Where each starts and ends, and its minutes; the middle of a range. A time of preparing, or of everything
        together, is left out.
    """
    words = vocabulary(None)
    return [time for time in _times(tokens) if not _is_other(tokens, time[0], words)]


def _times(tokens: list[Token]) -> list[tuple[int, int, float]]:
    """Every time of a sentence: where it starts and ends, and its minutes."""
    times: list[tuple[int, int, float]] = []
    at = 0
    while at < len(tokens):
        time = _time(tokens, at)
        if time is None:
            at += 1
            continue
        minutes, end = time
        times.append((at, end, float(minutes)))
        at = end
    return times


def _time(tokens: list[Token], at: int) -> tuple[Fraction, int] | None:
    """A time, or the middle of two: 50 minutes to 1 hour."""
    first = _one_time(tokens, at)
    if first is None or first[1] >= len(tokens) or tokens[first[1]].key not in _TO:
        return first
    second = _one_time(tokens, first[1] + 1)
    if second is None or second[0] <= first[0]:
        return first
    return (first[0] + second[0]) / 2, second[1]


def _one_time(tokens: list[Token], at: int) -> tuple[Fraction, int] | None:
    """25 to 30 minutes; 1 hour 15 minutes; 1 h 30; an hour: the minutes and where they end."""
    words = vocabulary(None)
    first = read_amount(tokens, at, words, "point")
    if first is None:
        return None
    value, end = first.value, first.end
    if first.end == at + 3 and tokens[at + 1].key == "/" and tokens[at].text.isdigit() and int(tokens[at].text) >= 5:
        value, end = Fraction(int(tokens[at].text)), at + 1  # 25/30 min
    if end < len(tokens) and tokens[end].key in ("-", "to", "bis", "a", "/", "or", "oder", "ou"):
        second = read_amount(tokens, end + 1, words, "point")
        if second is not None:
            value, end = (value + second.value) / 2, second.end
    end += end < len(tokens) and tokens[end].key == "-"
    kinds = SETTING_WORDS.get(tokens[end].key, {}) if end < len(tokens) else {}
    if "minute" in kinds:
        return value, _past_stop(tokens, end + 1)
    if "hour" not in kinds:
        return None
    return _with_minutes(tokens, value, _past_stop(tokens, end + 1), words)


def _with_minutes(tokens: list[Token], hours: Fraction, end: int, words: Vocabulary) -> tuple[Fraction, int]:
    """Hours with what follows them: 1 hour 15 minutes; 1h30; an hour and a quarter."""
    rest = end + (end < len(tokens) and words.value("plus", tokens[end].key) is not None)
    more = read_amount(tokens, rest, words, "point")
    if more is None or more.value >= 60:
        return hours * 60, end
    if more.worded:
        return ((hours + more.value) * 60, more.end) if more.value < 1 else (hours * 60, end)
    after = more.end
    if after < len(tokens) and "minute" in SETTING_WORDS.get(tokens[after].key, ()):
        return hours * 60 + more.value, _past_stop(tokens, after + 1)
    spaced = tokens[end - 1].key in ("h", "std", "heure", "heures") and more.value >= 5 and not is_degree(tokens, after)
    if rest == end and (tokens[end].start == tokens[end - 1].end or spaced):  # 1h30, 1 h 15
        return hours * 60 + more.value, after
    return hours * 60, end


def is_degree(tokens: list[Token], at: int) -> bool:
    """Whether a word or sign is one of a temperature."""
    return at < len(tokens) and (tokens[at].key in DEGREES or "degrees" in SETTING_WORDS.get(tokens[at].key, ()))


def _past_stop(tokens: list[Token], at: int) -> int:
    return at + (at < len(tokens) and tokens[at].key == ".")
