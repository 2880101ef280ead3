"""`POST /v1/rescale`: a formula written for one tin, for many target tins at once."""

from typing import Annotated, Any

from fastapi import APIRouter, Depends

from api.v1.rescale.answers import formula_answer, formula_warnings, target_answer
from api.v1.rescale.bake import target_bakes
from api.v1.rescale.cuts import target_cuts
from api.v1.rescale.reading import read_request
from api.v1.rescale.schemas import RescaleAnswer, RescaleRequest
from api.v1.shop.reading import line_reader, read_book, shop_book
from api.wire.answers import sources, without_none
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.errors import ErrorCollector, at_path
from domain.formulas.formula import weigh_formula
from domain.formulas.rescaling import rescale
from domain.shop.goods import Book

router = APIRouter(prefix="/v1/rescale", tags=["rescale"], responses=RESPONSES, route_class=PureRoute)


@router.post("", operation_id="rescale", summary="A formula for other tins", response_model=RescaleAnswer)
async def post_rescale(body: RescaleRequest, shop: Annotated[Book, Depends(shop_book)]) -> dict[str, Any]:
    """The main job: what to weigh, how many eggs and pieces, and how deep it fills, for every target.

    A calculation; nothing is stored, and repeating it is safe. POST only because the question is structured.
    """
    findings = ErrorCollector()
    book = read_book(body.own_ingredients, shop, None, findings) if body.own_ingredients else shop
    formula, targets, bench = read_request(body, findings, line_reader(book))
    with at_path("formula"):
        weighed = weigh_formula(formula)
    results = rescale(weighed, targets, bench)
    bakes = target_bakes(body.formula.bake, weighed, results)
    cuts = target_cuts(results, body.targets)
    told = formula_warnings(weighed)
    return {
        "formula": formula_answer(weighed, body.formula, told),
        "targets": [
            target_answer(one, asked, told) | without_none(bake=bake, cuts=layout)
            for one, asked, bake, layout in zip(results, body.targets, bakes, cuts, strict=True)
        ],
        "sources": sources(c for component in weighed.components for line in component.lines for c in line.cited),
    }
