"""Metrics of this process: requests, log lines, keys.

Every label has a bounded set of values: the methods of HTTP, the templates of our own routes, the statuses we answer.
`api.serving.observing.scraping` exposes them.
"""

from collections.abc import Iterable
from functools import lru_cache

import prometheus_client
from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram, ProcessCollector
from prometheus_client.metrics_core import CounterMetricFamily, Metric
from prometheus_client.registry import Collector

from api.serving.observing.logs import DROPPED

# Seconds; our own choice, from a lookup to several times the slowest answer.
BUCKETS = (0.0002, 0.0005, 0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0)

prometheus_client.disable_created_metrics()  # type: ignore[no-untyped-call]  # they double the series


class Metrics:
    """The series of one process."""

    def __init__(self) -> None:
        """Register the series."""
        self.registry = registry = CollectorRegistry()
        self.requests = Counter("http_requests", "Requests.", ["method", "route", "status"], registry=registry)
        self.duration = Histogram(
            "http_request_duration_seconds",
            "Time from the arrival of a request to the last byte of its answer.",
            ["method", "route"],
            buckets=BUCKETS,
            registry=registry,
        )
        self.body_bytes = Counter(
            "http_response_body_bytes", "Bytes of response bodies.", ["method", "route"], registry=registry
        )
        self.in_progress = Gauge("http_requests_in_progress", "Requests in progress.", registry=registry)
        self.keys_reload_failures = Counter(
            "tinwright_keys_reload_failures",
            "Reloads of the keys file that failed, so that the old keys stayed valid.",
            registry=registry,
        )
        self.keys_loaded = Gauge(
            "tinwright_keys_loaded_timestamp_seconds",
            "Time of the last successful load of the keys file; 0 without one.",
            registry=registry,
        )
        registry.register(_DroppedLines())
        ProcessCollector(registry=registry)

    def observe(self, method: str, route: str, status: int, seconds: float, body_bytes: int) -> None:
        """Count one request; the first three values must be from bounded sets."""
        self.requests.labels(method, route, str(status)).inc()
        self.duration.labels(method, route).observe(seconds)
        self.body_bytes.labels(method, route).inc(body_bytes)


class _DroppedLines(Collector):
    """The number of dropped lines, which the log counts itself since it also works without metrics."""

    def collect(self) -> Iterable[Metric]:
        yield CounterMetricFamily(
            "log_lines_dropped", "Log lines dropped, since standard error was not read in time.", DROPPED.value
        )


@lru_cache(maxsize=1)
def process_metrics() -> Metrics:
    """The series of this process, shared by all applications in it."""
    return Metrics()
