"""Whether the process lives and is ready; it holds no state, so one follows from the other."""

from typing import Literal

from fastapi import APIRouter
from pydantic import Field

from api.problems import RESPONSES
from api.schemas import Answer


class Health(Answer):
    """Always `ok`: if the tables had been bad, the start would have stopped."""

    status: Literal["ok"] = Field(examples=["ok"])


router = APIRouter(tags=["running"], responses={405: RESPONSES[405], 500: RESPONSES[500]})


@router.get("/healthz", operation_id="healthz", summary="Alive")
async def get_healthz() -> Health:
    """Answers while the process lives."""
    return Health(status="ok")


@router.get("/readyz", operation_id="readyz", summary="Ready")
async def get_readyz() -> Health:
    """Ready as soon as it answers: all tables are read before."""
    return Health(status="ok")
