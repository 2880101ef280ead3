"""Every answer carries the security headers: a list, a page, a refusal, a preflight, an internal error."""

import asyncio
import re
from typing import Any

import httpx
import pytest
from starlette.types import ASGIApp, Receive, Scope, Send

from api.app import create_app
from api.serving.security_headers import SecurityHeaders
from api.settings import Settings

CARD = "/cards/cuts?tin=square%2020%20cm&portions=16"
DRAWING = "/v1/cuts?tin=square%2020%20cm&portions=4&format=svg"
DATA = ["/v1/units", "/v1/units?format=csv", DRAWING, "/healthz", "/metrics"]
REFUSED = ["/nowhere", "/v1/convert?amount=x", "/v1/convert?amount=1&format=cell", "/v1/ingredients/none"]
PAGES = ["/", "/docs", "/problems", "/problems/not_found", "/problems/none", "/cards/cuts", CARD]
PAGES += ["/cards/cuts?tin=moon"]
# W3C Content Security Policy Level 3, OWASP Secure Headers Project (both from memory).
EVERYWHERE = {
    "x-content-type-options": "nosniff",
    "referrer-policy": "no-referrer",
    "x-frame-options": "DENY",
    "cross-origin-resource-policy": "same-origin",
}


SHOP = "https://shop.example"
PLAIN, WITH_CORS = create_app(Settings()), create_app(Settings(cors_origins=[SHOP], tls_in_front=True))


def ask(method: str, url: str, app: ASGIApp = PLAIN, **more: Any) -> httpx.Response:
    async def once() -> httpx.Response:
        transport = httpx.ASGITransport(app=app, raise_app_exceptions=False)
        async with httpx.AsyncClient(transport=transport, base_url="http://tinwright") as client:
            return await client.request(method, url, **more)

    return asyncio.run(once())


def assert_once_each(answer: httpx.Response, names: list[str]) -> None:
    for name in names:
        assert len(answer.headers.get_list(name)) == 1, (name, answer.headers.multi_items())


@pytest.mark.parametrize("url", DATA + REFUSED + PAGES)
@pytest.mark.parametrize("method", ["GET", "HEAD", "OPTIONS", "POST"])
def test_every_answer_has_each_header_once(method: str, url: str) -> None:
    answer = ask(method, url)
    assert {name: answer.headers[name] for name in EVERYWHERE} == EVERYWHERE
    assert_once_each(answer, [*EVERYWHERE, "content-security-policy"])
    policy = answer.headers["content-security-policy"]
    assert policy.startswith("default-src 'none'")
    assert "frame-ancestors 'none'" in policy
    assert not re.search(r"https?:|\*|unsafe-eval", policy)
    assert "strict-transport-security" not in answer.headers


@pytest.mark.parametrize("url", DATA + REFUSED)
def test_the_policy_of_data_allows_nothing(url: str) -> None:
    assert ask("GET", url).headers["content-security-policy"] == "default-src 'none'; frame-ancestors 'none'"


@pytest.mark.parametrize("url", PAGES)
def test_pages_may_not_use_the_devices_sensors(url: str) -> None:
    answer = ask("GET", url)
    assert_once_each(answer, ["permissions-policy", "cross-origin-opener-policy"])
    assert "camera=()" in answer.headers["permissions-policy"]
    assert ("script-src" in answer.headers["content-security-policy"]) == (url == "/docs" or url.startswith("/cards/"))


@pytest.mark.parametrize("content", [b"{", b" " * 1_000_001])
def test_refusals_of_a_body_have_the_headers(content: bytes) -> None:
    answer = ask("POST", "/v1/convert", content=content, headers={"Content-Type": "application/json"})
    assert answer.status_code in {400, 413}
    assert {name: answer.headers[name] for name in EVERYWHERE} == EVERYWHERE


def test_hsts_is_sent_only_behind_tls() -> None:
    answer = ask("GET", "/v1/units", WITH_CORS)
    assert answer.headers["strict-transport-security"] == "max-age=31536000"


def test_configured_origins_may_embed_drawings_and_read_refusals() -> None:
    for url in (DRAWING, "/nowhere"):
        answer = ask("GET", url, WITH_CORS, headers={"Origin": SHOP})
        assert answer.headers["cross-origin-resource-policy"] == "cross-origin"
        assert answer.headers["access-control-allow-origin"] == SHOP


def test_a_preflight_answer_has_the_headers() -> None:
    headers_sent = {
        "Origin": SHOP,
        "Access-Control-Request-Method": "POST",
        "Access-Control-Request-Headers": "content-type",
    }
    answer = ask("OPTIONS", "/v1/rescale", WITH_CORS, headers=headers_sent)
    assert (answer.status_code, answer.headers["x-content-type-options"]) == (200, "nosniff")


def test_events_that_are_no_requests_pass_unchanged() -> None:
    scopes: list[Scope] = []

    async def app(scope: Scope, receive: Receive, send: Send) -> None:
        scopes.append(scope)
        assert (receive, send) == (nothing, nothing)

    async def nothing(*_: Any) -> Any:
        return None

    scope = {"type": "lifespan"}
    asyncio.run(SecurityHeaders(app, for_other_origins=False, tls_in_front=True)(scope, nothing, nothing))
    assert scopes == [scope]
