"""Cross-origin requests (the Fetch standard's CORS protocol): only pages of the configured origins may send them."""

import asyncio
from typing import Any

import httpx
import pytest
from pydantic import ValidationError

from api.app import create_app
from api.settings import Settings

SHOP, STRANGER = "https://shop.example", "https://stranger.example"
APP = create_app(Settings(cors_origins=[SHOP]))
CONVERT = "/v1/convert?amount=1&unit=us_cup&to=ml"


def ask(method: str, url: str, **kwargs: Any) -> httpx.Response:
    async def once() -> httpx.Response:
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app=APP), base_url="http://tinwright") as client:
            return await client.request(method, url, **kwargs)

    return asyncio.run(once())


def preflight(origin: str, method: str = "POST", headers: str = "content-type") -> httpx.Response:
    headers_sent = {
        "Origin": origin,
        "Access-Control-Request-Method": method,
        "Access-Control-Request-Headers": headers,
    }
    return ask("OPTIONS", "/v1/rescale", headers=headers_sent)


def test_a_configured_origin_may_send_json() -> None:
    answer = preflight(SHOP)
    assert answer.status_code == 200
    assert answer.headers["access-control-allow-origin"] == SHOP
    assert "POST" in answer.headers["access-control-allow-methods"]
    assert "content-type" in answer.headers["access-control-allow-headers"].casefold()
    assert "access-control-allow-credentials" not in answer.headers
    assert int(answer.headers["access-control-max-age"]) > 0


def test_a_key_may_be_sent() -> None:
    # The standard's `*` would not cover it: Authorization must be named (fetch, "CORS-preflight fetch", from memory).
    answer = preflight(SHOP, "POST", "authorization, content-type")
    assert answer.status_code == 200
    assert "authorization" in answer.headers["access-control-allow-headers"].casefold()


def test_the_tag_of_an_answer_may_be_sent_back() -> None:
    assert preflight(SHOP, "GET", "if-none-match").status_code == 200


@pytest.mark.parametrize(("origin", "method"), [(STRANGER, "POST"), (SHOP, "DELETE"), ("null", "POST")])
def test_other_origins_and_methods_are_rejected(origin: str, method: str) -> None:
    answer = preflight(origin, method)
    assert answer.status_code == 400
    assert answer.headers["content-type"] == "application/problem+json"
    assert answer.json()["type"] == "/problems/preflight_rejected"
    assert "Disallowed CORS" in answer.json()["detail"]
    assert int(answer.headers["content-length"]) == len(answer.content)
    assert "origin" in answer.headers["vary"].casefold()
    assert origin == SHOP or "access-control-allow-origin" not in answer.headers


def test_an_answer_names_the_origin_and_shows_its_tag() -> None:
    answer = ask("GET", CONVERT, headers={"Origin": SHOP})
    assert answer.headers["access-control-allow-origin"] == SHOP
    assert "etag" in answer.headers["access-control-expose-headers"].casefold()
    assert "origin" in answer.headers["vary"].casefold()
    assert "access-control-allow-origin" not in ask("GET", CONVERT, headers={"Origin": STRANGER}).headers


def test_an_error_can_be_read_by_a_configured_origin() -> None:
    answer = ask("GET", "/v1/convert?amount=1", headers={"Origin": SHOP})
    assert (answer.status_code, answer.headers["access-control-allow-origin"]) == (422, SHOP)


def test_options_without_an_origin_lists_the_methods() -> None:
    answer = ask("OPTIONS", "/v1/convert")
    assert (answer.status_code, answer.headers["allow"]) == (204, "GET, HEAD, OPTIONS, POST")


def test_without_configured_origins_no_other_page_may_send_requests() -> None:
    async def once() -> httpx.Response:
        transport = httpx.ASGITransport(app=create_app(Settings()))
        async with httpx.AsyncClient(transport=transport, base_url="http://tinwright") as client:
            return await client.get(CONVERT, headers={"Origin": SHOP})

    assert not [name for name in asyncio.run(once()).headers if name.startswith("access-control-")]


@pytest.mark.parametrize("origin", ["*", "shop.example", "https://shop.example/path", "javascript:x"])
def test_an_invalid_origin_prevents_the_start(origin: str) -> None:
    with pytest.raises(ValidationError):
        Settings(cors_origins=[origin])
