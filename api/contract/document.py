"""Completes the OpenAPI document with what the framework does not know."""

from typing import Any
from urllib.parse import parse_qs, urlsplit

from api.contract import deprecation
from api.contract.conventions import apply_conventions, operations
from api.contract.deprecation import CHANGES
from api.contract.examples import add_examples, load_examples, operation_at
from api.pages.site import PROBLEM_TYPES
from api.wire.validation import CODES

PROBLEM_CODES = sorted({*PROBLEM_TYPES, *CODES})

TAGS = {
    "formulas": "Recipes as they are written, turned into formulas.",
    "rescale": "Rescale a formula to other tins: the main endpoint.",
    "convert": "Convert amounts between units, one or many.",
    "eggs": "Convert eggs to grams, other weight classes, liquid or dried egg.",
    "tins": "Area and volume of tins, and the factor between two tins.",
    "cuts": "Where to cut a slab, and the weight of each piece.",
    "pieces": "Divide a mix into pieces, and lay them out on trays or in a tin.",
    "oven": "Convert an oven setting between scales.",
    "bake": "Estimate the baking time in another tin.",
    "cool": "Estimate cooling, chilling, freezing and thawing.",
    "batches": "Plan the mixes for a day's orders.",
    "cost": "Cost and price of a formula.",
    "label": "Drafts of the ingredient list, allergens and nutrition table.",
    "balance": "A formula in baker's percentages.",
    "reference": "The reference data, with its sources.",
    "running": "Liveness and readiness.",
}
# Alternatives; `{}` means that no key is needed, since a service may have no keys.
_SECURITY_SCHEMES: dict[str, dict[str, str]] = {
    "bearer": {"type": "http", "scheme": "bearer", "description": "`Authorization: Bearer KEY` (RFC 6750)."},
    "basic": {
        "type": "http",
        "scheme": "basic",
        "description": "The key's name as user and the key as password (RFC 7617); browsers prompt for both.",
    },
    "access_token": {
        "type": "apiKey",
        "in": "query",
        "name": "access_token",
        "description": "For GET requests of clients that cannot set headers, such as spreadsheets (RFC 6750, 2.3).",
    },
}
_CHALLENGE = {"description": "How to send a key (RFC 9110, 11.6.1).", "schema": {"type": "string"}}
_RETRY_AFTER = {
    "description": "Seconds to wait before retrying (RFC 9110, 10.2.3).",
    "schema": {"type": "integer", "minimum": 0},
}
_FIGURES = {
    "description": "A short hash of the reference data and the shop file that the answer was made from.",
    "schema": {"type": "string"},
}
_OPEN_TAG = "running"  # needs no key
_CACHE_HEADERS = {
    "ETag": "Strong entity tag; send it in `If-None-Match`.",
    "Cache-Control": "How long the response may be cached.",
}


_HEADERS = {
    "WWW-Authenticate": _CHALLENGE,
    "Retry-After": _RETRY_AFTER,
    "X-Figures": _FIGURES,
    **{name: {"description": text, "schema": {"type": "string"}} for name, text in _CACHE_HEADERS.items()},
}


def complete(document: dict[str, Any]) -> None:
    """Complete a document that the framework built, in place."""
    # No name or address of a person, since generated clients keep them for years. `with_public_url` adds the address of
    # the service; there is none without it, because some generators refuse an address without a host.
    document["info"]["contact"] = {"name": "The operator of this service"}
    document["components"]["securitySchemes"] = _SECURITY_SCHEMES
    document["components"]["headers"] = _HEADERS
    document["security"] = [{}, *({name: []} for name in _SECURITY_SCHEMES)]
    used = {tag for _, _, operation in operations(document) for tag in operation.get("tags", ())}
    document["tags"] = [{"name": tag, "description": description} for tag, description in TAGS.items() if tag in used]
    for path, method, operation in operations(document):
        if "401" in operation["responses"]:
            operation["responses"]["401"]["headers"] = {"WWW-Authenticate": _header("WWW-Authenticate")}
        if "503" in operation["responses"]:
            operation["responses"]["503"]["headers"] = {"Retry-After": _header("Retry-After")}
        if _OPEN_TAG in operation["tags"]:
            operation["security"] = []
        if (method.upper(), path) in deprecation.OPERATIONS:
            operation["deprecated"] = True
        if method == "get" and path.startswith("/v1/"):
            _cacheable(operation["responses"])
    for path, _, operation in operations(document):
        if path.startswith("/v1/"):
            operation["responses"]["200"].setdefault("headers", {})["X-Figures"] = _header("X-Figures")
    document["components"]["schemas"]["ProblemError"]["properties"]["code"]["x-extensible-enum"] = PROBLEM_CODES
    add_examples(document)
    _add_parameter_examples(document)
    apply_conventions(document)


def with_public_url(document: dict[str, Any], url: str | None) -> dict[str, Any]:
    """The document with the addresses of one installation.

    Args:
        document: as the framework built it, with paths for addresses.
        url: the public URL of the service, if it is known.
    """
    if url is None:
        return document
    root = url.rstrip("/")
    info = {**document["info"], "contact": {**document["info"]["contact"], "url": root + CHANGES}}
    return {**document, "info": info, "servers": [{**document["servers"][0], "url": root}]}


def _header(name: str) -> dict[str, str]:
    return {"$ref": f"#/components/headers/{name}"}


def _cacheable(responses: dict[str, Any]) -> None:
    headers = {name: _header(name) for name in _CACHE_HEADERS}
    responses["200"]["headers"] = dict(headers)
    responses["304"] = {"description": "Not Modified", "headers": headers}


def _add_parameter_examples(document: dict[str, Any]) -> None:
    """Give the parameters of each operation the values of its first example, so that they form one valid request."""
    done: set[str] = set()
    for example in load_examples().values():
        address = urlsplit(example["path"])
        query = parse_qs(address.query)
        matched = operation_at(document, example["method"], address.path)
        if matched is None or not query.keys().isdisjoint({"format", "field"}) or example["status"] != 200:
            continue
        template, operation = matched
        if operation["operationId"] in done:
            continue
        done.add(operation["operationId"])
        for parameter in operation.get("parameters", ()):
            if parameter["in"] == "path":
                parameter["example"] = _in_path(template, address.path, parameter["name"])
            elif parameter["name"] in query:
                parameter["example"] = _typed(query[parameter["name"]], parameter["schema"])


def _in_path(template: str, path: str, name: str) -> str:
    return dict(zip(template.split("/"), path.split("/"), strict=True))[f"{{{name}}}"]


def _typed(values: list[str], schema: dict[str, Any]) -> object:
    kinds = [schema, *schema.get("anyOf", ())]  # the framework adds null to an optional parameter
    kind = next((each["type"] for each in kinds if each.get("type", "null") != "null"), None)
    if kind == "array":
        return values
    value = values[0]
    if kind in {"number", "integer"}:
        return float(value) if kind == "number" else int(value)
    return value == "true" if kind == "boolean" else value
