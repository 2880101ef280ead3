"""The one route class: a pure function of one validated request, answered as bytes.

FastAPI's declarations (and so the OpenAPI document) stay; what is replaced is its way from bytes to bytes:
the body is validated straight from the bytes and the answer, a dictionary, goes out through orjson, or as another
format (`api.wire.formats`). A test validates every example against its model.
"""

import inspect
from collections.abc import Awaitable, Callable, Coroutine, Mapping
from dataclasses import dataclass
from functools import lru_cache
from http import HTTPStatus
from typing import Any, TypeVar, get_origin

import orjson
from fastapi.exceptions import RequestValidationError
from fastapi.routing import APIRoute
from pydantic import BaseModel, TypeAdapter, ValidationError
from starlette.datastructures import QueryParams
from starlette.requests import Request
from starlette.responses import Response

from api.wire.bounded import MOST_FIELDS, TooManyFields, bounded
from api.wire.caching import entity_tag, is_cached
from api.wire.formats import JSON, MEDIA_TYPES, NAMES, ContentNegotiation, header_of
from api.wire.problems import RequestProblem
from api.wire.schemas import FORM_TAGS, adapter

_JSON_TYPE = MEDIA_TYPES[JSON]
Endpoint = TypeVar("Endpoint", bound=Callable[..., Any])
# Pydantic's message echoes keys of the caller; these say the same without.
_PLAIN_MESSAGES = {
    "extra_forbidden": "This field is not known here",
    "union_tag_invalid": "Not one of the shapes known here",
}
# What pydantic calls it that a value is not of the type of one of its forms.
_OTHER_TYPE = {"string_type", "float_type", "list_type", "model_type", "model_attributes_type", "dict_type"}
_VARY = (b"vary", b"Accept")
_NO_STORE = (b"cache-control", b"no-store")


_READ_BY: dict[Callable[..., Any], Callable[[bytes], Any]] = {}


def read_body_with(reader: Callable[[bytes], Any]) -> Callable[[Endpoint], Endpoint]:
    """Have an endpoint's usual bodies read by something quicker than its model; put it under the router's decorator.

    Args:
        reader: what it returns is what the endpoint gets; None where the model shall read, and say what is wrong.
    """

    def register(endpoint: Endpoint) -> Endpoint:
        _READ_BY[endpoint] = reader
        return endpoint

    return register


@dataclass(frozen=True, slots=True)
class SerializedAnswer:
    """An answer that never changes while the process lives, made once."""

    body: bytes
    etag: str


def serialize_answer(answer: object) -> SerializedAnswer:
    """An answer as bytes, with the strong entity tag of those bytes."""
    body = orjson.dumps(answer)
    return SerializedAnswer(body, entity_tag(body))


