"""What an attacker tries on a service with keys: two at once, junk, other spellings of a path or method."""

from base64 import b64encode

import pytest

from tests.standing.keyed import CONVERT, METER, STRANGER, TABLET, Ask, bearer, refused, service_with_keys


@pytest.fixture(scope="module")
def ask(tmp_path_factory: pytest.TempPathFactory) -> Ask:
    """A service with three keys."""
    return service_with_keys(tmp_path_factory.mktemp("keys"))


TWICE = {
    "two headers": ("", [("Authorization", f"Bearer {TABLET}")] * 2),
    "two parameters": (f"&access_token={TABLET}&access_token={TABLET}", []),
    "a header and a parameter": (f"&access_token={TABLET}", [("Authorization", f"Bearer {TABLET}")]),
    "a good one and a bad one": (f"&access_token={TABLET}&access%5ftoken={STRANGER}", []),
    "apart": (f"&access_token={TABLET}&measures=us&access_token=", []),
}


@pytest.mark.parametrize("case", TWICE)
def test_a_key_shown_twice_is_refused(ask: Ask, case: str) -> None:
    query, headers = TWICE[case]
    answer = ask("GET", CONVERT + query, headers=headers)
    refused(answer, 400, "given-twice")
    assert 'error="invalid_request"' in answer.headers["www-authenticate"]


KEY = TABLET.encode()
JUNK = [
    b"", b" ", b"Bearer", b"Bearer ", b"bearer\t" + KEY, KEY, b"Basic", b"Basic !!!!", b"Basic " + b"A" * 999,
    b"Basic " + b64encode(KEY), b"Basic " + b64encode(b"tablet:"), b"Basic " + b64encode(b":" + KEY),
    b"Digest username=tablet", b"Bearer " + KEY + b",", b"Bearer " + KEY + b"\x00", b"Bearer " + b"\xff\xfe" * 20,
    "Bearer 🍰".encode(), b"Bearer " + b"A" * 15_000, b"Basic " + b"A" * 15_000, b"Bearer " + KEY[:-1],
    b"Bearer " + KEY + b" " + KEY, b"\x00" * 50, b"Bearer " + b" " * 400 + KEY,
]  # fmt: skip


@pytest.mark.parametrize("value", JUNK, ids=[str(i) for i in range(len(JUNK))])
def test_junk_is_refused_and_nothing_else(ask: Ask, value: bytes) -> None:
    refused(ask("GET", CONVERT, headers=[(b"Authorization", value)]), 401, "unknown-key")


IN_QUERY = ["", "%", "%zz", "%00", "+", "x" * 60_000, "%F0%9F%8D%B0", "tw_", f"{TABLET}%00"]


@pytest.mark.parametrize("value", IN_QUERY, ids=[str(i) for i in range(len(IN_QUERY))])  # the key differs in each run
def test_junk_in_the_query_is_refused_and_nothing_else(ask: Ask, value: str) -> None:
    refused(ask("GET", f"{CONVERT}&access_token={value}"), 401, "unknown-key")


OPEN = ["/healthz", "/readyz", "/openapi.json", "/docs", "/docs/swagger-ui-bundle.js", "/docs/swagger-ui.css"]
OPEN += ["/icon.svg", "/problems", "/problems/key-needed", "/%68ealthz"]


@pytest.mark.parametrize("path", OPEN)
def test_what_says_how_to_ask_stays_open(ask: Ask, path: str) -> None:
    for headers in ({}, bearer(STRANGER), bearer(METER)):
        assert ask("GET", path, headers=headers).status_code == 200
        assert ask("HEAD", path, headers=headers).status_code == 200


CLOSED = [
    "/", "/v1/units", "/cards/cuts", "/metrics", "/%6Detrics", "/v1/%75nits", "//healthz", "/healthz/", "/metrics/",
    "/healthz/../v1/units", "/problems/../v1/units", "/problems/%2e%2e/v1/units", "/problems%2F..%2Fv1/units",
    "/docs/../v1/units", "/v1/units;/healthz", "/healthz%2f..%2fv1/units", "/healthz%00", "/healthz%0a", "/HEALTHZ",
    "/nowhere", "/problems/%0a", "/problems/x%0a", "/openapi.json/", "/docs/../metrics", "healthz", "", "*",
    "/healthz%20", "/healthz?/../v1/units%3F", "/%2568ealthz", "/ｈealthz", "/docs%5cx", "/docs/swagger-ui.js",
]  # fmt: skip
METHODS = ["GET", "HEAD", "POST", "PUT", "DELETE", "TRACE", "get", "options", "BREW", ""]


@pytest.mark.parametrize("path", CLOSED)
def test_everything_else_is_closed(ask: Ask, path: str) -> None:
    for method in METHODS:
        status, body = ask.raw(method, path)
        assert (status, bool(body)) == (401, method != "HEAD"), method


def test_a_query_that_names_an_open_path_opens_nothing(ask: Ask) -> None:
    for headers in (
        {"X-Original-URL": "/healthz"},
        {"X-Rewrite-URL": "/healthz"},
        {"X-HTTP-Method-Override": "OPTIONS"},
    ):
        refused(ask("POST", "/v1/eggs", json={"whole": 1, "class": "eu_m"}, headers=headers), 401, "key-needed")
