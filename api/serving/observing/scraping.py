"""How metrics are read: the Prometheus text formats, one scrape for all workers, a port of their own.

Several workers keep their figures in files of one folder (the library's multiprocess mode), so that any of them, or
their parent, can tell of all. What a dead worker has counted stays counted; what it had in work is forgotten.
"""

import os
import re
import sys
import threading
from collections.abc import Callable, Iterable, Iterator
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any
from wsgiref.simple_server import WSGIRequestHandler, make_server

from prometheus_client import CollectorRegistry
from prometheus_client.exposition import ThreadingWSGIServer, choose_encoder
from prometheus_client.metrics_core import InfoMetricFamily, Metric
from prometheus_client.multiprocess import MultiProcessCollector, mark_process_dead
from prometheus_client.process_collector import ProcessCollector
from prometheus_client.registry import Collector
from prometheus_client.samples import Sample
from starlette.requests import Request
from starlette.responses import Response

from api.serving.observing.metrics import process_metrics
from api.settings import Settings

PATH = "/metrics"
SHARED_FOLDER = "PROMETHEUS_MULTIPROC_DIR"  # the library's own variable
SLOWEST_READER_SECONDS = 5.0  # our own limit: a scraper sends one short request
# What scrapers send. The library stumbles over versions that are no numbers and would repeat those it does not know.
_FORMAT = re.compile(
    r"\s*(application/openmetrics-text|text/plain)"
    r"(\s*;\s*(version=(0\.0\.1|0\.0\.4|1\.0\.0)|charset=utf-8|q=[01](\.[0-9]{1,3})?|escaping=[a-z0-9-]{1,20}))*\s*"
)


def exposed(registry: CollectorRegistry, accept: str) -> tuple[bytes, str]:
    """Every series of a registry as text.

    Args:
        registry: what to collect from.
        accept: the `Accept` header; whatever it asks for, there is an answer.

    Returns:
        The text, and its media type: OpenMetrics for who accepts it, the older Prometheus format for all others.
    """
    understood = ",".join(one for one in accept.split(",") if _FORMAT.fullmatch(one))
    encode, media_type = choose_encoder(understood)
    return encode(registry), media_type


def registry_to_read(version: str) -> CollectorRegistry:
    """What a scrape reads: all workers' figures where they share a folder, else this process's own."""
    shared = os.environ.get(SHARED_FOLDER)
    registry = CollectorRegistry()
    registry.register(_Build(version))
    if shared:
        registry.register(_Workers(Path(shared)))
    else:
        registry.register(process_metrics().registry)
        ProcessCollector(registry=registry)
    return registry


def endpoint(version: str) -> Callable[[Request], Any]:
    """The answer of `GET /metrics` on the service's own port."""
    registry = registry_to_read(version)

    async def get_metrics(request: Request) -> Response:
        text, media_type = exposed(registry, request.headers.get("accept", ""))
        return Response(text, headers={"Content-Type": media_type, "Cache-Control": "no-store"})

    return get_metrics


def begin(settings: Settings, *, workers: int, version: str) -> ExitStack:
    """Before the server starts, in its first process: the workers' folder, and the port that is for metrics alone.

    Args:
        settings: of which `metrics`, `metrics_host` and `metrics_port` count.
        workers: how many processes will serve.
        version: of the service.

    Returns:
        What is to be closed once the server has stopped.

    Raises:
        ValueError: the folder cannot be made, or the port cannot be had.
    """
    with ExitStack() as stack:
        if settings.metrics and workers > 1 and SHARED_FOLDER not in os.environ:
            try:
                folder = stack.enter_context(TemporaryDirectory(prefix="tinwright-metrics-"))
            except OSError as error:
                reason = (
                    f"Several workers need a folder for their metrics: set TMPDIR, or TINWRIGHT_METRICS=0 ({error})."
                )
                raise ValueError(reason) from None
            os.environ[SHARED_FOLDER] = folder
            stack.callback(os.environ.pop, SHARED_FOLDER, None)
        if settings.metrics and settings.metrics_port is not None:
            host, port = settings.metrics_host, settings.metrics_port
            try:
                stack.enter_context(_port(host, port, registry_to_read(version)))
            except OSError as error:
                raise ValueError(f"TINWRIGHT_METRICS_PORT: {host} port {port} cannot be had ({error}).") from None
        return stack.pop_all()


@contextmanager
def _port(host: str, port: int, registry: CollectorRegistry) -> Iterator[None]:
    """Serves metrics, and nothing else, from a thread of its own."""

    def answer(environ: dict[str, Any], start_response: Callable[..., Any]) -> list[bytes]:
        if environ["PATH_INFO"] != PATH or environ["REQUEST_METHOD"] not in {"GET", "HEAD"}:
            start_response("404 Not Found", [("Content-Type", "text/plain")])
            return [f"GET {PATH}\n".encode()]
        text, media_type = exposed(registry, environ.get("HTTP_ACCEPT", ""))
        start_response("200 OK", [("Content-Type", media_type), ("Content-Length", str(len(text)))])
        return [] if environ["REQUEST_METHOD"] == "HEAD" else [text]

    with make_server(host, port, answer, ThreadingWSGIServer, _Quiet) as server:
        thread = threading.Thread(target=server.serve_forever, name="metrics", daemon=True)
        thread.start()
        try:
            yield
        finally:
            server.shutdown()
            thread.join()


class _Quiet(WSGIRequestHandler):
    timeout = SLOWEST_READER_SECONDS

    def log_message(self, format: str, *args: object) -> None:  # noqa: A002 - inherited
        """Scrapes are not logged."""


class _Build(Collector):
    def __init__(self, version: str) -> None:
        self.version = version

    def collect(self) -> Iterable[Metric]:
        python = ".".join(map(str, sys.version_info[:3]))
        info = {"version": self.version, "python": python}
        yield InfoMetricFamily("tinwright_build", "What is running.", info)


class _Workers(Collector):
    """Everything that the workers of one folder have counted, and each living one's process."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder

    def collect(self) -> Iterable[Metric]:
        pids = {int(file.stem.rpartition("_")[2]) for file in self.folder.glob("*_*.db")}
        living = sorted(pid for pid in pids if _lives(pid))
        for pid in pids.difference(living):
            with suppress(FileNotFoundError):  # another scrape was faster
                mark_process_dead(pid, path=str(self.folder))  # type: ignore[no-untyped-call]
        yield from MultiProcessCollector(None, path=str(self.folder)).collect()  # type: ignore[no-untyped-call]
        yield from _processes(living)


def _lives(pid: int) -> bool:
    try:
        os.kill(pid, 0)
    except OSError:
        return False
    return True


def _processes(pids: list[int]) -> Iterable[Metric]:
    """The library's process metrics, labelled with each worker's process id."""
    found: dict[str, Metric] = {}
    for pid in pids:
        for metric in ProcessCollector(pid=lambda pid=pid: pid, registry=None).collect():  # type: ignore[misc]
            merged = found.setdefault(metric.name, Metric(metric.name, metric.documentation, metric.type))
            merged.samples += [Sample(one.name, {"pid": str(pid)}, one.value) for one in metric.samples]
    return found.values()
