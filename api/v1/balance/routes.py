"""`POST /v1/balance`: baker's percentages, the way back to grams, two formulas side by side."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends

from api.v1.balance.answers import balance_answer, grams_answer
from api.v1.balance.reading import read_balance, read_percentages
from api.v1.balance.schemas import BalanceAnswer, BalanceRequest
from api.v1.shop.reading import shop_book
from api.wire.formats import response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.shop.balance import grams_of
from domain.shop.goods import Book

router = APIRouter(prefix="/v1/balance", tags=["balance"], responses=RESPONSES, route_class=PureRoute)


@router.post("", operation_id="compute_balance", summary="Baker's percentages", response_model=BalanceAnswer)
@response_formats(figure=("total_percent",))
async def post_balance(body: BalanceRequest, shop: Annotated[Book, Depends(shop_book)]) -> dict[str, Any]:
    """A formula against its flour: every ingredient, water, sugar, fat, egg and leavening; or percentages as grams.

    A calculation: nothing is stored, and repeating it is safe. It is a POST because a formula does not fit into a
    URL.
    """
    if body.percentages is not None:
        percentages, mix_g = read_percentages(body)
        return grams_answer(body.percentages, grams_of(percentages, mix_g), mix_g)
    return balance_answer(read_balance(body, shop))
