"""`/docs`: the contract as a page, its script and style served by the service itself."""

import re
from asyncio import to_thread
from collections.abc import Awaitable, Callable
from importlib.resources import files

import orjson
from fastapi import FastAPI
from fastapi.openapi.docs import get_swagger_ui_html
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from api.contract.examples import FOLDER
from api.pages.rendering import hash_source
from api.wire.caching import cacheable_response

ASSETS = {"swagger-ui-bundle.js": "text/javascript", "swagger-ui.css": "text/css"}
KEPT_SECONDS = 86_400
COMMITTED = FOLDER / "openapi.json"
_INLINE_SCRIPT = re.compile("<script>(.*?)</script>", re.DOTALL)


def install(api: FastAPI) -> None:
    """Add the document, the page and what it loads; all addresses are relative to this service."""
    api.router.routes.append(Route("/openapi.json", _document(api)))
    made = get_swagger_ui_html(
        openapi_url="openapi.json",
        title=f"{api.title}: the contract",
        swagger_js_url="docs/swagger-ui-bundle.js",
        swagger_css_url="docs/swagger-ui.css",
        swagger_favicon_url="icon.svg",
        # Requests are ready to be sent; models stay folded, since examples say more at first sight; long answers are
        # shown at once, since colouring them takes the browser seconds.
        swagger_ui_parameters={
            "tryItOutEnabled": True,
            "filter": True,
            "defaultModelsExpandDepth": 0,
            "syntaxHighlight": False,
        },
    )
    html = bytes(made.body).decode().replace("<html>", '<html lang="en">')
    api.router.routes.append(
        Route("/docs", _kept(html.encode(), "text/html", {"Content-Security-Policy": _policy(html)}))
    )
    for name, media_type in ASSETS.items():
        body = (files("fastapi_swagger.resources") / name).read_bytes()
        api.router.routes.append(Route(f"/docs/{name}", _kept(body, media_type, {})))


def _document(api: FastAPI) -> Callable[[Request], Awaitable[Response]]:
    """The committed document, which a test holds to the code; without the file, one made at the first request."""
    ready = COMMITTED.read_bytes() if COMMITTED.is_file() else None

    async def answer(request: Request) -> Response:
        nonlocal ready
        if ready is None:  # in a thread, since it takes a second
            ready = orjson.dumps(await to_thread(api.openapi))
        return cacheable_response(
            request, ready, media_type="application/json", max_age_seconds=KEPT_SECONDS, headers={}
        )

    return answer


def _policy(html: str) -> str:
    """Nothing from elsewhere; of scripts only the bundle and the page's own start, which its hash names."""
    started = " ".join(hash_source(script) for script in _INLINE_SCRIPT.findall(html))
    return (
        # The bundle writes style attributes, and shows icons that it holds as data.
        f"default-src 'none'; script-src 'self' {started}; style-src 'self' 'unsafe-inline'; img-src 'self' data:; "
        "connect-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )


def _kept(body: bytes, media_type: str, headers: dict[str, str]) -> Callable[[Request], Awaitable[Response]]:
    async def answer(request: Request) -> Response:
        return cacheable_response(request, body, media_type=media_type, max_age_seconds=KEPT_SECONDS, headers=headers)

    return answer
