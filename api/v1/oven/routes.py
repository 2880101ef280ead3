"""`/v1/oven`: an oven setting on every scale, with and without a fan."""

from typing import Annotated, Any

from fastapi import APIRouter
from fastapi import Query as QueryParameters

from api.v1.oven.answers import oven_answer
from api.v1.oven.reading import read_setting
from api.v1.oven.schemas import OvenAnswer, OvenQuery, OvenRequest
from api.wire.formats import response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.baking.oven import read_oven

router = APIRouter(prefix="/v1/oven", tags=["oven"], responses=RESPONSES, route_class=PureRoute)


@router.get("", operation_id="get_oven", summary="An oven setting on every scale", response_model=OvenAnswer)
@response_formats(figure=("celsius", "celsius_low"), rows="")
async def get_oven(query: Annotated[OvenQuery, QueryParameters()]) -> dict[str, Any]:
    """A setting in Celsius, Fahrenheit and as a gas mark, with and without a fan."""
    return oven_answer(read_oven(read_setting(query)), in_query=True)


@router.post("", operation_id="compute_oven", summary="An oven setting on every scale", response_model=OvenAnswer)
async def post_oven(body: OvenRequest) -> dict[str, Any]:
    """The same as the GET. This is a calculation: nothing is stored, and repeating it is safe."""
    return oven_answer(read_oven(read_setting(body)), in_query=False)
