"""The form of a job: its fields, the questions that the recipe leaves open, and the tins to choose from."""

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import groupby
from typing import Any

from starlette.requests import Request

from api.pages.cards.errors import CardError, CardErrors
from api.pages.cards.fields import N_, CardFields, pairs_of
from api.pages.cards.words import SOURCE, Words
from api.v1.shop.reading import shop_book
from domain.things.eggs import EGG_CLASSES

MAX_QUESTIONS = 60  # our own limit: a page with more is not read
MEASURES_LABELS: Mapping[str, str] = {
    "metric": N_("metric (5 and 15 ml)"),
    "uk": N_("British"),
    "us": N_("American"),
    "au": N_("Australian"),
    "jp": N_("Japanese"),
}
LANGUAGE_LABELS = {"en": N_("English"), "de": N_("German"), "fr": N_("French")}
_DECIMAL_LABELS = {"point": N_("point: 1.5"), "comma": N_("comma: 1,5")}
_LABELS_OF: Mapping[str, Mapping[str, str]] = {"measures": MEASURES_LABELS, "decimal": _DECIMAL_LABELS}
# The label that the reader gives to what a pack holds, and the messages for the countries that sell it.
_PACK = re.compile(r"(?P<amount>[0-9.]+ [a-z]+) in one: [a-z ]+, (?P<language>English|German|French) packs")
_PACKS_OF: Mapping[str, str] = {
    "English": N_("%(amount)s in one, as it is sold in Britain"),
    "German": N_("%(amount)s in one, as it is sold in Germany"),
    "French": N_("%(amount)s in one, as it is sold in France"),
}
# What the questions of the reader are about, in the order of the address.
_OF_TIN = frozenset({"nominal_tin", "tin_shape_needed", "cavity_volume_needed"})
_OPTIONS = frozenset({"measures", "egg_class", "decimal", "language"})
# Fields in the part of the form that is folded until it is needed.
FOLDED = frozenset(
    {
        "language",
        "measures",
        "egg_class",
        "want_depth",
        "pieces",
        "piece_grams",
        "dough",
        "oven",
        "minutes",
        "core",
        "batch",
        "name",
    }
)
# Fields that the form shows as inputs; all others of the address are hidden in it.
SHOWN = FOLDED | {"recipe", "eggs", "tin", "depth", "want", "tins"}

Choices = tuple[tuple[str, str], ...]  # values with their labels


@dataclass(frozen=True, slots=True, kw_only=True)
class FormQuestion:
    """A question of the recipe: the field that answers it, and the values to tap.

    `message` is the question and its language; `folded` are further choices in groups, which the page shows when asked.
    `other` is the field of an answer in the baker's own words, "" where only the choices answer; `written` is the line
    of the recipe that it is about.
    """

    message: tuple[str, str]
    field: str
    choices: Choices
    folded: tuple[tuple[str, Choices], ...] = ()
    other: str = ""
    written: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class TinButton:
    """A tin of the shop: its label, its text, and whether it is wanted."""

    label: str
    tin: str
    is_wanted: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class JobForm:
    """Everything that the form shows."""

    card: str
    entered: CardFields
    hidden: tuple[tuple[str, str], ...]
    questions: tuple[FormQuestion, ...]
    tins: tuple[TinButton, ...]
    other_tin: str
    choices: Mapping[str, Choices]
    egg_classes: tuple[tuple[str, Choices], ...]
    errors: tuple[CardError, ...]
    faulty: frozenset[str]
    asked_above: frozenset[str]

    @property
    def folded_fault(self) -> bool:
        """Whether a field of the folded part is wrong."""
        return not self.faulty.isdisjoint(FOLDED)

    def value(self, name: str) -> str:
        """The text of a field, "" if it is not filled in or is asked above the form."""
        value = self.entered.get(name, "")
        return value if isinstance(value, str) else value[0] if value else ""


