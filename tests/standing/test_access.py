"""Access with keys: three ways to send one, what stays open, and what caches may store.

RFC 6750 (bearer tokens), RFC 7617 (Basic), RFC 9110, 11.6.1 (challenges), RFC 9111, 3.5 (shared caches).
"""

import re
from collections.abc import AsyncIterator
from html import unescape
from urllib.parse import urlencode

import pytest

from api.app import create_api
from api.settings import Settings
from tests.openapi import inlined
from tests.standing.keyed import (
    CARD,
    CONVERT,
    OFFICE,
    SHOP,
    STRANGER,
    TABLET,
    Ask,
    basic,
    bearer,
    refused,
    service_with_keys,
)


@pytest.fixture(scope="module")
def ask(tmp_path_factory: pytest.TempPathFactory) -> Ask:
    """A service with two keys."""
    return service_with_keys(tmp_path_factory.mktemp("keys"))


@pytest.mark.parametrize(
    "headers", [bearer(TABLET), bearer(TABLET, "bEaReR"), bearer(f" {TABLET}"), basic("tablet", TABLET)]
)
def test_a_key_in_a_header_is_accepted(ask: Ask, headers: dict[str, str]) -> None:
    answer = ask("GET", CONVERT, headers=headers)
    assert answer.status_code == 200
    assert ask("POST", "/v1/eggs", json={"whole": "1", "egg_class": "eu_m"}, headers=headers).status_code == 200
    assert ask("HEAD", CONVERT, headers=headers).status_code == 200
    assert ask("GET", "/metrics", headers=headers).status_code == 200


@pytest.mark.parametrize(
    "query", ["{url}&access_token={key}", "/v1/convert?access_token={key}&amount=1&unit=us_cup&to=ml"]
)
def test_a_key_in_the_query_of_a_get_is_accepted_and_removed(ask: Ask, query: str) -> None:
    # Every GET refuses unknown parameters, so this shows that the route does not see the key.
    answer = ask("GET", query.format(url=CONVERT, key=TABLET))
    assert (answer.status_code, answer.content) == (200, ask("GET", CONVERT, headers=bearer(TABLET)).content)
    assert ask("GET", f"/v1/units?access_token={TABLET}").status_code == 200


@pytest.mark.parametrize("name", ["access_token", "access%5Ftoken", "access%5ftoken", "%61ccess_toke%6E"])
def test_the_parameter_is_recognised_in_every_encoding(ask: Ask, name: str) -> None:
    assert ask("GET", f"{CONVERT}&{name}={TABLET}").status_code == 200
    assert ask("GET", f"{CONVERT}&{name}={TABLET.replace('tw_', 'tw%5F')}").status_code == 200


def test_other_parameters_are_not_removed(ask: Ask) -> None:
    for name in ("Access_Token", "access_token2", "my_access_token", "access_tokens"):
        answer = ask("GET", f"{CONVERT}&{name}=x", headers=bearer(TABLET))
        assert (answer.status_code, answer.json()["errors"][0]["parameter"]) == (422, name)


def test_a_request_without_a_key_or_with_an_unknown_one_is_refused(ask: Ask) -> None:
    refused(ask("GET", CONVERT), 401, "key_needed")
    # RFC 6750, 3.1: no error code where no credentials were sent.
    assert "error=" not in ask("GET", CONVERT).headers["www-authenticate"]
    for headers in (bearer(STRANGER), basic("stranger", STRANGER), basic("tablet", STRANGER), basic("office", TABLET)):
        answer = ask("GET", CONVERT, headers=headers)
        refused(answer, 401, "unknown_key")
        assert 'error="invalid_token"' in answer.headers["www-authenticate"]
    refused(ask("GET", f"{CONVERT}&access_token={STRANGER}"), 401, "unknown_key")
    assert STRANGER not in ask("GET", f"{CONVERT}&access_token={STRANGER}").text
    refused(ask("GET", "/metrics"), 401, "key_needed")


def test_a_key_in_the_query_of_a_post_is_not_accepted(ask: Ask) -> None:
    answer = ask("POST", f"/v1/eggs?access_token={TABLET}", json={"whole": "1", "egg_class": "eu_m"})
    refused(answer, 401, "key_needed")
    assert "for GET" in answer.json()["detail"]


