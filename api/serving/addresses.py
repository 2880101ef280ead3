"""Checks the addresses to listen on before the server starts."""

import socket
from ipaddress import ip_address

from api.settings import Settings


def check_addresses(settings: Settings, *, host: str, port: int) -> None:
    """Check that the addresses exist and that the metrics have a port of their own.

    Args:
        settings: of which those of the metrics' port count.
        host: the service's address.
        port: the service's port; 0 for any that is free.

    Raises:
        ValueError: an address is unknown on this machine, or the metrics' port is the service's.
    """
    service_addresses = _resolve(host, "--host")
    if not settings.metrics or settings.metrics_port is None:
        return
    metrics_addresses = _resolve(settings.metrics_host, "TINWRIGHT_METRICS_HOST")
    overlap = service_addresses & metrics_addresses or any(
        ip_address(address).is_unspecified for address in service_addresses | metrics_addresses
    )
    if settings.metrics_port == port and overlap:
        raise ValueError(
            f"TINWRIGHT_METRICS_PORT: {port} is the service's own port; choose another port for the metrics, or unset"
            " it: /metrics is then served on the service's port."
        )


def _resolve(host: str, option: str) -> set[str]:
    try:
        # An empty host stands for every address, as it does for the server.
        resolved = socket.getaddrinfo(host or None, 0, type=socket.SOCK_STREAM, flags=socket.AI_PASSIVE)
    except (OSError, UnicodeError):
        raise ValueError(
            f"{option}: {host!r} is not an address of this machine; use 127.0.0.1 to serve this machine only, or"
            " 0.0.0.0 to serve others on every address."
        ) from None
    return {str(sockaddr[0]).partition("%")[0] for *_, sockaddr in resolved}
