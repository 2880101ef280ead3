"""Serves the OpenAPI document, and `/docs`, a page that shows it with scripts and styles of the service itself."""

import re
from asyncio import to_thread
from collections.abc import Awaitable, Callable
from importlib.resources import files
from typing import Any

import orjson
from fastapi import FastAPI
from fastapi.openapi.docs import get_swagger_ui_html
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from api.contract.document import with_public_url
from api.pages.rendering import hash_source, render
from api.wire.caching import cacheable_response, static_answer
from api.wire.public_url import public_origin

ASSETS = {"swagger-ui-bundle.js": "text/javascript", "swagger-ui.css": "text/css"}
CACHED_SECONDS = 86_400
COMMITTED = files("api.contract") / "openapi.json"  # a test compares it with the code
_PRELOAD = '<link rel="preload" href="openapi.json" as="fetch" crossorigin="anonymous">\n'
_EMPTY = re.compile(r'(?<=<div id="swagger-ui">)\s*(?=</div>)')  # the viewer replaces what stands in it
_INLINE_SCRIPT = re.compile("<script>(.*?)</script>", re.DOTALL)


def install(api: FastAPI) -> None:
    """Add the routes of the document, the page and its assets; all their URLs are relative to this service."""
    api.router.routes.append(Route("/openapi.json", _document(api)))
    page = get_swagger_ui_html(
        openapi_url="openapi.json",
        title=f"{api.title}: the contract",
        swagger_js_url="docs/swagger-ui-bundle.js",
        swagger_css_url="docs/swagger-ui.css",
        swagger_favicon_url="icon.svg",
        # Requests can be sent at once. Models stay folded, since examples are easier to read. Answers are not coloured,
        # since that takes a browser seconds for a long answer.
        swagger_ui_parameters={
            "tryItOutEnabled": True,
            "filter": True,
            "defaultModelsExpandDepth": 0,
            "syntaxHighlight": False,
        },
    )
    api.router.routes.append(Route("/docs", _page(api, bytes(page.body).decode())))
    for name, media_type in ASSETS.items():
        body = (files("api.contract") / "swagger" / name).read_bytes()
        api.router.routes.append(Route(f"/docs/{name}", _static(body, media_type, {})))


def _page(api: FastAPI, viewer: str) -> Callable[[Request], Awaitable[Response]]:
    """The page of the viewer, which lists the operations before the viewer is loaded, and where it cannot run."""
    answer: Callable[[Request], Awaitable[Response]] | None = None

    async def first_or_same(request: Request) -> Response:
        nonlocal answer
        if answer is None:  # made at the first request, so that the start need not wait for it
            document = orjson.loads(COMMITTED.read_bytes()) if COMMITTED.is_file() else await to_thread(api.openapi)
            html = viewer.replace("<html>", '<html lang="en">').replace("</head>", f"{_PRELOAD}</head>")
            html = _EMPTY.sub(lambda _: render("operations.html", groups=_operations(document)), html)
            policy = _policy(html, api.state.settings.public_url)
            answer = _static(html.encode(), "text/html", {"Content-Security-Policy": policy})
        return await answer(request)

    return first_or_same


def _operations(document: dict[str, Any]) -> dict[str, list[dict[str, str]]]:
    """Id, method, path and summary of each operation, by its tag, in the order of the document."""
    groups: dict[str, list[dict[str, str]]] = {}
    for path, operations in document["paths"].items():
        for method, operation in operations.items():
            shown = {"id": operation["operationId"], "method": method.upper(), "path": path}
            groups.setdefault(operation["tags"][0], []).append(shown | {"summary": operation["summary"]})
    return groups


def _document(api: FastAPI) -> Callable[[Request], Awaitable[Response]]:
    """The committed document, compact; without it, one built at the first request."""
    url = api.state.settings.public_url
    # A shell has emptied the file when the command that writes it anew starts.
    committed = COMMITTED.read_bytes() if COMMITTED.is_file() else b""
    ready = static_answer(_installed(orjson.loads(committed), url)) if committed else None

    async def answer(request: Request) -> Response:
        nonlocal ready
        if ready is None:  # in a thread, since it takes a second
            ready = static_answer(_installed(await to_thread(api.openapi), url))
        return cacheable_response(request, ready, media_type="application/json", max_age_seconds=CACHED_SECONDS)

    return answer


def _installed(document: dict[str, Any], url: str | None) -> bytes:
    return orjson.dumps(with_public_url(document, url))


def _policy(html: str, public_url: str | None) -> str:
    """The page's Content-Security-Policy: nothing from elsewhere, no script but the bundle and the inline start."""
    service = f"'self' {public_origin(public_url or '')}".rstrip()  # requests go to the server that the document names
    inline = " ".join(hash_source(script) for script in _INLINE_SCRIPT.findall(html))
    return (
        # The bundle writes style attributes and has its icons as data URLs.
        f"default-src 'none'; script-src 'self' {inline}; style-src 'self' 'unsafe-inline'; img-src 'self' data:; "
        f"connect-src {service}; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
    )


def _static(body: bytes, media_type: str, headers: dict[str, str]) -> Callable[[Request], Awaitable[Response]]:
    content = static_answer(body)

    async def answer(request: Request) -> Response:
        return cacheable_response(
            request, content, media_type=media_type, max_age_seconds=CACHED_SECONDS, headers=headers
        )

    return answer
