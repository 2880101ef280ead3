"""HEAD, OPTIONS, entity tags, caching, headers (RFC 9110 and 9111)."""

import pytest

from tests.api.conftest import Call

GETS = [
    "/v1/units",
    "/v1/sources",
    "/v1/tins",
    "/v1/eggs/classes",
    "/v1/ingredients",
    "/v1/ingredients/plain-flour",
    "/v1/convert?amount=1&unit=us_cup&to=ml",
    "/v1/eggs?whole=4&egg_class=eu_m",
    "/v1/tins/measure?tin=square%2020%20cm",
    "/v1/tins/factor?have=square%2020%20cm&want=round%2023%20cm",
]


@pytest.mark.parametrize("url", GETS)
def test_a_get_has_a_strong_entity_tag_and_is_revalidated(call: Call, url: str) -> None:
    first = call("GET", url)
    assert first.status_code == 200
    tag = first.headers["etag"]
    assert tag.startswith('"')
    assert "max-age=" in first.headers["cache-control"]
    for header in (tag, f'"other", {tag}', f"W/{tag}", "*"):
        again = call("GET", url, headers={"If-None-Match": header})
        assert (again.status_code, again.content) == (304, b"")
        # `*` names no coding, so the tag may be that of the uncompressed bytes.
        assert again.headers["etag"] in {tag, tag.replace("-gzip", "") if header == "*" else tag}
        assert again.headers["cache-control"] == first.headers["cache-control"]
    assert call("GET", url, headers={"If-None-Match": '"other"'}).status_code == 200


@pytest.mark.parametrize("url", [*GETS, "/healthz", "/readyz"])
def test_head_has_the_headers_of_get(call: Call, url: str) -> None:
    for coding in ("identity", "gzip"):
        get, head = (call(method, url, headers={"Accept-Encoding": coding}) for method in ("GET", "HEAD"))
        assert (head.status_code, head.content) == (200, b"")
        assert head.headers["content-length"] == get.headers["content-length"]
        if "content-encoding" not in get.headers:
            assert get.headers["content-length"] == str(len(get.content))


def test_options_lists_the_methods(call: Call) -> None:
    answer = call("OPTIONS", "/v1/convert")
    assert (answer.status_code, answer.content) == (204, b"")
    assert answer.headers["allow"] == "GET, HEAD, OPTIONS, POST"
    assert call("OPTIONS", "/nowhere").status_code == 404


def test_post_responses_are_not_cached(call: Call) -> None:
    answer = call("POST", "/v1/eggs", json={"whole": 1, "class": "eu_m"})
    assert answer.headers["cache-control"] == "no-store"


def test_safe_headers_everywhere(call: Call) -> None:
    for url in ("/v1/units", "/nowhere", "/docs"):
        assert call("GET", url).headers["x-content-type-options"] == "nosniff"


def test_the_docs_need_no_other_host(call: Call) -> None:
    page = call("GET", "/docs")
    assert page.status_code == 200
    assert "http://" not in page.text
    assert "https://" not in page.text


@pytest.mark.parametrize("url", GETS)
def test_a_range_is_ignored(call: Call, url: str) -> None:
    """LibreOffice requests one byte to see whether a resource exists (RFC 9110, 14.2: a server may ignore Range)."""
    whole = call("GET", url)
    probe = call("GET", url, headers={"Range": "bytes=0-0"})
    assert (probe.status_code, probe.content) == (200, whole.content)
    assert "content-range" not in probe.headers


@pytest.mark.parametrize("path", ["/v1/units", "/v1/sources", "/v1/tins", "/v1/eggs/classes", "/v1/ingredients/salt"])
def test_a_list_rejects_unknown_parameters(call: Call, path: str) -> None:
    refused = call("GET", f"{path}?fromat=csv")
    assert refused.status_code == 422
    assert refused.json()["errors"][0]["parameter"] == "fromat"


def test_a_compressed_body_is_refused_before_it_is_read(call: Call) -> None:
    headers = {"Content-Type": "application/json", "Content-Encoding": "gzip"}
    refused = call("POST", "/v1/convert", content=b"\x1f\x8b", headers=headers)
    assert (refused.status_code, refused.headers["accept-encoding"]) == (415, "identity")
    plain = {"Content-Type": "application/json", "Content-Encoding": "identity"}
    assert call(
        "POST", "/v1/convert", content=b'{"items": [{"quantity": "1 g", "to": "kg"}]}', headers=plain
    ).is_success
    assert call("POST", "/v1/convert", content=b"{}").headers["accept-post"] == "application/json"


def test_a_trailing_slash_is_not_redirected(call: Call) -> None:
    """A redirect would use the request's Host, and drop a key in the query."""
    answer = call("GET", "/v1/units/", headers={"Host": "elsewhere.example"})
    assert answer.status_code == 404
    assert "location" not in answer.headers
