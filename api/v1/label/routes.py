"""`POST /v1/label`: nutrition of the baked product, list of ingredients, allergens; for the EU, the UK or the USA."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends

from api.v1.job.schemas import Job
from api.v1.label.schemas import LabelAnswer
from api.v1.shop.reading import shop_book
from api.v1.shop.selling import LABEL
from api.v1.shop.views import sold_view
from api.wire.formats import response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.shop.goods import Book

router = APIRouter(prefix="/v1/label", tags=["label"], responses=RESPONSES, route_class=PureRoute)


@router.post("", operation_id="compute_label", summary="Figures for a label", response_model=LabelAnswer)
@response_formats(figure=("targets.0.label_figures.nutrition.0.per_100g",), rows="targets.label_figures.nutrition")
async def post_label(body: Job, shop: Annotated[Book, Depends(shop_book)]) -> dict[str, Any]:
    """Nutrition per 100 g and per portion, the list of ingredients and the allergens, with every gap in the data named.

    `shop` needs `market`; the bake loss is that of the cuts or of the shop. This is not legal advice: a competent
    person must check the label against local law and the packets. Cross-contact is not computed. A calculation:
    nothing is stored, and repeating it is safe. It is a POST because a formula does not fit into a URL.
    """
    return sold_view(body, shop, LABEL)
