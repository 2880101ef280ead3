"""The request log: every request is logged once, with the status that the service decided and no private data."""

import asyncio
import json
import logging
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import orjson
import pytest
from starlette.requests import ClientDisconnect
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.app import create_api, create_app
from api.serving.observing.logs import REQUESTS, log_config
from api.serving.observing.metrics import process_metrics
from api.serving.observing.request_log import RequestLog, templates
from api.settings import Settings
from api.wire.request_state import KEY_NAME
from tests.load.clock import compare_requests_ms
from tests.standing.asking import Lines, ask, logged_to
from tests.standing.keyed import CONVERT, STRANGER, TABLET, service_with_keys
from tests.standing.running import ROOT
from tests.standing.test_logs import TIME
from tests.standing.test_metrics import KINDS, Kind, scrape, value

APP = create_app(Settings())
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


CELLS = {
    "no key": (CONVERT, 401),
    "unknown key": (f"{CONVERT}&access_token={STRANGER}", 401),
    "two keys": (f"{CONVERT}&access_token={TABLET}&access_token={TABLET}", 400),
    "unknown unit": (f"/v1/convert?amount=1&unit=moon&to=ml&access_token={TABLET}", 422),
    "accepted": (f"{CONVERT}&access_token={TABLET}", 200),
}


@pytest.mark.parametrize("case", CELLS)
@pytest.mark.parametrize("method", ["GET", "HEAD"])
def test_a_refusal_in_a_cell_is_logged_and_counted_with_its_own_status(
    tmp_path: Path, lines: Lines, case: str, method: str
) -> None:
    service = service_with_keys(tmp_path)
    url, status = CELLS[case]
    labels = {"method": method, "route": "/v1/convert", "status": str(status)}
    before = value(scrape(), "http_requests_total", **labels)
    assert service(method, f"{url}&format=cell").status_code == 200
    assert [line["status"] for line in lines() if line["route"] == "/v1/convert"] == [status]
    assert value(scrape(), "http_requests_total", **labels) == before + 1


@pytest.mark.parametrize(
    ("broken", "call"),
    [
        ("api.v1.eggs.routes.eggs_answer", ("POST", "/v1/eggs?format=json")),
        ("api.v1.reference.routes.find_ingredient", ("GET", "/v1/ingredients/secret")),
    ],
)
def test_an_unexpected_error_is_one_line_with_its_traceback(
    lines: Lines, monkeypatch: pytest.MonkeyPatch, broken: str, call: tuple[str, str]
) -> None:
    def fail(*_: object, **__: object) -> None:
        raise ZeroDivisionError("x" * 5_000)

    monkeypatch.setattr(broken, fail)
    body = {"whole": "1", "egg_class": "eu_m"} if call[0] == "POST" else None
    answer = ask(APP, *call, json=body, headers={"X-Request-ID": "till-7"})
    assert (answer.status_code, answer.headers["content-type"]) == (500, "application/problem+json")
    assert answer.headers["x-request-id"] == "till-7"
    assert answer.json()["type"] == "/problems/internal_error"
    (line,) = lines()
    assert (line["level"], line["status"], line["request_id"]) == ("ERROR", 500, "till-7")
    assert "ZeroDivisionError: xxx" in line["exception"]
    assert "in fail" in line["exception"]
    assert len(line["exception"]) <= 3_000
    assert max(map(len, line["exception"].splitlines())) <= 200
    assert "secret" not in json.dumps(line)
    assert "Traceback" not in answer.text


def test_the_name_of_the_key_is_logged_and_nothing_else_of_it(lines: Lines) -> None:
    async def app(scope: Scope, _receive: Receive, send: Send) -> None:
        scope["state"][KEY_NAME] = "office"
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b"ok"})

    log = RequestLog(app, template_of=templates([]), metrics=None)
    ask(log, "GET", "/", headers={"Authorization": "Bearer secret"})
    (line,) = lines()
    assert line["key"] == "office"
    assert "secret" not in json.dumps(line)


def test_the_query_of_the_servers_own_scope_has_no_key() -> None:
    scope: dict[str, Any] = {
        "type": "http",
        "method": "HEAD",
        "path": "/v1/units",
        "query_string": b"a=1&access_token=secret",
        "headers": [],
    }
    queries: list[bytes] = []

    async def app(scope: Scope, _receive: Receive, _send: Send) -> None:
        queries.append(scope["query_string"])

    asyncio.run(logged(app)(scope, receive_nothing, send_nowhere))
    assert queries == [b"a=1"]
    assert scope["query_string"] == b"a=1"


