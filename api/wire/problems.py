"""Every error response as `application/problem+json` (RFC 9457); it never repeats values of the request."""

import math
from collections.abc import Awaitable, Callable, Sequence
from http import HTTPStatus
from typing import Any

import orjson
from fastapi import FastAPI
from pydantic import Field
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import Response

from api.wire.figures_id import HEADER
from api.wire.methods import allowed_methods
from api.wire.public_url import link_to
from api.wire.request_state import REFUSED_STATUS
from api.wire.schemas import Answer
from api.wire.validation import ValidationFault
from domain.errors import DomainError, DomainErrors, Path

PROBLEM_JSON = "application/problem+json"
MAX_ERRORS = 50  # our own limit: a caller corrects these first
MAX_CELL_TEXT, MAX_CELL_CANDIDATES = 250, 8  # our own limits: what a person reads in a cell
MAX_NAME = 80  # our own limit on a field name of the caller's that is repeated in a pointer
Handler = Callable[[Request, Any], Awaitable[Response]]


class ProblemError(Answer):
    """One error: where it is, what is wrong, and which values would have been accepted."""

    pointer: str | None = Field(
        default=None, description="JSON pointer (RFC 6901) to the field of the body. Long field names are shortened."
    )
    parameter: str | None = Field(default=None, description="Name of the query or path parameter.")
    code: str = Field(description="Stable code of the error; new ones may be added.", examples=["unknown_ingredient"])
    message: str = Field(
        description="What is wrong, for people.", examples=["No ingredient has this name; the candidates are similar."]
    )
    value: float | None = Field(default=None, description="The figure that is wrong, if it is one.", examples=[2_500.0])
    limit: float | None = Field(default=None, description="The limit that the figure breaks.", examples=[2_000.0])
    unit: str | None = Field(
        default=None,
        description="The id of the unit of `value` and `limit`; absent for plain numbers.",
        examples=["mm"],
    )
    candidates: list[str] | None = Field(
        default=None, description="Values that would have been accepted, the nearest first."
    )


class Problem(Answer):
    """Problem details (RFC 9457)."""

    type: str = Field(
        description="Address of a page that explains the error, absolute where the service knows its public URL.",
        examples=["/problems/unknown_ingredient"],
    )
    title: str = Field(description="The code in words.")
    status: int = Field(description="The HTTP status.")
    detail: str = Field(description="What is wrong with this request.")
    errors: list[ProblemError] = Field(description="Every error that was found, at most 50.")


class RequestProblem(Exception):  # noqa: N818 - it carries a problem document
    """An error that stops the reading of a request, such as an unsupported media type."""

    def __init__(self, status: HTTPStatus, code: str, detail: str, headers: dict[str, str] | None = None) -> None:
        """Keep the arguments of `problem`."""
        super().__init__(detail)
        self.status, self.code, self.detail, self.headers = status, code, detail, headers


class InvalidRequest(Exception):  # noqa: N818 - it carries a problem document
    """Everything that is wrong with a request, whichever part of it and whoever found it."""

    def __init__(self, errors: list[dict[str, Any]], *, fits_schema: bool = False) -> None:
        """Keep the errors.

        Args:
            errors: as `domain_item` and `fault_item` make them.
            fits_schema: whether all of them were found by the domain.
        """
        super().__init__(f"{len(errors)} errors")
        self.errors, self.fits_schema = errors, fits_schema


class MissingResource(Exception):  # noqa: N818 - it carries a problem document
    """A path that names something that does not exist."""

    def __init__(self, reason: DomainError) -> None:
        """Keep the reason, with the names that exist."""
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
        "type": link_to(f"/problems/{code}"),
        "title": title_of(code),
        "status": status.value,
        "detail": detail,
        "errors": list(errors),
    }
    headers = {"Cache-Control": "no-store", **(headers or {})}
    return Response(orjson.dumps(body), status_code=status.value, media_type=PROBLEM_JSON, headers=headers)


def title_of(code: str) -> str:
    """The code as words: `unknown_ingredient` is "Unknown ingredient"."""
    return code.replace("_", " ").capitalize()


