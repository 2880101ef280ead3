"""The route class of every calculation: from the bytes of one request to the bytes of its answer.

FastAPI's declarations stay, and with them the OpenAPI document. Only its processing is replaced: the body is validated
straight from its bytes, and the answer, a dictionary, is serialised by orjson or written in another format
(`api.wire.formats`). A test validates every example against its model.
"""

import inspect
from collections.abc import Awaitable, Callable, Coroutine
from functools import lru_cache
from http import HTTPStatus
from typing import Any, TypeVar

import orjson
from fastapi.routing import APIRoute
from starlette.requests import Request
from starlette.responses import Response

from api.wire import partial, request_parts
from api.wire.caching import (
    SerializedAnswer,
    accepts_gzip,
    cache_control,
    is_cached,
    serialize_answer,
    static_answer,
    tagged,
)
from api.wire.figures_id import CURRENT, HEADER
from api.wire.formats import JSON, MEDIA_TYPES, Choice, ContentNegotiation, header_of
from api.wire.problems import InvalidRequest, domain_item
from api.wire.request_parts import Reading
from api.wire.table_writing import MAX_ANSWER_BYTES, too_large
from domain.errors import DomainError, DomainErrors

Endpoint = TypeVar("Endpoint", bound=Callable[..., Any])
_VARY = (b"vary", b"Accept")
_VARY_BOTH = (b"vary", b"Accept, Accept-Encoding")
_GZIP = (b"content-encoding", b"gzip")
_NO_STORE = (b"cache-control", b"no-store")
_BODY_READERS: dict[Callable[..., Any], Callable[[bytes], Any]] = {}


def read_body_with(reader: Callable[[bytes], Any]) -> Callable[[Endpoint], Endpoint]:
    """Read the usual bodies of an endpoint faster than its model does; use it below the router's decorator.

    Args:
        reader: returns the endpoint's argument, or None to let the model read the body and report its errors.
    """

    def register(endpoint: Endpoint) -> Endpoint:
        _BODY_READERS[endpoint] = reader
        return endpoint

    return register


class PureRoute(APIRoute):
    """A route whose endpoint is a pure function: no state, the same answer every time.

    A dependency of the endpoint (`Depends`) is a plain function of the request, and returns what is fixed when the
    service starts, such as the shop's book.
    """

    def __init__(self, path: str, endpoint: Callable[..., Any], **options: Any) -> None:  # noqa: ANN401 - FastAPI's own
        """As FastAPI does, but without the answer's validator, which is slow to build and not used."""
        self.answer_model = options.get("response_model")
        self.declared = options
        super().__init__(path, endpoint, **{**options, "response_model": None})

    def documented(self) -> APIRoute:
        """The same route with its answer model and formats, for the OpenAPI document."""
        negotiation = self._negotiation()
        declared = [
            name for parameter in self.dependant.query_params for name in _field_names(parameter.field_info.annotation)
        ]
        extra = self.declared.get("openapi_extra") or {}
        extra = {
            **extra,
            "parameters": [*extra.get("parameters", ()), *negotiation.parameters(frozenset(declared))],
            "responses": {"200": {"content": negotiation.contents()}},
        }
        return APIRoute(self.path, self.endpoint, **{**self.declared, "openapi_extra": extra})

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """The handler that Starlette calls."""
        endpoint: Callable[..., Awaitable[Any]] = self.endpoint
        negotiation = self._negotiation()
        read_parts = request_parts.reader(self, _BODY_READERS.get(self.endpoint))
        dependencies = [(str(each.name), each.call) for each in self.dependant.dependencies if each.call is not None]
        in_query = self.body_field is None
        has_figures = "figures" in _field_names(self.answer_model)

        async def handler(request: Request) -> Response:
            CURRENT.set(request.app.state.figures)
            choice, errors = _chosen(negotiation, request)
            format_name = choice.format_name
            readings = await read_parts(request)
            arguments = {name: reading.value for name, reading in readings.items() if name}
            for name, value_of in dependencies:
                arguments[name] = value_of(request)
            for reading in readings.values():
                errors += reading.errors
            if errors:
                raise await _invalid(errors, endpoint, arguments, readings, in_query=in_query)
            if custom := negotiation.custom.get(format_name):
                rendered = custom.render(**arguments)
                drawing = await rendered if inspect.isawaitable(rendered) else rendered
                return _send(request, tagged(drawing), custom.media_type)
            answer = await endpoint(**arguments)
            if isinstance(answer, Response):
                return answer
            if has_figures and not isinstance(answer, SerializedAnswer):
                answer["figures"] = request.app.state.figures
            if format_name == JSON and choice.mask is None:
                return _send(request, answer, MEDIA_TYPES[JSON])
            if not isinstance(answer, SerializedAnswer):
                _check_size(negotiation, answer, choice)
                answer = orjson.dumps(answer)  # frees the dictionaries before they are read back in full
            written = _written(negotiation, answer, choice)
            return _send(request, written, negotiation.content_type(format_name))

        self.handler: Callable[[Request], Coroutine[Any, Any, Response]] = handler
        return handler

    def _negotiation(self) -> ContentNegotiation:
        return ContentNegotiation(self.endpoint, self.answer_model, frozenset(self.methods or ()))


