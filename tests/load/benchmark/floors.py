"""Applications that compute nothing, as the baseline of the benchmark."""

import asyncio
from concurrent.futures import ThreadPoolExecutor
from typing import Any

import orjson
from fastapi import FastAPI
from starlette.types import Receive, Scope, Send

from api.app import create_app
from api.v1.rescale.schemas import RescaleAnswer, RescaleRequest
from tests.load.benchmark.requests import rescale_requests
from tests.load.clock import ask

_BODY = b'{"grams":1158.0}'
_START: Any = {
    "type": "http.response.start",
    "status": 200,
    "headers": [(b"content-type", b"application/json"), (b"content-length", str(len(_BODY)).encode())],
}
_END: Any = {"type": "http.response.body", "body": _BODY}


async def raw(scope: Scope, receive: Receive, send: Send) -> None:
    """Fixed bytes for every request: measures the server alone."""
    if scope["type"] != "http":
        return
    more = True
    while more:
        more = (await receive()).get("more_body", False)
    await send(_START)
    await send(_END)


def plain() -> FastAPI:
    """A plain framework route with our models and a prepared answer: it validates both and computes nothing."""
    return _framework(_answer())


def plain_made() -> FastAPI:
    """The same with a prepared model, whose answer is not validated again: less than any real route does."""
    return _framework(RescaleAnswer.model_validate(_answer()))


def _framework(ready: object) -> FastAPI:
    app = FastAPI()

    @app.post("/v1/rescale", response_model=RescaleAnswer)
    async def rescale(body: RescaleRequest) -> object:  # noqa: ARG001 - the request is read, as ours is
        return ready

    return app


def _answer() -> Any:
    request = next(rescale_requests(1))
    with ThreadPoolExecutor(1) as another:  # because the server calls a factory inside its event loop
        status, answer = another.submit(asyncio.run, ask(create_app(), request.path, request.body)).result()
    if status != 200:
        raise RuntimeError(answer.decode())
    return orjson.loads(answer)
