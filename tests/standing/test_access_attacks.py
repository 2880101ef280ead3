"""Attacks on a service with keys: two keys at once, junk, other spellings of a path or method, floods."""

import asyncio
import logging
from base64 import b64encode
from pathlib import Path

import httpx
import pytest

from api.serving.keys import wrong_keys
from api.serving.keys.wrong_keys import MAX_ADDRESSES, REPEATED, WINDOW_SECONDS, WrongKeys
from tests.standing.asking import Lines, logged_to
from tests.standing.keyed import CONVERT, OFFICE, STRANGER, TABLET, Ask, bearer, refused, service_with_keys


@pytest.fixture(scope="module")
def ask(tmp_path_factory: pytest.TempPathFactory) -> Ask:
    """A service with two keys."""
    return service_with_keys(tmp_path_factory.mktemp("keys"))


TWICE = {
    "two headers": ("", [("Authorization", f"Bearer {TABLET}")] * 2),
    "two parameters": (f"&access_token={TABLET}&access_token={TABLET}", []),
    "a header and a parameter": (f"&access_token={TABLET}", [("Authorization", f"Bearer {TABLET}")]),
    "a good one and a bad one": (f"&access_token={TABLET}&access%5ftoken={STRANGER}", []),
    "apart": (f"&access_token={TABLET}&measures=us&access_token=", []),
}


@pytest.mark.parametrize("case", TWICE)
def test_a_request_with_two_keys_is_refused(ask: Ask, case: str) -> None:
    query, headers = TWICE[case]
    answer = ask("GET", CONVERT + query, headers=headers)
    refused(answer, 400, "given_twice")
    assert 'error="invalid_request"' in answer.headers["www-authenticate"]


KEY = TABLET.encode()
JUNK = [
    b"",
    b" ",
    b"Bearer",
    b"Bearer ",
    b"bearer\t" + KEY,
    KEY,
    b"Basic",
    b"Basic !!!!",
    b"Basic " + b"A" * 999,
    b"Basic " + b64encode(KEY),
    b"Basic " + b64encode(b"tablet:"),
    b"Basic " + b64encode(b":" + KEY),
    b"Digest username=tablet",
    b"Bearer " + KEY + b",",
    b"Bearer " + KEY + b"\x00",
    b"Bearer " + b"\xff\xfe" * 20,
    "Bearer 🍰".encode(),
    b"Bearer " + b"A" * 15_000,
    b"Basic " + b"A" * 15_000,
    b"Bearer " + KEY[:-1],
    b"Bearer " + KEY + b" " + KEY,
    b"\x00" * 50,
    b"Bearer " + b" " * 400 + KEY,
]


@pytest.mark.parametrize("value", JUNK, ids=[str(i) for i in range(len(JUNK))])
def test_junk_in_a_header_is_refused(ask: Ask, value: bytes) -> None:
    refused(ask("GET", CONVERT, headers=[(b"Authorization", value)]), 401, "unknown_key")


IN_QUERY = ["", "%", "%zz", "%00", "+", "x" * 60_000, "%F0%9F%8D%B0", "tw_", f"{TABLET}%00"]


@pytest.mark.parametrize("value", IN_QUERY, ids=[str(i) for i in range(len(IN_QUERY))])  # the key differs in each run
def test_junk_in_the_query_is_refused(ask: Ask, value: str) -> None:
    refused(ask("GET", f"{CONVERT}&access_token={value}"), 401, "unknown_key")


OPEN = ["/healthz", "/readyz", "/openapi.json", "/docs", "/docs/swagger-ui-bundle.js", "/docs/swagger-ui.css"]
OPEN += [
    "/icon.svg",
    "/static/cards.css",
    "/cards/service-worker.js",
    "/problems",
    "/problems/key_needed",
    "/%68ealthz",
]


@pytest.mark.parametrize("path", OPEN)
def test_documentation_and_health_need_no_key(ask: Ask, path: str) -> None:
    for headers in ({}, bearer(STRANGER), bearer(OFFICE)):
        assert ask("GET", path, headers=headers).status_code == 200
        assert ask("HEAD", path, headers=headers).status_code == 200


