"""Metrics: what was asked, how it was answered, how long that took.

Every label has a bounded set of values: methods that HTTP knows, the templates of our own routes, statuses we answer.
How they are read is in `api.serving.observing.scraping`.
"""

from functools import lru_cache

import prometheus_client
from prometheus_client import CollectorRegistry, Counter, Gauge, Histogram

from api.serving.observing.logs import LineHandler

# Seconds; our own choice: a reference answer takes about 0.2 ms, a large formula some milliseconds, 50 ms is the limit.
BUCKETS = (0.0002, 0.0005, 0.001, 0.002, 0.005, 0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1.0)

prometheus_client.disable_created_metrics()  # type: ignore[no-untyped-call]  # a series each, read by nobody


class Metrics:
    """The series of one process, or its part of them where several workers share a folder."""

    def __init__(self) -> None:
        """Make the series."""
        self.registry = registry = CollectorRegistry()
        self.requests = Counter("http_requests", "Requests.", ["method", "route", "status"], registry=registry)
        self.duration = Histogram(
            "http_request_duration_seconds",
            "Time from a request's arrival to the last byte of its answer.",
            ["method", "route"],
            buckets=BUCKETS,
            registry=registry,
        )
        self.body_bytes = Counter(
            "http_response_body_bytes", "Bytes of answered bodies.", ["method", "route"], registry=registry
        )
        self.in_work = Gauge(
            "http_requests_in_progress", "Requests in work.", registry=registry, multiprocess_mode="livesum"
        )
        self.lines_dropped = Counter("log_lines_dropped", "Log lines that nobody took in time.", registry=registry)
        self._series: dict[tuple[str, str, int], _Series] = {}
        self._dropped = LineHandler.dropped

    def observe(self, method: str, route: str, status: int, seconds: float, body_bytes: int) -> None:
        """Count one request; the first three must be of bounded sets."""
        series = self._series.get((method, route, status))
        if series is None:
            series = self._series[method, route, status] = _Series(self, method, route, status)
        series.requests.inc()
        series.duration.observe(seconds)
        series.body_bytes.inc(body_bytes)
        if LineHandler.dropped != self._dropped:
            self.lines_dropped.inc(LineHandler.dropped - self._dropped)
            self._dropped = LineHandler.dropped


class _Series:
    """The series of one method, route and status: looking them up costs more than counting."""

    __slots__ = ("body_bytes", "duration", "requests")

    def __init__(self, metrics: Metrics, method: str, route: str, status: int) -> None:
        self.requests = metrics.requests.labels(method, route, str(status))
        self.duration = metrics.duration.labels(method, route)
        self.body_bytes = metrics.body_bytes.labels(method, route)


@lru_cache(maxsize=1)
def process_metrics() -> Metrics:
    """The series of this process, whatever number of applications it holds."""
    return Metrics()
