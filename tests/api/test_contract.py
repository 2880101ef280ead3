"""The OpenAPI document: valid, complete, bounded."""

from collections.abc import Iterator
from typing import Any

import pytest
from openapi_spec_validator import validate

from api.app import create_api
from api.settings import Settings

DOCUMENT: dict[str, Any] = create_api(Settings()).openapi()
OPERATIONS = [
    (path, method, operation)
    for path, methods in DOCUMENT["paths"].items()
    for method, operation in methods.items()
    if path.startswith("/v1")
]
IDS = [f"{method} {path}" for path, method, _ in OPERATIONS]


def test_the_document_is_valid_openapi() -> None:
    validate(DOCUMENT)


def test_operation_ids_are_there_and_differ() -> None:
    ids = [operation["operationId"] for _, _, operation in OPERATIONS]
    assert len(set(ids)) == len(ids)


@pytest.mark.parametrize(("path", "method", "operation"), OPERATIONS, ids=IDS)
def test_every_operation_documents_its_problems(path: str, method: str, operation: dict[str, Any]) -> None:
    assert {"400", "404", "405", "413", "415", "422", "500"} <= set(operation["responses"]), (path, method)
    for status, response in operation["responses"].items():
        if status >= "400":
            assert list(response["content"]) == ["application/problem+json"]


@pytest.mark.parametrize(("path", "method", "operation"), OPERATIONS, ids=IDS)
def test_every_operation_says_what_it_answers(path: str, method: str, operation: dict[str, Any]) -> None:
    assert operation["summary"], (path, method)
    assert operation["description"]
    schema = operation["responses"]["200"]["content"]["application/json"]["schema"]
    assert "$ref" in schema, "an anonymous answer"


def resolve(schema: dict[str, Any]) -> dict[str, Any]:
    """The schema itself, wherever it is kept."""
    while "$ref" in schema:
        schema = DOCUMENT["components"]["schemas"][schema["$ref"].rsplit("/", 1)[1]]
    return schema


def leaves(
    schema: dict[str, Any], where: str, seen: frozenset[str] = frozenset()
) -> Iterator[tuple[str, dict[str, Any]]]:
    """Every schema inside a schema, with a name for messages."""
    if (reference := schema.get("$ref")) in seen:
        return
    seen = seen | {reference} if reference else seen
    schema = resolve(schema)
    yield where, schema
    for key in ("anyOf", "oneOf", "allOf"):
        for part in schema.get(key, []):
            yield from leaves(part, where, seen)
    for name, part in schema.get("properties", {}).items():
        yield from leaves(part, f"{where}.{name}", seen)
    if "items" in schema:
        yield from leaves(schema["items"], f"{where}[]", seen)


def unbounded(schema: dict[str, Any]) -> bool:
    """Whether a client could send as much as it likes."""
    kind = schema.get("type")
    if "enum" in schema or "const" in schema:
        return False
    if kind == "string":
        return "maxLength" not in schema
    if kind == "array":
        return "maxItems" not in schema
    if kind in {"number", "integer"}:
        low, high = ("minimum", "exclusiveMinimum"), ("maximum", "exclusiveMaximum")
        return not (any(key in schema for key in low) and any(key in schema for key in high))
    return kind == "object" and "properties" not in schema and "maxProperties" not in schema


@pytest.mark.parametrize(("path", "method", "operation"), OPERATIONS, ids=IDS)
def test_everything_a_client_sends_has_a_limit(path: str, method: str, operation: dict[str, Any]) -> None:
    asked = [(parameter["name"], parameter["schema"]) for parameter in operation.get("parameters", [])]
    if "requestBody" in operation:
        asked.append(("body", operation["requestBody"]["content"]["application/json"]["schema"]))
    limitless = [where for name, schema in asked for where, leaf in leaves(schema, name) if unbounded(leaf)]
    assert not limitless, (path, method)
