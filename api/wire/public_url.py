"""The address under which clients reach the service, for every link in an answer."""

from contextvars import ContextVar
from urllib.parse import urlsplit

from starlette.types import ASGIApp, Receive, Scope, Send

# Of the request in progress, since refusals are made in places that know neither the settings nor the application.
_ROOT: ContextVar[str] = ContextVar("public_root", default="")


def link_to(path: str) -> str:
    """The link to a path of this service: absolute with a public URL, else the path itself."""
    return _ROOT.get() + path


def public_root() -> str:
    """The public URL without a slash at its end; empty if it is not set."""
    return _ROOT.get()


def public_origin(url: str) -> str:
    """Scheme, host and port of a URL, for a Content-Security-Policy; empty for an empty URL.

    >>> public_origin("https://recipes.example:8443/bake")
    'https://recipes.example:8443'
    """
    parts = urlsplit(url)
    return f"{parts.scheme}://{parts.netloc}" if url else ""


class PublicUrl:
    """ASGI layer that makes the links of every answer absolute."""

    def __init__(self, app: ASGIApp, *, url: str) -> None:
        """Set the address.

        Args:
            app: the application inside.
            url: the public URL of the path `/`.
        """
        self.app, self.root = app, url.rstrip("/")

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Pass the request on, with the address of its links set."""
        token = _ROOT.set(self.root)
        try:
            await self.app(scope, receive, send)
        finally:
            _ROOT.reset(token)
