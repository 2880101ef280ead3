"""Logs: one bounded JSON line per event, and no request waits for standard error to be read."""

import json
import logging
import logging.config
import os
import re
import signal
import subprocess
import sys
import threading
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

import httpx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from api.serving.observing import logs
from api.serving.observing.logs import (
    DROPPED,
    MAX_LINE_BYTES,
    MAX_LINES,
    MAX_LINES_AT_ONCE,
    REQUESTS,
    JsonLine,
    LineQueue,
    log_config,
    log_warnings,
)
from api.settings import Settings
from tests.clients.server import free_port
from tests.standing.running import ROOT, wait_until_ready

# RFC 3339, 5.6, in UTC.
TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z")


def record_of(text: str, **fields: object) -> logging.LogRecord:
    return logging.makeLogRecord({"name": "x", "levelname": "INFO", "msg": "%s", "args": (text,)} | fields)


@given(st.text(), st.dictionaries(st.sampled_from(["a", "b"]), st.text()))
@settings(max_examples=300, deadline=None)
def test_every_record_is_one_line_of_ascii(text: str, fields: dict[str, str]) -> None:
    error = ValueError(text)
    for record in (record_of(text, **fields), record_of(text, **fields, exc_info=(ValueError, error, None))):
        line = JsonLine().format(record)
        assert line.isascii()
        assert line.isprintable()
        document = json.loads(line)
        assert document["message"] == text
        assert fields.items() <= document.items()


def test_fields_of_a_library_and_its_exceptions_are_kept() -> None:
    error = KeyError("cup")
    record = logging.LogRecord("lib", logging.WARNING, "", 0, "odd %d", (3,), (KeyError, error, None))
    record.color_message = "\x1b[1modd"
    record.worker = 7
    document = json.loads(JsonLine().format(record))
    assert TIME.fullmatch(document.pop("time"))
    assert document.pop("exception").endswith("KeyError: 'cup'")
    assert document == {"level": "WARNING", "logger": "lib", "message": "odd 3", "worker": 7}


LONG = {
    "message": record_of("x" * 100_000),
    "message in another script": record_of("é" * 100_000),
    "message with characters outside of the basic plane": record_of("🍰" * 100_000),
    "field": record_of("x", more="\x7f" * 100_000),
    "value that is no text": record_of("x", more=[{"a": b"\xff"}] * 10_000),
    "number that JSON has not": record_of("x", more=float("nan")),
    "many fields": record_of("x", **{f"field{i}": "é" * 300 for i in range(1_000)}),
    "long name of a field": record_of("x", **{"é" * 20_000: 1}),
    "text that is not Unicode": record_of("x", more="\ud800"),
    "number above 64 bits": record_of("x", more=2**70),
    "exception": record_of("x", exc_info=(ValueError, ValueError("é" * 100_000), None)),
    "exception with many lines": record_of("x", exc_info=(ValueError, ValueError("é\n" * 100_000), None)),
}


@pytest.mark.parametrize("case", LONG)
def test_a_line_is_cut_to_a_bounded_length_and_stays_json(case: str) -> None:
    line = JsonLine().format(LONG[case])
    assert line.isascii()
    assert len(line) <= MAX_LINE_BYTES
    document = json.loads(line, parse_constant=lambda name: pytest.fail(f"{name} is not JSON"))
    assert {"time", "level", "logger", "message"} <= document.keys()
    if case.startswith("exception"):
        assert document["exception"].startswith("é") or "ValueError" in document["exception"]


@contextmanager
def full_pipe() -> Iterator[tuple[int, int]]:
    """A pipe that nobody reads, and that has room for one short line at most."""
    reading, writing = os.pipe()
    os.set_blocking(writing, False)
    try:
        while True:
            os.write(writing, b"." * 4_096)
    except BlockingIOError:
        os.set_blocking(writing, True)
    try:
        yield reading, writing
    finally:
        for descriptor in (reading, writing):
            with suppress(OSError):  # the test may have closed it
                os.close(descriptor)


def raised(text: str) -> ValueError:
    """An error with a traceback."""
    with pytest.raises(ValueError, match=text[:10]) as caught:
        raise ValueError(text)
    return caught.value


def test_a_full_pipe_delays_nothing_and_dropped_lines_are_counted_and_reported() -> None:
    with full_pipe() as (reading, writing):
        handler, before = LineQueue(writing), DROPPED.value
        error = raised("é" * 900)
        started = time.monotonic()
        for i in range(2 * MAX_LINES):
            handler.handle(record_of(f"{'é' * 3_000} {i}", exc_info=(ValueError, error, error.__traceback__)))
        assert time.monotonic() - started < 60  # a blocking write would hang here
        dropped = DROPPED.value - before
        assert MAX_LINES - MAX_LINES_AT_ONCE <= dropped <= MAX_LINES
        received = bytearray()
        reader = threading.Thread(target=lambda: read_all(reading, received), daemon=True)
        reader.start()
        while handler.queue.unfinished_tasks:
            time.sleep(0.01)
        handler.handle(record_of("the reader is back"))
        while b"the reader is back" not in received:
            time.sleep(0.01)
        os.close(writing)
        reader.join()
    lines = [json.loads(line) for line in bytes(received).lstrip(b".").splitlines()]
    reports = [line["dropped"] for line in lines if line["logger"] == logs.__name__]
    assert reports == [dropped]
    assert len(lines) == 2 * MAX_LINES - dropped + 2


