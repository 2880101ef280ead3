"""Reads the path, the query and the body of a request by the models that an endpoint declares.

Each reader returns the validated value, or a list of everything that is wrong with its part of the request.
"""

import json
from collections.abc import Callable, Coroutine, Mapping
from dataclasses import dataclass, field
from http import HTTPStatus
from typing import Annotated, Any, get_origin

from fastapi.routing import APIRoute
from pydantic import BaseModel, TypeAdapter, ValidationError
from starlette.datastructures import QueryParams
from starlette.requests import Request

from api.wire.bounded import MAX_FIELDS, MalformedJson, TooManyFields, bounded, size_check
from api.wire.formats import NAMES, header_of
from api.wire.json_text import (
    decoded,
    may_repeat_a_field,
    may_underflow,
    nulls,
    plain_data,
    repeated_fields,
    underflows,
)
from api.wire.partial import Places, path_in, removed
from api.wire.problems import MAX_ERRORS, RequestProblem, fault_item
from api.wire.query_numbers import as_numbers, is_underflow
from api.wire.schemas import adapter
from api.wire.tables import alternatives
from api.wire.validation import NULL_MESSAGE, NULL_VALUE, OUT_OF_RANGE, ValidationFault, fault_of
from domain.errors import Path

JSON_TYPE = "application/json"
BYTE_ORDER_MARK = b"\xef\xbb\xbf"
MAX_PARTIAL_BYTES = 20_000  # our own limit: larger bodies with schema errors are not read a second time
_OF_A_DISCRIMINATOR = {"union_tag_not_found", "union_tag_invalid"}
_UNDERFLOW = ValidationFault(
    OUT_OF_RANGE, "This number is too small to be represented; write 0, or a number of at least 1e-307.", limit=1e-307
)
_NULL = ValidationFault(NULL_VALUE, NULL_MESSAGE)
_REPEATED = ValidationFault("given_twice", "This field stands more than once in its object; send it once.")
_UNKNOWN = fault_of({"type": "extra_forbidden", "input": ""})

Validate = Callable[[Any], Any]


@dataclass(slots=True)
class Reading:
    """What was read of one part of a request.

    `sent` is the part as it was sent, `places` what has to be removed from it, and `validate` reads the rest.
    `fits_schema` tells whether all errors are beyond what a schema can express.
    """

    value: Any = None
    errors: list[dict[str, Any]] = field(default_factory=list)
    sent: Any = None
    places: Places = field(default_factory=set)
    validate: Validate | None = None
    fits_schema: bool = False


def reader(
    route: APIRoute, quick: Callable[[bytes], Any] | None
) -> Callable[[Request], Coroutine[Any, Any, dict[str, Reading]]]:
    """A reader of all parts of a request, by the name of the endpoint's argument.

    Args:
        route: whose endpoint declares the parts.
        quick: a faster reader of the usual form of the body, which returns None for everything else.
    """
    read_path = path_reader(route)
    query_name, read_query = query_reader(route)
    body_name, read_body = body_reader(route, quick)

    async def read(request: Request) -> dict[str, Reading]:
        readings = read_path(request) if request.path_params else {}
        if read_query is not None:
            readings[query_name] = read_query(request)
        elif request.scope["query_string"]:
            readings[""] = _no_query(request)
        if read_body is not None:
            readings[body_name] = read_body(await json_body(request))
        return readings

    return read


def path_reader(route: APIRoute) -> Callable[[Request], dict[str, Reading]]:
    """A reader of all path parameters, each by its own declaration."""
    adapters = {
        parameter.name: _declared(parameter.field_info.annotation, parameter.field_info.metadata)
        for parameter in route.dependant.path_params
    }

    def read(request: Request) -> dict[str, Reading]:
        return {name: _read_path(adapter, name, request.path_params[name]) for name, adapter in adapters.items()}

    return read


def _declared(annotation: Any, metadata: list[Any]) -> TypeAdapter[Any]:  # noqa: ANN401 - any annotation
    limited: Any = Annotated[annotation, *metadata]
    return adapter(limited)


def _read_path(declared: TypeAdapter[Any], name: str, written: str) -> Reading:
    try:
        return Reading(declared.validate_python(written))
    except ValidationError as error:
        faults = error.errors(include_url=False)
        return Reading(errors=[_item(each, (name,), in_query=True) for each in faults])


