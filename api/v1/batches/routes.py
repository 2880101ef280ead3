"""`POST /v1/batches`: tins, mixes, ingredients, eggs, packs to buy and oven loads for a day's orders."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends

from api.v1.batches.answers import batches_answer
from api.v1.batches.reading import read_day
from api.v1.batches.schemas import BatchesAnswer, BatchesRequest
from api.v1.shop.reading import shop_book
from api.wire.formats import response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.shop.buying import ingredient_totals
from domain.shop.goods import Book
from domain.shop.mixes import day_mixes, eggs_needed
from domain.shop.tin_plan import oven_loads, plan_tins

router = APIRouter(prefix="/v1/batches", tags=["batches"], responses=RESPONSES, route_class=PureRoute)


@router.post("", operation_id="compute_batches", summary="Batches for a day's orders", response_model=BatchesAnswer)
@response_formats(rows="ingredients")
async def post_batches(body: BatchesRequest, shop: Annotated[Book, Depends(shop_book)]) -> dict[str, Any]:
    """The fewest tins that cover every order, the mixes for them, what to buy, and the oven loads.

    Components that are the same formula are one mix. A calculation: nothing is stored, and repeating it is safe. It
    is a POST because formulas and orders do not fit into a URL.
    """
    day = read_day(body, shop)
    plans = plan_tins(day.products, day.orders)
    mixes = day_mixes(day.products, plans, day.book, body.mixing_bowl_grams)
    totals, notices = ingredient_totals(mixes, day.stock_g, day.classes[0] if day.classes else None)
    loads = None if body.oven_shelves is None else oven_loads(day.products, plans, body.oven_shelves)
    return batches_answer(
        day.products, plans, mixes, totals, notices, eggs=eggs_needed(mixes, day.classes), loads=loads
    )
