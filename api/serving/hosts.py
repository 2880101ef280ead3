"""Checks the `Host` header of a service that only this machine may reach.

Without this check a web page could read the shop's prices: it would make a name of its own resolve to 127.0.0.1 (DNS
rebinding), and the browser would treat the service as the page's own origin.
"""

from http import HTTPStatus
from urllib.parse import urlsplit

from starlette.types import ASGIApp, Receive, Scope, Send

from api.serving.refusals import CLOSE, refuse
from api.settings import Settings
from api.wire.problems import RequestProblem

LOOPBACK_HOSTS = frozenset({"localhost", "127.0.0.1", "[::1]"})


def hosts_on_loopback(settings: Settings) -> frozenset[str]:
    """The host names that a service on a loopback address answers to; the empty set stands for all.

    A service that asks for keys, or is open on purpose, answers to all: a page cannot know a key.
    """
    if settings.keys_file is not None or settings.access == "open":
        return frozenset()
    public = urlsplit(settings.public_url).hostname if settings.public_url else None
    return LOOPBACK_HOSTS | ({public} if public else set())


class AllowedHosts:
    """ASGI layer that answers 421 to a request for another host (RFC 9110, 15.5.20)."""

    def __init__(self, app: ASGIApp, *, hosts: frozenset[str]) -> None:
        """Set the hosts.

        Args:
            app: the application inside.
            hosts: names in lower case, without a port.
        """
        self.app, self.hosts = app, hosts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Refuse the request, or pass it on."""
        if scope["type"] != "http" or _host_of(scope) in self.hosts or _may_lack_host(scope):
            await self.app(scope, receive, send)
            return
        refusal = RequestProblem(
            HTTPStatus.MISDIRECTED_REQUEST,
            "unknown_host",
            f"This service answers to the hosts {', '.join(sorted(self.hosts))}. If a proxy sends other names here, set"
            " TINWRIGHT_PUBLIC_URL.",
            headers=CLOSE,
        )
        await refuse(refusal, scope, receive, send)


def _may_lack_host(scope: Scope) -> bool:
    """Tell whether a request is in HTTP/1.0 and names no host (RFC 1945 knows no `Host`); no browser sends such."""
    return scope["http_version"] == "1.0" and all(name != b"host" for name, _ in scope["headers"])


def _host_of(scope: Scope) -> str:
    """The host that the request names, without its port.

    >>> [_host_of({"headers": [(b"host", host)]}) for host in (b"LOCALHOST:80", b"[::1]:8000", b"[::1]", b"a.test")]
    ['localhost', '[::1]', '[::1]', 'a.test']
    """
    host: bytes = next((value for name, value in scope["headers"] if name == b"host"), b"")
    name, _, port = host.decode("latin-1").lower().rpartition(":")
    return name if name and port.isdigit() else host.decode("latin-1").lower()
