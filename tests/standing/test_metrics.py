"""Metrics: every kind of request is counted under bounded labels; one scrape tells of all workers."""

import os
import socket
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, NamedTuple

import httpx
import psutil
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from prometheus_client import CollectorRegistry, Counter
from prometheus_client.openmetrics.parser import text_string_to_metric_families as read_openmetrics
from prometheus_client.parser import text_string_to_metric_families as read_prometheus

from api.app import create_app
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
    """Every sample, by name and labels, as the library's own reader has it."""
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
    """A request, and how it is answered and named."""

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
    Kind("POST", "/v1/eggs", {"json": {"whole": 1, "class": "eu_m"}}, 200, "POST", "/v1/eggs"),
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

    def grown(name: str, **labels: str) -> float:
        return value(after, name, **labels) - value(before, name, **labels)

    assert grown("http_requests_total", **place, status=str(kind.status)) == 1
    assert grown("http_response_body_bytes_total", **place) == len(answer.content)
    assert grown("http_request_duration_seconds_count", **place) == 1
    assert grown("http_request_duration_seconds_bucket", **place, le="+Inf") == 1
    assert 0 < grown("http_request_duration_seconds_sum", **place) < 30
    assert value(after, "http_requests_in_progress") == 1  # the scrape itself


@pytest.mark.parametrize(
    ("changed", "call", "route"),
    [
        # One goes the short way to its handler, the other through the framework, which sends the answer itself.
        ("api.v1.eggs.routes._answer", ("POST", "/v1/eggs"), "/v1/eggs"),
        ("api.v1.reference.routes.find_ingredient", ("GET", "/v1/ingredients/salt"), "/v1/ingredients/{ingredient_id}"),
    ],
)
def test_an_error_of_ours_is_counted(
    monkeypatch: pytest.MonkeyPatch, changed: str, call: tuple[str, str], route: str
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise ZeroDivisionError

    before = scrape()
    monkeypatch.setattr(changed, broken)
    body = {"whole": 1, "class": "eu_m"} if call[0] == "POST" else None
    assert ask(APP, *call, json=body).status_code == 500
    labels = {"method": call[0], "route": route, "status": "500"}
    assert value(scrape(), "http_requests_total", **labels) == value(before, "http_requests_total", **labels) + 1


def test_nothing_a_client_sends_makes_a_new_series() -> None:
    before = set(scrape())
    for path in ("/x", "/y?z=1", "/v1/units/moondust", "/%0a%22", "/v1/ingredients/x%22%7D%0a"):
        for method in ("GET", "AARDVARK", "ZEBRA"):
            ask(APP, method, path)
    made = {labels for name, labels in set(scrape()) - before if name == "http_requests_total"}
    shown = {(dict(labels)["method"], dict(labels)["route"]) for labels in made}
    assert shown <= {(m, r) for m in ("GET", "other") for r in ("none", "/v1/ingredients/{ingredient_id}")}


def test_buckets_part_fast_answers_from_slow_ones() -> None:
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


def test_the_process_and_the_build_are_told() -> None:
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
def test_the_format_is_what_the_scraper_takes(accept: str, media_type: str) -> None:
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
def test_no_accept_header_upsets_it(accept: str) -> None:
    registry = CollectorRegistry()
    Counter("seen", "RequestLog.", registry=registry).inc()
    text, media_type = exposed(registry, accept)
    assert b"seen_total 1.0" in text
    assert media_type.isascii()


def test_metrics_can_be_closed() -> None:
    assert ask(create_app(Settings(metrics=False)), "GET", "/metrics").status_code == 404
    elsewhere = create_app(Settings(metrics_port=9_000))
    assert ask(elsewhere, "GET", "/metrics").status_code == 404


@contextmanager
def service(port: int, *arguments: str, **environment: str) -> Iterator["subprocess.Popen[bytes]"]:
    command = [sys.executable, "-m", "api", "--port", str(port), *arguments]
    running = subprocess.Popen(command, cwd=ROOT, env=os.environ | environment, stderr=subprocess.DEVNULL)
    try:
        wait_until_ready(port, running)
        yield running
    finally:
        running.terminate()
        running.wait(timeout=60)


def scraped_from(port: int) -> Series:
    return series_of(httpx.get(f"http://127.0.0.1:{port}/metrics").text)


def test_a_port_of_their_own_serves_metrics_and_nothing_else() -> None:
    port, own = free_port(), free_port()
    with service(port, TINWRIGHT_METRICS_PORT=str(own)):
        assert httpx.get(f"http://127.0.0.1:{own}/v1/units").status_code == 404
        assert httpx.post(f"http://127.0.0.1:{own}/metrics").status_code == 404
        assert httpx.get(f"http://127.0.0.1:{port}/metrics").status_code == 404
        series = scraped_from(own)
        assert value(series, "http_requests_total", method="GET", route="/readyz", status="200") >= 1
        assert value(series, "process_open_fds") > 0
        odd = {"Accept": "application/openmetrics-text;version=none"}
        assert httpx.get(f"http://127.0.0.1:{own}/metrics", headers=odd).status_code == 200


def test_a_port_that_is_taken_stops_the_start_with_its_reason() -> None:
    with socket.socket() as taken:
        taken.bind(("127.0.0.1", 0))
        taken.listen()
        port = taken.getsockname()[1]
        environment = os.environ | {"TINWRIGHT_METRICS_PORT": str(port)}
        command = [sys.executable, "-m", "api", "--port", str(free_port())]
        ran = subprocess.run(
            command, cwd=ROOT, env=environment, capture_output=True, text=True, check=False, timeout=60
        )
    assert ran.returncode == 2
    assert f"TINWRIGHT_METRICS_PORT: 127.0.0.1 port {port}" in ran.stderr
    assert "Traceback" not in ran.stderr
