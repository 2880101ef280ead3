"""`POST /v1/batches`: tins, mixes, ingredients, eggs, packs to buy and oven loads for a day's orders."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends

from api.v1.batches.schemas import BatchesAnswer, BatchesRequest
from api.v1.batches.views import batches_view
from api.v1.shop.reading import shop_book
from api.wire.formats import response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.shop.goods import Book

router = APIRouter(prefix="/v1/batches", tags=["batches"], responses=RESPONSES, route_class=PureRoute)


@router.post("", operation_id="compute_batches", summary="Batches for a day's orders", response_model=BatchesAnswer)
@response_formats(rows="ingredients")
async def post_batches(body: BatchesRequest, shop: Annotated[Book, Depends(shop_book)]) -> dict[str, Any]:
    """The fewest tins that cover every order, the mixes for them, what to buy, and the oven loads.

    Components that are the same formula are one mix. A calculation: nothing is stored, and repeating it is safe. It
    is a POST because formulas and orders do not fit into a URL.
    """
    return batches_view(body, shop)
