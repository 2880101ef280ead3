"""`/v1/convert`: an amount of an ingredient from one unit to another, singly or as a table."""

from typing import Annotated, Any

from fastapi import APIRouter
from fastapi import Query as QueryParameters

from api.v1.convert.answers import RowProblems, answer, plan_of, table_answers
from api.v1.convert.reading import read_item, read_query, read_table, table_of
from api.v1.convert.schemas import ConvertAnswers, ConvertOneOrMany, ConvertQuery, ConvertRequest
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute, read_body_with
from domain.errors import DomainError, DomainErrors, MismatchError

router = APIRouter(prefix="/v1/convert", tags=["convert"], responses=RESPONSES, route_class=PureRoute)


@router.get("", operation_id="get_conversion", summary="One conversion, or a table", response_model=ConvertOneOrMany)
async def get_convert(query: Annotated[ConvertQuery, QueryParameters()]) -> dict[str, Any]:
    """Convert an amount to another unit. Volume is converted to mass by the ingredient's density.

    With one `item` for each row, the rows are answered in order. A bad row has a `problem`; the others are answered.
    """
    if query.item:
        if query.amount is not None:
            raise MismatchError("Give either `amount` or one `item` for each row, not both.", path=("amount",))
        problems = RowProblems()
        return {"items": [_answer_item(item, index, query, problems) for index, item in enumerate(query.item)]}
    ratio, question = read_query(query)
    return answer(ratio, plan_of(question))


@router.post("", operation_id="compute_conversions", summary="Many conversions", response_model=ConvertAnswers)
@read_body_with(read_table)
async def post_convert(body: ConvertRequest) -> dict[str, Any]:
    """Convert a list of amounts. This is a calculation: nothing is stored, and repeating it is safe."""
    return {"items": table_answers(table_of(body))}


def _answer_item(item: str, index: int, query: ConvertQuery, problems: RowProblems) -> dict[str, Any]:
    try:
        ratio, question = read_item(item, query)
        return answer(ratio, plan_of(question), b"item")
    except DomainErrors as several:
        errors = several.errors
    except DomainError as error:
        errors = [error]
    return problems.problem([error.within("item", index) for error in errors], in_query=True)
