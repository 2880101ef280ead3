"""`/v1/convert`: an amount of a thing from one unit to another, one at a time or a column at once."""

from collections.abc import Iterator
from copy import copy
from typing import Annotated, Any, NotRequired

from fastapi import APIRouter
from fastapi import Query as QueryParameters
from pydantic import Field
from typing_extensions import TypeAliasType, TypedDict

from api.problems import MOST_ERRORS, RESPONSES, Problem, domain_problem
from api.routing import PureRoute
from api.schemas import (
    AmountText,
    Answer,
    Density,
    EggClassName,
    IngredientName,
    MeasuresName,
    PackingName,
    Quantity,
    Query,
    Schema,
    SourceRef,
    UnitName,
    Warned,
)
from api.v1.convert_plans import Plan, Ratio, converted, converted_together, plan_of, rows_by_plan, warned_at
from domain.errors import DomainError, DomainErrors, MismatchError, NeededError, UnreadableError, under
from domain.quantities import amount_ratio, parse_quantity
from domain.units import Measures

MAX_ITEMS = 1_000  # our own limit: a batch this size holds a worker for a few milliseconds
_NOT_YET: dict[str, Any] = {}
_Asked = tuple[str, str, str | None, str | None, float | None, str | None]  # as `plan_of` takes it


RowText = Annotated[
    str,
    Field(
        min_length=1,
        max_length=300,
        examples=["1.5|us_cup|plain-flour", "200|g|butter|us_tbsp", "1/3|us_cup|dark-brown-sugar||packed"],
        description="`amount|unit|ingredient|to|packing`; what is left out is taken from the parameter of that name.",
    ),
]


class ConvertQuery(Query):
    """One conversion (`amount` and `unit`), or a column of them (`item`, once a row), as query parameters."""

    amount: AmountText | None = None
    unit: UnitName | None = None
    item: list[RowText] = Field(
        default=[], max_length=MAX_ITEMS, description="A row of a column: `amount|unit|ingredient|to|packing`."
    )
    to: UnitName = "g"
    ingredient: IngredientName | None = None
    packing: PackingName | None = None
    g_per_ml: Density | None = None
    egg_class: EggClassName | None = None
    measures: MeasuresName | None = None


class ConvertItem(TypedDict):
    """One conversion of a batch; a dictionary, since a thousand models take half as long again to read."""

    __pydantic_config__ = Schema.model_config  # type: ignore[misc]  # as pydantic has it

    quantity: Quantity
    to: UnitName
    ingredient: NotRequired[IngredientName | None]
    packing: NotRequired[PackingName | None]
    g_per_ml: NotRequired[Density | None]
    egg_class: NotRequired[EggClassName | None]


class ConvertRequest(Schema):
    """A column of conversions; a bad one is answered in its place and the others go through."""

    items: list[ConvertItem] = Field(min_length=1, max_length=MAX_ITEMS)
    measures: MeasuresName | None = None


class ConvertAnswer(Answer):
    """The amount in the unit asked for, with the range the figures behind it leave open."""

    amount: float
    unit: str
    low: float
    high: float
    sources: list[SourceRef]
    warnings: list[Warned]


class ConvertProblem(Answer):
    """A conversion that could not be answered, in its place."""

    problem: Problem


ConvertResult = TypeAliasType("ConvertResult", ConvertAnswer | ConvertProblem)


class ConvertAnswers(Answer):
    """One answer or problem an item, in order."""

    items: list[ConvertResult]


ConvertOneOrMany = TypeAliasType("ConvertOneOrMany", ConvertAnswer | ConvertAnswers)


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
async def post_convert(body: ConvertRequest) -> dict[str, Any]:
    """A calculation; nothing is stored, and repeating it is safe. POST only because the question is a list."""
    return {"items": _answer_items(body)}


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
    return refused.problem([error.under("item", index) for error in errors], in_query=True)


def _ratio(amount: str) -> Ratio:
    with under("amount"):
        return amount_ratio(amount)


def _answer_items(body: ConvertRequest) -> list[dict[str, Any]]:
    """In the order of the request, though the rows that ask the same are converted together."""
    answers, errors = [_NOT_YET] * len(body.items), dict[int, DomainError]()
    for asked, rows in rows_by_plan(_asked(body, errors)).items():
        try:
            plan = plan_of(*asked, body.measures)
        except DomainError as error:
            errors |= {row: copy(error) for row in rows.positions}
            continue
        unit, warned = plan.to.id, plan.warned
        for row, found, low, high, sources in converted_together(plan, rows, errors):
            answers[row] = {  # as `_answer`, which would cost a thousand calls
                "amount": found,
                "unit": unit,
                "low": low,
                "high": high,
                "sources": sources,
                "warnings": warned_at(b"/items/%d" % row, warned),
            }
    refused = _Refusals()
    for row, refusal in sorted(errors.items()):
        quantity = body.items[row]["quantity"]
        if refusal.path[:1] in {("amount",), ("unit",)}:
            refusal.path = ("quantity",) if isinstance(quantity, str) else ("quantity", *refusal.path)
        answers[row] = refused.problem([refusal.under("items", row)], in_query=False)
    return answers


def _asked(body: ConvertRequest, errors: dict[int, DomainError]) -> Iterator[tuple[_Asked, Ratio | None]]:
    """What each item asks for, and of what amount; none if it cannot be read, and then why."""
    for row, item in enumerate(body.items):
        quantity, part = item["quantity"], item.get
        amount: Ratio | None = None
        unit = ""
        try:
            if isinstance(quantity, str):
                amount, unit = _parsed(quantity, body.measures)
            else:
                amount, unit = amount_ratio(quantity["amount"]), quantity["unit"]
        except DomainError as error:
            errors[row] = error
        yield (
            (unit, item["to"], part("ingredient"), part("packing"), part("g_per_ml"), part("egg_class")),  # type: ignore[misc]
            amount,
        )


def _parsed(quantity: str, measures: Measures | None) -> tuple[Ratio, str]:
    with under("quantity"):
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
