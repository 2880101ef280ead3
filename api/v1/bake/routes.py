"""`POST /v1/bake`: a window of minutes for each target, estimated from a bake that works."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends

from api.drawings.svg import MEDIA_TYPE
from api.v1.bake.schemas import BakeAnswer
from api.v1.job.schemas import Job
from api.v1.job.views import bake_view, drawn_bake
from api.v1.shop.reading import shop_book
from api.wire.formats import CustomFormat, response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.shop.goods import Book

router = APIRouter(prefix="/v1/bake", tags=["bake"], responses=RESPONSES, route_class=PureRoute)


@router.post("", operation_id="compute_bake", summary="A window of minutes for new tins", response_model=BakeAnswer)
@response_formats(figure=("targets.0.bake.minutes",), rows="targets", svg=CustomFormat(MEDIA_TYPE, drawn_bake))
async def post_bake(body: Job, book: Annotated[Book, Depends(shop_book)]) -> dict[str, Any]:
    """Estimate when each target is likely to be done, from the formula's own bake, by transient heat conduction.

    The answer is a window with the usual cautions. It is computed, not certified: the temperature of the core
    decides. A calculation; nothing is stored, and repeating it is safe. It is a POST only because the request is
    structured.
    """
    return bake_view(body, book)
