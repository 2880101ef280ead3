"""Whether the process lives, and whether it is ready: until it is told to stop, one follows from the other."""

from http import HTTPStatus
from typing import Literal

from fastapi import APIRouter, Request
from pydantic import Field

from api.wire.problems import RESPONSES, RequestProblem
from api.wire.schemas import Answer


class Health(Answer):
    """Always `ok`: if the tables had been bad, the start would have stopped."""

    status: Literal["ok"] = Field(examples=["ok"])


router = APIRouter(tags=["running"], responses={status: RESPONSES[status] for status in (400, 405, 408, 414, 431, 500)})


@router.get("/healthz", operation_id="healthz", summary="Alive")
async def get_healthz() -> Health:
    """Answers while the process lives."""
    return Health(status="ok")


@router.get("/readyz", operation_id="readyz", summary="Ready", responses={503: RESPONSES[503]})
async def get_readyz(request: Request) -> Health:
    """Ready from the first answer, since all tables are read before; 503 once the process was told to stop."""
    if request.app.state.drain.is_draining:
        raise RequestProblem(
            HTTPStatus.SERVICE_UNAVAILABLE,
            "stopping",
            "This process is stopping; send the request to another.",
            {"Retry-After": "1"},
        )
    return Health(status="ok")
