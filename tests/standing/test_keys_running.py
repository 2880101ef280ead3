"""Keys on a running server: none is ever written anywhere, and new ones are taken up without a stop."""

import os
import signal
import socket
import subprocess
import sys
import time
from base64 import b64encode
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import httpx
import pytest

from api.serving.keys.keyring import Key, new_key
from tests.clients.server import free_port
from tests.standing.running import ROOT, wait_until_ready

CONVERT = "/v1/convert?amount=1&unit=us_cup&to=ml"
PATIENCE_S = 30
OURS, ANY_SERVER = ["api"], ["uvicorn", "api.app:create_app", "--factory", "--log-level", "debug"]


@contextmanager
def served(folder: Path, module: list[str], *arguments: str, keys: list[Key]) -> Iterator[tuple[int, int]]:
    """A server with these keys: its port and process id; what it writes goes to `log` in the folder."""
    write(folder, keys)
    port = free_port()
    environment = {**os.environ, "TINWRIGHT_KEYS_FILE": str(folder / "keys"), "TINWRIGHT_LOG_LEVEL": "debug"}
    with (folder / "log").open("wb") as log:
        command = [sys.executable, "-m", *module, "--port", str(port), *arguments]
        process = subprocess.Popen(command, cwd=ROOT, env=environment, stdout=log, stderr=log, start_new_session=True)
        try:
            wait_until_ready(port, process)
            yield port, process.pid
            assert process.poll() is None, "it ended by itself"
        finally:
            process.terminate()
            with suppress(subprocess.TimeoutExpired):
                process.wait(timeout=15)
            with suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)  # the session is its own: whatever is left of it
            process.wait()


def write(folder: Path, keys: list[Key]) -> None:
    """Replace the file at once, as a careful operator does."""
    (folder / "new").write_text("".join(f"{key.line}\n" for key in keys), "utf-8")
    (folder / "new").replace(folder / "keys")


def statuses(port: int, *secrets: str) -> list[int]:
    """What each key is answered, on connections of their own."""
    return [
        httpx.get(f"http://127.0.0.1:{port}{CONVERT}", headers={"Authorization": f"Bearer {secret}"}).status_code
        for secret in secrets
    ]


def until(seen: Callable[[], bool]) -> None:
    for _ in range(PATIENCE_S * 10):
        if seen():
            return
        time.sleep(0.1)
    pytest.fail("it did not come about in time")


def raw(port: int, request: bytes) -> bytes:
    with socket.create_connection(("127.0.0.1", port), timeout=5) as connection:
        connection.sendall(request)
        connection.shutdown(socket.SHUT_WR)
        return connection.recv(100)


@pytest.mark.parametrize("module", [OURS, ANY_SERVER], ids=["our command", "any server"])
def test_no_byte_of_a_key_is_written(tmp_path: Path, module: list[str]) -> None:
    (good, key), (wrong, _) = new_key("tablet"), new_key("tablet")
    with served(tmp_path, module, keys=[key]) as (port, _):
        base = f"http://127.0.0.1:{port}"
        seen = set()
        for secret in (good, wrong):
            as_header, as_basic = {"Authorization": f"Bearer {secret}"}, httpx.BasicAuth("tablet", secret)
            for url in (CONVERT, "/nowhere?a=b", "/cards/cuts?tin=moon", "/metrics", "/healthz?x=1"):
                seen.add(httpx.get(base + url, headers=as_header).status_code)
                seen.add(httpx.get(base + url, auth=as_basic).status_code)
                for parameter in ("access_token", "access%5ftoken"):
                    seen.add(httpx.get(f"{base}{url}{'&' if '?' in url else '?'}{parameter}={secret}").status_code)
            seen.add(httpx.post(f"{base}/v1/eggs?access_token={secret}", json={"whole": 1}).status_code)
            # Cut off, malformed, too long: what a server may complain of.
            raw(
                port,
                f"GET /v1/units?access_token={secret} HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer {secret}".encode(),
            )
            raw(port, f"GET /v1/units?access_token={secret} HTP\r\n\r\n".encode())
            raw(port, f"GET /?{'a' * 70_000}&access_token={secret} HTTP/1.1\r\nHost: x\r\n\r\n".encode())
            raw(
                port,
                f"GET / HTTP/1.1\r\nHost: x\r\nAuthorization: Bearer {secret}\r\nX: {'a' * 90_000}\r\n\r\n".encode(),
            )
        assert {200, 401, 403, 404, 422} <= seen
    log = (tmp_path / "log").read_bytes()
    # It was written of these requests, so the rest can fail.
    assert b'"key":"tablet"' in log if module is OURS else b"GET /v1/convert?amount=1&unit=us_cup&to=ml HTTP/1.1" in log
    for secret in (good, wrong):
        shown = secret.removeprefix("tw_").encode()
        for trace in (shown, shown[:12], shown[-12:], b64encode(f"tablet:{secret}".encode())[14:]):
            assert trace not in log


def test_keys_are_taken_up_without_a_stop_and_bad_ones_are_not(tmp_path: Path) -> None:
    (first, first_key), (second, second_key) = new_key("first"), new_key("second")
    with served(tmp_path, OURS, keys=[first_key]) as (port, pid):
        assert statuses(port, first, second) == [200, 401]
        write(tmp_path, [first_key, second_key])
        os.kill(pid, signal.SIGHUP)
        until(lambda: statuses(port, *[second] * 8) == [200] * 8)
        write(tmp_path, [second_key])
        os.kill(pid, signal.SIGHUP)
        until(lambda: statuses(port, *[first] * 8) == [401] * 8)
        (tmp_path / "keys").write_text("nonsense\n", "utf-8")
        os.kill(pid, signal.SIGHUP)
        until(lambda: b"keys:1: a line is NAME SCOPES SHA256" in (tmp_path / "log").read_bytes())
        time.sleep(1)  # what a supervisor would still do
        assert statuses(port, *[second] * 8, *[first] * 8) == [200] * 8 + [401] * 8
    assert b"nonsense" not in (tmp_path / "log").read_bytes()
