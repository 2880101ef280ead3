"""Start services as processes on loopback, and stop them at the end."""

import os
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import httpx

from tests.clients.server import free_port

ROOT = Path(__file__).parents[2]
_PATIENCE_S = 120  # a start takes a second, and longer on a busy machine


def start(
    port: int, *arguments: str, environment: dict[str, str] | None = None, log: Path = Path(os.devnull)
) -> "subprocess.Popen[bytes]":
    """Start `python -m api` on this port and wait until it is ready; stderr goes to *log*."""
    command = [sys.executable, "-m", "api", "--port", str(port), *arguments]
    # Tests that are about draining set a delay of their own.
    merged = {**os.environ, "TINWRIGHT_DRAIN_SECONDS": "0", **(environment or {})}
    with log.open("ab") as lines:  # a pipe would have to be read
        service = subprocess.Popen(command, cwd=ROOT, env=merged, stdout=subprocess.DEVNULL, stderr=lines)
    try:
        wait_until_ready(port, service)
    except BaseException:
        stop(service)
        raise
    return service


@contextmanager
def service(*arguments: str) -> Iterator[tuple[int, "subprocess.Popen[bytes]"]]:
    """Run a service until the block ends: its port and process."""
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


def stop(process: "subprocess.Popen[bytes]") -> None:
    """End a process if it still runs."""
    process.terminate()
    try:
        process.wait(timeout=15)
    except subprocess.TimeoutExpired:
        process.kill()
        process.wait(timeout=5)
