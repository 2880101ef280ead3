"""`/v1/eggs`: eggs of one class as grams, in other classes, as liquid or dried egg."""

from functools import lru_cache
from typing import Annotated, Any

import orjson
from fastapi import APIRouter
from fastapi import Query as QueryParameters

from api.v1.eggs.answers import classes_answer, eggs_answer
from api.v1.eggs.reading import read_eggs
from api.v1.eggs.schemas import EggClassesAnswer, EggsAnswer, EggsQuery, EggsRequest
from api.wire.caching import SerializedAnswer, static_answer
from api.wire.figures_id import figures_id
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute

router = APIRouter(prefix="/v1/eggs", tags=["eggs"], responses=RESPONSES, route_class=PureRoute)


@router.get("", operation_id="get_eggs", summary="Eggs as grams and in other classes", response_model=EggsAnswer)
async def get_eggs(query: Annotated[EggsQuery, QueryParameters()]) -> dict[str, Any]:
    """Whole eggs, yolks and whites of a class in grams, as liquid and dried egg, and in the available classes."""
    return eggs_answer(read_eggs(query), in_query=True)


@router.post("", operation_id="compute_eggs", summary="Eggs as grams and in other classes", response_model=EggsAnswer)
async def post_eggs(body: EggsRequest) -> dict[str, Any]:
    """The same as the GET. This is a calculation: nothing is stored, and repeating it is safe."""
    return eggs_answer(read_eggs(body), in_query=False)


@router.get("/classes", operation_id="list_egg_classes", summary="Egg weight classes", response_model=EggClassesAnswer)
async def get_egg_classes() -> SerializedAnswer:
    """The weight classes of the EU and UK, USA, Canada, Australia, New Zealand and Japan."""
    return _classes(figures_id())


@lru_cache(maxsize=4)  # made at the first request, so that the start need not wait for it
def _classes(figures: str) -> SerializedAnswer:
    return static_answer(orjson.dumps({**classes_answer(), "figures": figures}))