def domain_problem(errors: list[DomainError], *, in_query: bool) -> dict[str, Any]:
    """The problem of one item, inside an answer that has results for other items."""
    items = [domain_item(error, in_query=in_query) for error in errors[:MAX_ERRORS]]
    code = errors[0].code if len({error.code for error in errors}) == 1 else "several_problems"
    return {
        "type": link_to(f"/problems/{code}"),
        "title": title_of(code),
        "status": HTTPStatus.UNPROCESSABLE_ENTITY.value,
        "detail": _detail(len(errors), errors[0].detail),
        "errors": items,
    }


def _detail(count: int, message: str) -> str:
    """The first error, since a row of CSV shows nothing else, and how many there are."""
    if count == 1:
        return message
    listed = "all are listed" if count <= MAX_ERRORS else f"the first {MAX_ERRORS} are listed"
    return f"{message} ({count} errors; in JSON {listed}.)"


def domain_item(error: DomainError, *, in_query: bool) -> dict[str, Any]:
    """An error of the domain as an item of `errors`."""
    item: dict[str, Any] = {**_place(error.path, in_query=in_query), "code": error.code, "message": error.detail}
    figures = {"value": error.value, "limit": error.limit}
    item |= {name: figure for name, figure in figures.items() if figure is not None and math.isfinite(figure)}
    if error.unit:
        item["unit"] = error.unit
    if error.candidates:
        item["candidates"] = list(error.candidates)
    return item


def fault_item(fault: ValidationFault, path: Path, *, in_query: bool = False) -> dict[str, Any]:
    """An error of validation as an item of `errors`."""
    item: dict[str, Any] = {**_place(path, in_query=in_query), "code": fault.code, "message": fault.message}
    if fault.value is not None:
        item["value"] = fault.value
    if fault.limit is not None:
        item["limit"] = fault.limit
    if fault.candidates:
        item["candidates"] = list(fault.candidates)
    return item


def install(app: FastAPI) -> None:
    """Install the exception handlers."""
    for kind, handler in HANDLERS.items():
        app.add_exception_handler(kind, handler)
    app.add_exception_handler(Exception, _on_unexpected)


def _for_cells_too(handler: Handler) -> Handler:
    """A handler that answers a client error as text where the request has `format=cell`."""

    async def handle(request: Request, error: Any) -> Response:  # noqa: ANN401 - each handler takes its own kind
        response = in_a_cell_if_asked(request, await handler(request, error))
        if request.url.path.startswith("/v1/"):
            response.raw_headers.append((HEADER, request.app.state.figures.encode()))
        return response

    return handle


def in_a_cell_if_asked(request: Request, response: Response) -> Response:
    """A client error as text with status 200 if the request has `format=cell`, else the response itself.

    A spreadsheet shows nothing of a response with another status.
    """
    # HEAD is answered as GET, since a spreadsheet may send it first.
    wanted = request.method in {"GET", "HEAD"} and "cell" in request.query_params.getlist("format")
    if not wanted or response.status_code >= 500:
        return response
    # The log and the metrics show the status of the error.
    request.scope.setdefault("state", {})[REFUSED_STATUS] = response.status_code
    return _in_a_cell(response)


def _in_a_cell(response: Response) -> Response:
    body = orjson.loads(response.body)
    first: dict[str, Any] = next(iter(body["errors"]), {})
    place, message = first.get("parameter"), first.get("message", body["detail"])
    missing = [name for name in first.get("candidates", ()) if name not in message][:MAX_CELL_CANDIDATES]
    return Response(
        cell_text(place, f"{message.rstrip('.')}: {', '.join(missing)}" if missing else message),
        media_type="text/plain",
        headers={"Cache-Control": "no-store", "Vary": "Accept"},
    )


def cell_text(place: str | None, message: str) -> str:
    """A reason as a spreadsheet's cell shows it.

    The leading `# ` and letter keep the text from being read as a number or a date.
    """
    text = f"# {place}: {message}" if place else f"# {message}"
    return " ".join(text.split())[:MAX_CELL_TEXT]


