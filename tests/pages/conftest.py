"""The service in process, as a browser uses it, and jobs of the demo shop."""

import asyncio
from collections.abc import Callable
from typing import Any

import httpx
import pytest

from api.app import create_app
from api.pages.cards.fields import query_string
from api.pages.cards.start import examples
from api.settings import Settings
from tests.api.conftest import Call

Get = Callable[..., httpx.Response]
EXAMPLES = examples()
PARKIN, SLAB = EXAMPLES.values()


@pytest.fixture(scope="session")
def call() -> Call:
    """One request to the whole application; redirects are followed, as a browser does."""
    return caller(Settings())


@pytest.fixture(scope="session")
def get(call: Call) -> Get:
    """`get("weigh", PARKIN, lang="de")`: a card of a job, with changed fields."""

    def _get(card: str, job: object = None, **changes: str | list[str] | None) -> httpx.Response:
        assert job is None or isinstance(job, dict)
        return call("GET", f"/cards/{card}?{query_string(job or {}, **changes)}")

    return _get


def caller(settings: Settings) -> Call:
    """`call` of a service with these settings."""
    app = create_app(settings)

    def _call(method: str, url: str, **kwargs: Any) -> httpx.Response:
        async def ask() -> httpx.Response:
            # An unexpected error is returned as the 500 that a client would get.
            transport = httpx.ASGITransport(app=app, raise_app_exceptions=False)
            async with httpx.AsyncClient(
                transport=transport, base_url="http://tinwright", follow_redirects=True
            ) as client:
                return await client.request(method, url, **kwargs)

        return asyncio.run(ask())

    return _call
