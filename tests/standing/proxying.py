"""nginx with the shipped configuration as a process of its own, and raw connections to it."""

import os
import resource
import shutil
import signal
import socket
import subprocess
import tempfile
import threading
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from typing import Any

import orjson
import pytest

from api.serving.nginx.configuration import ProxyOptions, proxy_configuration
from api.settings import Settings
from tests.clients.server import free_port
from tests.standing.running import start, stop, wait_until_ready

needs_nginx = pytest.mark.skipif("TINWRIGHT_NO_NGINX" in os.environ, reason="TINWRIGHT_NO_NGINX is set")
NOBODY = 65534  # Debian's user and group without rights
HOST = "service"  # what the requests here send; those of `tests.standing.mix` may name another
CONNECTIONS = 8_192


class Proxy:
    """A running nginx and the folder that holds everything it writes."""

    def __init__(self, port: int, folder: Path, process: "subprocess.Popen[bytes]") -> None:
        self.port, self.folder, self.process = port, folder, process

    def log(self) -> list[dict[str, str]]:
        """The access log, one entry per request, without a line that is still being written."""
        lines = (self.folder / "tinwright-access.log").read_bytes().splitlines(keepends=True)
        return [orjson.loads(line) for line in lines if line.endswith(b"\n")]

    def written(self) -> Iterator[tuple[Path, bytes]]:
        """Every file that nginx wrote, with its content."""
        for path in self.folder.rglob("*"):
            if path.is_file() and path.name != "nginx.conf":
                yield path, path.read_bytes()

    def connect(self, source: str = "127.0.0.1") -> socket.socket:
        """A new connection from one of this machine's loopback addresses."""
        return socket.create_connection(("127.0.0.1", self.port), timeout=20, source_address=(source, 0))

    def ask(self, request: bytes, source: str = "127.0.0.1") -> tuple[int, dict[str, str], bytes]:
        """The first answer to some bytes on a new connection: status, header fields and the rest up to its end."""
        with self.connect(source) as connection:
            connection.sendall(request)
            return read_answer(connection)


def read_answer(connection: socket.socket) -> tuple[int, dict[str, str], bytes]:
    """The next answer on a connection.

    Raises:
        ConnectionError: the connection ended before the answer was complete.
    """
    received = b""
    while b"\r\n\r\n" not in received:
        received += _more(connection)
    head, _, body = received.partition(b"\r\n\r\n")
    status, *lines = head.decode("latin-1").split("\r\n")
    headers = {name.casefold(): value.strip() for name, _, value in (line.partition(":") for line in lines)}
    while len(body) < int(headers.get("content-length", "0")):
        body += _more(connection)
    return int(status.split()[1]), headers, body


def _more(connection: socket.socket) -> bytes:
    if not (received := connection.recv(65_536)):
        raise ConnectionError("closed before the answer was complete")
    return received


def get(path: str, *headers: str, host: str = HOST) -> bytes:
    """A GET as bytes."""
    return "\r\n".join([f"GET {path} HTTP/1.1", f"Host: {host}", *headers, "\r\n"]).encode()


def problem_of(answer: tuple[int, dict[str, str], bytes]) -> dict[str, Any]:
    """The problem document of a refusal by the proxy, checked for what all of them have."""
    status, headers, body = answer
    assert headers["content-type"] == "application/problem+json", body[:300]
    assert headers["x-request-id"]
    assert headers["cache-control"] == "no-store"
    document: dict[str, Any] = orjson.loads(body)
    assert document["status"] == status
    assert set(document) == {"type", "title", "status", "detail", "errors"}
    return document


def raise_open_files(count: int) -> None:
    """Raise the soft limit of open files for this process and those it starts."""
    _, hard = resource.getrlimit(resource.RLIMIT_NOFILE)
    if hard != resource.RLIM_INFINITY and hard < count:
        pytest.skip(f"this machine allows {hard} open files and the test needs {count}")
    resource.setrlimit(resource.RLIMIT_NOFILE, (count, hard))


