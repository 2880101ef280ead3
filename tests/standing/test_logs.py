"""Logs: a JSON line a request, with no more in it than it should have; a log that nobody reads holds nothing up."""

import asyncio
import json
import logging
import os
import re
import signal
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import httpx
import orjson
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from starlette.requests import ClientDisconnect
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.app import create_api, create_app
from api.serving.observing.logs import REQUESTS, JsonLine, LineHandler, RequestRecord, log_config
from api.serving.observing.metrics import process_metrics
from api.serving.observing.request_log import KEY_NAME, RequestLog, templates
from api.settings import Settings
from tests.clients.server import free_port
from tests.load.clock import compare_requests_ms
from tests.standing.asking import Lines, ask, logged_to
from tests.standing.running import ROOT, wait_until_ready
from tests.standing.test_metrics import KINDS, Kind

APP = create_app(Settings())
# RFC 3339, 5.6, in UTC.
TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}Z")
TRACE = "4bf92f3577b34da6a3ce929d0e0e4736"


@pytest.fixture
def lines(tmp_path: Path) -> Iterator[Lines]:
    with logged_to(tmp_path / "log") as read:
        yield lambda: [line for line in read() if line["logger"] == REQUESTS]


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_request_has_one_line(lines: Lines, kind: Kind) -> None:
    headers = kind.options.get("headers", {}) | {"traceparent": f"00-{TRACE}-00f067aa0ba902b7-01"}
    answer = ask(APP, kind.method, kind.url, **{**kind.options, "headers": headers})
    (line,) = lines()
    assert TIME.fullmatch(line.pop("time"))
    assert 0 < line.pop("duration_ms") < 30_000
    assert line == {
        "level": "DEBUG" if kind.route == "/healthz" else "INFO",
        "logger": REQUESTS,
        "message": f"{kind.label} {kind.route} {kind.status}",
        "request_id": answer.headers["x-request-id"],
        "trace_id": TRACE,
        "method": kind.label,
        "route": kind.route,
        "status": kind.status,
        "body_bytes": len(answer.content),
    }


@pytest.mark.parametrize(
    ("changed", "call"),
    [
        ("api.v1.eggs.routes.eggs_answer", ("POST", "/v1/eggs?secret=1")),
        ("api.v1.reference.routes.find_ingredient", ("GET", "/v1/ingredients/secret")),
    ],
)
def test_an_error_of_ours_is_one_line_with_its_traceback_and_id(
    lines: Lines, monkeypatch: pytest.MonkeyPatch, changed: str, call: tuple[str, str]
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError("x" * 5_000)

    monkeypatch.setattr(changed, broken)
    body = {"whole": 1, "class": "eu_m"} if call[0] == "POST" else None
    answer = ask(APP, *call, json=body, headers={"X-Request-ID": "till-7"})
    assert (answer.status_code, answer.headers["content-type"]) == (500, "application/problem+json")
    assert answer.headers["x-request-id"] == "till-7"
    assert answer.json()["type"] == "/problems/internal-error"
    (line,) = lines()
    assert (line["level"], line["status"], line["request_id"]) == ("ERROR", 500, "till-7")
    assert "ZeroDivisionError: xxx" in line["exception"]
    assert "in broken" in line["exception"]
    assert len(line["exception"]) <= 3_000
    assert max(map(len, line["exception"].splitlines())) <= 200
    assert "secret" not in json.dumps(line)
    assert "Traceback" not in answer.text


def test_the_keys_name_is_there_and_no_more_of_it(lines: Lines) -> None:
    async def app(scope: Scope, _receive: Receive, send: Send) -> None:
        scope["state"][KEY_NAME] = "office"
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b"ok"})

    ask(
        RequestLog(app, template_of=templates([]), metrics=None), "GET", "/", headers={"Authorization": "Bearer secret"}
    )
    (line,) = lines()
    assert line["key"] == "office"
    assert "secret" not in json.dumps(line)


