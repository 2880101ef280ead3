"""Bakes in several steps, whose times do not add up to one bake: 10 minutes at 220 °C, then 35 at 180 °C."""

from collections.abc import Iterable
from itertools import pairwise

from domain.reading.ovens import read_oven_words
from domain.reading.setting_words import SETTING_WORDS, has_kind
from domain.reading.times import bake_times
from domain.reading.tokens import Token
from domain.reading.values import LineReading, Remark

OTHER_TIME = 1.5  # our own limit: a time that a recipe says twice, as a range and as a sum, differs less
_FURTHER = frozenset(("another", "further", "more", "longer", "weitere", "weiteren", "noch", "encore"))
STEPS = Remark(
    code="disagreement",
    message="The recipe bakes in steps. A time for another tin is worked out from one oven setting and one time, so "
    "none of them is taken: give those of a bake that works.",
)


def is_in_steps(tokens: list[Token], *, settings_differ: bool) -> bool:
    """Whether a sentence says several bakes.

    Args:
        tokens: of the sentence.
        settings_differ: whether it names oven settings that disagree.
    Returns:
        True for several times with settings that disagree, or with a word for baking beside each, or of which one
        is another time of baking.
    """
    times = bake_times(tokens)
    if len(times) < 2:
        return False
    if settings_differ or any(_is_further(tokens, before[1], *time[:2]) for before, time in pairwise(times)):
        return True
    verbs = [at for at, token in enumerate(tokens) if "bake" in SETTING_WORDS.get(token.key, ())]
    return len({min(times, key=lambda time: _distance(time, verb))[2] for verb in verbs}) > 1


def _is_further(tokens: list[Token], after: int, start: int, end: int) -> bool:
    """Whether a time goes on with the baking: another 15 minutes; 15 minutes more; not to cool for another 15."""
    keys = [token.key for token in tokens[max(after, start - 2) : start] + tokens[end : end + 1]]
    return not _FURTHER.isdisjoint(keys) and not has_kind(tokens[after:start], "heated")


def _distance(time: tuple[int, int, float], verb: int) -> int:
    start, end, _ = time
    return verb - end if verb >= end else start - verb


def other_bake(readings: Iterable[LineReading]) -> LineReading | None:
    """The line that says another bake than a line before it.

    Args:
        readings: of a recipe, in its order.
    Returns:
        The first line whose time is another one, or whose time is at another setting; None if there is none.
    """
    first: LineReading | None = None
    for reading in readings:
        if reading.minutes is None:
            continue
        if first is None:
            first = reading
        elif _differ(first, reading):
            return reading
    return None


def bake_of(readings: Iterable[LineReading]) -> tuple[str, bool | None, float | None]:
    """The bake that a recipe says.

    Args:
        readings: of the recipe, in its order.
    Returns:
        The oven, whether it has a fan, and the minutes. The oven of the time, where an oven is heated hotter before;
        else the first. Nothing for a bake in steps.
    """
    several = list(readings)
    if any(STEPS in each.remarks for each in several):
        return "", None, None
    timed = next((each for each in several if each.minutes is not None), None)
    heated = next((each for each in several if each.oven), None)
    minutes = None if timed is None else timed.minutes
    if heated is None:
        return "", None, minutes
    oven = timed if timed is not None and timed.oven and _settings_differ(heated, timed) else heated
    return oven.oven, oven.fan, minutes


def _differ(first: LineReading, second: LineReading) -> bool:
    shorter, longer = sorted((first.minutes or 0, second.minutes or 0))
    return longer > OTHER_TIME * shorter or _settings_differ(first, second)


def _settings_differ(first: LineReading, second: LineReading) -> bool:
    settings = [f"{each.oven} fan" if each.fan else each.oven for each in (first, second)]
    together = read_oven_words(" / ".join(settings)) if all(settings) else None
    return together is not None and bool(together.remarks)
