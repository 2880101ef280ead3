"""`/docs`: the contract as a page, its script and style served by the service itself."""

from collections.abc import Awaitable, Callable
from importlib.resources import files

from fastapi import FastAPI
from fastapi.openapi.docs import get_swagger_ui_html
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

ASSETS = {
    "swagger-ui-bundle.js": "text/javascript",
    "swagger-ui.css": "text/css",
    "favicon-32x32.png": "image/png",
}
_DAY = {"Cache-Control": "public, max-age=86400"}


def install(api: FastAPI) -> None:
    """Add the page and what it loads; all addresses are relative to this service."""
    page = get_swagger_ui_html(
        openapi_url="openapi.json",
        title=f"{api.title}: the contract",
        swagger_js_url="docs/swagger-ui-bundle.js",
        swagger_css_url="docs/swagger-ui.css",
        swagger_favicon_url="docs/favicon-32x32.png",
        swagger_ui_parameters={"tryItOutEnabled": True, "filter": True},
    )
    page.body = bytes(page.body).replace(b"<html>", b'<html lang="en">')
    page.headers["content-length"] = str(len(page.body))

    async def docs(_: Request) -> Response:
        return page

    api.router.routes.append(Route("/docs", docs))
    api.router.routes += [Route(f"/docs/{name}", _asset(name)) for name in ASSETS]


def _asset(name: str) -> Callable[[Request], Awaitable[Response]]:
    body = (files("fastapi_swagger.resources") / name).read_bytes()

    async def asset(_: Request) -> Response:
        return Response(body, media_type=ASSETS[name], headers=_DAY)

    return asset
