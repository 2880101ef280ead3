"""`POST /v1/label`: nutrition of the baked product, list of ingredients, allergens; for the EU, the UK or the USA."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends

from api.v1.label.answers import label_answer
from api.v1.label.reading import read_label
from api.v1.label.schemas import LabelAnswer, LabelRequest
from api.v1.shop.reading import shop_book
from api.wire.formats import response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.shop.goods import Book
from domain.shop.label import label

router = APIRouter(prefix="/v1/label", tags=["label"], responses=RESPONSES, route_class=PureRoute)


@router.post("", operation_id="compute_label", summary="Figures for a label", response_model=LabelAnswer)
@response_formats(figure=("nutrition.0.per_100g",), rows="nutrition")
async def post_label(body: LabelRequest, shop: Annotated[Book, Depends(shop_book)]) -> dict[str, Any]:
    """Nutrition per 100 g and per piece, the list of ingredients and the allergens, with every gap in the data named.

    This is not legal advice: a competent person must check the label against local law and the packets. Cross-
    contact is not computed. A calculation: nothing is stored, and repeating it is safe. It is a POST because a
    formula does not fit into a URL.
    """
    question = read_label(body, shop)
    return label_answer(label(question.weighed, question.sold, question.book), question.weighed)
