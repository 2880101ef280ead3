"""Builds the application from its parts."""

import warnings
from typing import Any

from fastapi import FastAPI
from pydantic.warnings import UnsupportedFieldAttributeWarning
from starlette.routing import Route
from starlette.types import ASGIApp

from api import __version__
from api.contract import deprecation, docs
from api.contract import document as contract
from api.contract.deprecation import Deprecations
from api.pages import site
from api.serving.compression import Compression
from api.serving.concurrency import ConcurrencyLimit
from api.serving.draining import Drain, Draining
from api.serving.head_and_options import HeadAndOptions
from api.serving.hosts import AllowedHosts
from api.serving.keys.access import Access
from api.serving.keys.keyring import Keyring
from api.serving.observing import scraping
from api.serving.observing.health import router as health
from api.serving.observing.metrics import process_metrics
from api.serving.observing.request_log import RequestLog, templates
from api.serving.request_body import RequestBody
from api.serving.request_limits import RequestLimits
from api.serving.response_slices import ResponseSlices
from api.serving.security_headers import SecurityHeaders
from api.settings import Settings
from api.shop_file import load_shop
from api.v1.bake import routes as bake
from api.v1.balance import routes as balance
from api.v1.batches import routes as batches
from api.v1.convert import routes as convert
from api.v1.convert.columns import routes as convert_columns
from api.v1.cool import routes as cool
from api.v1.cost import routes as cost
from api.v1.cuts import routes as cuts
from api.v1.eggs import routes as eggs
from api.v1.formulas import routes as formulas
from api.v1.label import routes as label
from api.v1.oven import routes as oven
from api.v1.pieces import routes as pieces
from api.v1.reference import routes as reference
from api.v1.rescale import routes as rescale
from api.v1.tins import routes as tins
from api.v1.tins.choose import routes as tins_choose
from api.wire import problems
from api.wire.cors import ProblemCORSMiddleware
from api.wire.direct_dispatch import DirectDispatch
from api.wire.figures_id import figures_of
from api.wire.methods import methods_by_path
from api.wire.public_url import PublicUrl
from api.wire.routing import PureRoute

ROUTERS = (
    formulas.router,
    rescale.router,
    convert.router,
    convert_columns.router,
    eggs.router,
    tins.router,
    tins_choose.router,
    cuts.router,
    pieces.router,
    oven.router,
    bake.router,
    cool.router,
    batches.router,
    cost.router,
    label.router,
    balance.router,
    reference.router,
    health,
)
VERSION = __version__
DESCRIPTION = (
    "Recipe arithmetic for bake shops: a formula written for one tin, rescaled for every tin and custom size. Every"
    " figure states its source and its range. What cannot be known is refused, with the values that would be accepted."
    " Every POST is a pure function: it is safe to repeat and needs no idempotency key."
    " The page [/changes](changes) says how this contract changes."
    " No licence has been chosen yet, so none is stated here."
)


def create_api(settings: Settings) -> FastAPI:
    """Create the application without its outer layers: routes, problem documents and the OpenAPI document.

    Args:
        settings: of the process.

    Returns:
        The FastAPI application.

    Raises:
        ValueError: the shop file is invalid.
    """
    api = _framework()
    api.state.settings = settings
    api.state.book = load_shop(settings.shop_file)
    api.state.figures = figures_of(settings.shop_file)
    api.state.drain = Drain()
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


def create_app(
    settings: Settings | None = None, *, hosts: frozenset[str] = frozenset(), drain: Drain | None = None
) -> ASGIApp:
    """Create the whole service, as a server runs it.

    Args:
        settings: of the process; read from the environment by default.
        hosts: the host names to answer to; all by default.
        drain: shared with the server that runs the application.

    Returns:
        The ASGI application.

    Raises:
        ValueError: the shop file or the keys file is invalid.
    """
    settings = settings or Settings()
    api = create_api(settings)
    api.state.drain = drain or api.state.drain
    app = _with_limits(api, settings, hosts)
    if settings.cors_origins:
        app = _with_cors(app, settings.cors_origins)
    app = Draining(app, drain=api.state.drain, seconds=settings.drain_seconds)
    app = ResponseSlices(app, seconds=settings.write_seconds)
    metrics = process_metrics() if settings.metrics else None
    app = RequestLog(app, template_of=api.state.template_of, metrics=metrics)
    if deprecation.OPERATIONS:
        app = Deprecations(app, operations=deprecation.OPERATIONS, template_of=api.state.template_of)
    if settings.public_url:
        app = PublicUrl(app, url=settings.public_url)
    return SecurityHeaders(app, for_other_origins=bool(settings.cors_origins), tls_in_front=settings.tls_in_front)


def _with_limits(api: FastAPI, settings: Settings, hosts: frozenset[str]) -> ASGIApp:
    """The layers that a request passes before its route, innermost first."""
    app: ASGIApp = DirectDispatch(api, (route for router in ROUTERS for route in router.routes))
    app = ConcurrencyLimit(app, max_in_work=settings.max_in_work)
    app = RequestBody(app, max_bytes=settings.max_body_bytes, seconds=settings.body_seconds)
    app = Access(app, keyring=Keyring(settings.keys_file) if settings.keys_file else None)
    app = RequestLimits(
        app,
        max_url_bytes=settings.max_url_bytes,
        max_header_bytes=settings.max_header_bytes,
        max_headers=settings.max_headers,
    )
    if hosts:
        app = AllowedHosts(app, hosts=hosts)
    if settings.compression:
        app = Compression(app)
    return HeadAndOptions(app, paths=api.state.paths)  # outermost, so that HEAD and GET are refused alike


def _with_cors(app: ASGIApp, origins: list[str]) -> ASGIApp:
    """Outside the key check, since a page must be able to read a refusal and preflight requests carry no key.

    Credentials are not allowed: a page sends its key in a header of its own. The password that a browser stores for a
    person must not be sent by pages of other origins.
    """
    return ProblemCORSMiddleware(
        app,
        allow_origins=origins,
        allow_methods=["GET", "HEAD", "POST"],
        allow_headers=["Authorization", "Content-Type", "If-None-Match", "Traceparent", "X-Request-ID"],
        expose_headers=[
            "Deprecation",
            "ETag",
            "Link",
            "Retry-After",
            "Sunset",
            "WWW-Authenticate",
            "X-Figures",
            "X-Request-ID",
        ],
        max_age=86_400,
    )


def _framework() -> FastAPI:
    return FastAPI(
        title="Tinwright",
        version=VERSION,
        summary="Recipe arithmetic for bake shops",
        description=DESCRIPTION,
        openapi_url=None,
        redirect_slashes=False,  # a redirect would send the caller and its key to whatever Host names
        docs_url=None,
        redoc_url=None,
        swagger_ui_oauth2_redirect_url=None,
        separate_input_output_schemas=False,
        servers=[{"url": "/", "description": "This service"}],
    )


def _with_contract(api: FastAPI) -> None:
    """Generate the OpenAPI document on demand only: it takes a second, and `api.contract.docs` serves a stored copy."""

    def openapi() -> dict[str, Any]:
        if api.openapi_schema is None:
            described = _framework()
            described.router.routes += [
                route.documented() if isinstance(route, PureRoute) else route
                for router in ROUTERS
                for route in router.routes
            ]
            with warnings.catch_warnings():
                # FastAPI declares fields with attributes that pydantic ignores and warns about.
                warnings.simplefilter("ignore", UnsupportedFieldAttributeWarning)
                document = described.openapi()
            contract.complete(document)
            api.openapi_schema = document
        return api.openapi_schema

    api.openapi = openapi  # type: ignore[method-assign]
