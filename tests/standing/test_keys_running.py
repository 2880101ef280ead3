"""Keys of a running service: no part of a key is ever logged, and SIGHUP reloads the file without a restart."""

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

from api.__main__ import main
from api.serving.keys.keyring import Key, new_key
from api.serving.keys.wrong_keys import REPEATED
from tests.clients.server import free_port
from tests.standing.running import ROOT, wait_until_ready

CONVERT = "/v1/convert?amount=1&unit=us_cup&to=ml"
WAIT_SECONDS = 30
OUR_COMMAND, STOCK_SERVER = ["api"], ["uvicorn", "api.app:create_app", "--factory", "--log-level", "debug"]


@contextmanager
def served(folder: Path, module: list[str], *arguments: str, keys: list[Key]) -> Iterator[tuple[int, int]]:
    """A server with these keys: its port and process id; it writes its output to `log` in the folder."""
    write(folder, keys)
    port = free_port()
    environment = {**os.environ, "TINWRIGHT_KEYS_FILE": str(folder / "keys"), "TINWRIGHT_LOG_LEVEL": "debug"}
    with (folder / "log").open("wb") as log:
        command = [sys.executable, "-m", *module, "--port", str(port), *arguments]
        process = subprocess.Popen(command, cwd=ROOT, env=environment, stdout=log, stderr=log, start_new_session=True)
        try:
            wait_until_ready(port, process)
            yield port, process.pid
            assert process.poll() is None, "the server ended by itself"
        finally:
            process.terminate()
            with suppress(subprocess.TimeoutExpired):
                process.wait(timeout=15)
            with suppress(ProcessLookupError):
                os.killpg(process.pid, signal.SIGKILL)  # the session belongs to this process alone
            process.wait()


def write(folder: Path, keys: list[Key]) -> None:
    """Replace the file atomically."""
    (folder / "new").write_text("".join(f"{key.line}\n" for key in keys), "utf-8")
    (folder / "new").chmod(0o600)
    (folder / "new").replace(folder / "keys")


def statuses(port: int, *secrets: str) -> list[int]:
    """The status for each key, each on a new connection."""
    return [
        httpx.get(f"http://127.0.0.1:{port}{CONVERT}", headers={"Authorization": f"Bearer {secret}"}).status_code
        for secret in secrets
    ]


def wait_until(condition: Callable[[], bool]) -> None:
    for _ in range(WAIT_SECONDS * 10):
        if condition():
            return
        time.sleep(0.1)
    pytest.fail("it did not happen in time")


def raw(port: int, request: bytes) -> bytes:
    with socket.create_connection(("127.0.0.1", port), timeout=5) as connection:
        connection.sendall(request)
        connection.shutdown(socket.SHUT_WR)
        return connection.recv(100)


@pytest.mark.parametrize("module", [OUR_COMMAND, STOCK_SERVER], ids=["our command", "stock server"])
def test_no_part_of_a_key_is_logged(tmp_path: Path, module: list[str]) -> None:
    (good, key), (wrong, _) = new_key("tablet"), new_key("tablet")
    with served(tmp_path, module, keys=[key]) as (port, _):
        base = f"http://127.0.0.1:{port}"
        received = set()
        for secret in (good, wrong):
            as_header, as_basic = {"Authorization": f"Bearer {secret}"}, httpx.BasicAuth("tablet", secret)
            for url in (CONVERT, "/nowhere?a=b", "/cards/cuts?tin=moon", "/metrics", "/healthz?x=1"):
                received.add(httpx.get(base + url, headers=as_header).status_code)
                received.add(httpx.get(base + url, auth=as_basic).status_code)
                for parameter in ("access_token", "access%5ftoken"):
                    with_token = f"{base}{url}{'&' if '?' in url else '?'}{parameter}={secret}"
                    received.add(httpx.get(with_token).status_code)
                    received.add(httpx.head(with_token).status_code)
                    received.add(httpx.options(with_token).status_code)
            received.add(httpx.post(f"{base}/v1/eggs?access_token={secret}", json={"whole": 1}).status_code)
            # Cut off, malformed, too long: requests that a server may log as errors.
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
        assert {200, 401, 404, 422} <= received
    log = (tmp_path / "log").read_bytes()
    # These requests were logged, so the rest of this test can fail.
    if module is OUR_COMMAND:
        assert b'"key":"tablet"' in log
    else:
        assert b"GET /v1/convert?amount=1&unit=us_cup&to=ml HTTP/1.1" in log
    for secret in (good, wrong):
        random_part = secret.removeprefix("tw_").encode()
        encoded = b64encode(f"tablet:{secret}".encode())[14:]
        for part in (random_part, random_part[:12], random_part[-12:], encoded):
            assert part not in log