CLOSED = [
    "/",
    "/v1/units",
    "/cards/cuts",
    "/metrics",
    "/%6Detrics",
    "/v1/%75nits",
    "//healthz",
    "/healthz/",
    "/metrics/",
    "/healthz/../v1/units",
    "/problems/../v1/units",
    "/problems/%2e%2e/v1/units",
    "/problems%2F..%2Fv1/units",
    "/docs/../v1/units",
    "/v1/units;/healthz",
    "/healthz%2f..%2fv1/units",
    "/healthz%00",
    "/healthz%0a",
    "/HEALTHZ",
    "/nowhere",
    "/problems/%0a",
    "/problems/x%0a",
    "/openapi.json/",
    "/docs/../metrics",
    "healthz",
    "",
    "*",
    "/healthz%20",
    "/healthz?/../v1/units%3F",
    "/%2568ealthz",
    "/ｈealthz",
    "/docs%5cx",
    "/docs/swagger-ui.js",
]
METHODS = ["GET", "HEAD", "POST", "PUT", "DELETE", "TRACE", "get", "options", "BREW", ""]


@pytest.mark.parametrize("path", CLOSED)
def test_everything_else_needs_a_key(ask: Ask, path: str) -> None:
    for method in METHODS:
        status, body = ask.raw(method, path)
        assert (status, bool(body)) == (401, method != "HEAD"), method


def test_a_header_that_names_an_open_path_opens_nothing(ask: Ask) -> None:
    for headers in (
        {"X-Original-URL": "/healthz"},
        {"X-Rewrite-URL": "/healthz"},
        {"X-HTTP-Method-Override": "OPTIONS"},
    ):
        refused(ask("POST", "/v1/eggs", json={"whole": "1", "egg_class": "eu_m"}, headers=headers), 401, "key_needed")


def ask_from(app: Ask, address: str, url: str, **options: object) -> httpx.Response:
    """One request from a client with this address."""

    async def request() -> httpx.Response:
        transport = httpx.ASGITransport(app=app.app, client=(address, 5_000))
        async with httpx.AsyncClient(transport=transport, base_url="http://tinwright") as client:
            return await client.get(url, **options)  # type: ignore[arg-type]

    return asyncio.run(request())


def warnings_of(lines: Lines) -> list[str]:
    return [line["client"] for line in lines() if line["logger"] == wrong_keys.__name__]


def test_repeated_wrong_keys_are_logged_with_the_address(tmp_path: Path) -> None:
    ask = service_with_keys(tmp_path)
    with logged_to(tmp_path / "log", logging.WARNING) as lines:
        for _ in range(REPEATED - 1):
            assert ask_from(ask, "203.0.113.7", CONVERT, headers=bearer(STRANGER)).status_code == 401
            assert ask_from(ask, "203.0.113.8", CONVERT, headers=bearer(TABLET)).status_code == 200
            assert ask_from(ask, "203.0.113.9", CONVERT).status_code == 401
        assert warnings_of(lines) == []
        for _ in range(3 * REPEATED):
            ask_from(ask, "203.0.113.7", f"{CONVERT}&format=cell&access_token={STRANGER}")
        assert warnings_of(lines) == ["203.0.113.7"]
    assert STRANGER not in (tmp_path / "log").read_text("ascii")


def test_wrong_keys_are_counted_for_a_minute_and_a_bounded_number_of_addresses(
    monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture
) -> None:
    now = 0.0
    monkeypatch.setattr("time.monotonic", lambda: now)
    counts = WrongKeys()
    for _ in range(REPEATED - 1):
        counts.count("203.0.113.7")
    now += WINDOW_SECONDS + 1
    counts.count("203.0.113.7")
    assert not caplog.records
    for _ in range(REPEATED):
        counts.count("203.0.113.7")
    assert len(caplog.records) == 1
    for i in range(REPEATED - 1):
        counts.count("203.0.113.8")
        for j in range(MAX_ADDRESSES):  # a flood from many addresses makes it forget, but not grow
            counts.count(f"2001:db8::{i:x}:{j:x}")
    assert len(caplog.records) == 1
