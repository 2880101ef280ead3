"""Past a number of requests in work the next are refused at once, health is not, and it is over when it is over."""

import socket
import time
from collections.abc import Iterator
from contextlib import ExitStack

import pytest

from api.serving.admission import Desk, Ticket
from tests.standing.wire import CONVERT, Served, answer, answers, answers_to_the_last, get, is_closed, post, serving

MOST_IN_WORK, MOST_CONNECTIONS = 4, 40
REQUEST = post("/v1/convert", CONVERT)


@pytest.fixture(scope="module")
def served() -> Iterator[Served]:
    with serving(max_in_work=MOST_IN_WORK, max_connections=MOST_CONNECTIONS) as running:
        yield running


def statuses(connection: socket.socket, count: int) -> list[int]:
    return [one.status for one in answers(connection, count)]


def all_at_once(served: Served) -> list[int]:
    """What becomes of as many requests as may be in work, sent together."""
    with served.connect() as connection:
        connection.sendall(REQUEST * MOST_IN_WORK)
        return statuses(connection, MOST_IN_WORK)


def test_the_first_are_answered_and_the_others_refused(served: Served) -> None:
    with served.connect() as connection:
        connection.sendall(REQUEST * 10)
        found = answers(connection, 10)
        assert [one.status for one in found] == [200] * MOST_IN_WORK + [503] * 6
        refused = found[-1]
        assert refused.problem["type"] == "/problems/overloaded"
        assert int(refused.headers["retry-after"]) >= 1
        assert refused.headers["cache-control"] == "no-store"
        assert refused.headers["x-request-id"]
        # The connection goes on, and so does the service.
        connection.sendall(REQUEST)
        assert answer(connection).status == 200


def test_health_is_answered_meanwhile(served: Served) -> None:
    with served.connect() as connection:
        connection.sendall(REQUEST * 6 + get("/healthz") + get("/readyz") + get("/metrics") + REQUEST)
        assert statuses(connection, 10) == [200] * 4 + [503] * 2 + [200] * 3 + [503]


def test_requests_of_many_connections_count_together(served: Served) -> None:
    with served.connections(30) as connections:
        for connection in connections:  # so that each is known to be taken on
            connection.sendall(get("/healthz"))
            assert answer(connection).status == 200
        with served.held():
            for connection in connections:
                connection.sendall(REQUEST)
        found = [answer(connection).status for connection in connections]
        assert sorted(found) == [200] * MOST_IN_WORK + [503] * (30 - MOST_IN_WORK)
        assert all_at_once(served) == [200] * MOST_IN_WORK


def test_a_body_on_its_way_holds_no_place(served: Served) -> None:
    with served.connections(2 * MOST_IN_WORK) as slow:
        for connection in slow:
            connection.sendall(REQUEST[:-5])
        time.sleep(0.1)
        assert all_at_once(served) == [200] * MOST_IN_WORK
        for connection in slow:
            connection.sendall(REQUEST[-5:])
            assert answer(connection).status == 200


@pytest.mark.parametrize("reset", [False, True], ids=["closed", "reset"])
def test_who_goes_away_gives_the_place_back(served: Served, reset: bool) -> None:
    for _ in range(5):
        connections = [served.connect() for _ in range(10)]
        with served.held():
            for connection in connections:
                connection.sendall(REQUEST * 3 + REQUEST[:-5])
                if reset:
                    connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, b"\x01\0\0\0\0\0\0\0")
                connection.close()
        assert served.ask(get("/healthz")).status == 200  # after all of them
        assert all_at_once(served) == [200] * MOST_IN_WORK


def test_who_does_not_read_holds_no_place(served: Served) -> None:
    with ExitStack() as stack:
        for _ in range(MOST_IN_WORK):
            deaf = stack.enter_context(socket.socket())
            deaf.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4_096)
            deaf.connect(("127.0.0.1", served.port))
            for _ in range(10):
                deaf.sendall(get("/v1/ingredients") * MOST_IN_WORK)
                time.sleep(0.02)
        assert all_at_once(served) == [200] * MOST_IN_WORK


def test_bodies_that_arrive_together_have_a_limit_too() -> None:
    desk = Desk(most_in_work=1, most_body_bytes=100)
    first, second = Ticket(desk), Ticket(desk)
    assert first.hold(60)
    assert not second.hold(60)
    second.give_back()
    second.give_back()
    assert first.hold(40)
    assert not first.hold(1)
    first.give_back()
    assert desk.body_bytes == 0


def test_too_many_requests_in_a_row_end_a_connection(served: Served) -> None:
    with served.connect() as connection:
        connection.sendall(get("/healthz") * 1_000)
        found = answers_to_the_last(connection)
        assert (found[-1].status, found[-1].problem["type"]) == (503, "/problems/overloaded")
        assert {one.status for one in found[:-1]} == {200}
        assert is_closed(connection)


def test_connections_beyond_the_limit_are_turned_away_but_for_health(served: Served) -> None:
    with served.connections(MOST_CONNECTIONS):
        time.sleep(0.1)
        refused = served.ask(get("/v1/units"))
        assert (refused.status, refused.headers["connection"]) == (503, "close")
        assert refused.problem["type"] == "/problems/overloaded"
        assert served.ask(get("/healthz")).status == 200
        with served.connections(60) as more:  # none of which says anything
            assert all(is_closed(connection) for connection in more)
    time.sleep(0.1)
    assert served.ask(get("/v1/units")).status == 200
