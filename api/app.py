"""Wires the parts, nothing else."""

import warnings
from typing import Any

from fastapi import FastAPI
from pydantic.warnings import UnsupportedFieldAttributeWarning
from starlette.routing import Route
from starlette.types import ASGIApp

from api.contract import docs
from api.contract import document as contract
from api.pages import site
from api.serving.admission import Admission
from api.serving.edge import Edge
from api.serving.headers import SafeHeaders
from api.serving.keys.access import Access
from api.serving.keys.keyring import Keyring
from api.serving.observing import scraping
from api.serving.observing.health import router as health
from api.serving.observing.metrics import process_metrics
from api.serving.observing.request_log import RequestLog, templates
from api.settings import Settings
from api.v1.bake import routes as bake
from api.v1.balance import routes as balance
from api.v1.batches import routes as batches
from api.v1.convert import routes as convert
from api.v1.convert.columns import routes as convert_columns
from api.v1.cost import routes as cost
from api.v1.cuts import routes as cuts
from api.v1.eggs import routes as eggs
from api.v1.label import routes as label
from api.v1.oven import routes as oven
from api.v1.pieces import routes as pieces
from api.v1.reference import routes as reference
from api.v1.rescale import routes as rescale
from api.v1.shop.file import load_shop
from api.v1.tins import routes as tins
from api.wire import problems
from api.wire.cors import ProblemCORSMiddleware
from api.wire.direct_dispatch import DirectDispatch
from api.wire.methods import methods_by_path
from api.wire.routing import PureRoute

ROUTERS = (
    rescale.router,
    convert.router,
    convert_columns.router,
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
VERSION = "0.1.0"
DESCRIPTION = (
    "Recipe arithmetic for bake shops: a formula written for one tin, for every tin and custom size. Every figure says"
    " where it comes from and how far to trust it; what cannot be known is refused, with what would have worked."
    " Every POST is a pure function: it is safe to repeat, and needs no idempotency key."
)


def create_api(settings: Settings) -> FastAPI:
    """The application without its outer layers: routes, problems, the OpenAPI document."""
    api = _framework()
    api.state.settings = settings
    api.state.book = load_shop(settings.shop_file)
    problems.install(api)
    for router in ROUTERS:
        api.include_router(router)
    docs.install(api)
    api.router.routes += site.ROUTES
    if settings.metrics and settings.metrics_port is None:
        api.router.routes.append(Route(scraping.PATH, scraping.endpoint(VERSION)))
    routes = [*api.routes, *(route for router in ROUTERS for route in router.routes)]
    api.state.paths, api.state.template_of = methods_by_path(routes), templates(routes)
    _with_contract(api)
    return api


def create_app(settings: Settings | None = None) -> ASGIApp:
    """The whole service, as a server runs it."""
    settings = settings or Settings()
    api = create_api(settings)
    metrics = process_metrics() if settings.metrics else None
    seen = RequestLog(_guarded(api, settings), template_of=api.state.template_of, metrics=metrics)
    return SafeHeaders(seen, for_other_origins=bool(settings.cors_origins), tls_in_front=settings.tls_in_front)


def _guarded(api: FastAPI, settings: Settings) -> ASGIApp:
    straight = DirectDispatch(api, (route for router in ROUTERS for route in router.routes))
    edge = Edge(
        straight,
        paths=api.state.paths,
        max_body_bytes=settings.max_body_bytes,
        max_url_bytes=settings.max_url_bytes,
    )
    admission = Admission(Access(edge, keyring=Keyring(settings.keys_file) if settings.keys_file else None))
    if not settings.cors_origins:
        return admission
    # Outside of both, since it answers preflight requests itself, and a refusal is to be read too. No credentials: a
    # page sends its key in a header of its own; what a browser remembers for a person is not for pages of others.
    return ProblemCORSMiddleware(
        admission,
        allow_origins=settings.cors_origins,
        allow_methods=["GET", "HEAD", "POST"],
        allow_headers=["Authorization", "Content-Type", "If-None-Match", "Traceparent", "X-Request-ID"],
        expose_headers=["ETag", "Retry-After", "WWW-Authenticate", "X-Request-ID"],
        max_age=86_400,
    )


def _framework() -> FastAPI:
    return FastAPI(
        title="Tinwright",
        version=VERSION,
        summary="Recipe arithmetic for bake shops",
        description=DESCRIPTION,
        openapi_url=None,
        redirect_slashes=False,  # it would send the caller, and its key, to whatever Host said
        docs_url=None,
        redoc_url=None,
        swagger_ui_oauth2_redirect_url=None,
        separate_input_output_schemas=False,
        servers=[{"url": "/", "description": "This service"}],
    )


def _with_contract(api: FastAPI) -> None:
    """Make the document when it is asked for: that is slow, and `api.contract.docs` has it ready."""

    def openapi() -> dict[str, Any]:
        if api.openapi_schema is None:
            described = _framework()
            described.router.routes += [
                route.documented() if isinstance(route, PureRoute) else route
                for router in ROUTERS
                for route in router.routes
            ]
            with warnings.catch_warnings():
                # The framework's fields carry what pydantic finds useless where they stand; it hides that itself when
                # validators are made at once.
                warnings.simplefilter("ignore", UnsupportedFieldAttributeWarning)
                document = described.openapi()
            contract.complete(document)
            api.openapi_schema = document
        return api.openapi_schema

    api.openapi = openapi  # type: ignore[method-assign]
