"""`/v1/convert`: an amount of an ingredient from one unit to another, singly or as a table."""

from typing import Annotated, Any

from fastapi import APIRouter
from fastapi import Query as QueryParameters

from api.v1.convert.answers import RowProblems, answer, plan_of, rows_of, table_answers
from api.v1.convert.reading import as_table, item_ingredient, read_item, read_query, read_table
from api.v1.convert.schemas import (
    ConversionAnswer,
    ConversionQuery,
    ConversionRowsQuery,
    ConversionsAnswer,
    ConversionsRequest,
)
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute, read_body_with
from domain.errors import DomainError, DomainErrors

router = APIRouter(prefix="/v1/convert", tags=["convert"], responses=RESPONSES, route_class=PureRoute)


@router.get("", operation_id="get_conversion", summary="One conversion", response_model=ConversionAnswer)
async def get_conversion(query: Annotated[ConversionQuery, QueryParameters()]) -> dict[str, Any]:
    """Convert an amount to another unit. Volume is converted to mass by the ingredient's density."""
    ratio, question = read_query(query)
    return answer(ratio, plan_of(question))


@router.get("/rows", operation_id="list_conversions", summary="A table by GET", response_model=ConversionsAnswer)
async def list_conversions(query: Annotated[ConversionRowsQuery, QueryParameters()]) -> dict[str, Any]:
    """Convert one `item` for each row, in order. A bad row has a `problem`; the others are answered.

    It is for cells and links, which can only GET.
    """
    problems, worded = RowProblems(), set[str]()
    items = [_answer_item(item, index, query, problems, worded) for index, item in enumerate(query.item)]
    return {"items": items, "problem_count": problems.count}


@router.post("", operation_id="compute_conversions", summary="Many conversions", response_model=ConversionsAnswer)
@read_body_with(read_table)
async def compute_conversions(body: ConversionsRequest) -> dict[str, Any]:
    """Convert a list of amounts. This is a calculation: nothing is stored, and repeating it is safe."""
    return table_answers(as_table(body))


def _answer_item(
    item: str, index: int, query: ConversionRowsQuery, problems: RowProblems, worded: set[str]
) -> dict[str, Any]:
    name = item_ingredient(item, query)
    try:
        ratio, question = read_item(item, query, worded)
        (row,) = rows_of(name, [answer(ratio, plan_of(question), b'"parameters":["item"]')])
    except DomainErrors as several:
        errors = several.errors
    except DomainError as error:
        errors = [error]
    else:
        return row
    return problems.problem(name, [error.within("item", index) for error in errors], in_query=True)
