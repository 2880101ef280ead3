"""`/v1/tins`: the capacity of a tin, the factor between two tins, and the nominal tins."""

from functools import lru_cache
from typing import Annotated, Any

import orjson
from fastapi import APIRouter
from fastapi import Query as QueryParameters

from api.v1.tins.answers import factor_answer, measure_answer, tins_answer
from api.v1.tins.reading import read_factor, read_measure
from api.v1.tins.schemas import (
    FactorAnswer,
    FactorQuery,
    FactorRequest,
    MeasureAnswer,
    MeasureQuery,
    MeasureRequest,
    TinsAnswer,
)
from api.wire.caching import SerializedAnswer, static_answer
from api.wire.figures_id import figures_id
from api.wire.formats import response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute

router = APIRouter(prefix="/v1/tins", tags=["tins"], responses=RESPONSES, route_class=PureRoute)


@router.get("/measure", operation_id="measure_tin", summary="Size and capacity of a tin", response_model=MeasureAnswer)
@response_formats(figure=("volume_ml", "area_cm2"))
async def get_measure(query: Annotated[MeasureQuery, QueryParameters()]) -> dict[str, Any]:
    """Area, capacity and fill of one tin."""
    return measure_answer(query, *read_measure(query), in_query=True)


@router.post(
    "/measure", operation_id="compute_tin_measures", summary="Size and capacity of a tin", response_model=MeasureAnswer
)
async def post_measure(body: MeasureRequest) -> dict[str, Any]:
    """Area, capacity and fill of one tin. This is a calculation: nothing is stored, and repeating it is safe."""
    return measure_answer(body, *read_measure(body), in_query=False)


@router.get("/factor", operation_id="get_tin_factor", summary="Factor between two tins", response_model=FactorAnswer)
async def get_factor(query: Annotated[FactorQuery, QueryParameters()]) -> dict[str, Any]:
    """The factor that fills `want` as `have` was filled."""
    return factor_answer(query, *read_factor(query), in_query=True)


@router.post(
    "/factor", operation_id="compute_tin_factor", summary="Factor between two tins", response_model=FactorAnswer
)
async def post_factor(body: FactorRequest) -> dict[str, Any]:
    """The factor that fills `want` as `have` was filled.

    This is a calculation: nothing is stored, and repeating it is safe.
    """
    return factor_answer(body, *read_factor(body), in_query=False)


@router.get("", operation_id="list_tins", summary="Shapes and nominal tins", response_model=TinsAnswer)
@response_formats(rows="nominal")
async def get_tins() -> SerializedAnswer:
    """The text forms of tins, and the sheet, gastronorm and steam-table sizes with a name."""
    return _tins(figures_id())


@lru_cache(maxsize=4)  # a process has few shop files
def _tins(figures: str) -> SerializedAnswer:
    return static_answer(orjson.dumps({**tins_answer(), "figures": figures}))
