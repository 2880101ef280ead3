"""The plan of a day, from its request to its answer."""

from typing import Any

from api.v1.batches.answers import batches_answer
from api.v1.batches.reading import read_day
from api.v1.batches.schemas import BatchesRequest
from domain.shop.buying import ingredient_totals
from domain.shop.goods import Book
from domain.shop.mixes import day_mixes, eggs_needed
from domain.shop.tin_plan import oven_loads, plan_tins


def batches_view(body: BatchesRequest, shop: Book) -> dict[str, Any]:
    """The answer of `/v1/batches`.

    Args:
        body: the request.
        shop: the book of the shop file.
    Raises:
        DomainErrors: everything that is wrong with the request.
    """
    day = read_day(body, shop)
    plans = plan_tins(day.products, day.orders)
    mixes = day_mixes(day.products, plans, day.book, body.mixing_bowl_grams)
    totals, notices = ingredient_totals(mixes, day.stock_g, day.classes[0] if day.classes else None)
    loads = None if body.oven_shelves is None else oven_loads(day.products, plans, body.oven_shelves)
    return batches_answer(
        day.products, plans, mixes, totals, notices, eggs=eggs_needed(mixes, day.classes), loads=loads
    )