async def _on_domain_error(request: Request, error: DomainError) -> Response:
    return _domain_response(request, [error])


async def _on_domain_errors(request: Request, error: DomainErrors) -> Response:
    return _domain_response(request, error.errors)


async def _on_missing(request: Request, error: MissingResource) -> Response:
    reason = error.reason
    if not reason.path:
        reason.path = tuple(request.path_params)[:1]
    return _domain_response(request, [reason], HTTPStatus.NOT_FOUND)


def _domain_response(
    request: Request, errors: list[DomainError], status: HTTPStatus = HTTPStatus.UNPROCESSABLE_ENTITY
) -> Response:
    body = domain_problem(errors, in_query=request.method in {"GET", "HEAD"})
    return problem(status, body["type"].rsplit("/", 1)[1], body["detail"], body["errors"])


async def _on_request_problem(_: Request, error: RequestProblem) -> Response:
    return problem(error.status, error.code, error.detail, headers=error.headers)


async def _on_invalid(_: Request, error: InvalidRequest) -> Response:
    items = error.errors
    if error.fits_schema:
        codes = {item["code"] for item in items}
        code = codes.pop() if len(codes) == 1 else "several_problems"
    else:
        code = "invalid_request"
    detail = _detail(len(items), f"{items[0]['message'].removesuffix('.')}.")
    return problem(HTTPStatus.UNPROCESSABLE_ENTITY, code, detail, items[:MAX_ERRORS])


async def _on_http_exception(request: Request, error: HTTPException) -> Response:
    status = HTTPStatus(error.status_code)
    headers = dict(error.headers or {})
    if status == HTTPStatus.METHOD_NOT_ALLOWED:
        headers["Allow"] = ", ".join(allowed_methods(request.app.state.paths, request.url.path))
    code = status.phrase.casefold().replace(" ", "_")
    details = {
        HTTPStatus.NOT_FOUND: "There is nothing at this path; GET /openapi.json lists every path.",
        HTTPStatus.METHOD_NOT_ALLOWED: f"This path allows {headers.get('Allow')}.",
    }
    return problem(status, code, details.get(status, f"{status.phrase}."), headers=headers)


def unexpected() -> Response:
    """The response to an error in the service; `api.serving.observing.request_log` logs it with the request's id."""
    return problem(
        HTTPStatus.INTERNAL_SERVER_ERROR,
        "internal_error",
        "The service has a fault, which was logged; the same request will fail again.",
    )


async def _on_unexpected(_request: Request, _error: Exception) -> Response:
    return unexpected()


def pointer_to(path: Sequence[str | int]) -> str:
    """RFC 6901 pointer; the whole document is the empty string. Long names are shortened."""
    pointer = "/".join(["", *map(str, path)])
    if "~" not in pointer and pointer.count("/") == len(path) and len(pointer) <= MAX_NAME:
        return pointer  # nothing to escape or to shorten
    return "".join([f"/{_reference_token(str(part))}" for part in path])


def _reference_token(name: str) -> str:
    return shortened(name).replace("~", "~0").replace("/", "~1")


def shortened(name: str) -> str:
    """A field or parameter name, cut where it is longer than any of ours.

    >>> shortened("tin"), len(shortened("x" * 1_000))
    ('tin', 80)
    """
    return name if len(name) <= MAX_NAME else name[: MAX_NAME - 1] + "…"


def _place(path: Path, *, in_query: bool) -> dict[str, str]:
    if in_query:
        return {"parameter": shortened(str(path[0]))} if path else {}
    return {"pointer": pointer_to(path)}


HANDLERS: dict[type[Exception], Handler] = {
    kind: _for_cells_too(handler)
    for kind, handler in (
        (DomainError, _on_domain_error),
        (DomainErrors, _on_domain_errors),
        (InvalidRequest, _on_invalid),
        (RequestProblem, _on_request_problem),
        (MissingResource, _on_missing),
        (HTTPException, _on_http_exception),
    )
}
