"""Timing on noisy machines: processor time, the best of many rounds, ratios within one run only."""

import asyncio
import time
from collections.abc import Callable
from typing import Any

from starlette.types import ASGIApp, Message

ROUNDS = 15


def best_ms(action: Callable[[], Any], repeats: int = 1) -> float:
    """Processor time of one call in milliseconds: the best of several rounds."""
    best = float("inf")
    for _ in range(ROUNDS):
        begin = time.process_time()
        for _ in range(repeats):
            action()
        best = min(best, (time.process_time() - begin) / repeats)
    return best * 1_000


async def ask(app: ASGIApp, path: str, body: bytes) -> tuple[int, bytes]:
    """One POST sent directly to the ASGI application, without a server."""
    messages: list[Message] = []

    async def receive() -> Message:
        return {"type": "http.request", "body": body, "more_body": False}

    async def send(message: Message) -> None:
        messages.append(message)

    headers = [(b"content-type", b"application/json"), (b"content-length", str(len(body)).encode())]
    scope = {
        "type": "http",
        "asgi": {"version": "3.0"},
        "http_version": "1.1",
        "method": "POST",
        "scheme": "http",
        "path": path,
        "raw_path": path.encode(),
        "query_string": b"",
        "root_path": "",
        "headers": headers,
        "client": ("127.0.0.1", 1),
        "server": ("127.0.0.1", 80),
    }
    await app(scope, receive, send)
    return messages[0]["status"], b"".join(message.get("body", b"") for message in messages[1:])


def best_request_ms(app: ASGIApp, path: str, body: bytes, repeats: int = 1) -> float:
    """Processor time of one request in milliseconds: the best of several rounds."""
    return asyncio.run(_rounds([app], path, body, repeats))[0]


def compare_requests_ms(apps: list[ASGIApp], path: str, body: bytes, repeats: int = 1) -> list[float]:
    """The same for several applications in turn within each round, so that a slow moment affects all of them."""
    return asyncio.run(_rounds(apps, path, body, repeats))


async def _rounds(apps: list[ASGIApp], path: str, body: bytes, repeats: int) -> list[float]:
    best = [float("inf")] * len(apps)
    for _ in range(ROUNDS):
        for position, app in enumerate(apps):
            begin = time.process_time()
            for _ in range(repeats):
                await ask(app, path, body)
            best[position] = min(best[position], (time.process_time() - begin) / repeats)
    return [seconds * 1_000 for seconds in best]