def job_form(
    request: Request, card: str, entered: CardFields, words: Words, errors: CardErrors | None = None
) -> JobForm:
    """The form.

    Args:
        request: of the page.
        card: the name of the card that the form leads to.
        entered: what is filled in.
        words: of the page's language.
        errors: what is wrong with it, with the recipe as far as it was read.
    """
    reading = errors.reading if errors is not None else None
    faults = errors.errors if errors is not None else ()
    components = reading.get("formula", {}).get("components", ()) if reading else ()
    doughs = tuple(component["name"] for component in components)
    questions = [*_questions(reading, words), *_dough_question(faults, words)][:MAX_QUESTIONS]
    asked_above = {question.field for question in questions}
    tins = tuple(_tins(request, entered))
    own = {tin.tin for tin in tins}
    others = [want for want in entered.get("want", ()) if want not in own]
    shown = SHOWN - asked_above
    answered = {f"{question.other.removeprefix('other.')}:" for question in questions if question.other}
    return JobForm(
        card=card,
        entered={name: value for name, value in entered.items() if name not in asked_above},
        hidden=tuple(_hidden(entered, shown | asked_above, answered)),
        questions=tuple(questions),
        tins=tins,
        other_tin=others[0] if others else "",
        choices={
            "measures": tuple((name, words.text(label)) for name, label in MEASURES_LABELS.items()),
            "language": tuple((name, words.text(label)) for name, label in LANGUAGE_LABELS.items()),
            "dough": tuple((name, name) for name in doughs),
        },
        egg_classes=tuple(_by_region(EGG_CLASSES, words)),
        errors=tuple(fault for fault in faults if fault.name not in asked_above),
        faulty=frozenset(fault.name for fault in faults),
        asked_above=frozenset(asked_above),
    )


def _questions(reading: Mapping[str, Any] | None, words: Words) -> Iterator[FormQuestion]:
    """The questions of the reader, those about the whole recipe first: their answers may settle others."""
    if reading is None:
        return
    texts = {line["number"]: line["text"].strip() for line in reading["lines"]}
    kept = {line["number"] for line in reading["lines"] if "kept" in line}
    for question in sorted(reading["questions"], key=lambda each: "field" not in each):
        field = question.get("field", "")
        number = question["lines"][0]
        of_tin = is_about_tin(question, is_kept=number in kept) and words.language != SOURCE
        choices = tuple(
            (each["text"], words.tin(each["text"]) if of_tin else _choice_label(field, each, words))
            for each in question["choices"]
        )
        groups = [("", choices)]
        if field == "egg_class":
            groups = _by_region([choice for choice, _ in choices], words) or groups
        yield FormQuestion(
            message=words.by_code("question", question),
            field=field if field in _OPTIONS else f"answer.{number}",
            choices=groups[0][1],
            folded=tuple(groups[1:]),
            other="" if field in _OPTIONS else f"other.{number}",
            written="" if field in _OPTIONS else texts.get(number, ""),
        )


def is_about_tin(question: Mapping[str, Any], *, is_kept: bool) -> bool:
    """Whether a question of the reader is about the tin of the recipe.

    Args:
        question: with its code.
        is_kept: whether its line is no ingredient.
    """
    return question["code"] in _OF_TIN or (is_kept and question["code"] == "unit_needed")


def _choice_label(field: str, choice: Mapping[str, str], words: Words) -> str:
    labels = _LABELS_OF.get(field, {})
    if choice["text"] in labels:
        return words.text(labels[choice["text"]])
    if (pack := _PACK.fullmatch(choice["label"])) is not None:
        return words.text(_PACKS_OF[pack["language"]], amount=words.decimals(pack["amount"]))
    return words.ingredient(choice["label"])


def _by_region(names: Iterable[str], words: Words) -> list[tuple[str, Choices]]:
    """Egg classes in the groups of their regions."""
    classes = [EGG_CLASSES[name] for name in names if name in EGG_CLASSES]
    return [
        (words.text(region), tuple((each.id, f"{each.label}, {words.text(region)}") for each in group))
        for region, group in groupby(classes, key=lambda each: each.region)
    ]


def _dough_question(faults: Sequence[CardError], words: Words) -> Iterator[FormQuestion]:
    for fault in faults:
        if fault.name == "dough" and fault.candidates:
            choices = tuple((name, name) for name in fault.candidates)
            yield FormQuestion(message=fault.text(words), field="dough", choices=choices)


def _tins(request: Request, entered: CardFields) -> Iterator[TinButton]:
    """The shop's own tins: of the address, and of the shop file."""
    wanted = frozenset(entered.get("want", ()))
    written = [each.rpartition(":")[::2] for each in entered.get("own_tin", ())]
    named = [(label.strip(), tin.strip()) for label, tin in written]
    named += [(tin.name, tin.tin) for tin in shop_book(request).tins]
    labels = dict[str, str]()
    for label, tin in named:
        labels.setdefault(tin, label)
    for tin, label in labels.items():
        yield TinButton(label=label, tin=tin, is_wanted=tin in wanted)


def _hidden(entered: CardFields, shown: frozenset[str] | set[str], answered: set[str]) -> Iterator[tuple[str, str]]:
    """Fields of the address that the form has no input for; an answer is left out where it is asked for again."""
    for name, value in pairs_of(entered):
        if name not in shown and not (name == "answer" and f"{value.partition(':')[0]}:" in answered):
            yield name, value
