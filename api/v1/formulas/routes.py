"""`/v1/formulas`: recipes as they are written, turned into formulas."""

from typing import Annotated, Any

from fastapi import APIRouter
from fastapi import Query as QueryParameters

from api.v1.formulas.answers import read_answer, read_line_answer
from api.v1.formulas.reading import read_one_line, read_recipe
from api.v1.formulas.schemas import ReadAnswer, ReadLineAnswer, ReadLineQuery, ReadRequest
from api.wire.formats import response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute

router = APIRouter(prefix="/v1/formulas", tags=["formulas"], responses=RESPONSES, route_class=PureRoute)


@router.post("/read", operation_id="read_formula", summary="A recipe as a formula", response_model=ReadAnswer)
@response_formats(rows="lines")
async def read_formula(body: ReadRequest) -> dict[str, Any]:
    """Read a pasted recipe: its lines, components, tin, oven and time, in English, German or French.

    What has several meanings is asked and not guessed: `questions` has each question once, with choices to send back
    in `answers` or in the named field. Nothing is left out: every line is a `line`, a `question` or `kept`. When
    `ready` is true, `formula` can be sent to every other endpoint. A calculation; nothing is stored, and repeating it
    is safe.
    """
    return read_answer(read_recipe(body))


@router.get(
    "/read-line", operation_id="read_line", summary="A line of a recipe in grams", response_model=ReadLineAnswer
)
@response_formats(figure=("line.grams",), rows="")
async def read_line(query: Annotated[ReadLineQuery, QueryParameters()]) -> dict[str, Any]:
    """One line of a recipe for a cell: `text=225 g (8 oz) butter`. What would be a question is an error."""
    return read_line_answer(read_one_line(query))
