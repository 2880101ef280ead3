"""Who only waits, and who is slow: neither takes the service from others, nor is a slow reader cut while it reads."""

import signal
import socket
import time

from tests.standing.wire import get, serving


def test_connections_that_only_wait_make_room_for_who_asks() -> None:
    with serving(max_connections=20) as served, served.connections(120):
        time.sleep(0.2)
        assert [served.ask(get("/healthz")).status for _ in range(10)] == [200] * 10


def test_a_client_that_goes_on_reading_gets_it_all() -> None:
    # The system tells of room only when a third of what it holds has gone, a megabyte or so.
    with serving(write_seconds=3) as served:
        size = int(served.ask(get("/openapi.json")).headers["content-length"])
        with socket.socket() as slow:
            slow.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 16_384)
            slow.settimeout(10)
            slow.connect(("127.0.0.1", served.port))
            slow.sendall(get("/openapi.json") * 4)
            got = 0
            while got < 4 * size:
                time.sleep(0.01)
                piece = slow.recv(12_000)
                assert piece, f"cut after {got:,} bytes of {4 * size:,}"
                got += len(piece)


def test_a_hangup_signal_without_keys_changes_nothing() -> None:
    with serving() as served:
        served.process.send_signal(signal.SIGHUP)
        time.sleep(0.3)
        assert served.ask(get("/healthz")).status == 200