def query_reader(route: APIRoute) -> tuple[str, Callable[[Request], Reading] | None]:
    """The name of the endpoint's query argument and its reader; no reader if it takes no query."""
    fields = route.dependant.query_params
    if not fields:
        return "", None
    model: type[BaseModel] = fields[0].field_info.annotation  # type: ignore[assignment]
    lists = frozenset(name for name, info in model.model_fields.items() if get_origin(info.annotation) is list)
    numbers = frozenset(
        info.alias or name for name, info in model.model_fields.items() if float in alternatives(info.annotation)
    )
    validate = adapter(model).validate_python

    def read(request: Request) -> Reading:
        try:
            values = _values(request.query_params, lists)
        except TooManyFields:
            raise too_many() from None
        values, ambiguous = as_numbers(values, numbers)
        tiny = [
            fault_item(_UNDERFLOW, (name,), in_query=True)
            for name in sorted(numbers & values.keys())
            if is_underflow(values[name])
        ]
        try:
            reading = Reading(validate(values))
        except ValidationError as error:
            faults = error.errors(include_url=False)
            reading = Reading(
                errors=[_item(each, tuple(each["loc"]), in_query=True) for each in faults],
                sent=values,
                places={removed(values, tuple(each["loc"]), missing=each["type"] == "missing") for each in faults},
                validate=validate,
            )
        reading.fits_schema = not reading.errors
        reading.errors += [*ambiguous.values(), *tiny]
        return reading

    return fields[0].name, read


def _no_query(request: Request) -> Reading:
    """The errors of a query that takes only the parameters of every operation."""
    unknown = [name for name in request.query_params if name not in NAMES]
    return Reading(errors=[fault_item(_UNKNOWN, (name,), in_query=True) for name in unknown])


def _values(params: QueryParams, lists: frozenset[str]) -> Mapping[str, object]:
    values: dict[str, object] = {}
    written: dict[str, list[str]] = {}
    for name, value in params.multi_items():  # once, since a query may repeat a name thousands of times
        if name not in NAMES:
            written.setdefault(name, []).append(value)
    if len(written) > MAX_FIELDS:
        raise TooManyFields
    for name, several in written.items():
        values[name] = several if name in lists or len(several) > 1 else several[0]
    return values


def body_reader(route: APIRoute, quick: Callable[[bytes], Any] | None) -> tuple[str, Callable[[bytes], Reading] | None]:
    """The name of the endpoint's body argument and its reader; no reader if it takes no body.

    Args:
        route: whose endpoint.
        quick: a faster reader of the usual form, which returns None for everything else.
    """
    if route.body_field is None:
        return "", None
    annotation = route.body_field.field_info.annotation
    declared = adapter(annotation)
    load, check_size = bounded(declared, annotation), size_check(annotation)
    keep_sent: Callable[[Any, Any], None] = getattr(annotation, "keep_sent", lambda _body, _data: None)

    def read(raw: bytes) -> Reading:
        raw = raw.removeprefix(BYTE_ORDER_MARK)  # RFC 8259, section 8.1: a parser may ignore it
        try:
            faults = _unreported(raw, check_size)
            if not faults and quick is not None and (value := quick(raw)) is not None:
                return Reading(value)
            body = None if faults else load(raw)
            if body is not None and raw.count(b":") == len(body.model_fields_set):
                return Reading(body)  # no objects inside, and no colon in a text: the usual table of columns
            data = plain_data(raw)
            if body is None or may_repeat_a_field(raw, data):
                faults += [(path, _REPEATED) for path in repeated_fields(raw)]
            if faults:
                return _with_faults(raw, faults, declared)
            keep_sent(body, data)
            return Reading(body)
        except ValidationError as error:
            return _refused_body(raw, error, declared)
        except TooManyFields:
            raise too_many() from None
        except MalformedJson as error:
            raise _malformed(raw, str(error)) from None

    return route.dependant.body_params[0].name, read


def _unreported(raw: bytes, check_size: Callable[[bytes], None]) -> list[tuple[Path, ValidationFault]]:
    """The numbers that become 0 and the nulls of a body: its model takes both."""
    faults: list[tuple[Path, ValidationFault]] = []
    if may_underflow(raw):
        check_size(raw)
        faults += [(path, _UNDERFLOW) for path in underflows(raw)]
    if b"null" in raw:
        check_size(raw)
        faults += [(path, _NULL) for path in nulls(raw)]
    return faults


