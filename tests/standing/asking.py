"""Requests straight into the application, and the lines that it logs."""

import asyncio
import json
import logging
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

import httpx
from starlette.types import ASGIApp

from api.serving.observing.logs import LineQueue

Lines = Callable[[], list[dict[str, Any]]]


def ask(app: ASGIApp, method: str, url: str, **options: Any) -> httpx.Response:
    """Send one request; an exception that leaves the application is raised in the test."""

    async def request() -> httpx.Response:
        plain = {"Accept-Encoding": "identity"}  # so that the bytes sent are the bytes read
        transport = httpx.ASGITransport(app=app)
        async with httpx.AsyncClient(transport=transport, base_url="http://tinwright", headers=plain) as client:
            return await client.request(method, url, **options)

    return asyncio.run(request())


@contextmanager
def logged_to(file: Path, level: int = logging.DEBUG) -> Iterator[Lines]:
    """Log the whole process into *file*; call the yielded function for the lines so far."""
    root, level_before = logging.getLogger(), logging.getLogger().level
    descriptor = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    handler = LineQueue(descriptor)

    def lines() -> list[dict[str, Any]]:
        handler.flush()
        return [json.loads(line) for line in file.read_text("ascii").splitlines()]

    root.addHandler(handler)
    root.setLevel(level)
    try:
        yield lines
    finally:
        root.removeHandler(handler)
        root.setLevel(level_before)
        handler.flush()
        handler.close()
        os.close(descriptor)
