"""The service in process, without a socket, with the same layers as in a server."""

import asyncio
from collections.abc import Callable
from typing import Any

import httpx
import pytest

from api.app import create_app
from api.settings import Settings

Call = Callable[..., httpx.Response]


@pytest.fixture(scope="session")
def call() -> Call:
    """`call("GET", "/v1/units")`: one request to the whole application."""
    app = create_app(Settings())

    def _call(method: str, url: str, **kwargs: Any) -> httpx.Response:
        async def ask() -> httpx.Response:
            # An unexpected error is returned as the 500 that a client would get.
            transport = httpx.ASGITransport(app=app, raise_app_exceptions=False)
            async with httpx.AsyncClient(transport=transport, base_url="http://tinwright") as client:
                return await client.request(method, url, **kwargs)

        return asyncio.run(ask())

    return _call


@pytest.fixture
def formula() -> dict[str, Any]:
    """A small formula of the Halfmoon Wharf Bakehouse, made in a 20 cm square tin."""
    return {
        "name": "Ginger parkin",
        "tin": "square 20 x 5 cm",
        "filled_depth": "30 mm",
        "egg_class": "eu_m",
        "components": [
            {
                "name": "batter",
                "lines": [
                    {"ingredient": "plain flour", "quantity": "2 us_cup", "packing": "spooned"},
                    {"ingredient": "butter", "quantity": "150 g"},
                    {"ingredient": "egg", "quantity": "4 each"},
                    {"ingredient": "baking powder", "quantity": "1 1/2 us_tsp"},
                ],
            },
            {
                "name": "nuggets",
                "pieces": {"count": 16},
                "lines": [{"ingredient": "rolled oats", "quantity": "160 g"}],
            },
        ],
    }
