"""Content negotiation: the parameters `format`, `field` and `fields` of every operation, `Accept`, and custom formats.

JSON is the default. `format` in the query takes precedence over `Accept`, since a spreadsheet cannot set headers. A
route declares its own figure, rows or formats with `response_formats`; most need none.
"""

from collections.abc import Awaitable, Callable, Mapping
from dataclasses import dataclass, field
from functools import lru_cache
from http import HTTPStatus
from itertools import compress
from types import MappingProxyType
from typing import Any, NamedTuple, TypeVar

import mimeparse
import orjson
from starlette.datastructures import QueryParams
from starlette.requests import Request

from api.wire.field_masks import MAX_MASK, Mask, apply_mask, check_mask, parse_mask
from api.wire.figures import doubts_about, figure_at, figure_text, first_figure, value_at
from api.wire.problems import RequestProblem, cell_text
from api.wire.table_writing import as_csv, as_xml
from api.wire.tables import Table, models_in, part_of, selected_table, table_of, table_of_part
from domain.errors import MismatchError, NeededError, UnknownError, at_path

JSON, CSV, XML, TEXT, CELL = "json", "csv", "xml", "text", "cell"
NAMES = frozenset({"format", "field", "fields"})  # the query parameters of every operation
MEDIA_TYPES = MappingProxyType(
    {JSON: "application/json", CSV: "text/csv", XML: "application/xml", TEXT: "text/plain", CELL: "text/plain"}
)
_CONTENT_TYPES = {"text/csv": "text/csv; charset=utf-8; header=present", "text/plain": "text/plain; charset=utf-8"}
_TABLES = {CSV: as_csv, XML: as_xml}
MAX_FIELD = 120  # our own limit: the longest path has half as many characters
MAX_RANGES, MAX_CACHED = 40, 300  # our own limits on an Accept header: ranges that are read, characters that are cached

FIELDS_PARAMETER: dict[str, Any] = {
    "name": "fields",
    "in": "query",
    "required": False,
    "description": (
        "The parts of the answer to return: field names with commas, and the fields of a part in parentheses after its"
        " name; without parentheses the whole part. Lists are passed through. With `json`, `csv` and `xml`; `text` and"
        " `cell` have `field`."
    ),
    "schema": {
        "type": "string",
        "minLength": 1,
        "maxLength": MAX_MASK,
        "examples": ["targets(label,eggs(part,grams))"],
    },
}
Endpoint = TypeVar("Endpoint", bound=Callable[..., Any])
Render = Callable[..., Awaitable[str | bytes] | str | bytes]


@dataclass(frozen=True, slots=True)
class CustomFormat:
    """A format that one route has besides the shared ones.

    `render` takes the endpoint's arguments and returns the whole body; it is called instead of the endpoint.
    """

    media_type: str
    render: Render


@dataclass(frozen=True, slots=True, kw_only=True)
class ResponseFormats:
    """What an endpoint declares with `response_formats`."""

    figure: tuple[str, ...] = ()
    rows: str | None = None
    columns: Mapping[str, str] = field(default_factory=dict)
    custom: dict[str, CustomFormat] = field(default_factory=dict)


_DECLARED: dict[Callable[..., Any], ResponseFormats] = {}


def response_formats(
    *,
    figure: tuple[str, ...] = (),
    rows: str | None = None,
    columns: Mapping[str, str] = MappingProxyType({}),
    **custom: CustomFormat,
) -> Callable[[Endpoint], Endpoint]:
    """Declare how an endpoint's answer is written; use it below the router's decorator.

    Args:
        figure: paths of the one figure that `text` and `cell` show, the preferred first; by default the first number
            of the answer.
        rows: dotted names of the lists that make the rows of CSV and XML, "" for a single row; by default the first
            list.
        columns: the columns to keep, in their order, each with its heading, and a last one for warnings of unlikely
            amounts; by default all columns.
        custom: formats by name, such as `svg=CustomFormat("image/svg+xml", draw)`.
    """

    def register(endpoint: Endpoint) -> Endpoint:
        _DECLARED[endpoint] = ResponseFormats(figure=figure, rows=rows, columns=columns, custom=custom)
        return endpoint

    return register


class Choice(NamedTuple):
    """What a request asks for: the format, the part of the answer, and the selected fields."""

    format_name: str
    field_path: str | None = None
    mask: Mask | None = None