def test_options_needs_no_key_and_computes_nothing(ask: Ask) -> None:
    answer = ask("OPTIONS", CONVERT)
    assert (answer.status_code, answer.content) == (204, b"")
    assert ask("OPTIONS", "/nowhere").status_code == 404


def test_the_body_of_a_refused_request_is_not_read(ask: Ask) -> None:
    chunks_read = []

    async def chunks() -> AsyncIterator[bytes]:
        chunks_read.append(1)
        yield b"{}"

    refused(ask("POST", "/v1/convert", content=chunks()), 401, "key_needed")
    assert not chunks_read


def test_a_cell_shows_the_reason(ask: Ask) -> None:
    for query, words in (("", "asks for a key"), (f"&access_token={STRANGER}", "does not know the key")):
        answer = ask("GET", f"{CONVERT}&format=cell{query}")
        assert (answer.status_code, answer.headers["content-type"]) == (200, "text/plain; charset=utf-8")
        assert answer.text.startswith("# ")
        assert words in answer.text
        assert "no-store" in answer.headers["cache-control"]
    answer = ask("GET", f"{CONVERT}&format=cell&access_token={TABLET}")
    assert answer.text == "2365882365E-7"  # 231 in3 / 16: NIST Handbook 44, appendix C


REFUSED = {
    "no key": CONVERT,
    "unknown key": f"{CONVERT}&access_token={STRANGER}",
    "two keys": f"{CONVERT}&access_token={TABLET}&access_token={TABLET}",
    "unknown path": f"/nowhere?access_token={TABLET}",
    "unknown ingredient": f"/v1/ingredients/moondust?access_token={TABLET}",
    "unknown parameter": f"{CONVERT}&moon=1&access_token={TABLET}",
    "unknown unit": f"/v1/convert?amount=1&unit=moon&to=ml&access_token={TABLET}",
    "method": f"/v1/rescale?access_token={TABLET}",
    "too long": f"{CONVERT}&access_token={TABLET}&label={'x' * 61_000}",
}


@pytest.mark.parametrize("case", REFUSED)
@pytest.mark.parametrize("as_cell", [False, True], ids=["problem", "cell"])
def test_head_is_answered_like_get(ask: Ask, case: str, as_cell: bool) -> None:
    url = REFUSED[case] + ("&" if "?" in REFUSED[case] else "?") + "format=cell" * as_cell
    get, head = ask("GET", url), ask("HEAD", url)
    assert (get.status_code == 200) == as_cell
    assert head.content == b""
    assert head.status_code == get.status_code
    assert "content-length" in get.headers
    del get.headers["x-request-id"], head.headers["x-request-id"]
    assert head.headers.multi_items() == get.headers.multi_items()


def test_a_shared_cache_does_not_store_what_needs_a_key(ask: Ask) -> None:
    for url in (CONVERT, CARD, "/v1/units", "/"):
        for headers in (bearer(TABLET), basic("tablet", TABLET)):
            first = ask("GET", url, headers=headers)
            assert re.fullmatch(
                r"private, max-age=\d+, stale-while-revalidate=86400, stale-if-error=604800",
                first.headers["cache-control"],
            )
            second = ask("GET", url, headers={**headers, "If-None-Match": first.headers["etag"]})
            assert (second.status_code, second.content) == (304, b"")
            assert second.headers["cache-control"] == first.headers["cache-control"]
    assert ask("GET", "/docs").headers["cache-control"].startswith("public")


@pytest.mark.parametrize("url", [CONVERT, CARD, "/docs", "/openapi.json", "/problems/key_needed", "/nowhere"])
@pytest.mark.parametrize("key", [TABLET, STRANGER], ids=["known", "unknown"])
def test_no_cache_stores_an_address_that_contains_a_key(ask: Ask, url: str, key: str) -> None:
    answer = ask("GET", f"{url}{'&' if '?' in url else '?'}access_token={key}")
    assert answer.headers.get_list("cache-control") == ["private, no-store"]


def test_an_etag_without_a_key_tells_nothing(ask: Ask) -> None:
    tag = ask("GET", CONVERT, headers=bearer(TABLET)).headers["etag"]
    for sent in (tag, "*"):
        refused(ask("GET", CONVERT, headers={"If-None-Match": sent}), 401, "key_needed")