async def receive_nothing() -> Message:
    return {"type": "http.disconnect"}


async def send_nowhere(_message: Message) -> None:
    """The test does not look at the answer."""


async def messages_of(app: ASGIApp) -> list[Message]:
    sent: list[Message] = []

    async def send(message: Message) -> None:
        sent.append(message)

    scope = {"type": "http", "method": "POST", "path": "/v1/eggs", "query_string": b"", "headers": []}
    await app(scope, receive_nothing, send)
    return sent


def logged(app: ASGIApp) -> RequestLog:
    return RequestLog(app, template_of=lambda path: path, metrics=None)


async def disconnected(_scope: Scope, _receive: Receive, _send: Send) -> None:
    raise ClientDisconnect


async def failing(_scope: Scope, _receive: Receive, _send: Send) -> None:
    raise RuntimeError("before the answer")


async def failing_midway(_scope: Scope, _receive: Receive, send: Send) -> None:
    await send({"type": "http.response.start", "status": 200, "headers": []})
    await send({"type": "http.response.body", "body": b"half", "more_body": True})
    raise RuntimeError("midway")


async def cancelled(_scope: Scope, _receive: Receive, _send: Send) -> None:
    raise asyncio.CancelledError


async def overloaded(_scope: Scope, _receive: Receive, send: Send) -> None:
    await send({"type": "http.response.start", "status": 503, "headers": []})
    await send({"type": "http.response.body", "body": b""})


def test_a_client_that_disconnects_is_no_error(lines: Lines) -> None:
    assert asyncio.run(messages_of(logged(disconnected))) == []
    assert [(line["level"], line["status"]) for line in lines()] == [("INFO", 499)]


def test_an_error_outside_of_the_framework_is_a_problem_document_too(lines: Lines) -> None:
    start, body = asyncio.run(messages_of(logged(failing)))
    assert start["status"] == 500
    assert (b"content-type", b"application/problem+json") in start["headers"]
    assert orjson.loads(body["body"])["status"] == 500
    assert lines()[0]["exception"].endswith("RuntimeError: before the answer")


def test_an_error_after_half_of_the_answer_goes_to_the_server(lines: Lines) -> None:
    with pytest.raises(RuntimeError, match="midway"):
        asyncio.run(messages_of(logged(failing_midway)))
    assert [(line["level"], line["body_bytes"]) for line in lines()] == [("ERROR", 4)]


def test_a_request_that_the_stopping_server_cancels_is_logged(lines: Lines) -> None:
    with pytest.raises(asyncio.CancelledError):
        asyncio.run(messages_of(logged(cancelled)))
    assert lines()[0]["status"] == 499


def test_overload_is_logged_as_a_warning(lines: Lines) -> None:
    asyncio.run(messages_of(logged(overloaded)))
    assert [(line["level"], line["status"]) for line in lines()] == [("WARNING", 503)]


def test_without_request_lines_only_errors_are_logged(lines: Lines) -> None:
    logger = logging.getLogger(REQUESTS)
    logger.setLevel(log_config(Settings(log_requests=False))["loggers"][REQUESTS]["level"])
    try:
        ask(APP, "GET", "/v1/units")
        ask(APP, "GET", "/nowhere")
        asyncio.run(messages_of(logged(failing)))
    finally:
        logger.setLevel(logging.NOTSET)
    assert [line["status"] for line in lines()] == [500]


PARKIN = json.loads((ROOT / "openapi-examples" / "rescale-parkin.json").read_text("utf-8"))


@pytest.mark.benchmark
def test_the_request_log_costs_little(tmp_path: Path) -> None:
    """Compare rescale with id, line and metrics against rescale without; the margin is for noise."""
    api = create_api(Settings())
    body = orjson.dumps(PARKIN["request"])
    with logged_to(tmp_path / "log", logging.INFO):
        with_log = RequestLog(api, template_of=api.state.template_of, metrics=process_metrics())
        without_ms, with_ms = compare_requests_ms([api, with_log], PARKIN["path"], body, repeats=10)
    print(f"speed with the log {without_ms / with_ms:.3f}, {(with_ms - without_ms) * 1_000:.0f} microseconds a request")
    assert without_ms / with_ms > 0.6
