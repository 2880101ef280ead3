"""Wires the parts, nothing else."""

from typing import Any

from fastapi import FastAPI
from starlette.middleware.cors import CORSMiddleware
from starlette.types import ASGIApp

from api import contract, docs, problems
from api.health import router as health
from api.methods import methods_by_path
from api.pages import site
from api.serving.edge import Edge
from api.settings import Settings
from api.shop import load_shop
from api.v1 import bake, balance, batches, convert, cost, cuts, eggs, label, oven, pieces, reference, rescale, tins

ROUTERS = (
    rescale.router,
    convert.router,
    eggs.router,
    tins.router,
    cuts.router,
    pieces.router,
    oven.router,
    bake.router,
    batches.router,
    cost.router,
    label.router,
    balance.router,
    reference.router,
    health,
)
DESCRIPTION = (
    "Recipe arithmetic for bake shops: a formula written for one tin, for every tin and custom size. Every figure says"
    " where it comes from and how far to trust it; what cannot be known is refused, with what would have worked."
    " Every POST is a pure function: it is safe to repeat, and needs no idempotency key."
)


def create_api(settings: Settings) -> FastAPI:
    """The application without its outermost layer: routes, problems, the OpenAPI document."""
    api = FastAPI(
        title="Tinwright",
        version="0.1.0",
        summary="Recipe arithmetic for bake shops",
        description=DESCRIPTION,
        docs_url=None,
        redoc_url=None,
        swagger_ui_oauth2_redirect_url=None,
        separate_input_output_schemas=False,
        servers=[{"url": "/", "description": "This service"}],
    )
    api.state.settings = settings
    api.state.book = load_shop(settings.shop_file)
    problems.install(api)
    for router in ROUTERS:
        api.include_router(router)
    docs.install(api)
    api.router.routes += site.ROUTES
    api.state.paths = methods_by_path([*api.routes, *(route for router in ROUTERS for route in router.routes)])
    _with_contract(api)
    return api


def create_app(settings: Settings | None = None) -> ASGIApp:
    """The whole service, as a server runs it."""
    settings = settings or Settings()
    api = create_api(settings)
    edge = Edge(api, paths=api.state.paths, max_body_bytes=settings.max_body_bytes)
    if not settings.cors_origins:
        return edge
    # Outermost, since it answers preflight requests itself. Nothing here depends on who asks: no credentials.
    return CORSMiddleware(
        edge,
        allow_origins=settings.cors_origins,
        allow_methods=["GET", "HEAD", "POST"],
        allow_headers=["Content-Type", "If-None-Match"],
        expose_headers=["ETag"],
        max_age=86_400,
    )


def _with_contract(api: FastAPI) -> None:
    plain = api.openapi

    def openapi() -> dict[str, Any]:
        if api.openapi_schema is None:
            document = plain()
            contract.complete(document)
            api.openapi_schema = document
        return api.openapi_schema

    api.openapi = openapi  # type: ignore[method-assign]
    api.openapi()  # once, at start: the first visitor of the docs should not wait for it
