"""The service as a process of its own, and raw bytes to and from it."""

import os
import signal
import socket
import subprocess
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from dataclasses import dataclass
from http.client import HTTPMessage, HTTPResponse
from io import BufferedReader
from pathlib import Path
from typing import Any

import orjson

from tests.clients.server import free_port
from tests.standing.running import start, stop

CONVERT = orjson.dumps({"items": [{"quantity": "1 kg", "to": "g"}]})
WAIT_SECONDS = 20.0  # far above anything expected here: the machine may be busy


@dataclass(frozen=True)
class Answer:
    """One answer as it came."""

    status: int
    headers: HTTPMessage
    body: bytes

    @property
    def problem(self) -> dict[str, Any]:
        """The problem document."""
        assert self.headers["content-type"] == "application/problem+json"
        document: dict[str, Any] = orjson.loads(self.body)
        assert document["status"] == self.status
        return document


@dataclass(frozen=True)
class Served:
    """A running service."""

    port: int
    process: "subprocess.Popen[bytes]"

    def connect(self) -> socket.socket:
        """A new connection; it has no small packets held back."""
        made = socket.create_connection(("127.0.0.1", self.port), timeout=WAIT_SECONDS)
        made.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        return made

    @contextmanager
    def connections(self, count: int) -> Iterator[list[socket.socket]]:
        """Several, closed at the end."""
        with ExitStack() as stack:
            yield [stack.enter_context(self.connect()) for _ in range(count)]

    def ask(self, *pieces: bytes, pause: float = 0) -> Answer:
        """The first answer to some bytes on a new connection."""
        with self.connect() as connection:
            for piece in pieces:
                connection.sendall(piece)
                time.sleep(pause)
            return answer(connection)

    def stop(self) -> int:
        """Stop in good order; the exit status."""
        self.process.terminate()
        return self.process.wait(timeout=WAIT_SECONDS)

    @contextmanager
    def held(self) -> Iterator[None]:
        """The process stands still, so that what is sent meanwhile arrives at once."""
        self.process.send_signal(signal.SIGSTOP)
        os.waitid(os.P_PID, self.process.pid, os.WSTOPPED | os.WNOWAIT)  # or it may still take the first of it in
        try:
            yield
            time.sleep(0.1)  # for the kernel to take it all in
        finally:
            self.process.send_signal(signal.SIGCONT)


@contextmanager
def serving(*arguments: str, log: Path = Path(os.devnull), **settings: object) -> Iterator[Served]:
    """A service with some settings, ready, that writes its lines into *log*; stopped in the end if it still runs."""
    given = {f"TINWRIGHT_{name.upper()}": str(value) for name, value in settings.items()}
    port = free_port()
    process = start(port, *arguments, environment=given, log=log)
    try:
        yield Served(port, process)
    finally:
        stop(process)


def lines_of(log: Path) -> list[dict[str, Any]]:
    """What was logged, without a line that is still being written."""
    return [orjson.loads(line) for line in log.read_bytes().splitlines(keepends=True) if line.endswith(b"\n")]


def wait_until(true: Any) -> None:
    """Until something is true, or fail."""
    end = time.monotonic() + WAIT_SECONDS
    while not true():
        assert time.monotonic() < end, "waited too long"
        time.sleep(0.05)


def get(path: str, *headers: str) -> bytes:
    """A request as bytes."""
    return "\r\n".join([f"GET {path} HTTP/1.1", "Host: tinwright", *headers, "\r\n"]).encode()


def post(path: str, body: bytes, *headers: str) -> bytes:
    """A request with a JSON body as bytes."""
    fields = ["Host: tinwright", "Content-Type: application/json", f"Content-Length: {len(body)}", *headers]
    return "\r\n".join([f"POST {path} HTTP/1.1", *fields, "\r\n"]).encode() + body


def answer(connection: socket.socket, method: str = "GET") -> Answer:
    """The next answer on a connection, of which nothing else is read; `ConnectionError` if there is none."""
    return answers(connection, 1, method)[0]


def answers(connection: socket.socket, count: int, method: str = "GET") -> list[Answer]:
    """Several answers on one connection, to requests that were sent in a row."""
    with connection.makefile("rb") as stream:
        return [_next(stream, method) for _ in range(count)]


def answers_to_the_last(connection: socket.socket) -> list[Answer]:
    """All answers, up to the one that says that the connection ends."""
    found: list[Answer] = []
    with connection.makefile("rb") as stream:
        while not found or found[-1].headers["connection"] != "close":
            found.append(_next(stream, "GET"))
    return found


def _next(stream: BufferedReader, method: str) -> Answer:
    response = HTTPResponse(_Same(stream), method=method)  # type: ignore[arg-type] # it asks no more of a socket
    response.begin()
    length = response.length  # to be read before the body, which counts it down
    return Answer(response.status, response.msg, response.read(length))


class _Same:
    """A socket whose reader is there already: another would take in more than its own answer."""

    def __init__(self, stream: BufferedReader) -> None:
        self.stream = stream

    def makefile(self, _mode: str) -> Any:
        return _Shared(self.stream)


class _Shared:
    """The reader, which an answer's end does not close."""

    def __init__(self, stream: BufferedReader) -> None:
        self.read, self.readline, self.readinto = stream.read, stream.readline, stream.readinto

    def close(self) -> None: ...
    def flush(self) -> None: ...


def is_closed(connection: socket.socket) -> bool:
    """Whether the other side has ended it, waiting for that."""
    with suppress(ConnectionResetError):
        while connection.recv(65_536):
            pass
    return True
