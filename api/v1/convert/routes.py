"""`/v1/convert`: an amount of a thing from one unit to another, one at a time or a column at once."""

from copy import copy
from typing import Annotated, Any

from fastapi import APIRouter
from fastapi import Query as QueryParameters

from api.v1.convert.plans import Plan, Ratio, RowsByPlan, converted, converted_together, plan_of, warned_at
from api.v1.convert.schemas import ConvertAnswers, ConvertOneOrMany, ConvertQuery, ConvertRequest
from api.v1.convert.table import Table, read_table, table_of
from api.wire.problems import MOST_ERRORS, RESPONSES, domain_problem
from api.wire.routing import PureRoute, read_body_with
from domain.errors import DomainError, DomainErrors, MismatchError, NeededError, UnreadableError, at_path
from domain.measures.quantities import amount_ratio, parse_quantity
from domain.measures.units import Measures

_NOT_YET: dict[str, Any] = {}
_Asked = tuple[str, str, str | None, str | None, float | None, str | None]  # as `plan_of` takes it


router = APIRouter(prefix="/v1/convert", tags=["convert"], responses=RESPONSES, route_class=PureRoute)


@router.get("", operation_id="convert", summary="One conversion, or a column", response_model=ConvertOneOrMany)
async def get_convert(query: Annotated[ConvertQuery, QueryParameters()]) -> dict[str, Any]:
    """An amount of a thing in another unit, through its density where mass meets volume.

    With `item`, once a row, a column is answered in order: a bad row holds its `problem` and the others go through.
    """
    if query.item:
        if query.amount is not None:
            raise MismatchError("Give `amount`, or `item` for each row, not both.", path=("amount",))
        refused = _Refusals()
        return {"items": [_answer_row(row, index, query, refused) for index, row in enumerate(query.item)]}
    amount, unit = _needed(query.amount, query.unit)
    return _answer(_ratio(amount), _plan(query, unit))


@router.post("", operation_id="convert_many", summary="Many conversions", response_model=ConvertAnswers)
@read_body_with(read_table)
async def post_convert(body: ConvertRequest) -> dict[str, Any]:
    """A calculation; nothing is stored, and repeating it is safe. POST only because the question is a list."""
    return {"items": _answer_rows(table_of(body))}


def _needed(amount: str | None, unit: str | None) -> tuple[str, str]:
    if amount is None or unit is None:
        missing = [name for name, given in (("amount", amount), ("unit", unit)) if given is None]
        raise DomainErrors([NeededError(f"Give `{name}`, or `item` for each row.", path=(name,)) for name in missing])
    return amount, unit


class _Refusals:
    """What is refused of a column: the first come with the nearest names, whose search costs more than a conversion."""

    def __init__(self) -> None:
        """Start with none."""
        self.count = 0

    def problem(self, errors: list[DomainError], *, in_query: bool) -> dict[str, Any]:
        """One more, in its place."""
        self.count += 1
        told = errors if self.count <= MOST_ERRORS else [error.brief() for error in errors]
        return {"problem": domain_problem(told, in_query=in_query)}


def _answer_row(written: str, index: int, query: ConvertQuery, refused: _Refusals) -> dict[str, Any]:
    """A row of a GET: its own parts, and the query's parameters for those it leaves out."""
    try:
        amount, *parts = (part.strip() for part in written.split("|"))
        if len(parts) > 4:
            raise UnreadableError("A row is amount|unit|ingredient|to|packing.")
        unit, ingredient, to, packing = (*parts, *[""] * (4 - len(parts)))
        amount, unit = _needed(amount or None, unit or query.unit)
        ratio = _ratio(amount)
        return _answer(ratio, _plan(query, unit, to, ingredient, packing), b"item")
    except DomainErrors as several:
        errors = several.errors
    except DomainError as error:
        errors = [error]
    return refused.problem([error.within("item", index) for error in errors], in_query=True)


def _ratio(amount: str) -> Ratio:
    with at_path("amount"):
        return amount_ratio(amount)


def _answer_rows(table: Table) -> list[dict[str, Any]]:
    """In the order of the request, though the rows that ask the same are converted together."""
    answers, errors = [_NOT_YET] * len(table.rows), dict[int, DomainError]()
    for asked, rows in _by_plan(table, errors).items():
        try:
            plan = plan_of(*asked, table.measures)
        except DomainError as error:
            first, *others = rows.positions
            errors |= {first: error, **{row: copy(error) for row in others}}
            continue
        unit, warned = plan.to.id, plan.warned
        the_same = warned_at(b"", warned) if len(warned) == 1 else None
        for row, found, low, high, sources in converted_together(plan, rows, errors):
            answers[row] = {  # as `_answer`, which would cost a thousand calls
                "amount": found,
                "unit": unit,
                "low": low,
                "high": high,
                "sources": sources,
                "warnings": the_same or warned_at(b"/items/%d" % row, warned),
            }
    refused = _Refusals()
    for row, refusal in sorted(errors.items()):
        if refusal.path[:1] in {("amount",), ("unit",), ("quantity",)}:
            # What is text has no parts to point at.
            parts = () if isinstance(table.rows[row][0], str) else refusal.path
            refusal.path = ("quantity", *parts[-1:])
        answers[row] = refused.problem([refusal.within("items", row)], in_query=False)
    return answers


def _by_plan(table: Table, errors: dict[int, DomainError]) -> RowsByPlan[_Asked]:
    """The rows by what they ask for, but for those whose quantity cannot be read."""
    rows_of = RowsByPlan[_Asked]()
    for row, (quantity, to, ingredient, packing, g_per_ml, egg_class) in enumerate(table.rows):
        try:
            if isinstance(quantity, str):
                amount, unit = _parsed(quantity, table.measures)
            else:
                amount, unit = amount_ratio(quantity.amount), quantity.unit
        except DomainError as error:
            errors[row] = error if isinstance(quantity, str) else error.within("amount")
            continue
        positions, amounts = rows_of[unit, to, ingredient, packing, g_per_ml, egg_class]
        positions.append(row)
        amounts.append(amount)
    return rows_of


def _parsed(quantity: str, measures: Measures | None) -> tuple[Ratio, str]:
    with at_path("quantity"):
        parsed = parse_quantity(quantity, measures)
    return parsed.amount.as_integer_ratio(), parsed.unit.id


def _plan(query: ConvertQuery, unit: str, to: str = "", ingredient: str = "", packing: str = "") -> Plan:
    """The query's plan, or that of one of its rows, which may say more."""
    return plan_of(
        unit,
        to or query.to,
        ingredient or query.ingredient,
        packing or query.packing,
        query.g_per_ml,
        query.egg_class,
        query.measures,
    )


def _answer(ratio: Ratio, plan: Plan, place: bytes = b"") -> dict[str, Any]:
    (amount, low, high), sources = converted(ratio, plan)
    return {
        "amount": amount,
        "unit": plan.to.id,
        "low": low,
        "high": high,
        "sources": sources,
        "warnings": warned_at(place, plan.warned),
    }
