"""`/v1/cuts`: where to cut a slab, what each portion weighs, and a drawing to measure with a ruler."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends
from fastapi import Query as QueryParameters

from api.drawings.svg import MEDIA_TYPE
from api.v1.cuts.answers import cut_drawing, question_answer
from api.v1.cuts.batch import batch_answer
from api.v1.cuts.reading import read_cut
from api.v1.cuts.schemas import CutsAnswer, CutsBatchAnswer, CutsBatchRequest, CutsQuery, CutsRequest
from api.v1.shop.reading import shop_book
from api.wire.formats import CustomFormat, response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.cutting.budget import CutBudget
from domain.shop.goods import Book

router = APIRouter(prefix="/v1/cuts", tags=["cuts"], responses=RESPONSES, route_class=PureRoute)


async def draw_query(query: CutsQuery) -> str:
    """The drawing of the layout alone."""
    return cut_drawing(read_cut(query), CutBudget())


async def draw_body(body: CutsRequest) -> str:
    """The drawing of the layout alone."""
    return cut_drawing(read_cut(body), CutBudget())


@router.get("", operation_id="get_cuts", summary="Where to cut one slab", response_model=CutsAnswer)
@response_formats(figure=("portions",), svg=CustomFormat(MEDIA_TYPE, draw_query))
async def get_cuts(query: Annotated[CutsQuery, QueryParameters()]) -> dict[str, Any]:
    """Rows, columns, marks and masses; with `format=svg`, the drawing alone."""
    return question_answer(read_cut(query), CutBudget(), in_query=True)


@router.post("", operation_id="compute_cuts", summary="Where to cut one slab", response_model=CutsAnswer)
@response_formats(figure=("portions",), svg=CustomFormat(MEDIA_TYPE, draw_body))
async def post_cuts(body: CutsRequest) -> dict[str, Any]:
    """This is a calculation: nothing is stored, and repeating it is safe. With `format=svg`, the drawing alone."""
    return question_answer(read_cut(body), CutBudget())


@router.post(
    "/batch", operation_id="compute_cuts_batch", summary="Where to cut several slabs", response_model=CutsBatchAnswer
)
@response_formats(rows="targets")
async def post_cuts_batch(body: CutsBatchRequest, shop: Annotated[Book, Depends(shop_book)]) -> dict[str, Any]:
    """The cuts of each target; with a formula, with the masses that `/v1/rescale` has.

    A target with an error gets a `problem` in its place; the other targets are answered. This is a calculation:
    nothing is stored, and repeating it is safe.
    """
    return batch_answer(body, shop)
