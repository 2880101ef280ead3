"""Conventions that hold for every schema of the OpenAPI document, applied after the framework has made it.

- Every number has a `format`, since some generators otherwise round to single precision.
- Optional means left out: no schema allows `null`, except in lists of answers, where it holds the place of a row.
- Requests are closed. Answers are open: a client must accept fields that are added later.
- A closed list of values in an answer is a plain string with `x-extensible-enum`, since the list may grow.
- Titles that the framework derives from names are left out.
- A `default` never stands beside a `$ref`, where generators make invalid code of it.
- Equal problem responses and parameters stand once, in `components`. The statuses that any HTTP server may answer
  stand together as `4XX` and `5XX`; those with a header of their own, or of one operation, stand alone.
- An operation shows one example request. Answers have the examples of their properties; whole ones are long, and
  stand in `openapi-examples/`.
"""

import json
import re
from collections.abc import Iterator
from typing import Any

Json = dict[str, Any]

INT32_MAX = 2**31 - 1
FIRST_ERROR_STATUS, NOT_MODIFIED = 400, "304"
GENERAL_STATUSES = {
    "4XX": ("400", "403", "405", "406", "408", "413", "414", "415", "431"),
    "5XX": ("500", "501", "505"),
}
MIN_SHARED = 2  # operations that declare a parameter alike
_REF = "#/components/schemas/"
_FIRST_SENTENCE = re.compile(r"(?<=\.)\s+(?=[A-Z`])")


def apply_conventions(document: Json) -> None:
    """Apply every convention of this module to a document, in place."""
    in_requests, in_answers = names_reached(document)
    only_in_answers = in_answers - in_requests
    listed = {
        id(schema) for name in only_in_answers for schema in _items_within(document["components"]["schemas"][name])
    }
    for schema in list(every_schema(document)):
        if id(schema) not in listed:
            _never_null(schema)
        _with_format(schema)
        if isinstance(schema.get("title"), str):
            del schema["title"]
        if "$ref" in schema:
            schema.pop("default", None)
    for name in only_in_answers:
        for schema in schemas_within(document["components"]["schemas"][name]):
            _open(schema)
            _extensible(schema)
    for _, _, operation in operations(document):
        for schema in _inline_answers(operation):
            for inner in schemas_within(schema):
                _extensible(inner)
    _shorten_examples(document)
    _shorten_descriptions(document)
    _share_headers(document)
    _share_problems(document)
    _share_parameters(document)


def operations(document: Json) -> Iterator[tuple[str, str, Json]]:
    """Path, method and operation, for each operation of a document."""
    for path, methods in document["paths"].items():
        for method, operation in methods.items():
            yield path, method, operation


def every_schema(document: Json) -> Iterator[Json]:
    """Every schema of a document, the inner ones included."""
    for schema in document.get("components", {}).get("schemas", {}).values():
        yield from schemas_within(schema)
    for group in ("parameters", "headers"):
        for part in document.get("components", {}).get(group, {}).values():
            yield from schemas_within(part["schema"])
    for _, _, operation in operations(document):
        for parameter in operation.get("parameters", ()):
            if "schema" in parameter:
                yield from schemas_within(parameter["schema"])
        for schema in (*_inline_bodies(operation), *_inline_answers(operation)):
            yield from schemas_within(schema)


def schemas_within(schema: Json) -> Iterator[Json]:
    """A schema and every schema inside it; references are not followed."""
    yield schema
    for key in ("items", "additionalProperties", "not", "contains", "propertyNames"):
        if isinstance(schema.get(key), dict):
            yield from schemas_within(schema[key])
    for key in ("anyOf", "oneOf", "allOf", "prefixItems"):
        for part in schema.get(key, ()):
            yield from schemas_within(part)
    for key in ("properties", "patternProperties", "$defs"):
        for part in schema.get(key, {}).values():
            yield from schemas_within(part)


def names_reached(document: Json) -> tuple[set[str], set[str]]:
    """Names of the component schemas that requests reach, and of those that answers reach."""
    in_requests: set[str] = set()
    in_answers: set[str] = set()
    for _, _, operation in operations(document):
        for schema in _inline_bodies(operation):
            _follow(document, schema, in_requests)
        for parameter in operation.get("parameters", ()):
            _follow(document, parameter.get("schema", {}), in_requests)
        for schema in _inline_answers(operation):
            _follow(document, schema, in_answers)
    for response in document["components"].get("responses", {}).values():
        for content in response.get("content", {}).values():
            _follow(document, content.get("schema", {}), in_answers)
    return in_requests, in_answers


def _follow(document: Json, schema: Json, reached: set[str]) -> None:
    for inner in schemas_within(schema):
        name = inner.get("$ref", "").removeprefix(_REF)
        if name and name in document["components"]["schemas"] and name not in reached:
            reached.add(name)
            _follow(document, document["components"]["schemas"][name], reached)


def _items_within(schema: Json) -> Iterator[Json]:
    """The schema of the items of every list inside a schema."""
    for inner in schemas_within(schema):
        if isinstance(inner.get("items"), dict):
            yield inner["items"]


