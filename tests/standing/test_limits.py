"""What is too large, too long, too many or no HTTP is refused as a problem, over real connections."""

import socket
import time
from collections.abc import Iterator

import pytest

from api.app import create_app
from api.settings import Settings
from tests.api.conftest import Call, call  # noqa: F401 - a fixture
from tests.standing.asking import ask
from tests.standing.wire import CONVERT, Answer, Served, answer, answers, get, is_closed, post, serving

MOST_BODY, MOST_URL, MOST_HEADER, MOST_HEADERS = 20_000, 3_000, 4_000, 30


@pytest.fixture(scope="module")
def served() -> Iterator[Served]:
    with serving(
        max_body_bytes=MOST_BODY, max_url_bytes=MOST_URL, max_header_bytes=MOST_HEADER, max_headers=MOST_HEADERS
    ) as running:
        yield running


def check_refused(refused: Answer, status: int, code: str) -> None:
    assert refused.status == status
    assert refused.problem["type"] == f"/problems/{code}"
    assert refused.headers["connection"] == "close"
    # It went through the service: named for its logs, and safe to show.
    assert len(refused.headers["x-request-id"]) == 32
    assert refused.headers["x-content-type-options"] == "nosniff"


def chunked(body: bytes, size: int = 1_000) -> bytes:
    """A body without a length (RFC 9112, 7.1)."""
    pieces = [body[i : i + size] for i in range(0, len(body), size)]
    return b"".join(b"%x\r\n%s\r\n" % (len(one), one) for one in pieces) + b"0\r\n\r\n"


HEAD = b"POST /v1/convert HTTP/1.1\r\nHost: t\r\nContent-Type: application/json\r\n"
CHUNKED = HEAD + b"Transfer-Encoding: chunked\r\n\r\n"


def test_a_body_at_the_limit_is_read_and_one_above_is_not(served: Served) -> None:
    at_limit = CONVERT.ljust(MOST_BODY)
    assert served.ask(post("/v1/convert", at_limit)).status == 200
    check_refused(served.ask(post("/v1/convert", at_limit + b" ")), 413, "body-too-large")
    assert served.ask(CHUNKED + chunked(at_limit)).status == 200
    check_refused(served.ask(CHUNKED + chunked(at_limit + b" ")), 413, "body-too-large")


def test_a_body_is_refused_by_its_length_before_it_is_sent(served: Served) -> None:
    refused = served.ask(HEAD + b"Expect: 100-continue\r\nContent-Length: 1000000000\r\n\r\n")
    check_refused(refused, 413, "body-too-large")


@pytest.mark.parametrize(
    "framing", [b"Content-Length: 6000000\r\n\r\n", b"Transfer-Encoding: chunked\r\n\r\n5b8d80\r\n"]
)
def test_a_refusal_reaches_who_is_still_sending(served: Served, framing: bytes) -> None:
    """Closed with bytes unread, the system would reset the connection and the answer be lost (RFC 9112, 9.6)."""
    for _ in range(5):
        with served.connect() as connection:
            connection.sendall(HEAD + framing + b" " * 6_000_000)
            check_refused(answer(connection), 413, "body-too-large")
            assert is_closed(connection)


def test_who_never_stops_sending_is_cut(served: Served) -> None:
    with served.connect() as connection:
        connection.sendall(HEAD + b"Content-Length: 1000000000\r\n\r\n")
        with pytest.raises((ConnectionResetError, BrokenPipeError)):  # noqa: PT012 - one of them is told
            for _ in range(1_000):
                connection.sendall(b" " * 1_000_000)


def test_an_address_at_the_limit_is_read_and_one_above_is_not(served: Served) -> None:
    path = "/v1/units?x="
    assert served.ask(get(path.ljust(MOST_URL, "x"))).status == 422
    check_refused(served.ask(get(path.ljust(MOST_URL + 1, "x"))), 414, "url-too-long")
    check_refused(served.ask(get(path.ljust(20 * MOST_URL, "x"))), 414, "url-too-long")


@pytest.mark.parametrize(
    "fields",
    [
        [f"X-{i}: x" for i in range(MOST_HEADERS)],
        ["X: " + "x" * MOST_HEADER],
        ["X" * MOST_HEADER + ": x"],
        [f"X-{i}: " + "x" * 500 for i in range(10)],
    ],
    ids=["many", "long value", "long name", "together"],
)
def test_too_many_or_too_long_header_fields(served: Served, fields: list[str]) -> None:
    check_refused(served.ask(get("/v1/units", *fields)), 431, "headers-too-large")


def test_header_fields_at_the_limit(served: Served) -> None:
    fields = [f"X-{i}: x" for i in range(MOST_HEADERS - 1)]  # and Host
    assert served.ask(get("/v1/units", *fields)).status == 200


@pytest.mark.parametrize(
    "endless",
    [b"GET /", b"GET / HTTP/1.1\r\nX", b"GET / HTTP/1.1\r\nX: x", CHUNKED + b"1;x=", CHUNKED + b"0\r\nX: "],
    ids=["address", "name", "value", "chunk extension", "trailer"],
)
def test_what_does_not_end_is_not_kept(served: Served, endless: bytes) -> None:
    with served.connect() as connection:
        connection.sendall(endless + b"x" * 500_000)
        assert answer(connection).status in {414, 431}


