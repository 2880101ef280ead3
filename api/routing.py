"""The one route class: a pure function of one validated request, answered as bytes.

FastAPI's declarations (and so the OpenAPI document) stay; what is replaced is its way from bytes to bytes:
the body is validated straight from the bytes and the answer, a dictionary, goes out through orjson. A test
validates every example's answer against the declared model, since nothing else would.
"""

import hashlib
from collections.abc import Awaitable, Callable, Coroutine, Mapping
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any, get_origin

import orjson
from fastapi.exceptions import RequestValidationError
from fastapi.routing import APIRoute
from pydantic import BaseModel, TypeAdapter, ValidationError
from starlette.datastructures import QueryParams
from starlette.requests import Request
from starlette.responses import Response

from api.problems import RequestProblem
from api.schemas import adapter

JSON = "application/json"
# Pydantic's message echoes keys of the caller; these say the same without.
_PLAIN_MESSAGES = {
    "extra_forbidden": "This field is not known here",
    "union_tag_invalid": "Not one of the shapes known here",
    "literal_error": "Not one of the values known here",
}


@dataclass(frozen=True, slots=True)
class Prepared:
    """An answer that never changes while the process lives, made once."""

    body: bytes
    etag: str


def prepare(answer: object) -> Prepared:
    """An answer as bytes, with the strong entity tag of those bytes."""
    body = orjson.dumps(answer)
    return Prepared(body, _etag(body))


class PureRoute(APIRoute):
    """A route whose endpoint is a pure function: no dependencies, no state, the same answer every time."""

    def get_route_handler(self) -> Callable[[Request], Coroutine[Any, Any, Response]]:
        """The handler that Starlette calls."""
        endpoint: Callable[..., Awaitable[Any]] = self.endpoint
        body_name, load_body = self._body()
        query_name, load_query = self._query()

        async def handler(request: Request) -> Response:
            arguments: dict[str, Any] = dict(request.path_params)
            if load_body is not None:
                arguments[body_name] = load_body(await _read(request))
            if load_query is not None:
                arguments[query_name] = load_query(request.query_params)
            return _respond(request, await endpoint(**arguments))

        return handler

    def _body(self) -> tuple[str, Callable[[bytes], Any] | None]:
        if self.body_field is None:
            return "", None
        load = adapter(self.body_field.field_info.annotation).validator.validate_json

        def load_body(raw: bytes) -> object:
            try:
                return load(raw)
            except ValidationError as error:
                raise _invalid("body", error) from None

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

        return fields[0].name, load_query


def _values(params: QueryParams, many: frozenset[str]) -> Mapping[str, object]:
    values: dict[str, object] = {}
    for name in params:
        given = params.getlist(name)
        values[name] = given if name in many or len(given) > 1 else given[0]
    return values


def _invalid(where: str, error: ValidationError) -> RequestValidationError:
    found = error.errors(include_url=False, include_input=False, include_context=False)
    return RequestValidationError(
        [
            {"type": one["type"], "loc": (where, *one["loc"]), "msg": _PLAIN_MESSAGES.get(one["type"], one["msg"])}
            for one in found
        ]
    )


async def _read(request: Request) -> bytes:
    kind = request.headers.get("content-type", "").partition(";")[0].strip().casefold()
    if kind != JSON and not (kind.startswith("application/") and kind.endswith("+json")):
        raise RequestProblem(
            HTTPStatus.UNSUPPORTED_MEDIA_TYPE, "unsupported-media-type", f"Send the body with Content-Type: {JSON}."
        )
    return await request.body()


def _respond(request: Request, answer: object) -> Response:
    if isinstance(answer, Response):
        return answer
    if request.method == "POST":
        return Response(orjson.dumps(answer), media_type=JSON, headers={"Cache-Control": "no-store"})
    made = answer if isinstance(answer, Prepared) else prepare(answer)
    headers = {"ETag": made.etag, "Cache-Control": f"public, max-age={request.app.state.settings.max_age_seconds}"}
    if _matches(request.headers.get("if-none-match"), made.etag):
        return Response(status_code=HTTPStatus.NOT_MODIFIED.value, headers=headers)
    return Response(made.body, media_type=JSON, headers=headers)


def _etag(body: bytes) -> str:
    return f'"{hashlib.blake2b(body, digest_size=12).hexdigest()}"'


def _matches(header: str | None, etag: str) -> bool:
    # RFC 9110, 13.1.2: a list, or *; the comparison is weak, so a W/ in front does not matter.
    if header is None:
        return False
    tags = {tag.strip().removeprefix("W/") for tag in header.split(",")}
    return "*" in tags or etag in tags
