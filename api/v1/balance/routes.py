"""`POST /v1/balance`: baker's percentages, two formulas side by side; `/v1/balance/grams`: the way back to grams."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends

from api.v1.balance.answers import grams_answer
from api.v1.balance.reading import read_percentages
from api.v1.balance.schemas import BalanceAnswer, BalanceRequest, FormulaGramsAnswer, FormulaGramsRequest
from api.v1.balance.views import balance_view
from api.v1.shop.reading import shop_book
from api.wire.formats import response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.shop.balance import grams_from_percentages
from domain.shop.goods import Book

router = APIRouter(prefix="/v1/balance", tags=["balance"], responses=RESPONSES, route_class=PureRoute)


@router.post("", operation_id="compute_balance", summary="Baker's percentages", response_model=BalanceAnswer)
@response_formats(figure=("targets.0.balance.total_percent",), rows="targets.balance.lines")
async def post_balance(body: BalanceRequest, shop: Annotated[Book, Depends(shop_book)]) -> dict[str, Any]:
    """A formula against its flour: every ingredient, water, sugar, fat, egg and leavening, the grams of each target.

    A calculation: nothing is stored, and repeating it is safe. It is a POST because a formula does not fit into a
    URL.
    """
    return balance_view(body, shop)


@router.post(
    "/grams",
    operation_id="compute_formula_grams",
    summary="Grams from baker's percentages",
    response_model=FormulaGramsAnswer,
)
@response_formats(figure=("grams",), rows="lines")
async def post_formula_grams(body: FormulaGramsRequest) -> dict[str, Any]:
    """The way back: the grams of each ingredient of a mix, or of a number of pieces, from percentages.

    A calculation: nothing is stored, and repeating it is safe. It is a POST because a list of percentages does not
    fit into a URL.
    """
    percentages, mix_g = read_percentages(body)
    return grams_answer(body.percentages, grams_from_percentages(percentages, mix_g), mix_g)
