"""Sends one hostile request straight into the application, and measures its processor time and its memory."""

import asyncio
import gc
import json
import time
import tracemalloc
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, field, replace
from functools import lru_cache
from urllib.parse import quote, urlencode

import orjson
from starlette.types import ASGIApp, Message

ROUNDS = 3
Build = Callable[[int], "HostileRequest"]  # takes the number of the turn, so that no two requests share a cache entry


@dataclass(frozen=True, slots=True, kw_only=True)
class HostileRequest:
    """A request; `headers` come in addition to the content type and length."""

    path: str
    body: bytes | None = None
    query: bytes = b""
    headers: list[tuple[bytes, bytes]] = field(default_factory=list)


def post(path: str, body: object, show: str = "json") -> HostileRequest:
    """A POST, answered in a format."""
    return HostileRequest(
        path=path, body=orjson.dumps(body), query=b"" if show == "json" else f"format={show}".encode()
    )


def get(path: str, *pairs: tuple[str, object], **more: object) -> HostileRequest:
    """A GET with query parameters."""
    return HostileRequest(path=path, query=urlencode([*pairs, *more.items()], doseq=True).encode())


def shown_as(build: Build, format_name: str) -> Build:
    """The same request in another format; a request that already names a format is unchanged."""

    def built(turn: int) -> HostileRequest:
        request = build(turn)
        named = b"format=" in request.query
        joined = b"&".join(part for part in (request.query, f"format={format_name}".encode()) if part)
        return request if named else replace(request, query=joined)

    return built


def cost_ms(app: ASGIApp, build: Build, turn: int) -> tuple[int, float, bytes]:
    """The status, the processor time of one request in milliseconds, and the answer."""
    request = build(turn)
    begin = time.process_time()
    status, answer = asyncio.run(send(app, request))
    return status, (time.process_time() - begin) * 1_000, answer


def peak_bytes(app: ASGIApp, build: Build) -> tuple[int, int, int]:
    """The status, the peak memory of one request, and the size of its answer."""
    request = build(ROUNDS)
    gc.collect()
    tracemalloc.start()
    try:
        status, answer = asyncio.run(send(app, request))
        return status, tracemalloc.get_traced_memory()[1], len(answer)
    finally:
        tracemalloc.stop()


@contextmanager
def existing_objects_frozen() -> Iterator[None]:
    """Exclude existing objects, such as those of the tests, from garbage collection."""
    gc.collect()
    gc.freeze()
    try:
        yield
    finally:
        gc.unfreeze()


async def send(app: ASGIApp, request: HostileRequest) -> tuple[int, bytes]:
    """Send a request; the status and the body of the answer."""
    messages: list[Message] = []
    body, received = request.body or b"", False

    async def receive() -> Message:
        nonlocal received
        if received:  # a client that waits for the whole answer
            await asyncio.Event().wait()
        received = True
        return {"type": "http.request", "body": body, "more_body": False}

    async def send(message: Message) -> None:
        messages.append(message)

    kind = [(b"content-type", b"application/json"), (b"content-length", str(len(body)).encode())]
    scope = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "scheme": "http",
        "method": "GET" if request.body is None else "POST",
        "path": request.path,
        "raw_path": quote(request.path).encode(),
        "query_string": request.query,
        "root_path": "",
        "headers": [*(kind if request.body is not None else []), *request.headers],
        "client": ("127.0.0.1", 1),
        "server": ("127.0.0.1", 80),
    }
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
