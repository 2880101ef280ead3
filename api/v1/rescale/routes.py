"""`/v1/rescale`: a formula that was written for one tin, rescaled to many targets at once."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends
from fastapi import Query as QueryParameters

from api.v1.job.views import rescale_view
from api.v1.rescale.query import RescaleQuery, query_order, read_query
from api.v1.rescale.schemas import PARTS, RescaleAnswer, RescaleRequest
from api.v1.shop.reading import shop_book
from api.wire.formats import response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.errors import ErrorCollector
from domain.shop.goods import Book

router = APIRouter(prefix="/v1/rescale", tags=["rescale"], responses=RESPONSES, route_class=PureRoute)
_ROWS = "targets.components.lines"
# What a sheet needs to weigh out a formula; `field` gives the tables of the other parts.
_COLUMNS = {
    "targets.label": "label",
    "targets.factor": "factor",
    "targets.components.name": "component",
    "targets.components.lines.ingredient": "ingredient",
    "targets.components.lines.amount": "amount",
    "targets.components.lines.unit": "unit",
    "targets.components.lines.grams": "grams",
    "targets.components.lines.grams_low": "grams_low",
    "targets.components.lines.grams_high": "grams_high",
    "targets.components.lines.weigh_grams": "weigh_grams",
    "targets.components.lines.spoons.text": "spoons",
    "targets.problem.detail": "problem",
}


@router.get("", operation_id="get_rescale", summary="A formula for other tins", response_model=RescaleAnswer)
@response_formats(rows=_ROWS, columns=_COLUMNS)
async def get_rescale(
    query: Annotated[RescaleQuery, QueryParameters()],
    order: Annotated[tuple[str, ...], Depends(query_order)],
    shop: Annotated[Book, Depends(shop_book)],
) -> dict[str, Any]:
    """The main job for what can only send an address: a cell, a linked table, a bookmark. The answer is the POST's.

    `line=150 g butter` is one line of the formula, `component=nuggets` starts a part that is mixed by itself, and each
    `want` is a tin, a factor (`x 2.5`) or a mass (`1500 g`).
    """
    errors, answer = ErrorCollector(), dict[str, Any]()
    job, notices = read_query(query, order, errors)
    with errors.at():
        answer = rescale_view(job, shop, frozenset(query.include or PARTS), notices, in_query=True)
    errors.raise_if_any()
    return answer


@router.post("", operation_id="compute_rescale", summary="A formula for other tins", response_model=RescaleAnswer)
@response_formats(rows=_ROWS, columns=_COLUMNS)
async def post_rescale(body: RescaleRequest, shop: Annotated[Book, Depends(shop_book)]) -> dict[str, Any]:
    """The main job: what to weigh, how many eggs and pieces, how to bake and where to cut, for every target.

    A target that cannot be answered has a `problem` in its place; the others are answered. A calculation; nothing is
    stored, and repeating it is safe. It is a POST only because the request is structured.
    """
    return rescale_view(body, shop, frozenset(body.include or PARTS))
