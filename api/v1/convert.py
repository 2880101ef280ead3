"""`/v1/convert`: an amount of a thing from one unit to another, one at a time or a column at once."""

from typing import Annotated, Any, NamedTuple

from fastapi import APIRouter
from fastapi import Query as QueryParameters
from pydantic import Field
from typing_extensions import TypeAliasType

from api.answers import source_refs, warnings
from api.problems import RESPONSES, Problem, domain_problem
from api.reading import read_amount_and_unit, read_egg_class, read_thing
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
from domain.conversion import convert
from domain.errors import DomainError, DomainErrors, MismatchError, NeededError, Path, UnreadableError
from domain.quantities import amount_ratio
from domain.units import Measures, Unit, resolve_unit

MAX_ITEMS = 1_000  # our own limit: a batch this size holds a worker for a few milliseconds


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


class ConvertItem(Schema):
    """One conversion of a batch."""

    quantity: Quantity
    to: UnitName
    ingredient: IngredientName | None = None
    packing: PackingName | None = None
    g_per_ml: Density | None = None
    egg_class: EggClassName | None = None


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


class _Row(NamedTuple):
    """One row of a GET's column, as `_answer` reads it."""

    to: str
    ingredient: str | None
    packing: str | None
    g_per_ml: float | None
    egg_class: str | None


router = APIRouter(prefix="/v1/convert", tags=["convert"], responses=RESPONSES, route_class=PureRoute)


@router.get("", operation_id="convert", summary="One conversion, or a column", response_model=ConvertOneOrMany)
async def get_convert(query: Annotated[ConvertQuery, QueryParameters()]) -> dict[str, Any]:
    """An amount of a thing in another unit, through its density where mass meets volume.

    With `item`, once a row, a column is answered in order: a bad row holds its `problem` and the others go through.
    """
    if query.item:
        if query.amount is not None:
            raise MismatchError("Give `amount`, or `item` for each row, not both.", path=("amount",))
        return {"items": [_answer_row(row, index, query) for index, row in enumerate(query.item)]}
    amount, unit = _needed(query.amount, query.unit)
    return _answer(query, *_amount_and_unit(amount, unit, query.measures), query.measures, in_query=True)


@router.post("", operation_id="convert_many", summary="Many conversions", response_model=ConvertAnswers)
async def post_convert(body: ConvertRequest) -> dict[str, Any]:
    """A calculation; nothing is stored, and repeating it is safe. POST only because the question is a list."""
    return {"items": [_answer_item(item, index, body.measures) for index, item in enumerate(body.items)]}


def _needed(amount: str | None, unit: str | None) -> tuple[str, str]:
    if amount is None or unit is None:
        missing = [name for name, given in (("amount", amount), ("unit", unit)) if given is None]
        raise DomainErrors([NeededError(f"Give `{name}`, or `item` for each row.", path=(name,)) for name in missing])
    return amount, unit


def _answer_row(written: str, index: int, query: ConvertQuery) -> dict[str, Any]:
    """A row of a GET: its own parts, and the query's parameters for those it leaves out."""
    try:
        amount, *parts = (part.strip() for part in written.split("|"))
        if len(parts) > 4:
            raise UnreadableError("A row is amount|unit|ingredient|to|packing.")
        unit, ingredient, to, packing = (*parts, *[""] * (4 - len(parts)))
        row = _Row(
            to or query.to, ingredient or query.ingredient, packing or query.packing, query.g_per_ml, query.egg_class
        )
        read = _amount_and_unit(*_needed(amount or None, unit or query.unit), query.measures)
        return _answer(row, *read, query.measures, ("item", index), in_query=True)
    except DomainErrors as several:
        errors = several.errors
    except DomainError as error:
        errors = [error]
    return {"problem": domain_problem([error.under("item", index) for error in errors], in_query=True)}


def _amount_and_unit(amount: str, unit: str, measures: Measures | None) -> tuple[tuple[int, int], Unit]:
    try:
        ratio = amount_ratio(amount)
    except DomainError as error:
        raise error.under("amount") from None
    try:
        return ratio, resolve_unit(unit, measures)
    except DomainError as error:
        raise error.under("unit") from None


def _answer_item(item: ConvertItem, index: int, measures: Measures | None) -> dict[str, Any]:
    try:
        try:
            amount, unit = read_amount_and_unit(item.quantity, measures)
        except DomainError as error:
            raise error.under("quantity") from None
        return _answer(item, amount, unit, measures, ("items", index))
    except DomainError as error:
        return {"problem": domain_problem([error.under("items", index)], in_query=False)}


def _answer(
    asked: ConvertItem | ConvertQuery | _Row,
    amount: tuple[int, int],
    unit: Unit,
    measures: Measures | None,
    path: Path = (),
    *,
    in_query: bool = False,
) -> dict[str, Any]:
    try:
        to = resolve_unit(asked.to, measures)
    except DomainError as error:
        raise error.under("to") from None
    egg_class = read_egg_class(asked.egg_class, "egg_class")
    thing = read_thing(asked.ingredient, asked.packing, asked.g_per_ml, egg_class)
    try:
        found = convert(amount, unit, to, thing)
    except DomainError as error:
        if not in_query and error.path[:1] in {("amount",), ("unit",)}:
            error.path = ("quantity",)  # of which these are parts, if it is an object
        raise
    notices = [notice.under(*path) for notice in found.notices] if found.notices else ()
    return {
        "amount": found.amount,
        "unit": to.id,
        "low": found.low,
        "high": found.high,
        "sources": source_refs(found.cited),
        "warnings": warnings(notices, in_query=in_query),
    }
