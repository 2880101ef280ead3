"""`POST /v1/cool`: windows of minutes for cooling, chilling, freezing and thawing."""

from typing import Any

from fastapi import APIRouter

from api.v1.cool.answers import cool_answer
from api.v1.cool.reading import read_cooling
from api.v1.cool.schemas import CoolAnswer, CoolRequest
from api.v1.tins.reading import tin_field
from api.wire.formats import response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.cooling.cooling import estimate_cooling

router = APIRouter(prefix="/v1/cool", tags=["cool"], responses=RESPONSES, route_class=PureRoute)


@router.post("", operation_id="compute_cool", summary="When to unmould and to cut", response_model=CoolAnswer)
@response_formats(figure=("milestones.0.minutes",), rows="milestones")
async def post_cool(body: CoolRequest) -> dict[str, Any]:
    """Estimate when the core of a bake or dough passes each temperature, with the published limits on cooling.

    Computed, not certified: a probe decides, and local rules say how fast food must cool.
    A calculation; nothing is stored, and repeating it is safe.
    """
    question = read_cooling(body)
    estimate = estimate_cooling(question.body, question.wanted_c)
    return cool_answer(estimate, question.wanted_c, tin_field(body.tin_shape, "tin"), curve=body.curve)