def _with_faults(raw: bytes, faults: list[tuple[Path, ValidationFault]], declared: TypeAdapter[Any]) -> Reading:
    """The errors of a body that has faults which its model does not report."""
    reading = Reading(errors=[fault_item(fault, path) for path, fault in faults[:MAX_ERRORS]])
    reading.fits_schema = all(fault is _UNDERFLOW for _, fault in faults)
    if len(raw) > MAX_PARTIAL_BYTES:
        return reading
    if not reading.fits_schema:
        reading.sent = decoded(raw)
        reading.places = {removed(reading.sent, path, missing=False) for path, _ in faults}
        reading.validate = lambda value: declared.validate_json(json.dumps(value))
    try:
        declared.validate_json(raw)
    except ValidationError as error:
        reported = {item["pointer"] for item in reading.errors}
        refused = _refused_body(raw, error, declared)
        others = [item for item in refused.errors if item["pointer"] not in reported]
        reading.errors += others
        reading.places |= refused.places
        reading.fits_schema = reading.fits_schema and not others
    return reading


def _refused_body(raw: bytes, error: ValidationError, declared: TypeAdapter[Any]) -> Reading:
    faults = error.errors(include_url=False)
    if invalid := next((each for each in faults if each["type"] == "json_invalid"), None):
        raise _malformed(raw, invalid["ctx"]["error"])
    body = decoded(raw)
    placed = [(each, path_in(body, tuple(each["loc"]), missing=each["type"] == "missing")) for each in faults]
    reading = Reading(errors=[_item(each, path, in_query=False) for each, path in placed])
    if len(raw) <= MAX_PARTIAL_BYTES:
        reading.sent = body
        reading.places = {removed(body, path, missing=each["type"] == "missing") for each, path in placed}
        # As JSON, since the strict models take some values from JSON only.
        reading.validate = lambda value: declared.validate_json(json.dumps(value))
        reading.errors += [fault_item(_REPEATED, path) for path in repeated_fields(raw)]
    return reading


def _item(error: Mapping[str, Any], path: Path, *, in_query: bool) -> dict[str, Any]:
    if error["type"] in _OF_A_DISCRIMINATOR:
        path = (*path, error["ctx"]["discriminator"].strip("'"))
    return fault_item(fault_of(error), path, in_query=in_query)


def _malformed(raw: bytes, reason: str) -> RequestProblem:
    """The refusal of a body that is no JSON; *reason* is the parser's, with the place in the text."""
    detail = f"The body is not valid JSON (RFC 8259): {reason}."
    if not raw.strip():
        detail = "The body is empty; send a JSON object."
    else:
        try:
            raw.decode()
        except UnicodeDecodeError as error:
            detail = f"The body is not encoded as UTF-8 (RFC 8259): see its byte {error.start + 1:,}."
    return RequestProblem(HTTPStatus.BAD_REQUEST, "malformed_json", detail)


def too_many() -> RequestProblem:
    """The refusal of a request with more fields or list items than any request has."""
    return RequestProblem(
        HTTPStatus.UNPROCESSABLE_ENTITY,
        "invalid_request",
        "The request has more fields or list items than any request of this service. Split it into several requests.",
    )


async def json_body(request: Request) -> bytes:
    """The bytes of a JSON body.

    Raises:
        RequestProblem: the headers name another media type, or a content coding.
    """
    kind = header_of(request, b"content-type").partition(";")[0].strip().casefold()
    if kind != JSON_TYPE and not (kind.startswith("application/") and kind.endswith("+json")):
        raise RequestProblem(
            HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
            "unsupported_media_type",
            f"Send the body with Content-Type: {JSON_TYPE}.",
            headers={"Accept-Post": JSON_TYPE},
        )
    if header_of(request, b"content-encoding").strip().casefold() not in {"", "identity"}:
        raise RequestProblem(
            HTTPStatus.UNSUPPORTED_MEDIA_TYPE,
            "unsupported_content_encoding",
            "Send the body uncompressed, without Content-Encoding.",
            headers={"Accept-Encoding": "identity"},
        )
    return await request.body()