def _inline_bodies(operation: Json) -> Iterator[Json]:
    for content in operation.get("requestBody", {}).get("content", {}).values():
        yield content.get("schema", {})


def _inline_answers(operation: Json) -> Iterator[Json]:
    for response in operation["responses"].values():
        for content in response.get("content", {}).values():
            yield content.get("schema", {})


def _never_null(schema: Json) -> None:
    for key in ("anyOf", "oneOf"):
        kinds = schema.get(key, ())
        rest = [kind for kind in kinds if kind != {"type": "null"}]
        if len(rest) < len(kinds):
            del schema[key]
            if schema.get("default", ...) is None:
                del schema["default"]
            schema.update({**rest[0], **schema} if len(rest) == 1 else {key: rest})


def _with_format(schema: Json) -> None:
    if schema.get("type") == "number":
        schema.setdefault("format", "double")
    elif schema.get("type") == "integer":
        large = max(abs(schema.get(key, 0)) for key in ("minimum", "maximum", "exclusiveMinimum", "exclusiveMaximum"))
        schema.setdefault("format", "int64" if large > INT32_MAX else "int32")


def _open(schema: Json) -> None:
    if schema.get("additionalProperties") is False:
        del schema["additionalProperties"]


def _extensible(schema: Json) -> None:
    values = schema.pop("enum", None)
    if "const" in schema:
        values = [schema.pop("const")]
    if values is not None:
        schema["x-extensible-enum"] = values


def _shorten_examples(document: Json) -> None:
    """Keep the first example of a request, which is the shortest that is answered."""
    for _, _, operation in operations(document):
        for content in operation.get("requestBody", {}).get("content", {}).values():
            for name in list(content.get("examples", {}))[1:]:
                del content["examples"][name]
        for response in operation["responses"].values():
            for content in response.get("content", {}).values():
                content.pop("examples", None)


def _shorten_descriptions(document: Json) -> None:
    """Remove repeated descriptions and defaults of parameters; keep one example and one sentence for each schema."""
    for _, _, operation in operations(document):
        for parameter in operation.get("parameters", ()):
            if parameter.get("required") is False:
                del parameter["required"]
            if parameter.get("schema", {}).get("description") == parameter.get("description"):
                parameter["schema"].pop("description", None)
    for schema in every_schema(document):
        if isinstance(schema.get("examples"), list):
            del schema["examples"][1:]
    for schema in document["components"]["schemas"].values():
        if "description" in schema:
            schema["description"] = _FIRST_SENTENCE.split(schema["description"], maxsplit=1)[0]


def _share_headers(document: Json) -> None:
    """Move equal headers of answers to `components`."""
    kept: Json = document["components"].setdefault("headers", {})
    for _, _, operation in operations(document):
        for response in operation["responses"].values():
            for name, header in response.get("headers", {}).items():
                if "$ref" not in header and kept.setdefault(name, header) == header:
                    response["headers"][name] = {"$ref": f"#/components/headers/{name}"}


def _share_problems(document: Json) -> None:
    """Move equal responses that are not the answer to `components`."""
    shared: dict[str, str] = {}
    kept: Json = document["components"].setdefault("responses", {})
    for _, _, operation in operations(document):
        _join_general(operation["responses"])
        for status, response in operation["responses"].items():
            if (int(status[0]) * 100 < FIRST_ERROR_STATUS and status != NOT_MODIFIED) or _has_examples(response):
                continue
            written = json.dumps(response, sort_keys=True)
            if written not in shared:
                name = f"Status{status}" if status == NOT_MODIFIED else f"Problem{status}"
                while name in kept:
                    name += "b"
                shared[written], kept[name] = name, response
            operation["responses"][status] = {"$ref": f"#/components/responses/{shared[written]}"}


def _join_general(responses: Json) -> None:
    for general, statuses in GENERAL_STATUSES.items():
        joined = [status for status in statuses if status in responses and not _has_examples(responses[status])]
        if joined:
            words = ", ".join(f"{status} {responses[status]['description']}" for status in joined)
            responses[general] = responses[joined[0]] | {"description": words}
        for status in joined:
            del responses[status]


def _has_examples(response: Json) -> bool:
    return any("examples" in content for content in response.get("content", {}).values())


def _share_parameters(document: Json) -> None:
    """Move parameters that several operations declare alike to `components`."""
    counts: dict[str, int] = {}
    for _, _, operation in operations(document):
        for parameter in operation.get("parameters", ()):
            written = json.dumps(parameter, sort_keys=True)
            counts[written] = counts.get(written, 0) + 1
    kept: Json = document["components"].setdefault("parameters", {})
    names: dict[str, str] = {}
    for _, _, operation in operations(document):
        for place, parameter in enumerate(operation.get("parameters", ())):
            written = json.dumps(parameter, sort_keys=True)
            if counts[written] < MIN_SHARED:
                continue
            if written not in names:
                base = "".join(part.capitalize() for part in parameter["name"].split("_"))
                alike = sum(name.rstrip("0123456789") == base for name in kept)
                names[written] = f"{base}{alike + 1}" if alike else base
                kept[names[written]] = parameter
            operation["parameters"][place] = {"$ref": f"#/components/parameters/{names[written]}"}
