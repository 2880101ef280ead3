"""Above a number of requests in progress further requests are refused at once, and health is still answered."""

import socket
import time
from collections.abc import Iterator
from contextlib import ExitStack

import pytest

from tests.standing.wire import CONVERT, Served, answer, get, post, serving

MAX_IN_WORK = 4
REQUEST = post("/v1/convert", CONVERT)


@pytest.fixture(scope="module")
def served() -> Iterator[Served]:
    with serving(max_in_work=MAX_IN_WORK) as running:
        yield running


def statuses_of(served: Served, requests: list[bytes]) -> list[int]:
    """Send these requests at the same moment, each on a connection of its own, and return the statuses."""
    with served.connections(len(requests)) as connections:
        for connection in connections:  # so that the server has accepted each
            connection.sendall(get("/healthz"))
            assert answer(connection).status == 200
        with served.held():
            for connection, request in zip(connections, requests, strict=True):
                connection.sendall(request)
        return [answer(connection).status for connection in connections]


def assert_all_slots_are_free(served: Served) -> None:
    assert statuses_of(served, [REQUEST] * MAX_IN_WORK) == [200] * MAX_IN_WORK


def test_requests_above_the_limit_are_refused(served: Served) -> None:
    statuses = statuses_of(served, [REQUEST] * 30)
    assert sorted(statuses) == [200] * MAX_IN_WORK + [503] * (30 - MAX_IN_WORK)
    assert_all_slots_are_free(served)


def test_the_refusal_is_a_problem_that_says_when_to_retry(served: Served) -> None:
    with served.connections(20) as connections:
        for connection in connections:
            connection.sendall(get("/healthz"))
            assert answer(connection).status == 200
        with served.held():
            for connection in connections:
                connection.sendall(REQUEST)
        refused = next(reply for connection in connections if (reply := answer(connection)).status == 503)
    assert refused.problem["type"] == "/problems/overloaded"
    assert int(refused.headers["retry-after"]) >= 1
    assert refused.headers["cache-control"] == "no-store"
    assert refused.headers["x-request-id"]
    assert "connection" not in refused.headers  # the connection stays open for the retry


def test_health_and_metrics_are_answered_meanwhile(served: Served) -> None:
    watched = [get("/healthz"), get("/readyz"), get("/metrics")]
    statuses = statuses_of(served, [REQUEST] * 20 + watched)
    assert 503 in statuses[:20]
    assert statuses[20:] == [200] * 3


def test_a_body_that_is_still_arriving_takes_no_slot(served: Served) -> None:
    with served.connections(2 * MAX_IN_WORK) as slow:
        for connection in slow:
            connection.sendall(REQUEST[:-5])
        time.sleep(0.1)
        assert_all_slots_are_free(served)
        for connection in slow:
            connection.sendall(REQUEST[-5:])
            assert answer(connection).status == 200


@pytest.mark.parametrize("reset", [False, True], ids=["closed", "reset"])
def test_a_client_that_disconnects_frees_its_slot(served: Served, reset: bool) -> None:
    for _ in range(5):
        connections = [served.connect() for _ in range(10)]
        with served.held():
            for connection in connections:
                connection.sendall(REQUEST * 3 + REQUEST[:-5])
                if reset:
                    connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, b"\x01\0\0\0\0\0\0\0")
                connection.close()
        assert served.ask(get("/healthz")).status == 200
        assert_all_slots_are_free(served)


def test_a_client_that_does_not_read_takes_no_slot(served: Served) -> None:
    with ExitStack() as stack:
        for _ in range(2 * MAX_IN_WORK):
            deaf = stack.enter_context(socket.socket())
            deaf.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4_096)
            deaf.connect(("127.0.0.1", served.port))
            deaf.sendall(get("/openapi.json") * 4)
            time.sleep(0.02)
        assert_all_slots_are_free(served)