class ContentNegotiation:
    """The formats of one operation, determined once at start."""

    def __init__(self, endpoint: Callable[..., Any], answer_model: Any, methods: frozenset[str]) -> None:  # noqa: ANN401
        """Read the endpoint's declaration."""
        self.declared = _DECLARED.get(endpoint, ResponseFormats())
        self.answer_model = answer_model
        self.custom = self.declared.custom
        self.figures = self.declared.figure or _numbers(answer_model)
        shared = MEDIA_TYPES if "GET" in methods else {name: MEDIA_TYPES[name] for name in (JSON, CSV, XML)}
        self.media_types = {**shared, **{name: custom.media_type for name, custom in self.custom.items()}}
        # The preferred last, as mimeparse resolves ties. `cell` is not negotiable; `text` is where there is a figure.
        preferred = [*self.custom, *((TEXT,) if self.figures else ()), XML, CSV, JSON]
        self.negotiable = tuple((self.media_types[name], name) for name in preferred if name in self.media_types)

    def choose(self, request: Request) -> Choice:
        """The format, the field and the selected fields of a request.

        Raises:
            DomainError, DomainErrors: `format`, `field` or `fields` is invalid.
            RequestProblem: 406, none of the formats in `Accept` is available.
        """
        name = path = selected = None
        if request.scope["query_string"]:
            query = request.query_params
            name, path, selected = (_single(query, parameter) for parameter in ("format", "field", "fields"))
        if name is None:
            name = self._negotiated(request)
        elif name not in self.media_types:
            raise UnknownError(
                "This operation has no such format.",
                path=("format",),
                candidates=tuple(self.media_types),
                code="unknown_format",
            )
        if path is not None:
            _check_field(path, name)
        return Choice(name, path, None if selected is None else self._mask(selected, name, path))

    def _mask(self, selected: str, name: str, path: str | None) -> Mask:
        if name not in {JSON, *_TABLES} or name in self.custom or path is not None:
            raise MismatchError(
                "`fields` goes with json, csv and xml, and not with `field`.",
                path=("fields",),
                code="field_not_used",
            )
        return _checked_mask(selected, self)

    def content_type(self, name: str) -> str:
        """The Content-Type header of a format."""
        return _CONTENT_TYPES.get(self.media_types[name], self.media_types[name])

    def write(self, answer: Any, choice: Choice) -> bytes:  # noqa: ANN401 - plain JSON
        """An answer in one of the shared formats, or JSON with the selected fields only."""
        name, path, mask = choice
        if mask is not None:
            if name == JSON:
                return orjson.dumps(apply_mask(mask, answer))
            table, keep = selected_table(self.answer_model, answer, self.declared.rows, mask)
            table.check_size(answer)
            return _TABLES[name](
                tuple(compress(table.header, keep)), (list(compress(row, keep)) for row in table.rows(answer))
            )
        if name not in _TABLES:
            figure = first_figure(answer, self.figures) if path is None else figure_at(answer, path)
            doubts = doubts_about(answer, path or "") if name == CELL and not isinstance(figure, str) else []
            # A cell shows no warning beside its figure, and the sum of a column must not take this one.
            return (cell_text(None, doubts[0]) if doubts else figure_text(figure, proof=name == CELL)).encode()
        if path is None:
            return _written(self._table(answer), answer, name)
        part, (annotation, last) = value_at(answer, path), part_of(self.answer_model, answer, path)
        table, wrapped = table_of_part(annotation, last)
        return _written(table, wrapped(part), name)

    def check_size(self, answer: Any, choice: Choice) -> None:  # noqa: ANN401 - parts may be serialised
        """Refuse an answer that would make too large a table, before anything is written.

        Raises:
            OutOfRangeError: it has too many cells.
        """
        if choice.format_name in _TABLES and choice.field_path is None and choice.mask is None:
            self._table(answer).check_size(answer)

    def _table(self, answer: Any) -> Table:  # noqa: ANN401 - parts may be serialised
        table = table_of(self.answer_model, answer, self.declared.rows)
        if not self.declared.columns:
            return table
        # These columns leave the warnings out; the one that makes every figure doubtful stands in each row.
        return table.only(self.declared.columns).ending_with("warnings", "; ".join(doubts_about(answer, "")) or None)

    def _negotiated(self, request: Request) -> str:
        accept = header_of(request, b"accept")
        if accept in {"", "*/*", "application/json"}:
            return JSON
        choose = negotiate if len(accept) <= MAX_CACHED else negotiate.__wrapped__
        name = choose(accept, self.negotiable)
        if name is None:
            types = ", ".join(dict.fromkeys(media_type for media_type, _ in reversed(self.negotiable)))
            raise RequestProblem(
                HTTPStatus.NOT_ACCEPTABLE,
                "not_acceptable",
                f"Available formats: {types}. Choose one with Accept, or with `format` in the query.",
                headers={"Vary": "Accept"},
            )
        return name

    def parameters(self, own_names: frozenset[str]) -> list[dict[str, Any]]:
        """`format`, `field` and `fields` for the OpenAPI document, unless the operation has a parameter of that name.

        Args:
            own_names: names of the operation's own parameters.
        """
        figures = ", else ".join(f"`{name}`" for name in self.figures[:3]) or "nothing, so that it is required"
        one_value = TEXT in self.media_types
        described = {
            "format": (
                {"type": "string", "enum": list(self.media_types), "default": JSON},
                "Format of the response; it takes precedence over `Accept`. `csv` and `xml`: a table with one row for"
                " each item."
                + (
                    " `text`: one figure. `cell`: one figure in a form that spreadsheets read correctly in every locale"
                    " (`34E-1`); a client error, and a figure of an `unlikely_amount`, then have status 200 and are"
                    " text that starts with `#`, so that the cell shows the reason."
                    if one_value
                    else ""
                ),
            ),
            "field": (
                {"type": "string", "minLength": 1, "maxLength": MAX_FIELD},
                "The part of the answer to return, as a dotted path of keys and, in lists, positions or names"
                " (`parts.0.grams`, `parts.whole.grams`). Not with `json`."
                + (f" Without it, `text` and `cell` show {figures}." if one_value else ""),
            ),
        }
        parameters = [
            {"name": name, "in": "query", "required": False, "description": description, "schema": schema}
            for name, (schema, description) in described.items()
            if name not in own_names
        ]
        return [*parameters, FIELDS_PARAMETER]

    def contents(self) -> dict[str, Any]:
        """Every media type of the answer but JSON, for the OpenAPI document."""
        return {kind: {"schema": {"type": "string"}} for kind in self.media_types.values() if kind != MEDIA_TYPES[JSON]}