class PureRoute(APIRoute):
    """A route whose endpoint is a pure function: no state, the same answer every time.

    What it depends on (`Depends`) is fixed when the service starts, such as the shop's book, and taken from the
    application by a plain function of the request.
    """

    def __init__(self, path: str, endpoint: Callable[..., Any], **options: Any) -> None:  # noqa: ANN401 - FastAPI's own
        """As FastAPI has it, but for the answer's model: nothing here needs its validator, which takes long to make."""
        self.answer_model = options.get("response_model")
        self.declared = options
        super().__init__(path, endpoint, **{**options, "response_model": None})

    def documented(self) -> APIRoute:
        """The same route with all that it declares, and the formats, for the OpenAPI document."""
        offer = self._offer()
        taken = frozenset(name for field in self.dependant.query_params for name in _names(field.field_info.annotation))
        extra = self.declared.get("openapi_extra") or {}
        extra = {
            **extra,
            "parameters": [*extra.get("parameters", ()), *offer.parameters(taken)],
            "responses": {"200": {"content": offer.contents()}},
        }
        return APIRoute(self.path, self.endpoint, **{**self.declared, "openapi_extra": extra})

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """The handler that Starlette calls."""
        endpoint: Callable[..., Awaitable[Any]] = self.endpoint
        offer = self._offer()
        body_name, load_body = self._body()
        query_name, load_query = self._query()
        fixed = [(str(one.name), one.call) for one in self.dependant.dependencies if one.call is not None]

        async def handler(request: Request) -> Response:
            name, path = offer.choose(request)
            arguments: dict[str, Any] = dict(request.path_params)
            if load_body is not None:
                arguments[body_name] = load_body(await _read(request))
            elif load_query is not None:
                arguments[query_name] = load_query(request.query_params)
            else:
                _nothing_more(request)
            for fixed_name, taken_from in fixed:
                arguments[fixed_name] = taken_from(request)
            if own := offer.own.get(name):
                made = own.render(**arguments)
                drawn = await made if inspect.isawaitable(made) else made
                return _send(request, _tagged(drawn), own.media_type)
            answer = await endpoint(**arguments)
            if isinstance(answer, Response):
                return answer
            if name == JSON:
                return _send(request, answer, _JSON_TYPE)
            return _send(request, _shown(offer, answer, name, path), offer.content_type(name))

        self.handler: Callable[[Request], Coroutine[Any, Any, Response]] = handler
        return handler

    def _offer(self) -> ContentNegotiation:
        return ContentNegotiation(self.endpoint, self.answer_model, frozenset(self.methods or ()))

    def _body(self) -> tuple[str, Callable[[bytes], Any] | None]:
        if self.body_field is None:
            return "", None
        load, quick = bounded(adapter(self.body_field.field_info.annotation)), _READ_BY.get(self.endpoint)

        def load_body(raw: bytes) -> object:
            if quick is not None and (found := quick(raw)) is not None:
                return found
            try:
                return load(raw)
            except ValidationError as error:
                raise _invalid("body", error) from None
            except TooManyFields:
                raise _too_many() from None

        return self.dependant.body_params[0].name, load_body

    def _query(self) -> tuple[str, Callable[[QueryParams], Any] | None]:
        fields = self.dependant.query_params
        if not fields:
            return "", None
        model: type[BaseModel] = fields[0].field_info.annotation  # type: ignore[assignment]
        many = frozenset(name for name, field in model.model_fields.items() if get_origin(field.annotation) is list)
        load: TypeAdapter[Any] = adapter(model)

        def load_query(params: QueryParams) -> object:
            try:
                return load.validate_python(_values(params, many))
            except ValidationError as error:
                raise _invalid("query", error) from None
            except TooManyFields:
                raise _too_many() from None

        return fields[0].name, load_query


def _names(model: Any) -> list[str]:  # noqa: ANN401 - whatever an endpoint declares
    return [info.alias or name for name, info in model.model_fields.items()] if hasattr(model, "model_fields") else []


def _values(params: QueryParams, many: frozenset[str]) -> Mapping[str, object]:
    values: dict[str, object] = {}
    lists: dict[str, list[str]] = {}
    for name, given in params.multi_items():  # once, since a query may repeat itself thousands of times
        if name not in NAMES:
            lists.setdefault(name, []).append(given)
    if len(lists) > MOST_FIELDS:
        raise TooManyFields
    for name, several in lists.items():
        values[name] = several if name in many or len(several) > 1 else several[0]
    return values


def _nothing_more(request: Request) -> None:
    if not request.scope["query_string"] or request.method != "GET":
        return
    if unknown := [name for name in request.query_params if name not in NAMES]:
        raise RequestValidationError(
            [
                {"type": "extra_forbidden", "loc": ("query", name), "msg": _PLAIN_MESSAGES["extra_forbidden"]}
                for name in unknown
            ]
        )


def _too_many() -> RequestProblem:
    return RequestProblem(
        HTTPStatus.UNPROCESSABLE_ENTITY,
        "invalid-request",
        "Some object here has more fields, some list more items, or the whole more of both, than anything known here.",
    )


def _invalid(where: str, error: ValidationError) -> RequestValidationError:
    found = _of_the_form_meant(error.errors(include_url=False, include_input=False, include_context=False))
    return RequestValidationError(
        [
            {"type": one["type"], "loc": (where, *one["loc"]), "msg": _plain_message(one["type"], one["msg"])}
            for one in found
        ]
    )