def test_without_a_keys_file_the_service_is_open_and_a_key_does_no_harm() -> None:
    ask = Ask(Settings())
    for headers in ({}, bearer(STRANGER)):
        answer = ask("GET", CONVERT, headers=headers)
        assert answer.status_code == 200
        assert answer.headers["cache-control"].startswith("public")
    answer = ask("GET", f"{CONVERT}&access_token={STRANGER}")
    assert (answer.status_code, answer.headers["cache-control"]) == (200, "private, no-store")


def test_a_card_keeps_the_key_of_the_query_in_its_forms_only(ask: Ask) -> None:
    """A link may be printed or sent on, so none holds a key; what leads on is a form."""
    plain = ask("GET", CARD, headers=basic("tablet", TABLET))
    assert TABLET not in plain.text
    assert 'name="access_token"' not in plain.text
    page = ask("GET", f"{CARD}&access_token={TABLET}")
    assert page.status_code == 200
    assert f'<input type="hidden" name="access_token" value="{TABLET}">' in page.text
    assert not [link for link in re.findall(r'(?:href|src)="([^"]*)"', page.text) if TABLET in link]
    forms = re.findall(r'<form[^>]* action="([^"]+)"[^>]*>(.*?)</form>', page.text, re.DOTALL)
    assert len(forms) >= 5
    for action, inside in forms:
        fields = re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', inside)
        assert ("access_token", TABLET) in fields
        query = urlencode([(name, unescape(value)) for name, value in fields])
        assert ask("GET", f"{action}?{query}", follow_redirects=True).status_code in {200, 422}


@pytest.mark.parametrize("url", ["/", "/cards/cuts", "/cards/cuts?tin=moon&portions=x"])
def test_the_links_of_every_page_work(ask: Ask, url: str) -> None:
    page = ask("GET", f"{url}{'&' if '?' in url else '?'}access_token={TABLET}")
    for link in re.findall(r'(?:href|src)="(/[^"]*)"', page.text):
        is_card = link.startswith("/cards/") and TABLET not in link  # it is opened by a browser that knows the password
        headers = basic("tablet", TABLET) if is_card else {}
        assert ask("GET", unescape(link), headers=headers, follow_redirects=True).status_code in {200, 422}, link


def test_a_page_of_a_configured_origin_may_send_a_key_and_read_a_refusal(ask: Ask) -> None:
    preflight = ask(
        "OPTIONS",
        "/v1/rescale",
        headers={
            "Origin": SHOP,
            "Access-Control-Request-Method": "POST",
            "Access-Control-Request-Headers": "authorization,content-type",
        },
    )
    assert preflight.status_code == 200
    assert "authorization" in preflight.headers["access-control-allow-headers"].casefold()
    answer = ask("GET", CONVERT, headers={"Origin": SHOP})
    refused(answer, 401, "key_needed")
    assert answer.headers["access-control-allow-origin"] == SHOP
    assert "access-control-allow-credentials" not in answer.headers


def test_a_page_of_another_site_cannot_use_the_password_that_the_browser_stores(ask: Ask) -> None:
    # W3C Fetch Metadata Request Headers, sections 2.2 and 2.3 (from memory).
    image = {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "no-cors"}
    for key in (TABLET, OFFICE, STRANGER):
        answer = ask("GET", CONVERT, headers=basic("tablet", key) | image)
        refused_status = (answer.status_code, answer.json()["type"])
        assert refused_status == (403, "/problems/cross_site_request")
    link = {"Sec-Fetch-Site": "cross-site", "Sec-Fetch-Mode": "navigate"}
    same = {"Sec-Fetch-Site": "same-origin", "Sec-Fetch-Mode": "no-cors"}
    for headers in (basic("tablet", TABLET) | link, basic("tablet", TABLET) | same, bearer(TABLET) | image):
        assert ask("GET", CARD, headers=headers).status_code == 200


def test_the_contract_says_how_to_send_a_key() -> None:
    document = inlined(create_api(Settings()).openapi())
    schemes = document["components"]["securitySchemes"]
    assert {(scheme["type"], scheme.get("scheme", scheme.get("in"))) for scheme in schemes.values()} == {
        ("http", "bearer"),
        ("http", "basic"),
        ("apiKey", "query"),
    }
    assert document["security"] == [{}, *({name: []} for name in schemes)]
    for path, methods in document["paths"].items():
        for operation in methods.values():
            needs_key = path.startswith("/v1/")
            assert "401" in operation["responses"] if needs_key else operation["security"] == [], path
            assert not needs_key or "403" in operation["responses"]["4XX"]["description"]
