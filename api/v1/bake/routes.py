"""`POST /v1/bake`: a window of minutes for a new tin, oven or depth, estimated from a bake that works."""

from typing import Any

from fastapi import APIRouter

from api.v1.bake.answers import bake_answer, bake_drawing
from api.v1.bake.reading import read_bake
from api.v1.bake.schemas import BakeAnswer, BakeRequest
from api.wire.formats import CustomFormat, response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute

router = APIRouter(prefix="/v1/bake", tags=["bake"], responses=RESPONSES, route_class=PureRoute)


def draw_bake(body: BakeRequest) -> str:
    """The answer for `format=svg`."""
    question = read_bake(body)
    return bake_drawing(question, question.estimate())


@router.post("", operation_id="compute_bake", summary="A window of minutes for a new tin", response_model=BakeAnswer)
@response_formats(figure=("minutes",), rows="", svg=CustomFormat("image/svg+xml", draw_bake))
async def post_bake(body: BakeRequest) -> dict[str, Any]:
    """Estimate when a bake is likely to be done, from one that works, by transient heat conduction.

    The answer is a window with the usual cautions. It is computed, not certified: the temperature of the core
    decides. A calculation; nothing is stored, and repeating it is safe. It is a POST only because the request is
    structured.
    """
    question = read_bake(body)
    return bake_answer(question, question.estimate(), curve=body.curve, drawing=body.drawing)
