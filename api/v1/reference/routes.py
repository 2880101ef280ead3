"""`/v1/ingredients`, `/v1/units`, `/v1/sources`: the reference data and its sources."""

from functools import lru_cache
from typing import Annotated, Any

import orjson
from fastapi import APIRouter
from fastapi import Path as PathParameter
from fastapi import Query as QueryParameters

from api.v1.reference.answers import ingredient_answer, ingredients_answer, sources_answer, units_answer
from api.v1.reference.schemas import IngredientAnswer, IngredientsAnswer, IngredientsQuery, SourcesAnswer, UnitsAnswer
from api.wire.answers import source_details
from api.wire.caching import SerializedAnswer, static_answer
from api.wire.figures_id import figures_id
from api.wire.problems import RESPONSES, MissingResource
from api.wire.routing import PureRoute
from api.wire.schemas import SourceDetailsAnswer
from domain.errors import DomainError
from domain.sources import find_source
from domain.things.ingredients import find_ingredient, search_ingredients

IngredientId = Annotated[
    str, PathParameter(max_length=80, description="An id or an everyday name.", examples=["plain-flour"])
]
SourceId = Annotated[str, PathParameter(max_length=80, description="The id of a source.", examples=["usda-sr28"])]

router = APIRouter(prefix="/v1", tags=["reference"], responses=RESPONSES, route_class=PureRoute)


@router.get("/ingredients", operation_id="list_ingredients", summary="Ingredients", response_model=IngredientsAnswer)
async def get_ingredients(query: Annotated[IngredientsQuery, QueryParameters()]) -> SerializedAnswer | dict[str, Any]:
    """All ingredients with their densities by packing and their piece weights, or those nearest to a name."""
    if query.name is None:
        return _all(figures_id())
    return {"ingredients": [ingredient_answer(ingredient) for ingredient in search_ingredients(query.name)]}


@router.get(
    "/ingredients/{ingredient_id}",
    operation_id="get_ingredient",
    summary="One ingredient",
    response_model=IngredientAnswer,
)
async def get_ingredient(ingredient_id: IngredientId) -> dict[str, Any]:
    """One ingredient, by id or by any of its everyday names."""
    try:
        return ingredient_answer(find_ingredient(ingredient_id))
    except DomainError as error:
        raise MissingResource(error) from None


@router.get("/units", operation_id="list_units", summary="Units", response_model=UnitsAnswer)
async def get_units() -> SerializedAnswer:
    """All units with their exact factors, and the unit of each bare kitchen word in each set of measures."""
    return _units(figures_id())


@router.get("/sources/{source_id}", operation_id="get_source", summary="One source", response_model=SourceDetailsAnswer)
async def get_source(source_id: SourceId) -> dict[str, str]:
    """One source, by the id that `cited` names."""
    try:
        return source_details(find_source(source_id).id)
    except DomainError as error:
        raise MissingResource(error) from None


@router.get("/sources", operation_id="list_sources", summary="Sources", response_model=SourcesAnswer)
async def get_sources() -> SerializedAnswer:
    """All sources, and how far each was read."""
    return _sources(figures_id())


# Made at the first request, so that the start need not wait for them; a process has few shop files.
@lru_cache(maxsize=4)
def _all(figures: str) -> SerializedAnswer:
    return static_answer(orjson.dumps({**ingredients_answer(), "figures": figures}))


@lru_cache(maxsize=4)
def _units(figures: str) -> SerializedAnswer:
    return static_answer(orjson.dumps({**units_answer(), "figures": figures}))


@lru_cache(maxsize=4)
def _sources(figures: str) -> SerializedAnswer:
    return static_answer(orjson.dumps({**sources_answer(), "figures": figures}))
