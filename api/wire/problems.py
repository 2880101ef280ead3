"""Every refusal as `application/problem+json` (RFC 9457), in one place; the input is never echoed."""

import json
from collections.abc import Awaitable, Callable, Iterable, Sequence
from http import HTTPStatus
from typing import Any

import orjson
from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from pydantic import Field
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from api.wire.methods import allowed_methods
from api.wire.request_state import REFUSED_STATUS
from api.wire.schemas import Answer
from domain.errors import DomainError, DomainErrors, Path

PROBLEM_JSON = "application/problem+json"
MOST_ERRORS = 50  # our own limit: a caller mends these first
MAX_CELL_TEXT, MOST_IN_A_CELL = 250, 8  # our own limits: what a person reads in a cell
Handler = Callable[[Request, Any], Awaitable[Response]]


class ProblemError(Answer):
    """One thing that is wrong: where, what, and what would have worked."""

    pointer: str | None = Field(default=None, description="JSON pointer (RFC 6901) into the body.")
    parameter: str | None = Field(default=None, description="Name of the query parameter.")
    code: str = Field(description="Public and stable.", examples=["unknown-ingredient"])
    message: str
    candidates: list[str] | None = Field(default=None, description="What would have been accepted, nearest first.")


class Problem(Answer):
    """RFC 9457 problem details."""

    type: str = Field(examples=["/problems/unknown-ingredient"])
    title: str
    status: int
    detail: str
    errors: list[ProblemError]


class RequestProblem(Exception):  # noqa: N818 - it is a problem document on its way out
    """A refusal found while HTTP is read, before any model."""

    def __init__(self, status: HTTPStatus, code: str, detail: str, headers: dict[str, str] | None = None) -> None:
        """Keep what `problem` needs."""
        super().__init__(detail)
        self.status, self.code, self.detail, self.headers = status, code, detail, headers


class MissingResource(Exception):  # noqa: N818 - it is a problem document on its way out
    """A path that names a thing we do not have."""

    def __init__(self, reason: DomainError) -> None:
        """Keep why, with the names that would have been found."""
        super().__init__(reason.detail)
        self.reason = reason


RESPONSES: dict[int | str, dict[str, Any]] = {
    status.value: {
        "description": status.phrase,
        "content": {PROBLEM_JSON: {"schema": {"$ref": "#/components/schemas/Problem"}}},
    }
    for status in (
        HTTPStatus.BAD_REQUEST,
        HTTPStatus.UNAUTHORIZED,
        HTTPStatus.FORBIDDEN,
        HTTPStatus.NOT_FOUND,
        HTTPStatus.METHOD_NOT_ALLOWED,
        HTTPStatus.NOT_ACCEPTABLE,
        HTTPStatus.REQUEST_TIMEOUT,
        HTTPStatus.REQUEST_ENTITY_TOO_LARGE,
        HTTPStatus.REQUEST_URI_TOO_LONG,
        HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
        HTTPStatus.UNPROCESSABLE_ENTITY,
        HTTPStatus.REQUEST_HEADER_FIELDS_TOO_LARGE,
        HTTPStatus.INTERNAL_SERVER_ERROR,
        HTTPStatus.NOT_IMPLEMENTED,
        HTTPStatus.SERVICE_UNAVAILABLE,
        HTTPStatus.HTTP_VERSION_NOT_SUPPORTED,
    )
}


def problem(
    status: HTTPStatus,
    code: str,
    detail: str,
    errors: Sequence[dict[str, Any]] = (),
    headers: dict[str, str] | None = None,
) -> Response:
    """One problem document."""
    body = {
        "type": f"/problems/{code}",
        "title": title_of(code),
        "status": status.value,
        "detail": detail,
        "errors": list(errors),
    }
    headers = {"Cache-Control": "no-store", **(headers or {})}
    return Response(orjson.dumps(body), status_code=status.value, media_type=PROBLEM_JSON, headers=headers)


def title_of(code: str) -> str:
    """The code as words: `unknown-ingredient` is "Unknown ingredient"."""
    return code.replace("-", " ").capitalize()


def domain_problem(errors: list[DomainError], *, in_query: bool) -> dict[str, Any]:
    """What a refusal by the domain looks like inside a result that answers other items."""
    found = [_of_domain(error, in_query=in_query) for error in errors[:MOST_ERRORS]]
    code = errors[0].code if len({error.code for error in errors}) == 1 else "several-problems"
    listed = "each is listed" if len(errors) <= MOST_ERRORS else f"the first {MOST_ERRORS} are listed"
    detail = errors[0].detail if len(errors) == 1 else f"{len(errors)} things to mend; {listed}."
    return {
        "type": f"/problems/{code}",
        "title": title_of(code),
        "status": HTTPStatus.UNPROCESSABLE_ENTITY.value,
        "detail": detail,
        "errors": found,
    }


def install(app: FastAPI) -> None:
    """Put the handlers in place: four kinds of exception and what reading HTTP refuses, no more."""
    for kind, handler in HANDLERS.items():
        app.add_exception_handler(kind, handler)
    app.add_exception_handler(Exception, _on_unexpected)


def _or_in_a_cell(handler: Handler) -> Handler:
    """A spreadsheet's cell shows nothing of an answer above 299: for `format=cell` a client error becomes a text."""

    async def handle(request: Request, error: Any) -> Response:  # noqa: ANN401 - each handler takes its own kind
        return in_a_cell_if_asked(request, await handler(request, error))

    return handle


def in_a_cell_if_asked(request: Request, refusal: Response) -> Response:
    """Return a client error as a text with status 200 if the request has `format=cell`, otherwise unchanged."""
    wanted = request.method in {"GET", "HEAD"} and "cell" in request.query_params.getlist("format")
    if not wanted or refusal.status_code >= 500:
        return refusal
    request.scope.setdefault("state", {})[REFUSED_STATUS] = refusal.status_code  # the log and the metrics show this one
    return _in_a_cell(refusal)


