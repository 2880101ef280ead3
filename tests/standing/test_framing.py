"""The head of a request by RFC 9112: its host, its version, how its body is framed; over real connections."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.standing.wire import (
    CONVERT,
    Answer,
    Served,
    answer,
    answers,
    is_closed,
    lines_of,
    post,
    serving,
    wait_until,
)

HEAD = b"POST /v1/convert HTTP/1.1\r\nContent-Type: application/json\r\n"
BODY = b"%x\r\n%s\r\n0\r\n\r\n" % (len(CONVERT), CONVERT)


@pytest.fixture(scope="module")
def log(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("framing") / "log"


@pytest.fixture(scope="module")
def served(log: Path) -> Iterator[Served]:
    with serving(log=log) as running:
        yield running


def check_refused(served: Served, raw: bytes, status: int, code: str) -> Answer:
    """Refused as a problem byte by byte and whole, and nothing behind it is read; the last answer."""
    found: list[Answer] = []
    for pieces in ([bytes([byte]) for byte in raw], [raw + post("/v1/convert", CONVERT)]):
        with served.connect() as connection:
            for piece in pieces:
                connection.sendall(piece)
            found.append(answer(connection))
            assert is_closed(connection)
    for refused in found:
        assert (refused.status, refused.problem["type"]) == (status, f"/problems/{code}")
        assert refused.headers["connection"] == "close"
        assert len(refused.headers["x-request-id"]) == 32
        assert refused.headers["x-content-type-options"] == "nosniff"
    return found[-1]


def with_host(*hosts: bytes, version: bytes = b"1.1") -> bytes:
    return b"".join([b"GET /healthz HTTP/%s\r\n" % version, *(b"Host: %s\r\n" % host for host in hosts), b"\r\n"])


@pytest.mark.parametrize(
    "host",
    # RFC 9110, 7.2, and RFC 3986, 3.2.2 and 3.2.3, whose examples some of these are; empty: RFC 9112, 3.2.
    [
        "", "shop.example", "SHOP.EXAMPLE.", "tinwright", "tinwright:8000", "tinwright:", "10.0.0.5:8000", "[::1]",
        "[2001:db8::7]:8000", "[::ffff:10.0.0.5]", "[v1.fe80::a]", "a_b.example", "caf%C3%A9.example", "xn--caf-dma",
    ],
)  # fmt: skip
def test_a_host_as_it_may_be(served: Served, host: str) -> None:
    assert served.ask(with_host(host.encode())).status == 200
    assert served.ask(with_host(f" \t{host} \t".encode())).status == 200


@pytest.mark.parametrize(
    "host",
    [
        "a b", "a/b", "http://a", "user@a", "a:b", "a:80:80", "::1", "[::1", "[::1]x", "[:::1]", "[1]", "[g::1]", "[]",
        "[::1%25eth0]", "a%", "a%zz", "a?b", "a#b", "a\\b", '"a"', "<a>", "caf\u00e9", "a, b",
    ],
)  # fmt: skip
def test_a_host_as_it_may_not_be(served: Served, host: str) -> None:
    check_refused(served, with_host(host.encode()), 400, "invalid-host")


def test_exactly_one_host(served: Served) -> None:
    """RFC 9112, 3.2: HTTP/1.1 has one; no request of any version has two, not even of the same value."""
    assert "is missing" in check_refused(served, with_host(), 400, "invalid-host").problem["detail"]
    twice = check_refused(served, with_host(b"a", b"a"), 400, "invalid-host")
    assert "more than once" in twice.problem["detail"]
    assert served.ask(with_host(version=b"1.0")).status == 200
    assert served.ask(with_host(b"a", version=b"1.0")).status == 200
    check_refused(served, with_host(b"a", b"b", version=b"1.0"), 400, "invalid-host")
    check_refused(served, with_host(b"a b", version=b"1.0"), 400, "invalid-host")


@pytest.mark.parametrize("version", ["2.0", "3.7", "1.2", "9.9", "0.9", "3.0"])
def test_other_versions_are_a_505(served: Served, version: str) -> None:
    """RFC 9110, 15.6.6."""
    check_refused(served, with_host(b"a", version=version.encode()), 505, "http-version-not-supported")


def test_the_beginning_of_http_2_is_a_505(served: Served) -> None:
    preface = b"PRI * HTTP/2.0\r\n\r\nSM\r\n\r\n"  # RFC 9113, 3.4
    refused = served.ask(preface)
    assert (refused.status, refused.problem["type"]) == (505, "/problems/http-version-not-supported")


def test_a_version_is_told_from_that_of_the_request_before(served: Served) -> None:
    good = post("/v1/convert", CONVERT)
    for bad, status in ((with_host(b"a", version=b"2.0"), 505), (with_host(b"a", version=b"x"), 400), (b"NO\r\n", 400)):
        with served.connect() as connection:
            connection.sendall(good + bad)
            assert [one.status for one in answers(connection, 2)] == [200, status]
            assert is_closed(connection)


@pytest.mark.parametrize("coding", ["chunked", "Chunked", "CHUNKED"])
def test_chunked_alone_is_read(served: Served, coding: str) -> None:
    assert served.ask(HEAD + f"Host: t\r\nTransfer-Encoding: {coding}\r\n\r\n".encode() + BODY).status == 200


@pytest.mark.parametrize(
    "fields",
    [["gzip, chunked"], ["gzip,chunked"], ["GZIP , Chunked"], ["gzip", "chunked"], ["deflate, gzip, chunked"],
     ["identity, chunked"], ["x;q=1, chunked"]],
)  # fmt: skip
def test_another_coding_is_a_501(served: Served, fields: list[str]) -> None:
    """RFC 9112, 6.1: read as if it were plain, the body would be another one than the client's."""
    head = HEAD + b"Host: t\r\n" + b"".join(f"Transfer-Encoding: {one}\r\n".encode() for one in fields) + b"\r\n"
    check_refused(served, head + BODY, 501, "unsupported-transfer-encoding")


