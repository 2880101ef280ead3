"""The OpenAPI document as it goes out: what the framework cannot know of it."""

from collections.abc import Iterator
from typing import Any
from urllib.parse import parse_qs, urlsplit

from api.contract.examples import add_examples, load_examples, operation_at

TAGS = {
    "rescale": "A formula for other tins: the main job.",
    "convert": "Amounts from one unit to another, one or a column.",
    "eggs": "Eggs in grams, in other weight classes, as liquid or dried egg.",
    "tins": "What tins hold, and the factor between two.",
    "cuts": "Where to cut a slab, and what each piece weighs.",
    "pieces": "A mix divided into pieces, on trays or in a tin.",
    "oven": "An oven's setting on every scale.",
    "bake": "The window of minutes in another tin.",
    "batches": "Mixes for the bowls there are.",
    "cost": "What a formula costs.",
    "label": "Drafts of what a label says.",
    "balance": "A formula in baker's percent.",
    "reference": "What the service knows, and from where.",
    "running": "Whether it lives and is ready.",
}
# Alternatives to each other and to none, since a service may have no keys: `{}` is none.
_SECURITY_SCHEMES: dict[str, dict[str, str]] = {
    "bearer": {"type": "http", "scheme": "bearer", "description": "`Authorization: Bearer KEY` (RFC 6750)."},
    "basic": {
        "type": "http",
        "scheme": "basic",
        "description": "The key's name as user and the key as password (RFC 7617): a browser asks for both.",
    },
    "access_token": {
        "type": "apiKey",
        "in": "query",
        "name": "access_token",
        "description": "Of a GET, for what can set no header, such as a spreadsheet's cell (RFC 6750, section 2.3).",
    },
}
_CHALLENGE = {"description": "How to show a key (RFC 9110, 11.6.1).", "schema": {"type": "string"}}
_RETRY_AFTER = {"description": "Seconds (RFC 9110, 10.2.3).", "schema": {"type": "integer", "minimum": 0}}
_OPEN_TAG = "running"  # answered without a key, whatever the service asks for
_KEPT_HEADERS = {
    "ETag": "Strong; send it back in `If-None-Match`.",
    "Cache-Control": "How long the answer may be kept.",
}


def complete(document: dict[str, Any]) -> None:
    """Finish a document that the framework made, in place."""
    document["components"]["securitySchemes"] = _SECURITY_SCHEMES
    document["security"] = [{}, *({name: []} for name in _SECURITY_SCHEMES)]
    used = {tag for _, _, operation in _operations(document) for tag in operation.get("tags", ())}
    document["tags"] = [{"name": tag, "description": words} for tag, words in TAGS.items() if tag in used]
    for path, method, operation in _operations(document):
        for parameter in operation.get("parameters", ()):
            _never_null(parameter["schema"])
        if "401" in operation["responses"]:
            operation["responses"]["401"]["headers"] = {"WWW-Authenticate": _CHALLENGE}
        if "503" in operation["responses"]:
            operation["responses"]["503"]["headers"] = {"Retry-After": _RETRY_AFTER}
        if _OPEN_TAG in operation["tags"]:
            operation["security"] = []
        if method == "get" and path.startswith("/v1/"):
            _may_be_kept(operation["responses"])
    add_examples(document)
    _show_parameters(document)


def _operations(document: dict[str, Any]) -> Iterator[tuple[str, str, dict[str, Any]]]:
    for path, methods in document["paths"].items():
        for method, operation in methods.items():
            yield path, method, operation


def _never_null(schema: dict[str, Any]) -> None:
    """A query string has no null: an optional parameter is left out."""
    kinds = [kind for kind in schema.get("anyOf", ()) if kind != {"type": "null"}]
    if kinds and len(kinds) < len(schema["anyOf"]):
        del schema["anyOf"]
        schema |= kinds[0] | schema if len(kinds) == 1 else {"anyOf": kinds}


def _may_be_kept(responses: dict[str, Any]) -> None:
    headers = {name: {"description": words, "schema": {"type": "string"}} for name, words in _KEPT_HEADERS.items()}
    responses["200"]["headers"] = headers
    responses["304"] = {"description": "Not Modified", "headers": headers}


def _show_parameters(document: dict[str, Any]) -> None:
    """Give the parameters of each operation the values of its first example, so that together they are a request."""
    shown: set[str] = set()
    for example in load_examples().values():
        address = urlsplit(example["path"])
        query = parse_qs(address.query)
        found = operation_at(document, example["method"], address.path)
        if found is None or not query.keys().isdisjoint({"format", "field"}) or example["status"] != 200:
            continue
        template, operation = found
        if operation["operationId"] in shown:
            continue
        shown.add(operation["operationId"])
        for parameter in operation.get("parameters", ()):
            if parameter["in"] == "path":
                parameter["example"] = _in_path(template, address.path, parameter["name"])
            elif parameter["name"] in query:
                parameter["example"] = _typed(query[parameter["name"]], parameter["schema"])


def _in_path(template: str, path: str, name: str) -> str:
    return dict(zip(template.split("/"), path.split("/"), strict=True))[f"{{{name}}}"]


def _typed(values: list[str], schema: dict[str, Any]) -> object:
    kind = schema.get("type")
    if kind == "array":
        return values
    value = values[0]
    if kind in {"number", "integer"}:
        return float(value) if kind == "number" else int(value)
    return value == "true" if kind == "boolean" else value