def _in_a_cell(refusal: Response) -> Response:
    body = orjson.loads(refusal.body)
    first: dict[str, Any] = next(iter(body["errors"]), {})
    place, words = first.get("parameter"), first.get("message", body["detail"])
    missing = [name for name in first.get("candidates", ()) if name not in words][:MOST_IN_A_CELL]
    text = f"# {place}: {words}" if place else f"# {words}"
    text = f"{text.rstrip('.')}: {', '.join(missing)}" if missing else text
    # The sign and the letters after it keep it from being read as a number or a date.
    return Response(
        " ".join(text.split())[:MAX_CELL_TEXT],
        media_type="text/plain",
        headers={"Cache-Control": "no-store", "Vary": "Accept"},
    )


async def _on_domain_error(request: Request, error: DomainError) -> Response:
    return _domain_response(request, [error])


async def _on_domain_errors(request: Request, error: DomainErrors) -> Response:
    return _domain_response(request, error.errors)


async def _on_missing(request: Request, error: MissingResource) -> Response:
    return _domain_response(request, [error.reason], HTTPStatus.NOT_FOUND)


def _domain_response(
    request: Request, errors: list[DomainError], status: HTTPStatus = HTTPStatus.UNPROCESSABLE_ENTITY
) -> Response:
    body = domain_problem(errors, in_query=request.method in {"GET", "HEAD"})
    return problem(status, body["type"].rsplit("/", 1)[1], body["detail"], body["errors"])


async def _on_request_problem(_: Request, error: RequestProblem) -> Response:
    return problem(error.status, error.code, error.detail, headers=error.headers)


async def _on_invalid(request: Request, error: RequestValidationError) -> Response:
    found = error.errors()
    if any(one["type"] == "json_invalid" for one in found):
        return problem(HTTPStatus.BAD_REQUEST, "malformed-json", "The body is not JSON as RFC 8259 has it.")
    in_query = request.method in {"GET", "HEAD"}
    body = None if in_query else await _json_of(request)
    errors = [_of_model(one, body, in_query=in_query) for one in found[:MOST_ERRORS]]
    detail = "The request does not fit the schema." if len(found) > 1 else f"{errors[0]['message']}."
    return problem(HTTPStatus.UNPROCESSABLE_ENTITY, "invalid-request", detail, errors)


async def _on_http_exception(request: Request, error: HTTPException) -> Response:
    status = HTTPStatus(error.status_code)
    headers = dict(error.headers or {})
    if status == HTTPStatus.METHOD_NOT_ALLOWED:
        headers["Allow"] = ", ".join(allowed_methods(request.app.state.paths, request.url.path))
    code = status.phrase.casefold().replace(" ", "-")
    details = {
        HTTPStatus.NOT_FOUND: "Nothing is here; GET /openapi.json lists every path.",
        HTTPStatus.METHOD_NOT_ALLOWED: f"This path answers {headers.get('Allow')}.",
    }
    return problem(status, code, details.get(status, f"{status.phrase}."), headers=headers)


def unexpected() -> Response:
    """The answer to an error of ours; `api.serving.observing.request_log` logs it, with the request's id."""
    return problem(
        HTTPStatus.INTERNAL_SERVER_ERROR, "internal-error", "Our fault, and logged; the same request will fail again."
    )


async def _on_unexpected(_request: Request, _error: Exception) -> Response:
    return unexpected()


def pointer_to(path: Iterable[str | int]) -> str:
    """RFC 6901 pointer; the whole document is the empty string."""
    return "".join("/" + str(part).replace("~", "~0").replace("/", "~1") for part in path)


def _of_domain(error: DomainError, *, in_query: bool) -> dict[str, Any]:
    found = {**_place(error.path, in_query=in_query), "code": error.code, "message": error.detail}
    return found | {"candidates": list(error.candidates)} if error.candidates else found


def _of_model(one: dict[str, Any], body: object, *, in_query: bool) -> dict[str, Any]:
    path = (
        tuple(one["loc"][1:]) if in_query else _path_in(body, tuple(one["loc"][1:]), missing=one["type"] == "missing")
    )
    return {**_place(path, in_query=in_query), "code": one["type"].replace("_", "-"), "message": one["msg"]}


def _place(path: Path, *, in_query: bool) -> dict[str, str]:
    if in_query:
        return {"parameter": str(path[0])} if path else {}
    return {"pointer": pointer_to(path)}


async def _json_of(request: Request) -> object:
    try:
        # The standard library's reader, since it takes NaN, which pydantic reads too so as to refuse it by its place.
        return json.loads(await request.body())
    except (ValueError, RecursionError):
        return None


def _path_in(body: object, loc: Path, *, missing: bool) -> Path:
    """The error's place without the tags that pydantic adds for the branch of a union it took."""
    path: list[str | int] = []
    for position, part in enumerate(loc):
        inside = (isinstance(body, dict) and part in body) or (
            isinstance(body, list) and isinstance(part, int) and part < len(body)
        )
        if inside:
            body = body[part]  # type: ignore[index]
            path.append(part)
        elif missing and position == len(loc) - 1:
            path.append(part)
    return tuple(path)


HANDLERS: dict[type[Exception], Handler] = {
    kind: _or_in_a_cell(handler)
    for kind, handler in (
        (DomainError, _on_domain_error),
        (DomainErrors, _on_domain_errors),
        (RequestValidationError, _on_invalid),
        (RequestProblem, _on_request_problem),
        (MissingResource, _on_missing),
        (HTTPException, _on_http_exception),
    )
}
