"""The large figures of a card, and the notes that go with the figures of an answer."""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from api.drawings.language import Language
from api.pages.cards.words import NBSP, Words

Answer = Mapping[str, Any]
NO_WINDOW, HARD_TO_WEIGH = "no_bake_window", frozenset({"weighing_error", "weighs_nothing"})


@dataclass(frozen=True, slots=True, kw_only=True)
class KeyFigure:
    """One large figure: its name, its value, and what to know of it."""

    name: str
    value: str
    note: str = ""


def drawing_language(words: Words) -> Language:
    """The language of a drawing on a page."""
    return Language(translations=words.catalogue, decimal_sign=words.decimal_sign)


def minutes_text(words: Words, low: float, high: float | None = None) -> str:
    """Minutes, or a window of them."""
    if high is None:
        return f"{words.number(low, 0)}{NBSP}min"
    return words.text("%(low)s to %(high)s min", low=words.number(low, 0), high=words.number(high, 0))


def degrees(words: Words, value: float, scale: str = "°C") -> str:
    """A temperature to the nearest degree."""
    return f"{words.number(value, 0)}{NBSP}{scale}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """A warning of the page: what it is about, if it does not say that itself, and its sentence with its language."""

    about: str
    message: tuple[str, str]


def warning_notes(words: Words, *answers: Iterable[Answer], about: str = "") -> tuple[Note, ...]:
    """Each warning once, in the language of the page as far as its catalogue goes.

    Args:
        words: of the page.
        answers: warnings of several parts of an answer.
        about: what they are about, such as one of several tins.
    """
    notes = [_note(words, warning, about) for warnings in answers for warning in warnings]
    return tuple(dict.fromkeys(notes))


def _note(words: Words, warning: Answer, about: str) -> Note:
    field = next(iter(warning.get("pointers", ())), "").rpartition("/")[2]
    if field == "core_temperature":
        about = words.text("Core temperature")
    elif field == "start_temperature":
        about = words.text("Temperature of the batter")
    return Note(about=about, message=words.by_code("warning", warning))


def caution_texts(*answers: Iterable[Answer]) -> tuple[str, ...]:
    """The sentence of each caution once, as the catalogue has it."""
    texts = [each["text"] for cautions in answers for each in cautions]
    return tuple(dict.fromkeys(texts))


def about_the_work(warnings: Iterable[Answer], targets: Iterable[Answer]) -> Iterator[Answer]:
    """The warnings of a formula without that about the fill of its own tin, where none of the targets is that tin."""
    is_as_written = any("label" not in target for target in targets)
    for warning in warnings:
        of_own_tin = any(pointer.endswith("/formula/filled_depth") for pointer in warning.get("pointers", ()))
        if is_as_written or warning["code"] != "fill_unchecked" or not of_own_tin:
            yield warning


def without_lines(warnings: Iterable[Answer]) -> Iterator[Answer]:
    """The warnings of a formula that are about more than one of its lines."""
    for warning in warnings:
        pointers = warning.get("pointers", [])
        if not pointers or not all(pointer.startswith("/formula/components") for pointer in pointers):
            yield warning


def without_weighing(warnings: Iterable[Answer]) -> Iterator[Answer]:
    """The warnings of a target except those about the scale and batches with whole eggs, which the weigh card has."""
    for warning in warnings:
        of_batches = any(pointer.endswith("/whole_egg_batches") for pointer in warning.get("pointers", ()))
        if warning["code"] not in HARD_TO_WEIGH and not of_batches:
            yield warning