def test_line_ends_without_end_are_no_request(served: Served) -> None:
    with served.connect() as connection:
        connection.sendall(b"\r\n" * 100_000)
        assert answer(connection).status == 431


@pytest.mark.parametrize(
    "raw",
    [
        b"\x16\x03\x01\x02\x00\x01\x00\x01\xfc\x03\x03",  # the beginning of TLS (RFC 8446, 5.1)
        b"NONSENSE\r\n\r\n",
        b"GET / HTTP/x\r\nHost: t\r\n\r\n",
        b"GET /\x00 HTTP/1.1\r\nHost: t\r\n\r\n",
        b"GET /\xff HTTP/1.1\r\nHost: t\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: t\r\nX: a\x00b\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: t\r\nX\x01: a\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost: t\r\nno colon\r\n\r\n",
        b"GET / HTTP/1.1\r\nHost : t\r\n\r\n",  # RFC 9112, 5.1: no space before the colon
        b"GET / HTTP/1.1\r\nHost: t\r\n folded\r\n\r\n",
        b"CONNECT t:80 HTTP/1.1\r\nHost: t\r\n\r\n",
        b"GET http:// HTTP/1.1\r\nHost: t\r\n\r\n",
        HEAD + b"Content-Length: -1\r\n\r\n",
        HEAD + b"Content-Length: 1e3\r\n\r\n",
        HEAD + b"Content-Length: " + b"9" * 400 + b"\r\n\r\n",
        HEAD + b"Content-Length: 2\r\nContent-Length: 3\r\n\r\n{}",
        HEAD + b"Content-Length: 2\r\nTransfer-Encoding: chunked\r\n\r\n{}",  # smuggling (RFC 9112, 11.2)
        HEAD + b"Transfer-Encoding: gzip, chunked, x\r\n\r\n",
        CHUNKED + b"xyz\r\n",
        CHUNKED + b"-1\r\n",
        CHUNKED + b"ffffffffffffffffff\r\n",
        CHUNKED + b"2\r\n{}x\r\n",
    ],
    ids=lambda raw: repr(raw[-30:]),
)
def test_what_is_no_http_is_a_400(served: Served, raw: bytes) -> None:
    with served.connect() as connection:
        connection.sendall(raw)
        check_refused(answer(connection), 400, "malformed-http")
        assert is_closed(connection)


def test_a_refusal_waits_for_the_answers_before_it(served: Served) -> None:
    with served.connect() as connection:
        connection.sendall(post("/v1/convert", CONVERT) * 3 + b"NONSENSE\r\n\r\n" + post("/v1/convert", CONVERT))
        assert [one.status for one in answers(connection, 4)] == [200, 200, 200, 400]
        assert is_closed(connection)


@pytest.mark.parametrize("upgrade", ["h2c", "websocket", "x"])
def test_an_upgrade_is_passed_over(served: Served, upgrade: str) -> None:
    """RFC 9110, 7.8: a server may ignore it, body and all that follows on the connection are read as ever."""
    fields = (f"Upgrade: {upgrade}", "Connection: Upgrade")
    with served.connect() as connection:
        framed = HEAD + "\r\n".join([*fields, "Transfer-Encoding: chunked\r\n\r\n"]).encode() + chunked(CONVERT, 7)
        asked = [post("/v1/convert", CONVERT, *fields), get("/v1/units", *fields), framed, get("/healthz")]
        for one in asked:
            connection.sendall(one)
            assert answer(connection).status == 200
        connection.sendall(b"".join(asked))
        assert [one.status for one in answers(connection, 4)] == [200] * 4
        for byte in b"".join(asked):
            connection.sendall(bytes([byte]))
        assert [one.status for one in answers(connection, 4)] == [200] * 4


def test_a_trailer_is_no_header(served: Served) -> None:
    """RFC 9110, 6.5.1: fields behind the body are not merged with those before."""
    body = chunked(CONVERT)[:-2] + b"Content-Encoding: gzip\r\n\r\n"
    assert served.ask(CHUNKED + body).status == 200


def test_who_closes_its_half_still_gets_the_answer(served: Served) -> None:
    with served.connect() as connection:
        connection.sendall(post("/v1/convert", CONVERT))
        connection.shutdown(socket.SHUT_WR)
        assert answer(connection).status == 200
        assert is_closed(connection)


MILLION = 1_000_000


def asking_for(amount: bytes) -> bytes:
    return b'{"items": [{"quantity": {"amount": %s, "unit": "g"}, "to": "g"}]}' % amount


