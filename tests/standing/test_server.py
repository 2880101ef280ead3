"""Start and stop: a stopping process is not ready, answers for a while and finishes the requests in progress."""

import signal
import socket
import subprocess
import sys
import time
from contextlib import suppress
from pathlib import Path

import pytest

from tests.clients.server import free_port
from tests.standing.wire import (
    CONVERT,
    WAIT_SECONDS,
    Served,
    answer,
    get,
    is_closed,
    lines_of,
    post,
    serving,
    wait_until,
)

REQUEST = post("/v1/convert", CONVERT)


def exit_status(served: Served) -> int:
    return served.process.wait(timeout=WAIT_SECONDS)


def test_the_service_is_ready_from_its_first_answer() -> None:
    port, statuses = free_port(), set()
    process = subprocess.Popen([sys.executable, "-m", "api", "--port", str(port)], stderr=subprocess.DEVNULL)
    served = Served(port, process)
    try:
        end = time.monotonic() + WAIT_SECONDS
        while 200 not in statuses and time.monotonic() < end:
            with suppress(ConnectionRefusedError):
                statuses.add(served.ask(get("/readyz")).status)
        assert statuses == {200}
    finally:
        process.kill()
        process.wait()


def test_idle_connections_do_not_delay_a_stop() -> None:
    with serving(stop_seconds=60) as served, served.connections(5) as idle:
        for connection in idle[:3]:
            connection.sendall(get("/healthz"))
            assert answer(connection).status == 200
        idle[3].sendall(b"GET /heal")
        assert served.stop() == 0
        assert all(is_closed(connection) for connection in idle)


def test_while_draining_readiness_is_503_and_requests_are_answered() -> None:
    with serving(drain_seconds=4) as served, served.connections(4) as connections:
        for connection in connections:
            connection.sendall(get("/readyz"))
            assert answer(connection).status == 200
        served.process.terminate()
        wait_until(lambda: served.ask(get("/readyz")).status == 503)  # new connections are accepted
        for connection, path, status in zip(
            connections, ["/readyz", "/readyz", "/healthz", "/v1/units"], [503, 503, 200, 200], strict=True
        ):
            connection.sendall(get(path))
            response = answer(connection)
            assert (response.status, response.headers["connection"]) == (status, "close")
            if status == 503:
                assert response.problem["type"] == "/problems/stopping"
                assert response.headers["retry-after"]
        assert exit_status(served) == 0
        with pytest.raises(ConnectionRefusedError):
            served.connect()


def test_a_second_signal_ends_the_draining() -> None:
    with serving(drain_seconds=300) as served:
        served.process.terminate()
        wait_until(lambda: served.ask(get("/readyz")).status == 503)
        assert served.stop() == 0


def test_an_interrupt_is_not_delayed() -> None:
    with serving(drain_seconds=300) as served:
        served.process.send_signal(signal.SIGINT)
        assert exit_status(served) == 0


def test_requests_in_work_are_finished() -> None:
    with serving(drain_seconds=0.5) as served, served.connections(3) as connections:
        for connection in connections:
            connection.sendall(REQUEST[:-5])
        time.sleep(0.2)
        served.process.terminate()
        wait_until(lambda: is_refused(served))
        for connection in connections:
            connection.sendall(REQUEST[-5:])
            response = answer(connection)
            assert (response.status, response.headers["connection"]) == (200, "close")
            assert is_closed(connection)
        assert exit_status(served) == 0


def test_requests_sent_before_the_signal_are_answered() -> None:
    """On idle connections, and on connections that the server has not accepted yet."""
    with serving(drain_seconds=1) as served, served.connections(20) as connections:
        with served.held():
            new = [served.connect() for _ in range(20)]
            for connection in [*connections, *new]:
                connection.sendall(REQUEST)
            served.process.terminate()
        for connection in [*connections, *new]:
            assert answer(connection).status == 200
            connection.close()
        assert exit_status(served) == 0


def is_refused(served: Served) -> bool:
    try:
        served.connect().close()
    except ConnectionRefusedError:
        return True
    return False


def test_a_body_that_does_not_arrive_before_the_stop_is_refused(tmp_path: Path) -> None:
    with serving(stop_seconds=1, log=tmp_path / "log") as served, served.connect() as slow:
        slow.sendall(REQUEST[:-5])
        time.sleep(0.2)
        begun = time.monotonic()
        assert served.stop() == 0
        assert time.monotonic() - begun >= 1
        refused = answer(slow)
        assert (refused.status, refused.problem["type"]) == (503, "/problems/stopping")
        assert is_closed(slow)
    assert not [line for line in lines_of(tmp_path / "log") if "exception" in line]


def test_a_hangup_signal_does_not_end_a_service_without_keys() -> None:
    with serving() as served:
        served.process.send_signal(signal.SIGHUP)
        time.sleep(0.3)
        assert served.ask(get("/healthz")).status == 200


def test_a_port_in_use_is_reported() -> None:
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        listening.listen()
        command = [sys.executable, "-m", "api", "--port", str(listening.getsockname()[1])]
        ran = subprocess.run(command, capture_output=True, timeout=WAIT_SECONDS, check=False)
    assert ran.returncode == 3
    assert b"address already in use" in ran.stderr.lower()
