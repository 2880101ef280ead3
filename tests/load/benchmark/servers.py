"""Servers that stand side by side while they are measured."""

import os
import signal
import socket
import subprocess
import time
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from http.client import HTTPConnection
from pathlib import Path

UVICORN = ("-m", "uvicorn", "--loop", "asyncio", "--http", "httptools", "--no-access-log", "--log-level", "warning")
FLOORS = "tests.load.benchmark.floors"
STARTS_WITHIN = 60.0


def free_port() -> int:
    """A port that nobody listens on."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def ours(port: int, *options: str) -> tuple[str, ...]:
    """The service as the README starts it."""
    return ("-m", "api", "--port", str(port), *options)


def floor(port: int, name: str, *, factory: bool) -> tuple[str, ...]:
    """An application of `floors`, under the same server."""
    return (*UVICORN, "--port", str(port), f"{FLOORS}:{name}", *(("--factory",) if factory else ()))


@contextmanager
def running(python: str, arguments: Sequence[str], port: int, core: int | None = None) -> Iterator[int]:
    """A server until the block ends: its process id. Lines of log go nowhere, and cost as if they went somewhere."""
    pinned = [] if core is None else ["taskset", "-c", str(core)]
    root = Path(__file__).parents[3]
    with Path(os.devnull).open("wb") as nowhere:
        environment = {**os.environ, "TINWRIGHT_DRAIN_SECONDS": "0"}
        process = subprocess.Popen(
            [*pinned, python, *arguments], cwd=root, env=environment, stdout=nowhere, stderr=nowhere
        )
    try:
        wait_for(port, process)
        yield process.pid
    finally:
        process.send_signal(signal.SIGTERM)
        try:
            process.wait(30)
        except subprocess.TimeoutExpired:
            process.kill()
            process.wait()


def wait_for(port: int, process: "subprocess.Popen[bytes]", path: str = "/healthz") -> None:
    """Until something answers.

    Raises:
        RuntimeError: it ended, or took too long.
    """
    until = time.monotonic() + STARTS_WITHIN
    while time.monotonic() < until:
        if process.poll() is not None:
            break
        connection = HTTPConnection("127.0.0.1", port, timeout=5)
        try:
            connection.request("GET", path)
            connection.getresponse().read()
        except OSError:
            time.sleep(0.005)
        else:
            return
        finally:
            connection.close()
    raise RuntimeError(f"no answer on port {port}")


def resident_mib(pid: int) -> float:
    """Resident memory of a process."""
    status = Path(f"/proc/{pid}/status").read_text()
    return int(next(line for line in status.splitlines() if line.startswith("VmRSS")).split()[1]) / 1024
