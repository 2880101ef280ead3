"""Who is slow is cut, whatever it is slow with; who is merely idle too; and nobody else notices."""

import socket
import time
from collections.abc import Iterator

import psutil
import pytest

from tests.standing.running import clients_of
from tests.standing.wire import CONVERT, Served, answer, answers, get, is_closed, post, serving, wait_until

HEADER_SECONDS, BODY_SECONDS, WRITE_SECONDS, KEEP_ALIVE_SECONDS = 1.0, 1.0, 1.0, 1
# Deadlines are looked at every quarter of a second; the rest is for a busy machine.
LATE_SECONDS = 8.0
LARGE = "/v1/ingredients"  # some 100 kB


@pytest.fixture(scope="module")
def served() -> Iterator[Served]:
    with serving(
        header_seconds=HEADER_SECONDS,
        body_seconds=BODY_SECONDS,
        write_seconds=WRITE_SECONDS,
        keep_alive_seconds=KEEP_ALIVE_SECONDS,
    ) as running:
        yield running


class Stopwatch:
    """How long something took."""

    def __enter__(self) -> "Stopwatch":
        self.begun = time.monotonic()
        return self

    def __exit__(self, *_: object) -> None:
        self.seconds = time.monotonic() - self.begun


def drip(connection: socket.socket, data: bytes) -> None:
    """One byte at a time, until it is over or the other side has had enough."""
    connection.setblocking(False)
    for byte in data:
        try:
            connection.send(bytes([byte]))
            if connection.recv(1, socket.MSG_PEEK) is not None:
                break
        except BlockingIOError:
            pass
        time.sleep(0.1)
    connection.settimeout(20)


def test_a_connection_that_says_nothing_is_closed(served: Served) -> None:
    with served.connect() as idle, Stopwatch() as waited:
        assert idle.recv(1) == b""
    assert HEADER_SECONDS <= waited.seconds < HEADER_SECONDS + LATE_SECONDS


@pytest.mark.parametrize("before", [b"", get("/healthz")], ids=["at first", "on a connection that was used"])
@pytest.mark.parametrize(
    "slow", [b"G", b"GET /v1/un", b"GET /v1/units HTTP/1.1\r\nHost: t\r\nX: "], ids=["verb", "path", "header"]
)
def test_headers_that_do_not_come_are_a_408(served: Served, before: bytes, slow: bytes) -> None:
    with served.connect() as connection:
        if before:
            connection.sendall(before)
            assert answer(connection).status == 200
        connection.sendall(slow)
        with Stopwatch() as waited:
            late = answer(connection)
        assert (late.status, late.headers["connection"]) == (408, "close")
        assert late.problem["type"] == "/problems/request-too-slow"
        assert late.headers["x-request-id"]
        assert is_closed(connection)
    assert waited.seconds < HEADER_SECONDS + LATE_SECONDS


def test_headers_that_drip_are_cut_as_well(served: Served) -> None:
    with served.connect() as connection, Stopwatch() as waited:
        drip(connection, get("/healthz", "X-Padding: " + "x" * 300))
        assert answer(connection).status == 408
    assert waited.seconds < HEADER_SECONDS + LATE_SECONDS


@pytest.mark.parametrize("stray", [b"\r\n", b"\r\n\r\n"])
def test_line_ends_after_an_answer_do_not_keep_a_connection(served: Served, stray: bytes) -> None:
    with served.connect() as connection:
        connection.sendall(get("/healthz"))
        assert answer(connection).status == 200
        connection.sendall(stray)
        assert is_closed(connection)


def test_a_connection_without_a_next_request_is_closed(served: Served) -> None:
    with served.connect() as connection:
        connection.sendall(get("/healthz"))
        assert answer(connection).status == 200
        with Stopwatch() as waited:
            assert connection.recv(1) == b""
    assert waited.seconds < KEEP_ALIVE_SECONDS + LATE_SECONDS


@pytest.mark.parametrize("expect", [(), ("Expect: 100-continue",)], ids=["plain", "after 100"])
def test_a_body_that_does_not_come_is_a_408(served: Served, expect: tuple[str, ...]) -> None:
    with served.connect() as connection:
        connection.sendall(post("/v1/convert", CONVERT, *expect)[: -len(CONVERT) + 3])
        if expect:
            assert connection.recv(25) == b"HTTP/1.1 100 Continue\r\n\r\n"
        with Stopwatch() as waited:
            late = answer(connection)
        assert (late.status, late.headers["connection"]) == (408, "close")
        assert late.problem["type"] == "/problems/request-too-slow"
        assert is_closed(connection)
    assert waited.seconds < BODY_SECONDS + LATE_SECONDS


def test_a_body_that_drips_is_cut_as_well(served: Served) -> None:
    body = CONVERT + b" " * 300
    with served.connect() as connection, Stopwatch() as waited:
        connection.sendall(post("/v1/convert", body)[: -len(body)])
        drip(connection, body)
        assert answer(connection).status == 408
    assert waited.seconds < BODY_SECONDS + LATE_SECONDS


def test_a_body_that_nobody_asked_for_does_not_keep_a_connection(served: Served) -> None:
    with served.connect() as connection:
        connection.sendall(get("/healthz", "Content-Length: 100") + b"x")
        assert answer(connection).status == 200
        assert is_closed(connection)


def test_a_slow_body_that_arrives_in_time_is_answered(served: Served) -> None:
    whole = post("/v1/convert", CONVERT)
    pieces = [whole[i : i + 60] for i in range(0, len(whole), 60)]
    assert served.ask(*pieces, pause=0.05).status == 200


@pytest.mark.parametrize("count", [16, 1], ids=["answers that wait for room", "one answer in a buffer"])
def test_who_does_not_read_is_cut(served: Served, count: int) -> None:
    with socket.socket() as connection:
        connection.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4_096)
        connection.connect(("127.0.0.1", served.port))
        mine = connection.getsockname()[1]
        connection.sendall(get(LARGE) * count)
        process = psutil.Process(served.process.pid)
        wait_until(lambda: mine in clients_of(process, served.port))
        wait_until(lambda: mine not in clients_of(process, served.port))


def test_meanwhile_all_others_are_answered(served: Served) -> None:
    with served.connections(50) as slow:
        for connection in slow:
            connection.sendall(get("/healthz")[:20])
        assert served.ask(get("/v1/units")).status == 200
        with served.connect() as quick:
            quick.sendall(get("/healthz") * 5)
            assert [one.status for one in answers(quick, 5)] == [200] * 5
