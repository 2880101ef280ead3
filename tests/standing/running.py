"""Services as processes of their own, on loopback, stopped at the end."""

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

import httpx
import psutil

from tests.clients.server import free_port

ROOT = Path(__file__).parents[2]
_PATIENCE_S = 120  # a start takes a second, and more where everything is tested at once


def start(
    port: int, *arguments: str, environment: dict[str, str] | None = None, log: Path = Path(os.devnull)
) -> "subprocess.Popen[bytes]":
    """`python -m api` on this port, once it answers; what it writes goes into *log*."""
    command = [sys.executable, "-m", "api", "--port", str(port), *arguments]
    everything = {**os.environ, **(environment or {})}
    with log.open("ab") as lines:  # and into no pipe, which nobody would empty
        service = subprocess.Popen(command, cwd=ROOT, env=everything, stdout=subprocess.DEVNULL, stderr=lines)
    try:
        wait_until_ready(port, service)
    except BaseException:
        stop(service)
        raise
    return service


@contextmanager
def service(*arguments: str) -> Iterator[tuple[int, "subprocess.Popen[bytes]"]]:
    """A running service: its port and process."""
    port = free_port()
    running = start(port, *arguments)
    try:
        yield port, running
    finally:
        stop(running)


def wait_until_ready(port: int, process: "subprocess.Popen[bytes]", prefix: str = "") -> None:
    """Return when `/readyz` answers 200.

    Raises:
        TimeoutError: it did not in time.
        ChildProcessError: the process ended before.
    """
    for _ in range(_PATIENCE_S * 20):
        if process.poll() is not None:
            raise ChildProcessError(f"ended with {process.returncode} before it answered")
        try:
            if httpx.get(f"http://127.0.0.1:{port}{prefix}/readyz").is_success:
                return
        except httpx.TransportError:
            pass
        time.sleep(0.05)
    raise TimeoutError(f"nothing answers on port {port}")


def wait_until_all_serve(port: int, parent: int, workers: int) -> None:
    """Return when each of several workers has taken a connection: the first that is ready answers for all before.

    Raises:
        TimeoutError: not all did in time.
    """
    end = time.monotonic() + _PATIENCE_S
    while workers > 1 and time.monotonic() < end:
        with ExitStack() as tries:
            for _ in range(4 * workers):
                tries.enter_context(socket.create_connection(("127.0.0.1", port)))
            time.sleep(0.2)
            if sum(bool(clients_of(worker, port)) for worker in workers_of(parent)) == workers:
                return
    if workers > 1:
        raise TimeoutError(f"not all {workers} workers answer on port {port}")


def stop(process: "subprocess.Popen[bytes]") -> None:
    """End a process and what it started, if they still run."""
    family = [psutil.Process(process.pid), *workers_of(process.pid)] if process.poll() is None else []
    process.terminate()
    try:
        process.wait(timeout=15)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait(timeout=5)
    for one in family:
        if one.is_running() and one.pid != process.pid:
            one.kill()


def workers_of(parent: int) -> list[psutil.Process]:
    """The processes that a service with several workers answers with."""
    workers = []
    for child in psutil.Process(parent).children():
        with suppress(psutil.Error):  # gone, and its parent has not noticed yet
            if "spawn_main" in " ".join(child.cmdline()):
                workers.append(child)
    return workers


def clients_of(worker: psutil.Process, port: int) -> set[int]:
    """The ports of the clients whose connections this process holds."""
    held = worker.net_connections("tcp4")
    return {one.raddr.port for one in held if one.laddr.port == port and one.raddr}
