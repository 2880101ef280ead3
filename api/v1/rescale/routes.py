"""`/v1/rescale`: a formula that was written for one tin, rescaled to many targets at once."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends

from api.v1.job.views import rescale_view
from api.v1.rescale.schemas import PARTS, RescaleAnswer, RescaleRequest
from api.v1.shop.reading import shop_book
from api.wire.formats import response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.shop.goods import Book

router = APIRouter(prefix="/v1/rescale", tags=["rescale"], responses=RESPONSES, route_class=PureRoute)


@router.post("", operation_id="compute_rescale", summary="A formula for other tins", response_model=RescaleAnswer)
@response_formats(rows="targets.components.lines")
async def post_rescale(body: RescaleRequest, shop: Annotated[Book, Depends(shop_book)]) -> dict[str, Any]:
    """The main job: what to weigh, how many eggs and pieces, how to bake and where to cut, for every target.

    A target that cannot be answered has a `problem` in its place; the others are answered. A calculation; nothing is
    stored, and repeating it is safe. It is a POST only because the request is structured.
    """
    return rescale_view(body, shop, frozenset(body.include or PARTS))
