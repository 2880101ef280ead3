"""What is looked at before a service listens, and how a process that cannot begin says so."""

import logging
import socket
import sys
from ipaddress import ip_address

from starlette.types import ASGIApp

from api.app import create_app
from api.serving.environment import read_settings
from api.settings import Settings

CANNOT_BEGIN = 2  # not uvicorn's 3, at which the parent of several workers would stop too
_log = logging.getLogger(__name__)


def application() -> ASGIApp:
    """The application of one process.

    Its parent has checked what it reads, but that may have changed since: then this process ends with one line in the
    log, and a parent that replaces a worker tries again, until it is mended.
    """
    try:
        return create_app(read_settings())
    except ValueError as error:
        _log.error("cannot begin: %s", error)
        sys.exit(CANNOT_BEGIN)


def check_addresses(settings: Settings, *, host: str, port: int) -> None:
    """Whether there are such addresses to listen on, and two where two are needed.

    Args:
        settings: of which those of the metrics' port count.
        host: the service's address.
        port: the service's port, 0 for any.

    Raises:
        ValueError: an address is none, or the metrics' port is the service's.
    """
    served = _addresses(host, "--host")
    if not settings.metrics or settings.metrics_port is None:
        return
    scraped = _addresses(settings.metrics_host, "TINWRIGHT_METRICS_HOST")
    meet = served & scraped or any(ip_address(one).is_unspecified for one in served | scraped)
    if settings.metrics_port == port and meet:
        raise ValueError(
            f"TINWRIGHT_METRICS_PORT: {port} is the service's own port; choose another for the metrics, or leave it"
            " out: /metrics is then on the service's."
        )


def _addresses(host: str, said_by: str) -> set[str]:
    try:
        # An empty host is every address, as for the server.
        found = socket.getaddrinfo(host or None, 0, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)
    except (OSError, UnicodeError):
        raise ValueError(
            f"{said_by}: {host!r} is no address that is known here; use one of this machine's, such as 127.0.0.1 for"
            " this machine alone, or 0.0.0.0 for every one it has."
        ) from None
    return {str(one[4][0]).partition("%")[0] for one in found}
