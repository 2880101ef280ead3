"""One hostile request straight into the application, and what it costs beside a fixed piece of work."""

import asyncio
import json
import time
from collections.abc import Callable
from dataclasses import dataclass, field
from functools import lru_cache
from urllib.parse import quote, urlencode

import orjson
from starlette.types import ASGIApp, Message

ROUNDS = 3
Build = Callable[[int], "Asked"]  # of a turn, so that no two requests share what a cache remembers


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """A request; `headers` beside the content type and length."""

    path: str
    body: bytes | None = None
    query: bytes = b""
    headers: list[tuple[bytes, bytes]] = field(default_factory=list)


def post(path: str, body: object, show: str = "json") -> Asked:
    """A POST, answered in a format."""
    return Asked(path=path, body=orjson.dumps(body), query=b"" if show == "json" else f"format={show}".encode())


def get(path: str, *pairs: tuple[str, object], **more: object) -> Asked:
    """A GET with query parameters."""
    return Asked(path=quote(path), query=urlencode([*pairs, *more.items()]).encode())


def cost_ms(app: ASGIApp, build: Build) -> tuple[int, float, bytes]:
    """The status, the least milliseconds of processor time of a few turns, and the last answer."""
    return asyncio.run(_cost(app, build))


async def _cost(app: ASGIApp, build: Build) -> tuple[int, float, bytes]:
    best, status, answer = float("inf"), 0, b""
    for turn in range(ROUNDS):
        asked = build(turn)
        begin = time.process_time()
        status, answer = await _ask(app, asked)
        best = min(best, time.process_time() - begin)
    return status, best * 1_000, answer


async def _ask(app: ASGIApp, asked: Asked) -> tuple[int, bytes]:
    messages: list[Message] = []
    body = asked.body or b""

    async def receive() -> Message:
        return {"type": "http.request", "body": body, "more_body": False}

    async def send(message: Message) -> None:
        messages.append(message)

    kind = [(b"content-type", b"application/json"), (b"content-length", str(len(body)).encode())]
    scope = {
        "type": "http", "asgi": {"version": "3.0"}, "http_version": "1.1", "scheme": "http",
        "method": "GET" if asked.body is None else "POST", "path": asked.path, "raw_path": asked.path.encode(),
        "query_string": asked.query, "root_path": "", "headers": [*(kind if asked.body is not None else []),
        *asked.headers], "client": ("127.0.0.1", 1), "server": ("127.0.0.1", 80),
    }  # fmt: skip
    await app(scope, receive, send)
    return messages[0]["status"], b"".join(message.get("body", b"") for message in messages[1:])


@lru_cache(maxsize=1)
def _document() -> str:
    """A megabyte of JSON, always the same."""
    return json.dumps([{"name": f"line {i}", "amount": i / 7, "unit": "g", "own": False} for i in range(15_000)])


def yardstick_ms() -> float:
    """Milliseconds of processor time to read a fixed megabyte of JSON with the standard library."""
    document = _document()
    best = float("inf")
    for _ in range(ROUNDS):
        begin = time.process_time()
        json.loads(document)
        best = min(best, time.process_time() - begin)
    return best * 1_000
