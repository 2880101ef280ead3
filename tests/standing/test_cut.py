"""An answer that its caller did not take in is logged as 499, not as what it would have been."""

import socket
import struct
import time
from collections.abc import Callable, Iterator
from pathlib import Path

import orjson
import pytest

from api.serving.protocol import MOST_PIPELINED
from tests.standing.wire import CONVERT, Served, answers, lines_of, post, serving, wait_until

# Answers of some 400 kB: so many in a row are far beyond what the system takes over for who reads nothing.
LARGE = orjson.dumps({"items": [{"quantity": f"{i} us_cup", "to": "g", "ingredient": "butter"} for i in range(1, 999)]})


@pytest.fixture(scope="module")
def log(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("cut") / "log"


@pytest.fixture(scope="module")
def served(log: Path) -> Iterator[Served]:
    with serving(log=log, write_seconds=2) as running:
        yield running


def asking(served: Served, *requests: bytes) -> socket.socket:
    """A client with little room that has sent its requests, and has the beginning of the first answer."""
    made = socket.socket()
    made.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, 4_096)
    made.settimeout(60)
    made.connect(("127.0.0.1", served.port))
    made.sendall(b"".join(requests))
    assert made.recv(12, socket.MSG_PEEK) == b"HTTP/1.1 200"
    return made


def row(name: str) -> list[bytes]:
    """As many requests as a connection takes at once, the last of which is its last."""
    ends = [("Connection: close",) if i == MOST_PIPELINED - 1 else () for i in range(MOST_PIPELINED)]
    return [post("/v1/convert", LARGE, f"X-Request-ID: {name}-{i}", *end) for i, end in enumerate(ends)]


def reset(connection: socket.socket) -> None:
    """Leave at once (SO_LINGER with no time: RST)."""
    connection.setsockopt(socket.SOL_SOCKET, socket.SO_LINGER, struct.pack("ii", 1, 0))
    connection.close()


def statuses(log: Path, name: str) -> list[int]:
    """Those of a row so far, in the order of its requests."""
    found = {line["request_id"]: line["status"] for line in lines_of(log) if "request_id" in line}
    return [found[f"{name}-{i}"] for i in range(MOST_PIPELINED) if f"{name}-{i}" in found]


def check_cut(log: Path, name: str) -> None:
    """Some answers arrived, as far as can be known; from one on none did."""
    wait_until(lambda: 499 in statuses(log, name))
    time.sleep(0.5)  # for more that might be said
    found = statuses(log, name)
    cut = found.index(499)
    assert 0 < cut < MOST_PIPELINED - 1
    assert found == [200] * cut + [499] * (len(found) - cut)


@pytest.mark.parametrize("leave", [reset, socket.socket.close], ids=["reset", "closed"])
def test_who_leaves_is_a_499(served: Served, log: Path, leave: Callable[[socket.socket], None]) -> None:
    connection = asking(served, *row(leave.__name__))
    time.sleep(0.5)
    assert set(statuses(log, leave.__name__)) == {200}  # how the next one ends nobody knows yet
    leave(connection)
    check_cut(log, leave.__name__)


def test_who_is_cut_for_not_reading_is_a_499(served: Served, log: Path) -> None:
    with asking(served, *row("asleep")):
        check_cut(log, "asleep")


def test_who_reads_slowly_to_the_end_is_a_200(served: Served, log: Path) -> None:
    with asking(served, *row("slow")) as connection:
        time.sleep(0.5)
        whole = answers(connection, MOST_PIPELINED)
    assert {(one.status, len(orjson.loads(one.body)["items"])) for one in whole} == {(200, 998)}
    assert whole[-1].headers["connection"] == "close"
    wait_until(lambda: len(statuses(log, "slow")) == MOST_PIPELINED)
    assert set(statuses(log, "slow")) == {200}


def test_a_small_answer_is_not_waited_for(served: Served, log: Path) -> None:
    with asking(served, post("/v1/convert", CONVERT, "X-Request-ID: small-0")):
        wait_until(lambda: statuses(log, "small") == [200])


def test_a_stop_waits_for_nobody_longer_than_it_said(tmp_path: Path) -> None:
    log = tmp_path / "log"
    with serving(log=log, write_seconds=60, stop_seconds=1) as served, asking(served, *row("still")):
        time.sleep(0.5)
        assert served.stop() == 0
        check_cut(log, "still")
