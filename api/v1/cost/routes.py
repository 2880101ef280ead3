"""`POST /v1/cost`: the cost of a formula, line by line, and what a price leaves."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends

from api.v1.cost.answers import cost_answer
from api.v1.cost.reading import read_cost
from api.v1.cost.schemas import CostAnswer, CostRequest
from api.v1.shop.reading import shop_book
from api.wire.formats import response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.errors import at_path
from domain.shop.costing import cost
from domain.shop.goods import Book
from domain.shop.pricing import asked_price, target_price

router = APIRouter(prefix="/v1/cost", tags=["cost"], responses=RESPONSES, route_class=PureRoute)


@router.post("", operation_id="compute_cost", summary="Cost of a formula", response_model=CostAnswer)
@response_formats(figure=("per_piece.cost", "cost"), rows="components.lines")
async def post_cost(body: CostRequest, shop: Annotated[Book, Depends(shop_book)]) -> dict[str, Any]:
    """The cost of every line, component, tin and piece, in decimal money that adds up to the last minor unit.

    Missing prices are listed and never guessed, and no tax is assumed. A calculation: nothing is stored, and
    repeating it is safe. It is a POST because a formula does not fit into a URL.
    """
    question = read_cost(body, shop)
    with at_path("formula"):
        costs = cost(question.weighed, question.costing, question.book)
    target = asked = None
    if costs.complete and question.target is not None:
        with at_path("target"):
            target = target_price(costs, question.target, question.tax_percent)
    if costs.complete and question.asked is not None:
        with at_path("price"):
            asked = asked_price(costs, question.asked, question.tax_percent)
    return cost_answer(costs, question.weighed, target, asked)
