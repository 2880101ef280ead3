"""`/v1/cuts`: where to cut a slab, what each piece weighs, and a drawing to measure with a ruler."""

from typing import Annotated, Any

from fastapi import APIRouter
from fastapi import Query as QueryParameters

from api.drawings.svg import MEDIA_TYPE
from api.v1.cuts.answers import cut_drawing, question_answer, tin_answer
from api.v1.cuts.reading import read_cut, read_tins
from api.v1.cuts.schemas import CutsAnswer, CutsQuery, CutsRequest, CutsResult
from api.wire.formats import CustomFormat, response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.cutting.budget import CutBudget

router = APIRouter(prefix="/v1/cuts", tags=["cuts"], responses=RESPONSES, route_class=PureRoute)


async def draw(query: CutsQuery) -> str:
    """The drawing of the layout alone."""
    return cut_drawing(read_cut(query), CutBudget())


@router.get("", operation_id="get_cuts", summary="Where to cut one slab", response_model=CutsAnswer)
@response_formats(figure=("pieces",), svg=CustomFormat(MEDIA_TYPE, draw))
async def get_cuts(query: Annotated[CutsQuery, QueryParameters()]) -> dict[str, Any]:
    """Rows, columns, marks and masses; with `format=svg`, the drawing alone."""
    return question_answer(read_cut(query), CutBudget(), in_query=True)


@router.post("", operation_id="compute_cuts", summary="Where to cut one slab or several", response_model=CutsResult)
async def post_cuts(body: CutsRequest) -> dict[str, Any]:
    """This is a calculation: nothing is stored, and repeating it is safe.

    A tin of `tins` with an error gets a `problem` in its place; the other tins are answered.
    """
    budget = CutBudget()
    if body.tins is None:
        return question_answer(read_cut(body), budget)
    return {"tins": [tin_answer(tin, budget) for tin in read_tins(body)]}
