"""Metrics: every kind of request is counted under bounded labels; one scrape shows one process."""

import json
import os
import socket
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import Any, NamedTuple

import httpx
import psutil
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from prometheus_client import CollectorRegistry, Counter
from prometheus_client.openmetrics.parser import text_string_to_metric_families as read_openmetrics
from prometheus_client.parser import text_string_to_metric_families as read_prometheus

from api.app import create_api, create_app
from api.serving.observing.logs import DROPPED
from api.serving.observing.metrics import BUCKETS, Metrics
from api.serving.observing.scraping import exposed
from api.settings import Settings
from tests.clients.server import free_port
from tests.standing.asking import ask
from tests.standing.running import ROOT, wait_until_ready

OPENMETRICS = "application/openmetrics-text; version=1.0.0; charset=utf-8"
# What a Prometheus server of version 3 sends (from memory).
SCRAPER = (
    "application/openmetrics-text;version=1.0.0;escaping=allow-utf-8;q=0.6,application/openmetrics-text;version=0.0.1;"
    "q=0.5,text/plain;version=1.0.0;escaping=allow-utf-8;q=0.4,text/plain;version=0.0.4;q=0.3,*/*;q=0.2"
)
Series = dict[tuple[str, tuple[tuple[str, str], ...]], float]


def series_of(text: str) -> Series:
    """Every sample by name and labels, as the parser of the library reads it."""
    return {
        (sample.name, tuple(sorted(sample.labels.items()))): sample.value
        for family in read_prometheus(text)
        for sample in family.samples
    }


def value(series: Series, name: str, **labels: str) -> float:
    return series.get((name, tuple(sorted(labels.items()))), 0.0)


APP = create_app(Settings())


def scrape() -> Series:
    return series_of(ask(APP, "GET", "/metrics").text)


JSON = {"Content-Type": "application/json"}


class Kind(NamedTuple):
    """A request, its status, and its labels."""

    method: str
    url: str
    options: dict[str, Any]
    status: int
    label: str
    route: str


KINDS = [
    Kind("GET", "/v1/units", {}, 200, "GET", "/v1/units"),
    Kind("GET", "/v1/ingredients/plain-flour", {}, 200, "GET", "/v1/ingredients/{ingredient_id}"),
    Kind("GET", "/v1/ingredients/moondust", {}, 404, "GET", "/v1/ingredients/{ingredient_id}"),
    Kind("POST", "/v1/eggs", {"json": {"whole": "1", "egg_class": "eu_m"}}, 200, "POST", "/v1/eggs"),
    Kind("POST", "/v1/eggs", {"content": b"{", "headers": JSON}, 400, "POST", "/v1/eggs"),
    Kind("POST", "/v1/eggs", {"json": {}}, 422, "POST", "/v1/eggs"),
    Kind("POST", "/v1/eggs", {"content": b"{}"}, 415, "POST", "/v1/eggs"),
    Kind("POST", "/v1/eggs", {"content": b"x" * 1_000_001, "headers": JSON}, 413, "POST", "/v1/eggs"),
    Kind("HEAD", "/v1/units", {}, 200, "HEAD", "/v1/units"),
    Kind("OPTIONS", "/v1/eggs", {}, 204, "OPTIONS", "/v1/eggs"),
    Kind("DELETE", "/v1/eggs", {}, 405, "DELETE", "/v1/eggs"),
    Kind("BREW", "/v1/eggs", {}, 405, "other", "/v1/eggs"),
    Kind("GET", "/nowhere/moondust?secret=1", {}, 404, "GET", "none"),
    Kind("GET", "/healthz", {}, 200, "GET", "/healthz"),
]


@pytest.mark.parametrize("kind", KINDS)
def test_every_kind_of_request_is_counted(kind: Kind) -> None:
    before = scrape()
    answer = ask(APP, kind.method, kind.url, **kind.options)
    assert answer.status_code == kind.status
    after = scrape()
    place = {"method": kind.label, "route": kind.route}

    def increase(name: str, **labels: str) -> float:
        return value(after, name, **labels) - value(before, name, **labels)

    assert increase("http_requests_total", **place, status=str(kind.status)) == 1
    assert increase("http_response_body_bytes_total", **place) == len(answer.content)
    assert increase("http_request_duration_seconds_count", **place) == 1
    assert increase("http_request_duration_seconds_bucket", **place, le="+Inf") == 1
    assert 0 < increase("http_request_duration_seconds_sum", **place) < 30
    assert value(after, "http_requests_in_progress") == 1  # the scrape itself


