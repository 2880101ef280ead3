"""`POST /v1/rescale`: a formula that was written for one tin, rescaled to many targets at once."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends

from api.v1.rescale.answers import bake_answers, cuts_answers, rescale_answer
from api.v1.rescale.reading import read_request, weigh_request
from api.v1.rescale.schemas import RescaleAnswer, RescaleRequest
from api.v1.shop.reading import line_reader, read_book, shop_book
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.errors import ErrorCollector
from domain.formulas.rescaling import rescale_each
from domain.shop.goods import Book

router = APIRouter(prefix="/v1/rescale", tags=["rescale"], responses=RESPONSES, route_class=PureRoute)


@router.post("", operation_id="compute_rescale", summary="A formula for other tins", response_model=RescaleAnswer)
async def post_rescale(body: RescaleRequest, shop: Annotated[Book, Depends(shop_book)]) -> dict[str, Any]:
    """The main job: what to weigh, how many eggs and pieces, and how deep the tin fills, for every target.

    A calculation; nothing is stored, and repeating it is safe. It is a POST only because the request is structured.
    """
    errors = ErrorCollector()
    book = read_book(body.own_ingredients, shop, None, errors) if body.own_ingredients else shop
    question = read_request(body, errors, line_reader(book))
    weighed = weigh_request(question, errors)
    results = rescale_each(weighed, question.targets, question.bench, errors)
    cuts = cuts_answers(results, body.targets, errors)
    answered = [result for result in results if result is not None]
    bakes = list[dict[str, Any] | None]()
    with errors.at():
        bakes = bake_answers(weighed, question.bake, answered)
    errors.raise_if_any()
    return rescale_answer(weighed, answered, body.formula, body.targets, bakes=bakes, cuts=cuts)
