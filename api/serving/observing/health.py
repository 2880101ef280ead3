"""Liveness and readiness. Readiness fails only while the process drains."""

from http import HTTPStatus
from typing import Literal

from fastapi import APIRouter, Request
from pydantic import Field

from api.wire.problems import RESPONSES, RequestProblem
from api.wire.schemas import Answer


class Health(Answer):
    """Always `ok`: the process does not start with invalid tables."""

    status: Literal["ok"] = Field(examples=["ok"])


router = APIRouter(tags=["running"], responses={status: RESPONSES[status] for status in (400, 405, 408, 414, 431, 500)})


@router.get("/healthz", operation_id="get_health", summary="Alive")
async def get_healthz() -> Health:
    """Answers while the process lives."""
    return Health(status="ok")


@router.get("/readyz", operation_id="get_readiness", summary="Ready", responses={503: RESPONSES[503]})
async def get_readyz(request: Request) -> Health:
    """Answers 200 from the start, since all tables are read before, and 503 after the process was told to stop."""
    if request.app.state.drain.is_draining:
        raise RequestProblem(
            HTTPStatus.SERVICE_UNAVAILABLE,
            "stopping",
            "This process is stopping; send the request to another one.",
            {"Retry-After": "1"},
        )
    return Health(status="ok")
