"""Requests above a limit of size are refused with a problem document, over real connections."""

from collections.abc import Iterator

import psutil
import pytest

from api.app import create_app
from api.settings import Settings
from tests.standing.asking import ask
from tests.standing.wire import CONVERT, Answer, Served, answer, get, post, serving

MAX_BODY, MAX_URL, MAX_HEADER, MAX_HEADERS = 20_000, 3_000, 4_000, 30


@pytest.fixture(scope="module")
def served() -> Iterator[Served]:
    with serving(
        max_body_bytes=MAX_BODY, max_url_bytes=MAX_URL, max_header_bytes=MAX_HEADER, max_headers=MAX_HEADERS
    ) as running:
        yield running


def assert_refused(refused: Answer, status: int, code: str) -> None:
    assert refused.status == status
    assert refused.problem["type"] == f"/problems/{code}"
    assert refused.headers["connection"] == "close"
    # It passed all layers: it has a request id for the log, and the security headers.
    assert len(refused.headers["x-request-id"]) == 32
    assert refused.headers["x-content-type-options"] == "nosniff"


def chunked(body: bytes, size: int = 1_000) -> bytes:
    """A body without a length (RFC 9112, 7.1)."""
    chunks = [body[i : i + size] for i in range(0, len(body), size)]
    return b"".join(b"%x\r\n%s\r\n" % (len(chunk), chunk) for chunk in chunks) + b"0\r\n\r\n"


HEAD = b"POST /v1/convert HTTP/1.1\r\nHost: localhost\r\nContent-Type: application/json\r\n"
CHUNKED = HEAD + b"Transfer-Encoding: chunked\r\n\r\n"


def test_a_body_at_the_limit_is_read_and_a_longer_one_is_refused(served: Served) -> None:
    at_limit = CONVERT.ljust(MAX_BODY)
    assert served.ask(post("/v1/convert", at_limit)).status == 200
    assert_refused(served.ask(post("/v1/convert", at_limit + b" ")), 413, "body_too_large")
    assert served.ask(CHUNKED + chunked(at_limit)).status == 200
    assert_refused(served.ask(CHUNKED + chunked(at_limit + b" ")), 413, "body_too_large")


def test_a_body_is_refused_by_its_length_before_it_is_sent(served: Served) -> None:
    refused = served.ask(HEAD + b"Expect: 100-continue\r\nContent-Length: 1000000000\r\n\r\n")
    assert_refused(refused, 413, "body_too_large")


def test_the_refusal_reaches_a_client_that_is_still_sending(served: Served) -> None:
    """Closed with bytes unread, the connection would be reset and the answer lost (RFC 9112, 9.6)."""
    for _ in range(5):
        refused = served.ask(HEAD + b"Content-Length: 6000000\r\n\r\n" + b" " * 6_000_000)
        assert_refused(refused, 413, "body_too_large")


def test_a_client_that_never_stops_sending_is_disconnected(served: Served) -> None:
    with served.connect() as connection:
        connection.sendall(HEAD + b"Content-Length: 1000000000\r\n\r\n")
        with pytest.raises((ConnectionResetError, BrokenPipeError)):  # noqa: PT012 - one of the calls fails
            for _ in range(1_000):
                connection.sendall(b" " * 1_000_000)


def test_a_url_at_the_limit_is_read_and_a_longer_one_is_refused(served: Served) -> None:
    path = "/v1/units?x="
    assert served.ask(get(path.ljust(MAX_URL, "x"))).status == 422
    assert_refused(served.ask(get(path.ljust(MAX_URL + 1, "x"))), 414, "url_too_long")
    assert_refused(served.ask(get(path.ljust(20 * MAX_URL, "x"))), 414, "url_too_long")


@pytest.mark.parametrize(
    "fields",
    [
        [f"X-{i}: x" for i in range(MAX_HEADERS)],
        ["X: " + "x" * MAX_HEADER],
        ["X" * MAX_HEADER + ": x"],
        [f"X-{i}: " + "x" * 500 for i in range(10)],
    ],
    ids=["too many", "a long value", "a long name", "too large together"],
)
def test_too_many_or_too_large_header_fields_are_refused(served: Served, fields: list[str]) -> None:
    assert_refused(served.ask(get("/v1/units", *fields)), 431, "headers_too_large")


def test_header_fields_at_the_limit_are_read(served: Served) -> None:
    fields = [f"X-{i}: x" for i in range(MAX_HEADERS - 1)]  # and Host
    assert served.ask(get("/v1/units", *fields)).status == 200


def test_a_refused_url_is_a_text_in_a_cell_and_has_no_body_for_head() -> None:
    app = create_app(Settings(max_url_bytes=MAX_URL))
    long = "x" * MAX_URL
    refused = ask(app, "GET", f"/v1/units?x={long}")
    assert (refused.status_code, refused.json()["type"]) == (414, "/problems/url_too_long")
    in_a_cell = ask(app, "GET", f"/v1/convert?format=cell&amount={long}")
    assert (in_a_cell.status_code, in_a_cell.text[:2]) == (200, "# ")
    head = ask(app, "HEAD", f"/v1/units?x={long}")
    assert (head.status_code, head.content) == (414, b"")


def test_a_compressed_body_is_refused(served: Served) -> None:
    refused = served.ask(post("/v1/convert", b"\x1f\x8b", "Content-Encoding: gzip"))
    assert (refused.status, refused.headers["accept-encoding"]) == (415, "identity")
    assert refused.problem["type"] == "/problems/unsupported_content_encoding"


def test_the_service_answers_as_before_afterwards(served: Served) -> None:
    assert served.ask(post("/v1/convert", CONVERT)).status == 200


def test_refused_urls_leave_no_memory_behind() -> None:
    with serving() as served, served.connect() as connection:
        process = psutil.Process(served.process.pid)

        def refused(numbers: range) -> int:
            for number in numbers:
                connection.sendall(get(f"/{number}".ljust(65_000, "x")))
                assert answer(connection).status == 404
            return process.memory_info().rss

        warm = refused(range(200))
        grown = refused(range(200, 1_700)) - warm
    print(f"\n1,500 URLs of 65 kB: {grown / 1e6:.1f} MB more")
    assert grown < 15e6
