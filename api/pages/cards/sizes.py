"""`/cards/sizes`: the recipe sheet, one column for each tin."""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from functools import partial
from typing import Any

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from api.pages.cards.bake import gas_mark
from api.pages.cards.errors import CardErrors, problem_errors
from api.pages.cards.fields import LABELS
from api.pages.cards.job import CardJob
from api.pages.cards.key_figures import (
    HARD_TO_WEIGH,
    NO_WINDOW,
    Answer,
    Note,
    about_the_work,
    caution_texts,
    degrees,
    minutes_text,
    warning_notes,
    without_lines,
    without_weighing,
)
from api.pages.cards.rendering import card
from api.pages.cards.weigh import eggs_text, line_name
from api.pages.cards.words import NBSP, Words
from domain.measures.household import has_cup
from domain.measures.units import Measures

INCLUDE = frozenset({"lines", "eggs", "pieces", "household", "bake"})
# The fields of the page without which no window of time is known, and those of the formula.
_OF_A_WINDOW = (
    ("tin", "tin"),
    ("depth", "filled_depth"),
)
# CSS class of a sheet by the most columns and lines that it holds.
_SIZES = (("large", 3, 12), ("medium", 3, 30), ("wide", 6, 20))


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """A figure in a column, with a second one under it."""

    value: str
    note: str = ""