def read_all(descriptor: int, received: bytearray) -> None:
    while chunk := os.read(descriptor, 65_536):
        received += chunk


def test_a_reader_that_has_gone_breaks_nothing() -> None:
    reading, writing = os.pipe()
    handler, before = LineQueue(writing), DROPPED.value
    os.close(reading)
    handler.handle(record_of("x"))
    handler.flush()
    os.close(writing)
    handler.handle(record_of("x"))
    handler.flush()
    handler.handle(logging.makeLogRecord({"msg": "%d", "args": ("no number",)}))  # cannot be formatted
    assert DROPPED.value - before == 3


def test_a_new_configuration_ends_the_writer_of_the_old_one() -> None:
    handler = LineQueue(os.open(os.devnull, os.O_WRONLY))
    threads = threading.active_count()
    handler.handle(record_of("x"))
    handler.flush()
    handler.close()
    for _ in range(100):
        if threading.active_count() < threads:
            break
        time.sleep(0.05)
    assert threading.active_count() < threads


@contextmanager
def service(**options: object) -> Iterator[tuple[int, "subprocess.Popen[bytes]"]]:
    """The service as a process with these options of `Popen`: its port and the process."""
    command = [sys.executable, "-m", "api", "--port", str(port := free_port())]
    process = subprocess.Popen(command, cwd=ROOT, **options)  # type: ignore[call-overload]
    try:
        wait_until_ready(port, process)
        yield port, process
    finally:
        process.terminate()
        process.wait(timeout=60)


def dropped_lines(client: httpx.Client) -> float:
    match = re.search(r"^log_lines_dropped_total (\S+)", client.get("/metrics").text, re.MULTILINE)
    assert match is not None
    return float(match[1])


def test_a_service_whose_log_is_not_read_answers_and_stops() -> None:
    with full_pipe() as (_, writing):
        command = [sys.executable, "-m", "api", "--port", str(port := free_port())]
        process = subprocess.Popen(command, cwd=ROOT, stderr=writing)
        try:
            wait_until_ready(port, process)
            with httpx.Client(base_url=f"http://127.0.0.1:{port}", timeout=30) as client:
                for _ in range(MAX_LINES + 200):
                    assert client.get("/v1/units").is_success
                assert dropped_lines(client) >= 100
        finally:
            process.terminate()
            status = process.wait(timeout=60)  # it does not wait for the blocked writer
    assert status == 0


def test_a_service_whose_log_has_no_reader_any_more_answers() -> None:
    reading, writing = os.pipe()
    with service(stderr=writing) as (port, _):
        os.close(writing)
        os.close(reading)
        with httpx.Client(base_url=f"http://127.0.0.1:{port}") as client:
            assert all(client.get("/v1/units").is_success for _ in range(20))
            time.sleep(0.5)  # for the writer
            assert dropped_lines(client) >= 20


def test_a_service_without_standard_error_answers() -> None:
    command = f"exec {sys.executable} -m api --port {(port := free_port())} 2>&-"
    process = subprocess.Popen(["/bin/sh", "-c", command], cwd=ROOT)
    try:
        wait_until_ready(port, process)
        with httpx.Client(base_url=f"http://127.0.0.1:{port}") as client:
            assert all(client.get("/v1/units").is_success for _ in range(200))
            assert dropped_lines(client) == 0
        # Descriptor 2 is none of the files and sockets of the service.
        assert Path(f"/proc/{process.pid}/fd/2").readlink() == Path(os.devnull)
    finally:
        process.terminate()
        assert process.wait(timeout=60) == 0


def test_the_server_and_the_service_log_in_one_format() -> None:
    with service(stderr=subprocess.PIPE) as (port, process):
        headers = {"X-Request-ID": "till-7", "User-Agent": "secret"}
        httpx.get(f"http://127.0.0.1:{port}/v1/ingredients/salt?format=text&secret=1", headers=headers)
        process.send_signal(signal.SIGTERM)
        _, text = process.communicate(timeout=60)
    lines = [json.loads(line) for line in text.splitlines()]
    assert all({"time", "level", "logger", "message"} <= line.keys() for line in lines)
    assert any(line["logger"].startswith("uvicorn") for line in lines)
    requests = [(line["message"], line["request_id"]) for line in lines if line["logger"] == REQUESTS]
    assert requests == [("GET /v1/ingredients/{ingredient_id} 422", "till-7")]
    assert b"secret" not in text


def test_log_levels_follow_the_settings() -> None:
    assert log_config(Settings(log_level="warning"))["root"]["level"] == "WARNING"
    assert log_config(Settings(log_requests=False))["loggers"][REQUESTS]["level"] == "ERROR"


def test_warnings_before_the_start_are_logged_in_the_same_format() -> None:
    program = (
        "from api.serving.observing.logs import log_warnings; from api.settings import Settings;"
        "log_warnings(Settings(), ['first', 'second %s'])"
    )
    ended = subprocess.run([sys.executable, "-c", program], cwd=ROOT, capture_output=True, check=True, timeout=60)
    lines = [json.loads(line) for line in ended.stderr.splitlines()]
    assert [(line["level"], line["message"]) for line in lines] == [("WARNING", "first"), ("WARNING", "second %s")]
    assert log_warnings.__module__ == lines[0]["logger"]
