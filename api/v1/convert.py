"""`/v1/convert`: an amount of a thing from one unit to another, one at a time or a column at once."""

from typing import Annotated, Any

from fastapi import APIRouter
from fastapi import Query as QueryParameters
from pydantic import Field

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
from domain.errors import DomainError, Path, under
from domain.quantities import amount_ratio
from domain.units import Measures, Unit, resolve_unit

MAX_ITEMS = 1_000  # our own limit: a batch this size holds a worker for a few milliseconds


class ConvertQuery(Query):
    """One conversion, as query parameters."""

    amount: AmountText
    unit: UnitName
    to: UnitName
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


class ConvertAnswers(Answer):
    """One answer or problem an item, in order."""

    items: list[ConvertAnswer | ConvertProblem]


router = APIRouter(prefix="/v1/convert", tags=["convert"], responses=RESPONSES, route_class=PureRoute)


@router.get("", operation_id="convert", summary="One conversion", response_model=ConvertAnswer)
async def get_convert(query: Annotated[ConvertQuery, QueryParameters()]) -> dict[str, Any]:
    """An amount of a thing in another unit, through its density where mass meets volume."""
    with under("amount"):
        amount = amount_ratio(query.amount)
    with under("unit"):
        unit = resolve_unit(query.unit, query.measures)
    return _answer(query, amount, unit, query.measures, in_query=True)


@router.post("", operation_id="convert_many", summary="Many conversions", response_model=ConvertAnswers)
async def post_convert(body: ConvertRequest) -> dict[str, Any]:
    """A calculation; nothing is stored, and repeating it is safe. POST only because the question is a list."""
    return {"items": [_answer_item(item, index, body.measures) for index, item in enumerate(body.items)]}


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
    asked: ConvertItem | ConvertQuery,
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
    found = convert(amount, unit, to, thing)
    notices = [notice.under(*path) for notice in found.notices] if found.notices else ()
    return {
        "amount": found.amount,
        "unit": to.id,
        "low": found.low,
        "high": found.high,
        "sources": source_refs(found.cited),
        "warnings": warnings(notices, in_query=in_query),
    }
