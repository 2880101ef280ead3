"""The files that the cards load: cached, and the same for everybody, so that they need no key."""

from collections.abc import Awaitable, Callable
from importlib.resources import files

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from api.wire.caching import cacheable_response, static_answer

FOLDER = "/static"
MEDIA_TYPES = {"cards.css": "text/css"}
KEPT_SECONDS = 86_400
_BODIES = {name: static_answer((files("api.pages") / "static" / name).read_bytes()) for name in MEDIA_TYPES}
PATHS = frozenset(f"{FOLDER}/{name}" for name in MEDIA_TYPES)


def address(name: str) -> str:
    """The path of a file, with its entity tag, so that a page never meets a cached file of another release."""
    return f"{FOLDER}/{name}?v={_BODIES[name].etag.strip('"')}"


def _endpoint(name: str) -> Callable[[Request], Awaitable[Response]]:
    async def endpoint(request: Request) -> Response:
        return cacheable_response(request, _BODIES[name], media_type=MEDIA_TYPES[name], max_age_seconds=KEPT_SECONDS)

    return endpoint


ROUTES = tuple(Route(f"{FOLDER}/{name}", _endpoint(name)) for name in MEDIA_TYPES)