def _chosen(negotiation: ContentNegotiation, request: Request) -> tuple[Choice, list[dict[str, Any]]]:
    """The format and the parts of the answer, and what is wrong with them."""
    try:
        return negotiation.choose(request), []
    except DomainError as error:
        return Choice(JSON), [domain_item(error, in_query=True)]
    except DomainErrors as several:
        return Choice(JSON), [domain_item(error, in_query=True) for error in several.errors]


async def _invalid(
    errors: list[dict[str, Any]],
    endpoint: Callable[..., Awaitable[Any]],
    arguments: dict[str, Any],
    readings: dict[str, Reading],
    *,
    in_query: bool,
) -> InvalidRequest:
    """All errors of a request: those found so far, and the domain's on what is left without the places at fault."""
    kept: dict[Any, list[int]] = {}
    fits_schema = all(reading.fits_schema for reading in readings.values() if reading.errors)
    sent: Any = None
    places: partial.Places = set()
    for name, reading in readings.items():
        if not reading.errors:
            continue
        left = reading.validate and partial.validated(reading.sent, reading.places, reading.validate)
        if not left:
            return InvalidRequest(errors, fits_schema=fits_schema)
        arguments[name], kept = left
        sent, places = reading.sent, reading.places
    try:
        await endpoint(**arguments)
    except DomainError as error:
        domain_errors = [error]
    except DomainErrors as several:
        domain_errors = several.errors
    else:
        domain_errors = []
    if not fits_schema:
        domain_errors = partial.independent(domain_errors, sent, places, kept, in_query=in_query)
    items = [domain_item(error, in_query=in_query) for error in domain_errors]
    return InvalidRequest([*errors, *items], fits_schema=fits_schema)


def _field_names(model: Any) -> list[str]:  # noqa: ANN401 - the annotation of any endpoint
    return [info.alias or name for name, info in model.model_fields.items()] if hasattr(model, "model_fields") else []


def _check_size(negotiation: ContentNegotiation, answer: object, choice: Choice) -> None:
    try:
        negotiation.check_size(answer, choice)
    except DomainError as error:
        raise InvalidRequest([domain_item(error, in_query=True)], fits_schema=True) from None


def _written(negotiation: ContentNegotiation, answer: SerializedAnswer | bytes, choice: Choice) -> SerializedAnswer:
    """An answer in another format than JSON, or with the selected fields only."""
    try:
        if isinstance(answer, SerializedAnswer):
            if choice.mask is None:
                return _rewritten(negotiation, answer, choice.format_name, choice.field_path)
            answer = answer.body
        return tagged(negotiation.write(orjson.loads(answer), choice))
    except DomainError as error:
        raise InvalidRequest([domain_item(error, in_query=True)], fits_schema=True) from None


@lru_cache(maxsize=16)  # the whole ingredient table as CSV takes 200 times as long as looking it up
def _rewritten(
    negotiation: ContentNegotiation, answer: SerializedAnswer, format_name: str, field_path: str | None
) -> SerializedAnswer:
    return static_answer(negotiation.write(orjson.loads(answer.body), Choice(format_name, field_path)))


def _send(request: Request, answer: object, media_type: str) -> Response:
    content_type = (b"content-type", media_type.encode())
    figures = (HEADER, request.app.state.figures.encode())
    if request.method == "POST":
        body = answer.body if isinstance(answer, SerializedAnswer) else orjson.dumps(answer)
        return _response(HTTPStatus.OK, body, [content_type, _NO_STORE, _VARY, figures])
    serialized = answer if isinstance(answer, SerializedAnswer) else serialize_answer(answer)
    max_age = cache_control(request.app.state.settings.max_age_seconds).encode()
    vary = _VARY_BOTH if serialized.gzipped else _VARY
    headers = [(b"etag", serialized.etag.encode()), (b"cache-control", max_age), vary, figures]
    if is_cached(header_of(request, b"if-none-match"), serialized.etag):
        return _response(HTTPStatus.NOT_MODIFIED, b"", headers)
    if serialized.gzipped and accepts_gzip(request):
        return _response(HTTPStatus.OK, serialized.gzipped, [*headers, content_type, _GZIP])
    return _response(HTTPStatus.OK, serialized.body, [*headers, content_type])


def _response(status: HTTPStatus, body: bytes, headers: list[tuple[bytes, bytes]]) -> Response:
    if len(body) > MAX_ANSWER_BYTES:
        raise InvalidRequest([domain_item(too_large(len(body)), in_query=True)], fits_schema=True)
    response = Response(body, status_code=status.value)  # it adds Content-Length
    response.raw_headers += headers
    return response
