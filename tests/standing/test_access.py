"""Who may ask, once there are keys: three ways of showing one, two scopes, and what stays open.

RFC 6750 (bearer tokens), RFC 7617 (Basic), RFC 9110, 11.6.1 (challenges), RFC 9111, 3.5 (shared caches).
"""

import re
from collections.abc import AsyncIterator
from html import unescape

import pytest

from api.app import create_api
from api.settings import Settings
from tests.standing.keyed import (
    BOTH,
    CARD,
    CONVERT,
    METER,
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
    """A service with three keys."""
    return service_with_keys(tmp_path_factory.mktemp("keys"))


@pytest.mark.parametrize(
    "headers", [bearer(TABLET), bearer(TABLET, "bEaReR"), bearer(f" {TABLET}"), basic("tablet", TABLET)]
)
def test_a_key_in_a_header_opens(ask: Ask, headers: dict[str, str]) -> None:
    answer = ask("GET", CONVERT, headers=headers)
    assert answer.status_code == 200
    assert ask("POST", "/v1/eggs", json={"whole": 1, "class": "eu_m"}, headers=headers).status_code == 200
    assert ask("HEAD", CONVERT, headers=headers).status_code == 200


@pytest.mark.parametrize(
    "query", ["{url}&access_token={key}", "/v1/convert?access_token={key}&amount=1&unit=us_cup&to=ml"]
)
def test_a_key_in_the_query_opens_a_get_and_is_taken_off(ask: Ask, query: str) -> None:
    # Every GET refuses parameters that it does not know, so this shows that the route sees none.
    answer = ask("GET", query.format(url=CONVERT, key=TABLET))
    assert (answer.status_code, answer.content) == (200, ask("GET", CONVERT, headers=bearer(TABLET)).content)
    assert answer.headers["cache-control"].startswith("private")
    assert ask("GET", f"/v1/units?access_token={TABLET}").status_code == 200


@pytest.mark.parametrize("name", ["access_token", "access%5Ftoken", "access%5ftoken", "%61ccess_toke%6E"])
def test_the_parameter_is_known_however_it_is_encoded(ask: Ask, name: str) -> None:
    assert ask("GET", f"{CONVERT}&{name}={TABLET}").status_code == 200
    assert ask("GET", f"{CONVERT}&{name}={TABLET.replace('tw_', 'tw%5F')}").status_code == 200


def test_other_parameters_are_left_alone(ask: Ask) -> None:
    for name in ("Access_Token", "access_token2", "my_access_token", "access_tokens"):
        answer = ask("GET", f"{CONVERT}&{name}=x", headers=bearer(TABLET))
        assert (answer.status_code, answer.json()["errors"][0]["parameter"]) == (422, name)


def test_no_key_and_no_such_key(ask: Ask) -> None:
    refused(ask("GET", CONVERT), 401, "key-needed")
    assert (
        "error=" not in ask("GET", CONVERT).headers["www-authenticate"]
    )  # RFC 6750, 3.1: none where nothing was shown
    for headers in (bearer(STRANGER), basic("stranger", STRANGER), basic("tablet", STRANGER), basic("meter", TABLET)):
        answer = ask("GET", CONVERT, headers=headers)
        refused(answer, 401, "unknown-key")
        assert 'error="invalid_token"' in answer.headers["www-authenticate"]
    refused(ask("GET", f"{CONVERT}&access_token={STRANGER}"), 401, "unknown-key")
    assert STRANGER not in ask("GET", f"{CONVERT}&access_token={STRANGER}").text


def test_a_key_in_the_query_of_a_post_is_not_taken(ask: Ask) -> None:
    answer = ask("POST", f"/v1/eggs?access_token={TABLET}", json={"whole": 1, "class": "eu_m"})
    refused(answer, 401, "key-needed")
    assert "for GET" in answer.json()["detail"]


def test_scopes(ask: Ask) -> None:
    for key, calculates, measures in ((TABLET, 200, 403), (METER, 403, 200), (BOTH, 200, 200)):
        assert ask("GET", CONVERT, headers=bearer(key)).status_code == calculates
        assert ask("GET", "/metrics", headers=bearer(key)).status_code == measures
    answer = ask("GET", "/metrics", headers=bearer(TABLET))
    refused(answer, 403, "key-out-of-scope")
    assert 'error="insufficient_scope", scope="metrics"' in answer.headers["www-authenticate"]
    refused(ask("GET", "/metrics"), 401, "key-needed")


def test_options_say_what_is_allowed_and_compute_nothing(ask: Ask) -> None:
    answer = ask("OPTIONS", CONVERT)
    assert (answer.status_code, answer.content) == (204, b"")
    assert ask("OPTIONS", "/nowhere").status_code == 404


def test_a_refused_body_is_not_read(ask: Ask) -> None:
    read = []

    async def chunks() -> AsyncIterator[bytes]:
        read.append(1)
        yield b"{}"

    refused(ask("POST", "/v1/convert", content=chunks()), 401, "key-needed")
    assert not read


def test_a_cell_shows_why(ask: Ask) -> None:
    for query, words in (("", "asks for a key"), (f"&access_token={STRANGER}", "No such key")):
        answer = ask("GET", f"{CONVERT}&format=cell{query}")
        assert (answer.status_code, answer.headers["content-type"]) == (200, "text/plain; charset=utf-8")
        assert answer.text.startswith("# ")
        assert words in answer.text
        assert answer.headers["cache-control"] == "no-store"
    assert (
        ask("GET", f"{CONVERT}&format=cell&access_token={TABLET}").text == "2365882365E-7"
    )  # 231 in3 / 16: NIST HB 44, C


def test_no_shared_cache_keeps_what_a_key_opened(ask: Ask) -> None:
    for url in (CONVERT, CARD, "/v1/units", "/"):
        for headers, query in ((bearer(TABLET), ""), (basic("tablet", TABLET), ""), ({}, f"access_token={TABLET}")):
            asked = f"{url}{'&' if '?' in url else '?'}{query}" if query else url
            first = ask("GET", asked, headers=headers)
            assert re.fullmatch(r"private, max-age=\d+", first.headers["cache-control"])
            held = ask("GET", asked, headers={**headers, "If-None-Match": first.headers["etag"]})
            assert (held.status_code, held.content) == (304, b"")
            assert held.headers["cache-control"] == first.headers["cache-control"]
    assert ask("GET", "/docs").headers["cache-control"].startswith("public")


def test_a_tag_without_a_key_says_nothing(ask: Ask) -> None:
    tag = ask("GET", CONVERT, headers=bearer(TABLET)).headers["etag"]
    for sent in (tag, "*"):
        refused(ask("GET", CONVERT, headers={"If-None-Match": sent}), 401, "key-needed")


def test_without_keys_everything_is_open_and_a_key_does_no_harm() -> None:
    ask = Ask(Settings())
    for headers, query in (({}, ""), (bearer(STRANGER), ""), ({}, f"&access_token={STRANGER}")):
        answer = ask("GET", CONVERT + query, headers=headers)
        assert answer.status_code == 200
        assert answer.headers["cache-control"].startswith("public")


def test_a_card_asked_for_with_a_key_in_the_query_leads_on(ask: Ask) -> None:
    plain = ask("GET", CARD, headers=basic("tablet", TABLET))
    assert TABLET not in plain.text
    assert 'name="access_token"' not in plain.text
    page = ask("GET", f"{CARD}&access_token={TABLET}")
    assert page.status_code == 200
    assert f'<input type="hidden" name="access_token" value="{TABLET}">' in page.text
    links = [unescape(link) for link in re.findall(r'href="(/[^"]*)"', page.text) if not link.startswith("/icon")]
    assert len(links) >= 5
    for link in links:
        assert ask("GET", link).status_code == 200, link
    assert "access_token" not in page.text.split("<form")[0].split("</nav>")[1].split('class="others"')[0]


@pytest.mark.parametrize("url", ["/", "/cards/cuts", "/cards/cuts?tin=moon&pieces=x"])
def test_every_page_leads_on(ask: Ask, url: str) -> None:
    page = ask("GET", f"{url}{'&' if '?' in url else '?'}access_token={TABLET}")
    for link in re.findall(r'href="(/[^"]*)"', page.text):
        assert ask("GET", unescape(link)).status_code == 200, link


def test_a_named_origin_may_show_a_key_and_read_the_refusal(ask: Ask) -> None:
    asked = {
        "Origin": SHOP,
        "Access-Control-Request-Method": "POST",
        "Access-Control-Request-Headers": "authorization,content-type",
    }
    preflight = ask("OPTIONS", "/v1/rescale", headers=asked)
    assert preflight.status_code == 200
    assert "authorization" in preflight.headers["access-control-allow-headers"].casefold()
    answer = ask("GET", CONVERT, headers={"Origin": SHOP})
    refused(answer, 401, "key-needed")
    assert answer.headers["access-control-allow-origin"] == SHOP
    assert "access-control-allow-credentials" not in answer.headers


def test_the_contract_says_how_to_show_a_key() -> None:
    document = create_api(Settings()).openapi()
    schemes = document["components"]["securitySchemes"]
    assert {(one["type"], one.get("scheme", one.get("in"))) for one in schemes.values()} == {
        ("http", "bearer"), ("http", "basic"), ("apiKey", "query"),
    }  # fmt: skip
    assert document["security"] == [{}, *({name: []} for name in schemes)]
    for path, methods in document["paths"].items():
        for operation in methods.values():
            guarded = path.startswith("/v1/")
            assert {"401", "403"} <= operation["responses"].keys() if guarded else operation["security"] == [], path