@contextmanager
def proxy(
    upstream_ports: list[int], *, port: int | None = None, settings: Settings | None = None, **options: Any
) -> Iterator[Proxy]:
    """Debian's nginx without rights, with the configuration that `proxy-config` prints."""
    program = shutil.which("nginx", path=f"{os.environ.get('PATH', '')}:/usr/sbin")
    assert program, "install Debian's nginx-light, or set TINWRIGHT_NO_NGINX=1"
    port, is_root = port or free_port(), os.geteuid() == 0
    with tempfile.TemporaryDirectory(prefix="tinwright-nginx-") as name:
        folder = Path(name)
        (folder / "nginx.conf").write_text(
            proxy_configuration(
                ProxyOptions(
                    server_names=(HOST, "localhost", "127.0.0.1"),
                    listen=(f"127.0.0.1:{port}",),
                    upstreams=tuple(f"127.0.0.1:{upstream}" for upstream in upstream_ports),
                    cache_folder=f"{name}/cache",
                    temp_folder=name,
                    log_folder=name,
                    pid_file=f"{name}/nginx.pid",
                    user="",
                    **{"connections": CONNECTIONS} | options,
                ),
                settings or Settings(),
            ),
            "utf-8",
        )
        nobody = NOBODY if is_root else None
        if is_root:
            os.chown(folder, NOBODY, NOBODY)
        command = [program, "-p", name, "-c", "nginx.conf", "-e", f"{name}/tinwright-error.log", "-g", "daemon off;"]
        process = subprocess.Popen(command, user=nobody, group=nobody, extra_groups=[] if is_root else None)
        try:
            if options.get("certificate"):
                _wait_until_listening(port)
            else:
                wait_until_ready(port, process, options.get("prefix", ""))
            yield Proxy(port, folder, process)
        finally:
            stop(process)


def _wait_until_listening(port: int) -> None:
    end = time.monotonic() + 20
    while time.monotonic() < end:
        with suppress(ConnectionRefusedError):
            socket.create_connection(("127.0.0.1", port)).close()
            return
        time.sleep(0.05)
    raise TimeoutError(f"nothing listens on port {port}")


@contextmanager
def dying_upstreams(count: int) -> Iterator[tuple[list[int], list[bytes]]]:
    """Upstreams that read a request and close the connection: their ports, and the requests that they received."""
    received: list[bytes] = []
    listeners = [socket.create_server(("127.0.0.1", 0)) for _ in range(count)]

    def serve(listener: socket.socket) -> None:
        while True:
            try:
                connection, _ = listener.accept()
            except OSError:
                return
            with connection:
                request = b""
                while b"\r\n\r\n" not in request or (request.startswith(b"POST") and not request.endswith(b"END")):
                    request += connection.recv(65_536)
                if request.startswith(b"GET /readyz"):
                    connection.sendall(b"HTTP/1.1 200 OK\r\nContent-Length: 0\r\nConnection: close\r\n\r\n")
                else:
                    received.append(request)

    threads = [threading.Thread(target=serve, args=(listener,)) for listener in listeners]
    for thread in threads:
        thread.start()
    try:
        yield [listener.getsockname()[1] for listener in listeners], received
    finally:
        for listener in listeners:
            listener.shutdown(socket.SHUT_RDWR)
            listener.close()
        for thread in threads:
            thread.join()


class Fleet(ExitStack):
    """Several processes of the service and the proxy in front of them."""

    def __init__(self, count: int, *arguments: str, environment: dict[str, str] | None = None, **options: Any) -> None:
        super().__init__()
        self.ports = [free_port() for _ in range(count)]
        # Behind a proxy the service sees other hosts than its own, so openness is asked for by name.
        self.arguments, self.environment = arguments, environment or {"TINWRIGHT_ACCESS": "open"}
        self.options = options
        self.replicas: list[subprocess.Popen[bytes]] = []

    def __enter__(self) -> "Fleet":
        super().__enter__()
        self.callback(self.stop_all)
        self.replicas += [self.start(port) for port in self.ports]
        self.proxy = self.enter_context(proxy(self.ports, **self.options))
        return self

    def start(self, port: int) -> "subprocess.Popen[bytes]":
        return start(port, *self.arguments, environment=self.environment)

    def stop_all(self) -> None:
        for replica in self.replicas:
            replica.terminate()
        for replica in self.replicas:
            stop(replica)

    def kill(self, which: int) -> None:
        self.replicas[which].send_signal(signal.SIGKILL)
        self.replicas[which].wait(timeout=30)

    def restart(self, which: int) -> None:
        self.replicas[which] = self.start(self.ports[which])
