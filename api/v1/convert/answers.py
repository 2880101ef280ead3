"""From conversions to the answers of `/v1/convert`."""

from collections.abc import Callable, Iterable, Sequence
from fractions import Fraction
from functools import lru_cache
from itertools import repeat
from typing import Any, NamedTuple

import orjson

from api.v1.convert.reading import Conversion, Question, Ratio, Table, read_conversion, row_errors, rows_by_question
from api.wire.answers import as_json_fragment, source_refs, warnings, without_none
from api.wire.problems import MAX_ERRORS, domain_problem
from domain.errors import DomainError, DomainErrors
from domain.formulas.amounts import unlikely_amounts
from domain.measures.household import marked_cup_notice
from domain.measures.temperatures import scale_sources
from domain.notices import Notice
from domain.things.conversion import convert

_PLACE = b'"pointers":[]'  # stands for the place of a warning, which differs between rows
_PENDING: dict[str, Any] = {}
Figures = tuple[float, float, float]  # amount, low and high


class Plan(NamedTuple):
    """What the answers to one question have in common, whatever their amounts."""

    conversion: Conversion
    unit: str  # id of the requested unit
    cited: orjson.Fragment
    warnings: list[bytes]  # as JSON, split where the place goes
    rate: orjson.Fragment  # an item of `rates` in the answer by columns


@lru_cache(maxsize=1024)
def plan_of(question: Question) -> Plan:
    """The plan of a question, shared between requests.

    Raises:
        DomainError, DomainErrors: as `read_conversion`.
    """
    conversion = read_conversion(question)
    unit, to, thing, rate = conversion
    cited = source_refs(scale_sources(unit, to) if rate is None else rate.cited)
    notices = () if rate is None else rate.notices
    placed = orjson.dumps(warnings(notice.at() for notice in notices)).split(_PLACE)
    shared = without_none(
        unit=unit.id,
        to=to.id,
        ingredient_id=None if thing.ingredient is None else thing.ingredient.id,
        factor=None if rate is None else float(rate.factor),
        factor_low=None if rate is None else float(rate.low),
        factor_high=None if rate is None else float(rate.high),
        cited=cited,
        warnings=orjson.Fragment(_PLACE.join(placed)),
    )
    return Plan(conversion, to.id, cited, placed, as_json_fragment(shared))


def converted_figures(amounts: list[Ratio], plan: Plan) -> tuple[list[Figures], Iterable[orjson.Fragment]]:
    """Amounts in the requested unit, and the citations of each.

    Raises:
        DomainError: an amount is out of range.
    """
    unit, to, thing, rate = plan.conversion
    if rate is not None:
        return rate.of_all(amounts), repeat(plan.cited)
    readings = [convert(amount, unit, to, thing) for amount in amounts]
    figures = [(reading.amount, reading.low, reading.high) for reading in readings]
    return figures, [source_refs(reading.cited) for reading in readings]


def answer(amount: Ratio, plan: Plan, place: bytes = _PLACE) -> dict[str, Any]:
    """One conversion; `place` is the member with the pointers or parameters that its warnings name."""
    (converted,) = answers([amount], plan, [0], lambda _: place)
    marked = marked_cup_notice(Fraction(*amount), plan.conversion.unit)
    return converted if marked is None else _warned(converted, marked, place)


def answers(
    amounts: list[Ratio], plan: Plan, indexes: Sequence[int], place_of: Callable[[int], bytes]
) -> list[dict[str, Any]]:
    """Several conversions with the same plan, which is faster than one by one; `place_of` takes each one's index."""
    unit, placed = plan.unit, plan.warnings
    figures, cited_of = converted_figures(amounts, plan)
    if len(placed) == 1:  # without warnings the rows share one list
        warnings_of: Iterable[orjson.Fragment] = repeat(orjson.Fragment(placed[0]))
    else:
        warnings_of = [orjson.Fragment(place_of(index).join(placed)) for index in indexes]
    converted = [
        {"amount": amount, "unit": unit, "amount_low": low, "amount_high": high, "cited": cited, "warnings": warned}
        for (amount, low, high), cited, warned in zip(figures, cited_of, warnings_of, strict=False)
    ]
    for position, notice in unlikely_of(amounts, plan):
        _warned(converted[position], notice, place_of(indexes[position]))
    return converted


def unlikely_of(amounts: list[Ratio], plan: Plan) -> list[tuple[int, Notice]]:
    """The warnings about amounts beyond any kitchen, each with its index."""
    unit, _, thing, _ = plan.conversion
    return unlikely_amounts(amounts, unit, None if thing.ingredient is None else thing.ingredient.id)


def _warned(converted: dict[str, Any], notice: Notice, place: bytes) -> dict[str, Any]:
    """A conversion with one more warning."""
    (warning,) = warnings([notice.at()])
    placed = orjson.loads(orjson.dumps(warning).replace(_PLACE, place))
    converted["warnings"] = as_json_fragment([*orjson.loads(orjson.dumps(converted["warnings"])), placed])
    return converted


def table_answers(table: Table) -> dict[str, Any]:
    """One answer or problem for each row, in order, and the number of problems."""
    items, refusals = [_PENDING] * len(table.items), dict[int, DomainError | DomainErrors]()
    for question, (indexes, amounts) in rows_by_question(table, refusals).items():
        try:
            plan = plan_of(question)
        except (DomainError, DomainErrors) as refusal:
            refusals |= dict.fromkeys(indexes, refusal)
            continue
        name = question.ingredient
        try:
            converted = answers(amounts, plan, indexes, _place)
        except DomainError:  # convert them one by one, to find those that are out of range
            for index, amount in zip(indexes, amounts, strict=True):
                try:
                    (items[index],) = rows_of(name, [answer(amount, plan, _place(index))])
                except DomainError as refusal:
                    refusals[index] = refusal
            continue
        for index, item in zip(indexes, rows_of(name, converted), strict=True):
            items[index] = item
    problems = RowProblems()
    for index in sorted(refusals):
        errors = row_errors(table.items[index], table.measures, refusals[index])
        placed = [error.within("items", index) for error in errors]
        items[index] = problems.problem(table.items[index].ingredient, placed, in_query=False)
    return {"items": items, "problem_count": problems.count}


def _place(index: int) -> bytes:
    return b'"pointers":["/items/%d"]' % index


def rows_of(ingredient: str | None, converted: Iterable[dict[str, Any]]) -> list[dict[str, Any]]:
    """The answers to rows about one ingredient, which say what they are about."""
    if ingredient is None:
        return [{"answer": each} for each in converted]
    return [{"ingredient": ingredient, "answer": each} for each in converted]


class RowProblems:
    """The problems of bad rows; only the first have candidates, because finding the nearest names is slow."""

    def __init__(self) -> None:
        """Start with no bad rows."""
        self.count = 0

    def problem(self, ingredient: str | None, errors: list[DomainError], *, in_query: bool) -> dict[str, Any]:
        """The answer to one more bad row."""
        self.count += 1
        if self.count > MAX_ERRORS:
            errors = [error.brief() for error in errors]
        return without_none(ingredient=ingredient, problem=domain_problem(errors, in_query=in_query))