async def bare(app: ASGIApp) -> list[Message]:
    sent: list[Message] = []

    async def receive() -> Message:
        return {"type": "http.disconnect"}

    async def send(message: Message) -> None:
        sent.append(message)

    await app({"type": "http", "method": "POST", "path": "/v1/eggs", "headers": []}, receive, send)
    return sent


def seen(app: ASGIApp) -> RequestLog:
    return RequestLog(app, template_of=lambda path: path, metrics=None)


async def leaving(_scope: Scope, _receive: Receive, _send: Send) -> None:
    raise ClientDisconnect


async def failing(_scope: Scope, _receive: Receive, _send: Send) -> None:
    raise RuntimeError("before anything was sent")


async def failing_midway(_scope: Scope, _receive: Receive, send: Send) -> None:
    await send({"type": "http.response.start", "status": 200, "headers": []})
    await send({"type": "http.response.body", "body": b"half", "more_body": True})
    raise RuntimeError("midway")


async def stopped(_scope: Scope, _receive: Receive, _send: Send) -> None:
    raise asyncio.CancelledError


async def refusing(_scope: Scope, _receive: Receive, send: Send) -> None:
    await send({"type": "http.response.start", "status": 503, "headers": []})
    await send({"type": "http.response.body", "body": b""})


def test_a_caller_that_leaves_is_no_error_of_ours(lines: Lines) -> None:
    assert asyncio.run(bare(seen(leaving))) == []
    assert [(line["level"], line["status"]) for line in lines()] == [("INFO", 499)]


def test_an_error_before_the_framework_is_a_problem_document_too(lines: Lines) -> None:
    start, body = asyncio.run(bare(seen(failing)))
    assert start["status"] == 500
    assert (b"content-type", b"application/problem+json") in start["headers"]
    assert orjson.loads(body["body"])["status"] == 500
    assert lines()[0]["exception"].endswith("RuntimeError: before anything was sent")


def test_a_half_sent_answer_is_left_to_the_server_to_cut(lines: Lines) -> None:
    with pytest.raises(RuntimeError, match="midway"):
        asyncio.run(bare(seen(failing_midway)))
    assert [(line["level"], line["body_bytes"]) for line in lines()] == [("ERROR", 4)]


def test_a_stopping_server_stops_it(lines: Lines) -> None:
    with pytest.raises(asyncio.CancelledError):
        asyncio.run(bare(seen(stopped)))
    assert lines()[0]["status"] == 499


def test_a_refusal_for_overload_is_a_warning_in_the_log(lines: Lines) -> None:
    asyncio.run(bare(seen(refusing)))
    assert [(line["level"], line["status"]) for line in lines()] == [("WARNING", 503)]


@given(st.text(), st.dictionaries(st.sampled_from(["a", "b"]), st.text()))
@settings(max_examples=300, deadline=None)
def test_a_record_is_one_line_of_ascii_whatever_is_in_it(text: str, fields: dict[str, str]) -> None:
    plain = logging.LogRecord("x", logging.INFO, "", 0, "%s", (text,), None)
    plain.__dict__.update(fields)
    for record in (plain, RequestRecord(logging.INFO, text, fields, ValueError(text))):
        line = JsonLine().format(record)
        assert line.isascii()
        assert line.isprintable()
        read = json.loads(line)
        if text.encode("utf-8", "replace").decode() == text:
            assert read["message"] == text
            assert fields.items() <= read.items()


def test_fields_of_a_library_and_its_exceptions_are_kept() -> None:
    error = KeyError("cup")
    record = logging.LogRecord("lib", logging.WARNING, "", 0, "odd %d", (3,), (KeyError, error, None))
    record.color_message = "\x1b[1modd"
    record.worker = 7
    read = json.loads(JsonLine().format(record))
    assert TIME.fullmatch(read.pop("time"))
    assert read.pop("exception").endswith("KeyError: 'cup'")
    assert read == {"level": "WARNING", "logger": "lib", "message": "odd 3", "worker": 7}


