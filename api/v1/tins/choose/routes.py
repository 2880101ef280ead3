"""`/v1/tins/choose`: which of the shop's tins to use for a mix."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends

from api.v1.shop.reading import shop_book
from api.v1.tins.choose.answers import choose_answer
from api.v1.tins.choose.reading import read_choose
from api.v1.tins.choose.schemas import ChooseAnswer, ChooseRequest
from api.wire.formats import response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.formulas.choosing import choose_for_mix
from domain.shop.goods import Book

router = APIRouter(prefix="/v1/tins/choose", tags=["tins"], responses=RESPONSES, route_class=PureRoute)


@router.post("", operation_id="compute_tin_choice", summary="Which of the shop's tins", response_model=ChooseAnswer)
@response_formats(figure=("choices.0.factor",), rows="choices.tins")
async def post_choose(body: ChooseRequest, shop: Annotated[Book, Depends(shop_book)]) -> dict[str, Any]:
    """The best ways to fill the shop's tins, all to about the same depth: every way is compared.

    First those that leave least over in steps of 0.5 %, then the fewest tins. A calculation:
    nothing is stored, and repeating it is safe.
    """
    question = read_choose(body, shop)
    choices = choose_for_mix(question.mix, question.own, question.depths, grams=body.grams, portions=question.portions)
    return choose_answer(body, question, choices)