EMPTY = Cell(value="")


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of the sheet across all columns."""

    name: str
    cells: tuple[Cell, ...]

    @property
    def is_filled(self) -> bool:
        """Whether any column has a figure."""
        return any(cell.value for cell in self.cells)


@dataclass(frozen=True, slots=True, kw_only=True)
class Group:
    """The lines of one component, its sum, and the pieces that it is divided into; their row may be empty."""

    name: str
    rows: tuple[Row, ...]
    total: Row
    pieces: Row


@dataclass(frozen=True, slots=True, kw_only=True)
class Column:
    """The heading of a column; `problems` say why it has no figures, each with its language."""

    name: str
    problems: tuple[tuple[str, str], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class SizesCard:
    """Everything that the page shows."""

    columns: tuple[Column, ...]
    tin_rows: tuple[Row, ...]
    groups: tuple[Group, ...]
    total: Row
    bake_rows: tuple[Row, ...]
    oven: str
    warnings: tuple[Note, ...]
    cautions: tuple[str, ...]

    @property
    def has_problems(self) -> bool:
        """Whether a column has no figures."""
        return any(column.problems for column in self.columns)

    @property
    def size_class(self) -> str:
        """CSS class by the number of columns and lines; with more of them the printed sheet is smaller."""
        lines = len([row for group in self.groups for row in group.rows])
        return next((name for name, columns, most in _SIZES if len(self.columns) <= columns and lines <= most), "small")


async def sizes(request: Request) -> Response:
    """The sheet; the page that asks where something is missing or wrong."""
    return card(request, "sizes", INCLUDE, sizes_context, each_target=True)


def sizes_context(job: CardJob, words: Words) -> dict[str, Any]:
    """What the sheet shows.

    Args:
        job: with the answers of all targets.
        words: of the page.
    Raises:
        CardErrors: no target has an answer.
    """
    problems = [target["problem"] for target in job.answer["targets"] if "problem" in target]
    if len(problems) == len(job.answer["targets"]):
        raise CardErrors((error for problem in problems for error in problem_errors(problem)), job.reading)
    return {"sizes": sizes_card(job.answer, words, job.query.measures)}


def sizes_card(answer: Answer, words: Words, measures: Measures | None) -> SizesCard:
    """The sheet of all targets.

    Args:
        answer: of `/v1/rescale` with the household measures, as plain data.
        words: of the page.
        measures: of the household; if they are not known or have no cup, only what a spoon measures well is said so.
    """
    targets, formula = answer["targets"], answer["formula"]
    return SizesCard(
        columns=tuple(_column(target, formula, words) for target in targets),
        tin_rows=tuple(_tin_rows(targets, words)),
        groups=tuple(_groups(answer, words, with_cups=measures is not None and has_cup(measures))),
        total=_row(words.text("Whole mix"), targets, lambda target: Cell(value=words.grams(target["grams"], 0))),
        bake_rows=tuple(_bake_rows(targets, words)),
        oven=_oven(targets, words),
        warnings=tuple(_warnings(answer, words)),
        cautions=caution_texts(answer["written"]["cautions"]),
    )


def _column(target: Answer, formula: Answer, words: Words) -> Column:
    tin = target.get("label") or formula.get("tin")
    name = words.tin(tin) if tin else words.text("As written")
    problem = target.get("problem")
    if problem is None:
        return Column(name=name)
    return Column(name=name, problems=tuple(error.text(words) for error in problem_errors(problem)))


def _row(name: str, targets: Sequence[Answer], cell: Callable[[Answer], Cell | None]) -> Row:
    """A row of the sheet; a target that has a problem, or no such figure, has an empty cell."""
    cells = [None if "problem" in target else cell(target) for target in targets]
    return Row(name=name, cells=tuple(EMPTY if each is None else each for each in cells))


def _tin_rows(targets: Sequence[Answer], words: Words) -> Iterator[Row]:
    yield _row(words.text("Factor"), targets, lambda target: Cell(value=f"× {words.number(target['factor'], 3)}"))
    if any(target.get("tins", 1) > 1 for target in targets):
        yield _row(words.text("Tins"), targets, lambda target: Cell(value=str(target.get("tins", ""))))
    yield _row(words.text("Fill to"), targets, lambda target: _depth(target, words))


def _depth(target: Answer, words: Words) -> Cell | None:
    if "filled_depth_mm" not in target:
        return None
    percent = target.get("fill_percent")
    note = "" if percent is None else words.text("%(percent)s %% full", percent=words.number(percent, 0))
    return Cell(value=words.mm(target["filled_depth_mm"]), note=note)


def _groups(answer: Answer, words: Words, *, with_cups: bool) -> Iterator[Group]:
    targets, written = answer["targets"], answer["written"]["components"]
    first = next(target for target in targets if "problem" not in target)
    for place, component in enumerate(first["components"]):
        identities = [line.get("ingredient_id", "") for line in written[place]["lines"]]
        yield Group(
            name=component["name"],
            rows=tuple(
                _row(
                    line_name(line, identity, words),
                    targets,
                    partial(_line, place=place, number=number, identity=identity, words=words, with_cups=with_cups),
                )
                for number, (line, identity) in enumerate(zip(component["lines"], identities, strict=True))
            ),
            total=_row(words.text("In all"), targets, partial(_sum, place=place, words=words)),
            pieces=_row(words.text("Divide into"), targets, partial(_pieces, place=place, words=words)),
        )


def _line(target: Answer, place: int, number: int, identity: str, words: Words, *, with_cups: bool) -> Cell:
    line = target["components"][place]["lines"][number]
    note = eggs_text(line["eggs"][0], identity, words) if line.get("eggs") else ""
    measured = line.get("household" if with_cups else "spoons")
    if not note and measured is not None:
        note = household_text(measured["text"], words)
    return Cell(value=words.grams(line["weigh_grams"], 2), note=note)


def _sum(target: Answer, place: int, words: Words) -> Cell:
    return Cell(value=words.grams(target["components"][place]["weigh_grams"], 2))


def _pieces(target: Answer, place: int, words: Words) -> Cell | None:
    pieces = target["components"][place].get("pieces")
    if pieces is None:
        return None
    return Cell(value=f"{pieces['count']} × {words.grams(pieces['grams_each'])}")


def household_text(text: str, words: Words) -> str:
    """Household measures in the language of the page.

    Args:
        text: of an answer, such as `1 cup + 2 1/4 tsp`.
        words: of the page.
    """
    measures = (measure.rpartition(" ") for measure in text.split(" + "))
    return " + ".join(f"{amount}{NBSP}{_measure(name, words)}" for amount, _, name in measures)


def _measure(name: str, words: Words) -> str:
    names = {
        "cup": words.text("cup"),
        "tbsp": words.text("tbsp"),
        "tsp": words.text("tsp"),
        "pt": words.text("pt"),
        "qt": words.text("qt"),
        "gal": words.text("gal"),
    }
    return names.get(name, name)


def _bake_rows(targets: Sequence[Answer], words: Words) -> Iterator[Row]:
    yield _row(words.text("Check from"), targets, lambda target: _check_from(target, words))
    yield _row(words.text("Likely done"), targets, lambda target: _window(target, words))


def _oven(targets: Sequence[Answer], words: Words) -> str:
    """The oven of all targets: a card has one."""
    oven: Answer = next((target["bake"]["oven"] for target in targets if "bake" in target), {})
    parts = [
        words.text("%(celsius)s (%(fahrenheit)s) with a fan", celsius=celsius, fahrenheit=fahrenheit)
        for celsius, fahrenheit in _degrees(oven, "fan_celsius", "fan_fahrenheit", words)
    ]
    parts += [
        words.text("%(celsius)s (%(fahrenheit)s) without", celsius=celsius, fahrenheit=fahrenheit)
        for celsius, fahrenheit in _degrees(oven, "celsius", "fahrenheit", words)
    ]
    if "gas_mark_nearest" in oven:
        parts.append(words.text("gas mark %(mark)s", mark=gas_mark(oven["gas_mark_nearest"])))
    return words.text("Oven: %(settings)s.", settings=", ".join(parts)) if parts else ""


def _degrees(oven: Answer, celsius: str, fahrenheit: str, words: Words) -> Iterator[tuple[str, str]]:
    if celsius in oven:
        yield degrees(words, oven[celsius]), degrees(words, oven[fahrenheit], "°F")


def _check_from(target: Answer, words: Words) -> Cell | None:
    minutes = target.get("bake", {}).get("check_from_minutes")
    return None if minutes is None else Cell(value=minutes_text(words, minutes))


def _window(target: Answer, words: Words) -> Cell | None:
    bake = target.get("bake", {})
    if "minutes_low" not in bake:
        return None
    return Cell(value=minutes_text(words, bake["minutes_low"], bake["minutes_high"]))


def _warnings(answer: Answer, words: Words) -> Iterator[Note]:
    """The warnings of all columns; those of one column with its name.

    How to weigh small amounts takes a sentence for each line and tin, and is on the weigh cards.
    """
    of_all = warning_notes(words, without_lines(about_the_work(answer["written"]["warnings"], answer["targets"])))
    yield from of_all
    messages, coarse = {note.message for note in of_all}, list[str]()
    missing = [words.text(LABELS[name]) for name, field in _OF_A_WINDOW if field not in answer["formula"]]
    if missing and any("bake" in target for target in answer["targets"]):
        message = words.text("No time is known. Fill in with the recipe: %(fields)s.", fields=", ".join(missing))
        yield Note(about="", message=(message, words.language))
    for target in answer["targets"]:
        if "problem" in target:
            continue
        name = words.tin(target.get("label", ""))
        coarse += [name for warning in target["warnings"] if warning["code"] in HARD_TO_WEIGH][:1]
        bake = [each for each in target.get("bake", {}).get("warnings", ()) if not missing or each["code"] != NO_WINDOW]
        of_target = warning_notes(words, bake, without_weighing(target["warnings"]), about=name)
        yield from (note for note in of_target if note.message not in messages)
    if coarse:
        message = words.text("The scale is too coarse for small amounts: the weigh card says how to weigh them.")
        yield Note(about=", ".join(coarse).strip(", "), message=(message, words.language))


ROUTES = (Route("/cards/sizes", sizes),)