def test_a_reader_that_is_gone_or_asleep_holds_nothing_up() -> None:
    reading, writing = os.pipe()
    handler = LineHandler(writing)
    record = logging.LogRecord("x", logging.INFO, "", 0, "y" * 1_000, None, None)
    before = LineHandler.dropped
    for _ in range(1_000):  # far beyond any pipe; a blocking write would hang here
        handler.emit(record)
    held = LineHandler.dropped - before
    assert 0 < held < 1_000
    assert os.read(reading, 1_000_000).count(b"\n") == 1_000 - held
    handler.emit(record)
    assert LineHandler.dropped - before == held  # it goes on as soon as there is room
    os.close(reading)
    handler.emit(record)
    assert LineHandler.dropped - before == held + 1
    os.close(writing)
    handler.emit(record)
    assert LineHandler.dropped - before == held + 2


def test_a_log_that_cannot_be_written_breaks_no_answer() -> None:
    reading, writing = os.pipe()
    command = [sys.executable, "-m", "api", "--port", str(port := free_port())]
    running = subprocess.Popen(command, cwd=ROOT, stderr=writing)
    try:
        wait_until_ready(port, running)
        os.close(writing)
        os.close(reading)
        with httpx.Client(base_url=f"http://127.0.0.1:{port}") as client:
            assert all(client.get("/v1/units").is_success for _ in range(20))
            dropped = re.search(r"^log_lines_dropped_total (\S+)", client.get("/metrics").text, re.MULTILINE)
    finally:
        running.terminate()
        running.wait(timeout=60)
    assert dropped is not None
    assert float(dropped[1]) == 20


def test_the_server_and_the_service_log_in_one_form() -> None:
    command = [sys.executable, "-m", "api", "--port", str(port := free_port())]
    running = subprocess.Popen(command, cwd=ROOT, stderr=subprocess.PIPE)
    try:
        wait_until_ready(port, running)
        odd = {"X-Request-ID": "till-7", "User-Agent": "secret"}
        httpx.get(f"http://127.0.0.1:{port}/v1/ingredients/salt?format=text&secret=1", headers=odd)
    finally:
        running.send_signal(signal.SIGTERM)
        _, text = running.communicate(timeout=60)
    read = [json.loads(line) for line in text.splitlines()]
    assert all({"time", "level", "logger", "message"} <= set(line) for line in read)
    assert any(line["logger"].startswith("uvicorn") for line in read)
    asked = [(line["message"], line["request_id"]) for line in read if line["logger"] == REQUESTS]
    assert asked == [("GET /v1/ingredients/{ingredient_id} 422", "till-7")]
    assert b"secret" not in text


def test_levels_are_those_of_the_settings() -> None:
    assert log_config(Settings(log_level="warning"))["root"]["level"] == "WARNING"
    assert log_config(Settings(log_requests=False))["loggers"][REQUESTS]["level"] == "ERROR"


def test_without_request_lines_only_errors_of_ours_have_one(lines: Lines) -> None:
    logger = logging.getLogger(REQUESTS)
    logger.setLevel(log_config(Settings(log_requests=False))["loggers"][REQUESTS]["level"])
    try:
        ask(APP, "GET", "/v1/units")
        ask(APP, "GET", "/nowhere")
        asyncio.run(bare(seen(failing)))
    finally:
        logger.setLevel(logging.NOTSET)
    assert [line["status"] for line in lines()] == [500]


PARKIN = json.loads((ROOT / "openapi-examples" / "rescale-parkin.json").read_text("utf-8"))


@pytest.mark.benchmark
def test_being_seen_costs_little(tmp_path: Path) -> None:
    """Id, line and metrics against none of them: measured 0.95; the margin is for noise."""
    api = create_api(Settings())
    body = orjson.dumps(PARKIN["request"])
    with logged_to(tmp_path / "log", logging.INFO):
        watched = RequestLog(api, template_of=api.state.template_of, metrics=process_metrics())
        without, with_all = compare_requests_ms([api, watched], PARKIN["path"], body, repeats=10)
    print(f"seen: {without / with_all:.3f} of the speed, {(with_all - without) * 1_000:.0f} microseconds a request")
    assert without / with_all > 0.6