@lru_cache(maxsize=256)  # a shop uses few masks
def _checked_mask(selected: str, negotiation: ContentNegotiation) -> Mask:
    with at_path("fields"):
        mask = parse_mask(selected)
    check_mask(mask, negotiation.answer_model)
    return mask


@lru_cache(maxsize=512)
def negotiate(accept: str, offered: tuple[tuple[str, str], ...]) -> str | None:
    """Choose by an Accept header (RFC 9110, 12.5.1): quality, then the more specific range, then our own order.

    Args:
        accept: the header; malformed ranges are ignored.
        offered: media types and their names, the preferred last.
    Returns:
        The name chosen, or None if nothing offered is acceptable.

    >>> negotiate("text/csv;q=0.5, application/xml", (("application/xml", "xml"), ("text/csv", "csv")))
    'xml'
    """
    ranges = []
    for media_range in accept.casefold().split(",")[:MAX_RANGES]:
        try:
            ranges.append(mimeparse.parse_media_range(media_range.strip()))
        except ValueError:
            continue
    if not ranges:
        return JSON
    by_name = {name: mimeparse.quality_and_fitness_parsed(kind, ranges) for kind, name in reversed(offered)}
    quality = {name: weight for name, (weight, _) in by_name.items()}
    # A browser prefers HTML, then XML; there is no HTML here, and JSON is easier to read than XML.
    if any(kind == "text" and subtype == "html" for kind, subtype, _ in ranges) and quality.get(JSON):
        return JSON
    best = max(by_name, key=by_name.__getitem__)
    return best if quality[best] > 0 else None


def header_of(request: Request, name: bytes) -> str:
    """The value of a header, its lines joined; empty if it was not sent."""
    lines = [value for key, value in request.scope["headers"] if key == name]
    return b", ".join(lines).decode("latin-1") if lines else ""


def _written(table: Table, answer: Any, name: str) -> bytes:  # noqa: ANN401 - plain JSON
    table.check_size(answer)
    return _TABLES[name](table.header, table.rows(answer))


def _single(query: QueryParams, name: str) -> str | None:
    if name not in query:
        return None
    values = query.getlist(name)
    if len(values) > 1:
        raise MismatchError(f"Give `{name}` only once.", path=(name,), code="given_twice")
    return values[0]


def _check_field(path: str, name: str) -> None:
    if name not in {CSV, XML, TEXT, CELL}:
        raise MismatchError(
            "`field` needs a format that shows a part of the answer.",
            path=("field",),
            candidates=(TEXT, CELL, CSV, XML),
            code="field_not_used",
        )
    if not 0 < len(path) <= MAX_FIELD:
        raise NeededError(f"`field` has 1 to {MAX_FIELD} characters.", path=("field",), code="field_needed")


def _numbers(annotation: Any) -> tuple[str, ...]:  # noqa: ANN401 - any annotation
    """Names of the top-level numbers of the answer's models, in order."""
    return tuple(
        info.alias or name
        for model in models_in(annotation)
        for name, info in model.model_fields.items()
        if info.annotation in {float, int, float | None, int | None}
    )