def _of_the_form_meant(found: list[Any]) -> list[Any]:
    """Where a value may have several forms, only what is wrong with the form it has.

    Of the other forms pydantic says that the value is of another type, at the form's tag and nothing deeper.
    """
    kept: list[Any] = []
    strangers: dict[tuple[str | int, ...], Any] = {}
    answered: set[tuple[str | int, ...]] = set()
    for one in found:
        tagged = [i for i, part in enumerate(one["loc"]) if part in FORM_TAGS]
        answered |= {one["loc"][:i] for i in tagged[:-1]}
        if tagged and tagged[-1] == len(one["loc"]) - 1 and one["type"] in _OTHER_TYPE:
            strangers.setdefault(one["loc"][:-1], one)
            continue
        answered |= {one["loc"][:i] for i in tagged[-1:]}
        kept.append(one)
    if not strangers:
        return kept
    return kept + [one for place, one in strangers.items() if place not in answered]


def _plain_message(kind: str, message: str) -> str:
    own = message.removeprefix("Value error, ")  # the library's words before ours
    return _PLAIN_MESSAGES.get(kind, own[:1].upper() + own[1:])


async def _read(request: Request) -> bytes:
    kind = header_of(request, b"content-type").partition(";")[0].strip().casefold()
    if kind != _JSON_TYPE and not (kind.startswith("application/") and kind.endswith("+json")):
        raise RequestProblem(
            HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
            "unsupported-media-type",
            f"Send the body with Content-Type: {_JSON_TYPE}.",
            headers={"Accept-Post": _JSON_TYPE},
        )
    if header_of(request, b"content-encoding").strip().casefold() not in {"", "identity"}:
        raise RequestProblem(
            HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
            "unsupported-content-encoding",
            "Send the body as it is, without a Content-Encoding.",
            headers={"Accept-Encoding": "identity"},
        )
    return await request.body()


def _shown(offer: ContentNegotiation, answer: object, name: str, path: str | None) -> SerializedAnswer:
    if isinstance(answer, SerializedAnswer):
        return _reshown(offer, answer, name, path)
    # Parts of an answer may be JSON already (`api.wire.answers.frozen`), which the other formats cannot look into.
    return _tagged(offer.show(orjson.loads(orjson.dumps(answer)), name, path))


@lru_cache(maxsize=16)
def _reshown(offer: ContentNegotiation, answer: SerializedAnswer, name: str, path: str | None) -> SerializedAnswer:
    return _tagged(offer.show(orjson.loads(answer.body), name, path))


def _send(request: Request, answer: object, media_type: str) -> Response:
    kind = (b"content-type", media_type.encode())
    if request.method == "POST":
        body = answer.body if isinstance(answer, SerializedAnswer) else orjson.dumps(answer)
        return _response(HTTPStatus.OK, body, [kind, _NO_STORE, _VARY])
    made = answer if isinstance(answer, SerializedAnswer) else serialize_answer(answer)
    headers = [(b"etag", made.etag.encode()), _kept(request.app.state.settings.max_age_seconds), _VARY]
    if is_cached(header_of(request, b"if-none-match"), made.etag):
        return _response(HTTPStatus.NOT_MODIFIED, b"", headers)
    return _response(HTTPStatus.OK, made.body, [*headers, kind])


def _response(status: HTTPStatus, body: bytes, headers: list[tuple[bytes, bytes]]) -> Response:
    response = Response(body, status_code=status.value)  # which adds the length; the rest is bytes already
    response.raw_headers += headers
    return response


@lru_cache(maxsize=1)
def _kept(max_age_seconds: int) -> tuple[bytes, bytes]:
    return b"cache-control", f"public, max-age={max_age_seconds}".encode()


def _tagged(shown: str | bytes) -> SerializedAnswer:
    body = shown.encode() if isinstance(shown, str) else shown
    return SerializedAnswer(body, entity_tag(body))