@pytest.mark.parametrize(
    ("body", "status"),
    [
        pytest.param(b"[" * 100 + b"]" * 100, 422, id="arrays, 100 deep"),
        pytest.param(b"[" * 1_000 + b"]" * 1_000, 400, id="arrays, 1,000 deep"),
        pytest.param(b"[" * (MILLION // 2) + b"]" * (MILLION // 2), 400, id="arrays, as deep as a body may be"),
        pytest.param(b"[" * MILLION, 400, id="arrays that do not end"),
        pytest.param(b'{"a":' * (MILLION // 6) + b"1" + b"}" * (MILLION // 6), 400, id="objects"),
        pytest.param(b'{"items": ' + b"[" * 150 + b"]" * 150 + b"}", 422, id="deep where a list belongs"),
        pytest.param(asking_for(b"1e400"), 422, id="beyond a double"),
        pytest.param(asking_for(b"-1e400"), 422, id="beyond a double, negative"),
        pytest.param(asking_for(b"9" * 5_000), 400, id="5,000 digits"),
        pytest.param(asking_for(b"9" * 900_000), 400, id="900,000 digits"),
        pytest.param(asking_for(b"NaN"), 422, id="NaN"),
        pytest.param(asking_for(b"01"), 400, id="a leading zero"),
        pytest.param(asking_for(b"0x10"), 400, id="hexadecimal"),
        pytest.param(asking_for(b'"' + b"9" * 900_000 + b'"'), 422, id="a long text"),
        pytest.param(b'{"items": [{"quantity": "1 g\\ud800", "to": "g"}]}', 400, id="half a surrogate pair"),
        pytest.param(b'{"items": [{"quantity": "1 g\x00", "to": "g"}]}', 400, id="a bare NUL"),
        pytest.param(b'{"items": [{"quantity": "1 g\xff", "to": "g"}]}', 400, id="no UTF-8"),
        pytest.param(b'{"items": [{"quantity": "1 g\xed\xa0\x80", "to": "g"}]}', 400, id="UTF-8 of a surrogate"),
        pytest.param(b'{"items": [{"quantity": "1 g\xc0\x80", "to": "g"}]}', 400, id="overlong UTF-8"),
        pytest.param('{"items": []}'.encode("utf-16"), 400, id="UTF-16"),
        pytest.param(b'{"items": [' + b"1," * 400_000 + b"1]}", 422, id="400,001 items"),
    ],
)
def test_json_at_its_edges_is_refused(call: Call, body: bytes, status: int) -> None:  # noqa: F811
    refused = call("POST", "/v1/convert", content=body, headers={"Content-Type": "application/json"})
    assert refused.status_code == status
    assert refused.headers["content-type"] == "application/problem+json"
    assert len(refused.content) < 20_000  # it does not echo what was sent


@pytest.mark.parametrize(
    ("amount", "grams"),
    [
        (b"-0", 0.0),
        (b"-0.0", 0.0),
        (b"0." + b"9" * 900_000, 1.0),  # the nearest double
        (b"1" + b"0" * 300 + b"e-300", 1.0),
        (b"1e-400", 0.0),
        (b'2, "amount": 3', 3.0),  # RFC 8259, 4: most readers take the last of a name given twice, and so does ours
    ],
    ids=["-0", "-0.0", "a long decimal", "digits and exponent", "below a double", "given twice"],
)
def test_numbers_at_their_edges_are_read(call: Call, amount: bytes, grams: float) -> None:  # noqa: F811
    read = call("POST", "/v1/convert", content=asking_for(amount), headers={"Content-Type": "application/json"})
    assert read.status_code == 200
    assert read.json()["items"][0]["amount"] == grams


def test_an_escaped_nul_is_a_character_like_any_other(call: Call) -> None:  # noqa: F811
    read = call("POST", "/v1/convert", json={"items": [{"quantity": "1 g\0", "to": "g"}]})
    assert read.json()["items"][0]["problem"]["status"] == 422


@pytest.mark.parametrize("length", ["x", "-1", "1e3", "9" * 5_000, str(MILLION + 1)])
def test_a_length_is_checked_under_any_server(call: Call, length: str) -> None:  # noqa: F811
    headers = {"Content-Type": "application/json", "Content-Length": length}
    assert call("POST", "/v1/convert", content=b"{}", headers=headers).status_code == 413


def test_an_address_is_checked_under_any_server() -> None:
    app = create_app(Settings(max_url_bytes=MOST_URL))
    long = "x" * MOST_URL
    refused = ask(app, "GET", f"/v1/units?x={long}")
    assert (refused.status_code, refused.json()["type"]) == (414, "/problems/url-too-long")
    in_a_cell = ask(app, "GET", f"/v1/convert?format=cell&amount={long}")
    assert (in_a_cell.status_code, in_a_cell.text[:2]) == (200, "# ")
    head = ask(app, "HEAD", f"/v1/units?x={long}")
    assert (head.status_code, head.content) == (414, b"")


def test_a_compressed_body_is_refused(served: Served) -> None:
    refused = served.ask(post("/v1/convert", b"\x1f\x8b", "Content-Encoding: gzip"))
    assert (refused.status, refused.headers["accept-encoding"]) == (415, "identity")
    assert refused.problem["type"] == "/problems/unsupported-content-encoding"


def test_afterwards_it_answers_as_before(served: Served) -> None:
    time.sleep(0.1)
    assert served.ask(post("/v1/convert", CONVERT)).status == 200
