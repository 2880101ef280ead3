"""Requests straight into the application, and what it logs meanwhile."""

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

from api.serving.observing.logs import LineHandler

Lines = Callable[[], list[dict[str, Any]]]


def ask(app: ASGIApp, method: str, url: str, **options: Any) -> httpx.Response:
    """One request; whatever the application lets through, the test sees."""

    async def asking() -> httpx.Response:
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url="http://tinwright") as client:
            return await client.request(method, url, **options)

    return asyncio.run(asking())


@contextmanager
def logged_to(file: Path, level: int = logging.DEBUG) -> Iterator[Lines]:
    """While it lasts the whole process logs into *file*; call what it yields for the lines so far."""
    root, before = logging.getLogger(), logging.getLogger().level
    descriptor = os.open(file, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o600)
    handler = LineHandler(descriptor)
    root.addHandler(handler)
    root.setLevel(level)
    try:
        yield lambda: [json.loads(line) for line in file.read_text("ascii").splitlines()]
    finally:
        root.removeHandler(handler)
        root.setLevel(before)
        os.close(descriptor)