@pytest.mark.parametrize("module", [OUR_COMMAND, STOCK_SERVER], ids=["our command", "stock server"])
def test_sighup_reloads_the_keys_and_a_bad_file_changes_nothing(tmp_path: Path, module: list[str]) -> None:
    (first, first_key), (second, second_key) = new_key("first"), new_key("second")
    with served(tmp_path, module, keys=[first_key]) as (port, pid):
        assert statuses(port, first, second) == [200, 401]
        write(tmp_path, [first_key, second_key])
        os.kill(pid, signal.SIGHUP)
        wait_until(lambda: statuses(port, second) == [200])
        assert main(["key", "remove", "first", "--file", str(tmp_path / "keys")]) == 0
        assert statuses(port, first) == [200]
        os.kill(pid, signal.SIGHUP)
        wait_until(lambda: statuses(port, first) == [401])
        (tmp_path / "keys").write_text("nonsense\n", "utf-8")
        os.kill(pid, signal.SIGHUP)
        wait_until(lambda: b"keys:1: a line is NAME SHA256" in (tmp_path / "log").read_bytes())
        assert statuses(port, second, first) == [200, 401]
        scraped = httpx.get(f"http://127.0.0.1:{port}/metrics", headers={"Authorization": f"Bearer {second}"}).text
        assert "tinwright_keys_reload_failures_total 1.0" in scraped
    log = (tmp_path / "log").read_bytes()
    assert b"nonsense" not in log
    if module is OUR_COMMAND:
        assert any(b"was not reloaded" in line and b'"level":"ERROR"' in line for line in log.splitlines())


def test_the_last_key_can_be_revoked(tmp_path: Path) -> None:
    secret, key = new_key("tablet")
    with served(tmp_path, OUR_COMMAND, keys=[key]) as (port, pid):
        assert statuses(port, secret) == [200]
        assert main(["key", "remove", "tablet", "--file", str(tmp_path / "keys")]) == 0
        os.kill(pid, signal.SIGHUP)
        wait_until(lambda: statuses(port, secret) == [401])
        assert httpx.get(f"http://127.0.0.1:{port}/healthz").status_code == 200
        assert main(["key", "new", "office", "--file", str(tmp_path / "keys"), "--output", str(tmp_path / "out")]) == 0
        os.kill(pid, signal.SIGHUP)
        wait_until(lambda: statuses(port, (tmp_path / "out").read_text("ascii").strip()) == [200])


def test_a_fifo_or_a_lock_in_place_of_the_file_delays_no_request(tmp_path: Path) -> None:
    secret, key = new_key("tablet")
    with served(tmp_path, OUR_COMMAND, keys=[key]) as (port, pid):
        (tmp_path / "keys").unlink()
        os.mkfifo(tmp_path / "keys")
        os.kill(pid, signal.SIGHUP)
        wait_until(lambda: b"is not a regular file" in (tmp_path / "log").read_bytes())
        assert statuses(port, secret) == [200]


def test_the_address_of_wrong_keys_is_that_of_the_client_behind_a_proxy(tmp_path: Path) -> None:
    (_, key), (wrong, _) = new_key("tablet"), new_key("tablet")
    with served(tmp_path, OUR_COMMAND, keys=[key]) as (port, _):
        # Uvicorn trusts this header from a proxy on the same machine.
        headers = {"Authorization": f"Bearer {wrong}", "X-Forwarded-For": "203.0.113.7"}
        for _ in range(REPEATED):
            assert httpx.get(f"http://127.0.0.1:{port}{CONVERT}", headers=headers).status_code == 401
        wait_until(lambda: b'"client":"203.0.113.7"' in (tmp_path / "log").read_bytes())
