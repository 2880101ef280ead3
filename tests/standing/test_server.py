"""Start and stop: readiness goes first, what is in work is finished, and a worker that dies is replaced."""

import signal
import socket
import subprocess
import sys
import time
from contextlib import suppress

import psutil
import pytest

from tests.clients.server import free_port
from tests.standing.running import workers_of
from tests.standing.wire import CONVERT, WAIT_SECONDS, Served, answer, get, is_closed, post, serving, wait_until

REQUEST = post("/v1/convert", CONVERT)


def ended(served: Served) -> int:
    return served.process.wait(timeout=WAIT_SECONDS)


def test_until_it_is_ready_nothing_else_is_answered() -> None:
    port, seen = free_port(), set()
    process = subprocess.Popen([sys.executable, "-m", "api", "--port", str(port)], stderr=subprocess.DEVNULL)
    served = Served(port, process)
    try:
        end = time.monotonic() + WAIT_SECONDS
        while 200 not in seen and time.monotonic() < end:
            with suppress(ConnectionRefusedError):
                seen.add(served.ask(get("/readyz")).status)
        assert seen == {200}
    finally:
        process.kill()
        process.wait()


def test_idle_connections_are_closed_and_it_ends() -> None:
    with serving() as served, served.connections(5) as idle:
        for connection in idle[:3]:
            connection.sendall(get("/healthz"))
            assert answer(connection).status == 200
        idle[3].sendall(b"GET /heal")
        begun = time.monotonic()
        assert served.stop() == 0
        assert time.monotonic() - begun < 8  # not the ten seconds for what is in work
        assert all(is_closed(connection) for connection in idle)


@pytest.mark.parametrize("workers", ["1", "2"])
def test_readiness_goes_first_and_answers_go_on(workers: str) -> None:
    with serving("--workers", workers, drain_seconds=4) as served, served.connections(4) as connections:
        for connection in connections:
            connection.sendall(get("/readyz"))
            assert answer(connection).status == 200
        served.process.terminate()
        wait_until(lambda: served.ask(get("/readyz")).status == 503)  # new connections are taken
        for connection, path, status in zip(
            connections, ["/readyz", "/readyz", "/healthz", "/v1/units"], [503, 503, 200, 200], strict=True
        ):
            connection.sendall(get(path))
            found = answer(connection)
            assert (found.status, found.headers["connection"]) == (status, "close")
            if status == 503:
                assert found.problem["type"] == "/problems/stopping"
                assert found.headers["retry-after"]
        assert ended(served) == 0
        with pytest.raises(ConnectionRefusedError):
            served.connect()


def test_what_is_in_work_is_finished() -> None:
    with serving() as served, served.connections(3) as connections:
        for connection in connections:
            connection.sendall(REQUEST[:-5])
        time.sleep(0.2)
        served.process.terminate()
        wait_until(lambda: is_refused(served))
        for connection in connections:
            connection.sendall(REQUEST[-5:])
            found = answer(connection)
            assert (found.status, found.headers["connection"]) == (200, "close")
            assert is_closed(connection)
        assert ended(served) == 0


def test_what_was_sent_before_the_signal_is_answered() -> None:
    """On connections that look idle, since what was sent on them lies unread."""
    with serving() as served, served.connections(20) as connections:
        for connection in connections:
            connection.sendall(get("/healthz"))
            assert answer(connection).status == 200
        with served.held():
            served.process.terminate()
            for connection in connections:
                connection.sendall(REQUEST)
        found = [answer(connection) for connection in connections]
        assert {(one.status, one.headers["connection"]) for one in found} == {(200, "close")}
        assert ended(served) == 0


def is_refused(served: Served) -> bool:
    try:
        served.connect().close()
    except ConnectionRefusedError:
        return True
    return False


def test_what_takes_too_long_is_cut() -> None:
    with serving(stop_seconds=1) as served, served.connect() as slow:
        slow.sendall(REQUEST[:-5])
        time.sleep(0.2)
        begun = time.monotonic()
        assert served.stop() == 0
        assert 1 <= time.monotonic() - begun < 10
        assert is_closed(slow)


def test_an_interrupt_does_not_wait_for_others_to_notice() -> None:
    with serving(drain_seconds=60) as served:
        served.process.send_signal(signal.SIGINT)
        assert ended(served) == 0


def test_a_port_that_is_taken_is_said() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        for workers in ("1", "2"):
            command = [sys.executable, "-m", "api", "--port", str(taken.getsockname()[1]), "--workers", workers]
            ran = subprocess.run(command, capture_output=True, timeout=WAIT_SECONDS, check=False)
            assert ran.returncode == 3
            assert b"address already in use" in ran.stderr.lower()


def test_a_killed_worker_is_replaced_and_all_stop_together() -> None:
    with serving("--workers", "2") as served:
        wait_until(lambda: len(workers_of(served.process.pid)) == 2)
        first, second = workers_of(served.process.pid)
        first.kill()
        psutil.wait_procs([first], timeout=WAIT_SECONDS)
        wait_until(lambda: len(set(workers_of(served.process.pid)) - {first, second}) == 1)
        (third,) = set(workers_of(served.process.pid)) - {first, second}
        assert second.is_running()
        # It listens too, once it is up.
        wait_until(lambda: third.net_connections("tcp4"))
        for _ in range(20):
            assert served.ask(REQUEST).status == 200
        assert served.stop() == 0
        gone, left = psutil.wait_procs([second, third], timeout=WAIT_SECONDS)
        assert (len(gone), left) == (2, [])
