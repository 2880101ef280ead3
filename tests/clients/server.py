"""The service as a separate process on its own port."""

import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager

import httpx


def free_port() -> int:
    """A free port."""
    with socket.socket() as free:
        free.bind(("127.0.0.1", 0))
        port: int = free.getsockname()[1]
    return port


@contextmanager
def serving(port: int | None = None, **settings: str) -> Iterator[str]:
    """The address of a running service; it stops at the end of the block."""
    port = port or free_port()
    address = f"http://127.0.0.1:{port}"
    environment = {**os.environ, "TINWRIGHT_DRAIN_SECONDS": "0", **settings}
    server = subprocess.Popen([sys.executable, "-m", "api", "--port", str(port)], env=environment)
    try:
        for _ in range(200):
            try:
                httpx.get(f"{address}/healthz").raise_for_status()
                break
            except httpx.TransportError:
                time.sleep(0.1)
        yield address
    finally:
        server.terminate()
        server.wait(timeout=10)
