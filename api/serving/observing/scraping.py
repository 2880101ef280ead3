"""Exposes the metrics in the text formats of Prometheus: at `/metrics` of the service, or on a port of their own.

Every process counts for itself, so the documented way is one process per unit, each scraped by itself.
"""

import re
import socket
import sys
import threading
from collections.abc import Awaitable, Callable, Iterable, Iterator
from contextlib import contextmanager

import uvicorn
from prometheus_client import CollectorRegistry
from prometheus_client.exposition import choose_encoder
from prometheus_client.metrics_core import InfoMetricFamily, Metric
from prometheus_client.registry import Collector
from starlette.applications import Starlette
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from api.serving.observing.metrics import process_metrics
from api.settings import Settings

PATH = "/metrics"
MAX_CONNECTIONS = 20  # our own limit, for the metrics port: a scraper needs one
IDLE_SECONDS = 5  # our own limit, between two requests on a connection
# The media types that scrapers send. The library fails on a version that is not a number.
_MEDIA_TYPE = re.compile(
    r"\s*(application/openmetrics-text|text/plain)"
    r"(\s*;\s*(version=(0\.0\.1|0\.0\.4|1\.0\.0)|charset=utf-8|q=[01](\.[0-9]{1,3})?|escaping=[a-z0-9-]{1,20}))*\s*"
)


def exposed(registry: CollectorRegistry, accept: str) -> tuple[bytes, str]:
    """Write every series of a registry as text.

    Args:
        registry: the series.
        accept: the `Accept` header; there is an answer to every one.

    Returns:
        The text and its media type: OpenMetrics if the client accepts it, otherwise the older Prometheus format.
    """
    valid = ",".join(media_type for media_type in accept.split(",") if _MEDIA_TYPE.fullmatch(media_type))
    encode, media_type = choose_encoder(valid)
    return encode(registry), media_type


def endpoint(version: str) -> Callable[[Request], Awaitable[Response]]:
    """Make the handler of `GET /metrics`.

    Args:
        version: the version of the service, which is one of the series.
    """
    registry = CollectorRegistry()
    registry.register(_Build(version))
    registry.register(process_metrics().registry)

    async def get_metrics(request: Request) -> Response:
        text, media_type = exposed(registry, request.headers.get("accept", ""))
        return Response(text, headers={"Content-Type": media_type, "Cache-Control": "no-store"})

    return get_metrics


@contextmanager
def metrics_port(settings: Settings, *, version: str) -> Iterator[None]:
    """Serve `/metrics` on a port of its own while the service runs, if the settings name one.

    The port has a uvicorn server in a thread. Prometheus' own `start_http_server` would start a thread for every
    connection, without a limit. Uvicorn refuses requests beyond `MAX_CONNECTIONS`, but it keeps connections that send
    nothing: the port is for the loopback address, or for a network in which only the scraper can reach it.

    Args:
        settings: the settings; only those of the metrics count here.
        version: the version of the service.

    Raises:
        ValueError: the port cannot be opened.
    """
    if not settings.metrics or settings.metrics_port is None:
        yield
        return
    host, port = settings.metrics_host, settings.metrics_port
    try:
        family = socket.getaddrinfo(host or None, port, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)[0][0]
        listener = socket.create_server((host, port), family=family)
    except OSError as error:
        raise ValueError(f"TINWRIGHT_METRICS_PORT: {host} port {port} cannot be opened ({error}).") from None
    server = uvicorn.Server(
        uvicorn.Config(
            Starlette(routes=[Route(PATH, endpoint(version))]),
            lifespan="off",
            ws="none",
            log_config=None,
            access_log=False,
            server_header=False,
            limit_concurrency=MAX_CONNECTIONS,
            timeout_keep_alive=IDLE_SECONDS,
            timeout_graceful_shutdown=1,
        )
    )
    thread = threading.Thread(target=server.run, args=([listener],), name="metrics", daemon=True)
    with listener:
        thread.start()
        try:
            yield
        finally:
            server.should_exit = True
            thread.join()


class _Build(Collector):
    def __init__(self, version: str) -> None:
        self.version = version

    def collect(self) -> Iterable[Metric]:
        python = ".".join(map(str, sys.version_info[:3]))
        yield InfoMetricFamily("tinwright_build", "The running version.", {"version": self.version, "python": python})