@pytest.mark.parametrize(
    ("changed", "call", "route"),
    [
        # A route with a fixed path, and one that the framework dispatches.
        ("api.v1.eggs.routes.eggs_answer", ("POST", "/v1/eggs"), "/v1/eggs"),
        ("api.v1.reference.routes.find_ingredient", ("GET", "/v1/ingredients/salt"), "/v1/ingredients/{ingredient_id}"),
    ],
)
def test_an_unexpected_error_is_counted(
    monkeypatch: pytest.MonkeyPatch, changed: str, call: tuple[str, str], route: str
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError

    before = scrape()
    monkeypatch.setattr(changed, broken)
    body = {"whole": "1", "egg_class": "eu_m"} if call[0] == "POST" else None
    assert ask(APP, *call, json=body).status_code == 500
    labels = {"method": call[0], "route": route, "status": "500"}
    assert value(scrape(), "http_requests_total", **labels) == value(before, "http_requests_total", **labels) + 1


def test_no_request_can_add_a_series() -> None:
    before = set(scrape())
    for path in ("/x", "/y?z=1", "/v1/units/moondust", "/%0a%22", "/v1/ingredients/x%22%7D%0a"):
        for method in ("GET", "AARDVARK", "ZEBRA"):
            ask(APP, method, path)
    made = {labels for name, labels in set(scrape()) - before if name == "http_requests_total"}
    shown = {(dict(labels)["method"], dict(labels)["route"]) for labels in made}
    assert shown <= {(m, r) for m in ("GET", "other") for r in ("none", "/v1/ingredients/{ingredient_id}")}


def test_buckets_separate_fast_answers_from_slow_ones() -> None:
    metrics = Metrics()
    for seconds in (0.0001, 0.0003, 0.04, 2.0):
        metrics.observe("GET", "/v1/units", 200, seconds, 10)
    series = series_of(exposed(metrics.registry, "")[0].decode())
    place = {"method": "GET", "route": "/v1/units"}
    counts = [value(series, "http_request_duration_seconds_bucket", **place, le=str(edge)) for edge in BUCKETS]
    assert counts == sorted(counts)
    assert (counts[0], counts[1], counts[-1]) == (1, 2, 3)
    assert value(series, "http_request_duration_seconds_count", **place) == 4
    assert value(series, "http_requests_total", **place, status="200") == 4
    assert value(series, "http_response_body_bytes_total", **place) == 40


def test_the_process_and_the_version_are_exposed() -> None:
    series = scrape()
    assert any(name == "tinwright_build_info" and dict(labels)["version"] for name, labels in series)
    resident = psutil.Process().memory_info().rss
    assert 0.5 * resident < value(series, "process_resident_memory_bytes") < 2 * resident


@pytest.mark.parametrize(
    ("accept", "media_type"),
    [
        ("", "text/plain; version=0.0.4; charset=utf-8"),
        ("*/*", "text/plain; version=0.0.4; charset=utf-8"),
        ("application/openmetrics-text", OPENMETRICS),
        ("application/openmetrics-text;version=1.0.0", OPENMETRICS),
        (SCRAPER, OPENMETRICS),
        ("application/openmetrics-text;version=none", "text/plain; version=0.0.4; charset=utf-8"),
        ("application/openmetrics-text;version=9.0.0", "text/plain; version=0.0.4; charset=utf-8"),
    ],
)
def test_the_format_is_what_the_scraper_accepts(accept: str, media_type: str) -> None:
    answer = ask(APP, "GET", "/metrics", headers={"Accept": accept})
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith(media_type)
    assert answer.headers["cache-control"] == "no-store"
    read = read_openmetrics if media_type == OPENMETRICS else read_prometheus
    assert {"http_requests", "http_request_duration_seconds"} <= {family.name for family in read(answer.text)}


_WORDS = st.lists(
    st.sampled_from(
        ["application/openmetrics-text", "text/plain", ";", ",", "version=", "1.0.0", "1", ".", "q=", "x", " "]
    )
    | st.text(max_size=5)
).map("".join)


@given(_WORDS)
@settings(max_examples=300, deadline=None)
def test_every_accept_header_gets_an_answer(accept: str) -> None:
    registry = CollectorRegistry()
    Counter("seen", "RequestLog.", registry=registry).inc()
    text, media_type = exposed(registry, accept)
    assert b"seen_total 1.0" in text
    assert media_type.isascii()


def test_metrics_can_be_switched_off() -> None:
    assert ask(create_app(Settings(metrics=False)), "GET", "/metrics").status_code == 404
    elsewhere = create_app(Settings(metrics_port=9_000))
    assert ask(elsewhere, "GET", "/metrics").status_code == 404


@contextmanager
def service(port: int, log: Path = Path(os.devnull), **environment: str) -> Iterator["subprocess.Popen[bytes]"]:
    command = [sys.executable, "-m", "api", "--port", str(port)]
    with log.open("ab") as lines:
        running = subprocess.Popen(command, cwd=ROOT, env=os.environ | environment, stderr=lines)
    try:
        wait_until_ready(port, running)
        yield running
    finally:
        running.terminate()
        running.wait(timeout=60)


def scraped_from(port: int) -> Series:
    return series_of(httpx.get(f"http://127.0.0.1:{port}/metrics").text)


def test_a_port_of_their_own_serves_the_metrics_and_nothing_else() -> None:
    port, own = free_port(), free_port()
    with service(port, TINWRIGHT_METRICS_PORT=str(own)):
        assert httpx.get(f"http://127.0.0.1:{own}/v1/units").status_code == 404
        assert httpx.post(f"http://127.0.0.1:{own}/metrics").status_code == 405
        assert httpx.get(f"http://127.0.0.1:{port}/metrics").status_code == 404
        series = scraped_from(own)
        assert value(series, "http_requests_total", method="GET", route="/readyz", status="200") >= 1
        assert value(series, "process_open_fds") > 0
        odd = {"Accept": "application/openmetrics-text;version=none"}
        assert httpx.get(f"http://127.0.0.1:{own}/metrics", headers=odd).status_code == 200


def test_many_connections_to_the_metrics_port_start_no_threads_and_log_no_traceback(tmp_path: Path) -> None:
    port, own, log = free_port(), free_port(), tmp_path / "log"
    with service(port, log, TINWRIGHT_METRICS_PORT=str(own)) as running:
        assert scraped_from(own)
        before = psutil.Process(running.pid).num_threads()
        with ExitStack() as connections:
            for _ in range(200):
                connection = connections.enter_context(socket.create_connection(("127.0.0.1", own)))
                connection.sendall(b"GET /metrics HT")
            time.sleep(1)
            assert psutil.Process(running.pid).num_threads() <= before
            assert httpx.get(f"http://127.0.0.1:{own}/metrics").status_code == 503
            assert httpx.get(f"http://127.0.0.1:{port}/v1/units").status_code == 200
        for _ in range(100):
            if httpx.get(f"http://127.0.0.1:{own}/metrics").status_code == 200:
                break
            time.sleep(0.1)
        assert scraped_from(own)
    assert running.returncode == 0
    assert all(json.loads(line)["level"] in {"INFO", "WARNING"} for line in log.read_bytes().splitlines())


def test_a_port_that_is_taken_stops_the_start_with_its_reason() -> None:
    with socket.socket() as listening:
        listening.bind(("127.0.0.1", 0))
        listening.listen()
        port = listening.getsockname()[1]
        environment = os.environ | {"TINWRIGHT_METRICS_PORT": str(port)}
        command = [sys.executable, "-m", "api", "--port", str(free_port())]
        ended = subprocess.run(
            command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False, timeout=60
        )
    assert ended.returncode == 2
    assert f"TINWRIGHT_METRICS_PORT: 127.0.0.1 port {port}" in ended.stderr
    assert "Traceback" not in ended.stderr


def test_dropped_log_lines_are_counted() -> None:
    before = value(scrape(), "log_lines_dropped_total")
    DROPPED.increment()
    assert value(scrape(), "log_lines_dropped_total") == before + 1


def test_readiness_fails_while_the_process_drains() -> None:
    api = create_api(Settings())
    assert ask(api, "GET", "/readyz").status_code == 200
    api.state.drain.is_draining = True
    answer = ask(api, "GET", "/readyz")
    assert (answer.status_code, answer.json()["type"]) == (503, "/problems/stopping")
    assert answer.headers["retry-after"] == "1"
    assert ask(api, "GET", "/healthz").status_code == 200
    api.state.drain.is_draining = False
    assert ask(api, "GET", "/readyz").status_code == 200
