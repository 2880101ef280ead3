"""`POST /v1/cost`: the cost of a formula for each target, line by line, and what a price leaves."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends

from api.v1.cost.schemas import CostAnswer
from api.v1.job.schemas import Job
from api.v1.shop.reading import shop_book
from api.v1.shop.selling import COST
from api.v1.shop.views import sold_view
from api.wire.formats import response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.shop.goods import Book

router = APIRouter(prefix="/v1/cost", tags=["cost"], responses=RESPONSES, route_class=PureRoute)


@router.post("", operation_id="compute_cost", summary="Cost of a formula", response_model=CostAnswer)
@response_formats(
    figure=("targets.0.cost.per_portion.cost", "targets.0.cost.cost"), rows="targets.cost.components.lines"
)
async def post_cost(body: Job, shop: Annotated[Book, Depends(shop_book)]) -> dict[str, Any]:
    """The cost of every line, component, tin and portion, in decimal money that adds up to the last minor unit.

    `shop` needs `currency`. Missing prices are listed and never guessed, and no tax is assumed. Portions are those of
    the cuts. A calculation: nothing is stored, and repeating it is safe. It is a POST because a formula does not fit
    into a URL.
    """
    return sold_view(body, shop, COST)
