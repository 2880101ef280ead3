"""The files that the cards load: cached, and the same for everybody, so that they need no key."""

from collections.abc import Awaitable, Callable
from importlib.resources import files

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from api import __version__
from api.wire.caching import SerializedAnswer, cacheable_response, entity_tag, static_answer
from api.wire.public_url import public_origin, public_root

FOLDER = "/static"
# Beside the cards, since a service worker serves the pages of its own folder.
WORKER = "/cards/service-worker.js"
MEDIA_TYPES = {
    "cards.css": "text/css",
    "cards.js": "text/javascript",
    "cards.webmanifest": "application/manifest+json",
    "icon-180.png": "image/png",
    "icon-192.png": "image/png",
    "icon-512.png": "image/png",
    "icon-maskable-512.png": "image/png",
}
KEPT_SECONDS = 86_400
PATHS = frozenset({WORKER, *(f"{FOLDER}/{name}" for name in MEDIA_TYPES)})


def _load(name: str) -> SerializedAnswer:
    return static_answer((files("api.pages") / "static" / name).read_bytes())


_BODIES = {name: _load(name) for name in MEDIA_TYPES}
_WORKER = _load("service_worker.js")
_FILES_TAG = entity_tag("".join(body.etag for body in (*_BODIES.values(), _WORKER)).encode())


def address(name: str) -> str:
    """The path of a file, with its entity tag, so that a page never meets a cached file of another release."""
    return f"{FOLDER}/{name}?v={_BODIES[name].etag.strip('"')}"


def worker_address(figures: str) -> str:
    """The path of the service worker; browsers install it anew when a file, the release or the figures change.

    Args:
        figures: the id of the figures that the cards are made from.
    """
    return f"{WORKER}?figures={figures}&v={__version__}-{_FILES_TAG.strip('"')}"


def _endpoint(name: str) -> Callable[[Request], Awaitable[Response]]:
    async def endpoint(request: Request) -> Response:
        return cacheable_response(request, _BODIES[name], media_type=MEDIA_TYPES[name], max_age_seconds=KEPT_SECONDS)

    return endpoint


async def worker(request: Request) -> Response:
    """The service worker; its policy limits its requests, and caches ask for a newer copy each time."""
    service = f"'self' {public_origin(public_root())}".rstrip()
    headers = {"Content-Security-Policy": f"default-src 'none'; connect-src {service}; frame-ancestors 'none'"}
    response = cacheable_response(request, _WORKER, media_type="text/javascript", max_age_seconds=0, headers=headers)
    response.headers["Cache-Control"] = "no-cache"
    return response


ROUTES = (Route(WORKER, worker), *(Route(f"{FOLDER}/{name}", _endpoint(name)) for name in MEDIA_TYPES))