@pytest.mark.parametrize("coding", ["gzip", "identity", "chunked, gzip", "chunked, chunked", "xchunked", "chunked;a"])
def test_a_body_whose_end_nobody_can_know_is_a_400(served: Served, coding: str) -> None:
    """RFC 9112, 6.3: where the last coding is not `chunked`, a server must answer 400; 6.1: and it is there once."""
    head = HEAD + f"Host: t\r\nTransfer-Encoding: {coding}\r\n\r\n".encode()
    refused = served.ask(head + BODY)
    assert (refused.status, refused.problem["type"]) == (400, "/problems/malformed-http")


def test_an_upgrade_is_checked_as_well(served: Served) -> None:
    fields = b"Upgrade: h2c\r\nConnection: Upgrade\r\n"
    check_refused(served, HEAD + fields + b"\r\n", 400, "invalid-host")
    check_refused(
        served,
        HEAD + b"Host: t\r\n" + fields + b"Transfer-Encoding: gzip, chunked\r\n\r\n",
        501,
        "unsupported-transfer-encoding",
    )


def test_such_a_refusal_is_logged_and_counted_and_is_no_error_of_ours(served: Served, log: Path) -> None:
    asked = {
        400: served.ask(with_host()),
        501: served.ask(HEAD + b"Host: t\r\nTransfer-Encoding: gzip, chunked\r\n\r\n" + BODY),
        505: served.ask(with_host(b"a", version=b"2.0")),
    }
    ids = {refused.headers["x-request-id"]: status for status, refused in asked.items()}
    wait_until(lambda: ids.keys() <= {line.get("request_id") for line in lines_of(log)})
    lines = {ids[line["request_id"]]: line for line in lines_of(log) if line.get("request_id") in ids}
    for status, line in lines.items():
        assert (line["level"], line["message"]) == ("INFO", f"other none {status}")
    counted = served.ask(b"GET /metrics HTTP/1.1\r\nHost: a\r\nConnection: close\r\n\r\n").body.decode()
    for status in asked:
        assert f'http_requests_total{{method="other",route="none",status="{status}"}}' in counted
