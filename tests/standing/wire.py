"""A running service, and raw bytes to and from it."""

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
WAIT_SECONDS = 20.0  # far above what any step takes, since the machine may be busy


@dataclass(frozen=True)
class Answer:
    """One HTTP response."""

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
        """Open a connection that sends small packets at once."""
        made = socket.create_connection(("127.0.0.1", self.port), timeout=WAIT_SECONDS)
        made.setsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY, 1)
        return made

    @contextmanager
    def connections(self, count: int) -> Iterator[list[socket.socket]]:
        """Open several connections, closed at the end."""
        with ExitStack() as stack:
            yield [stack.enter_context(self.connect()) for _ in range(count)]

    def ask(self, *pieces: bytes, pause: float = 0) -> Answer:
        """Send bytes on a new connection and return the first response."""
        with self.connect() as connection:
            for piece in pieces:
                connection.sendall(piece)
                time.sleep(pause)
            return answer(connection)

    def stop(self) -> int:
        """Send SIGTERM and return the exit status."""
        self.process.terminate()
        return self.process.wait(timeout=WAIT_SECONDS)

    @contextmanager
    def held(self) -> Iterator[None]:
        """Suspend the process, so that everything sent meanwhile arrives at once."""
        self.process.send_signal(signal.SIGSTOP)
        os.waitid(os.P_PID, self.process.pid, os.WSTOPPED | os.WNOWAIT)  # it may still read until it has stopped
        try:
            yield
            time.sleep(0.1)  # until the kernel has received everything
        finally:
            self.process.send_signal(signal.SIGCONT)


@contextmanager
def serving(*arguments: str, log: Path = Path(os.devnull), **settings: object) -> Iterator[Served]:
    """Run a service with these settings until the block ends; its log lines go to *log*."""
    environment = {f"TINWRIGHT_{name.upper()}": str(value) for name, value in settings.items()}
    port = free_port()
    process = start(port, *arguments, environment=environment, log=log)
    try:
        yield Served(port, process)
    finally:
        stop(process)


def lines_of(log: Path) -> list[dict[str, Any]]:
    """The log lines so far, without a line that is still being written."""
    return [orjson.loads(line) for line in log.read_bytes().splitlines(keepends=True) if line.endswith(b"\n")]


def wait_until(condition: Any) -> None:
    """Wait until a condition is true; fail after a while."""
    end = time.monotonic() + WAIT_SECONDS
    while not condition():
        assert time.monotonic() < end, "waited too long"
        time.sleep(0.05)


def get(path: str, *headers: str) -> bytes:
    """A GET request as bytes."""
    return "\r\n".join([f"GET {path} HTTP/1.1", "Host: localhost", *headers, "\r\n"]).encode()


def post(path: str, body: bytes, *headers: str) -> bytes:
    """A POST request with a JSON body as bytes."""
    fields = ["Host: localhost", "Content-Type: application/json", f"Content-Length: {len(body)}", *headers]
    return "\r\n".join([f"POST {path} HTTP/1.1", *fields, "\r\n"]).encode() + body


def answer(connection: socket.socket, method: str = "GET") -> Answer:
    """Read the next response on a connection and nothing after it; `ConnectionError` if there is none."""
    return answers(connection, 1, method)[0]


def answers(connection: socket.socket, count: int, method: str = "GET") -> list[Answer]:
    """Read the responses to several requests that were sent on one connection."""
    with connection.makefile("rb") as stream:
        return [_next(stream, method) for _ in range(count)]


def _next(stream: BufferedReader, method: str) -> Answer:
    response = HTTPResponse(_SocketOf(stream), method=method)  # type: ignore[arg-type] # it only calls makefile
    response.begin()
    length = response.length  # before the body is read, which counts it down
    return Answer(response.status, response.msg, response.read(length))


class _SocketOf:
    """A socket with a shared reader: a reader per response would read ahead into the next response."""

    def __init__(self, stream: BufferedReader) -> None:
        self.stream = stream

    def makefile(self, _mode: str) -> Any:
        return _Shared(self.stream)


class _Shared:
    """The shared reader; the end of a response does not close it."""

    def __init__(self, stream: BufferedReader) -> None:
        self.read, self.readline, self.readinto = stream.read, stream.readline, stream.readinto

    def close(self) -> None: ...
    def flush(self) -> None: ...


def is_closed(connection: socket.socket) -> bool:
    """Wait until the server closes the connection; always true."""
    with suppress(ConnectionResetError):
        while connection.recv(65_536):
            pass
    return True
