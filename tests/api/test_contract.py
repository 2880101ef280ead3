"""The OpenAPI document: valid, complete, bounded."""

from collections.abc import Iterator
from typing import Any
from urllib.parse import quote

import pytest
from openapi_spec_validator import validate

from api.app import create_api
from api.contract.examples import load_examples
from api.settings import Settings
from tests.api.conftest import Call
from tests.openapi import inlined

DOCUMENT: dict[str, Any] = inlined(create_api(Settings()).openapi())
OPERATIONS = [
    (path, method, operation)
    for path, methods in DOCUMENT["paths"].items()
    for method, operation in methods.items()
    if path.startswith("/v1")
]
IDS = [f"{method} {path}" for path, method, _ in OPERATIONS]


def test_the_document_is_valid_openapi() -> None:
    validate(create_api(Settings()).openapi())


def test_operation_ids_are_there_and_differ() -> None:
    ids = [operation["operationId"] for _, _, operation in OPERATIONS]
    assert len(set(ids)) == len(ids)


@pytest.mark.parametrize(("path", "method", "operation"), OPERATIONS, ids=IDS)
def test_every_operation_documents_its_problems(path: str, method: str, operation: dict[str, Any]) -> None:
    described = " ".join([*operation["responses"], *(part["description"] for part in operation["responses"].values())])
    for status in ("400", "404", "405", "408", "413", "414", "415", "422", "431", "500", "503"):
        assert status in described, (path, method)
    assert "Retry-After" in operation["responses"]["503"]["headers"]
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
    return kind == "object" and schema.keys().isdisjoint({"properties", "oneOf", "maxProperties"})


@pytest.mark.parametrize(("path", "method", "operation"), OPERATIONS, ids=IDS)
def test_everything_a_client_sends_has_a_limit(path: str, method: str, operation: dict[str, Any]) -> None:
    inputs = [(parameter["name"], parameter["schema"]) for parameter in operation.get("parameters", [])]
    if "requestBody" in operation:
        inputs.append(("body", operation["requestBody"]["content"]["application/json"]["schema"]))
    limitless = [where for name, schema in inputs for where, leaf in leaves(schema, name) if unbounded(leaf)]
    assert not limitless, (path, method)


SCHEMAS: dict[str, dict[str, Any]] = DOCUMENT["components"]["schemas"]
POSTS = [(path, operation) for path, method, operation in OPERATIONS if method == "post"]


def nested(schema: Any, where: str) -> Iterator[tuple[str, dict[str, Any]]]:
    """Every schema written inside a schema, references not followed."""
    if isinstance(schema, list):
        for position, part in enumerate(schema):
            yield from nested(part, f"{where}/{position}")
    elif isinstance(schema, dict):
        for key, part in schema.items():
            if key == "properties":
                for name, inner in part.items():
                    yield f"{where}.{name}", inner
                    yield from nested(inner, f"{where}.{name}")
            elif key not in {"examples", "example", "default", "discriminator", "enum"}:
                if isinstance(part, dict):
                    yield f"{where}/{key}", part
                yield from nested(part, f"{where}/{key}")


INSIDE = [(where, part) for name, schema in SCHEMAS.items() for where, part in nested(schema, name)]
INSIDE += [
    (f"{IDS[i]}{where}", part)
    for i, (_, _, operation) in enumerate(OPERATIONS)
    for where, part in nested(operation, "")
]


def test_names_are_words_and_one_thing_each() -> None:
    assert [name for name in SCHEMAS if "__" in name or not name[0].isupper()] == []
    assert len({name.casefold() for name in SCHEMAS}) == len(SCHEMAS)


def test_objects_have_names() -> None:
    # An object with fields, written where it is used, gets a name from every generator, each time another.
    assert [where for where, part in INSIDE if part.get("properties") and where not in SCHEMAS] == []


def test_unions_have_names() -> None:
    unnamed = []
    for where, part in INSIDE:
        branches = [branch for branch in (*part.get("anyOf", ()), *part.get("oneOf", ())) if branch != {"type": "null"}]
        if len(branches) > 1:
            unnamed.append(where)
    assert unnamed == []


def test_unions_of_objects_are_told_apart() -> None:
    for name, schema in SCHEMAS.items():
        objects = [resolve(branch) for branch in (*schema.get("anyOf", ()), *schema.get("oneOf", ()))]
        objects = [model for model in objects if "properties" in model]
        if len(objects) < 2:
            continue
        if "discriminator" in schema:
            tag = schema["discriminator"]["propertyName"]
            assert all(tag in model["required"] and "default" not in model["properties"][tag] for model in objects), (
                name
            )
        else:
            # Without a tag, a generated client tries one after the other: what one needs, the others must not know.
            for model in objects:
                others = [other for other in objects if other is not model]
                assert all(set(model["required"]) - other["properties"].keys() for other in others), name


def reachable(schema: Any, seen: set[str]) -> set[str]:
    """Names of all schemas that a schema leads to."""
    if isinstance(schema, list):
        for part in schema:
            reachable(part, seen)
    elif isinstance(schema, dict):
        group, _, name = str(schema.get("$ref", "")).removeprefix("#/components/").partition("/")
        if group == "schemas" and name not in seen:
            seen.add(name)
            reachable(SCHEMAS[name], seen)
        for part in schema.values():
            reachable(part, seen)
    return seen


def test_answers_never_hold_null() -> None:
    answered = reachable([operation["responses"] for _, _, operation in OPERATIONS], set())
    of_requests = reachable([operation.get("requestBody", {}) for _, _, operation in OPERATIONS], set())
    for name in answered - of_requests:
        assert {"type": "null"} not in [part for _, part in nested(SCHEMAS[name], name)], name


@pytest.mark.parametrize(("path", "method", "operation"), OPERATIONS, ids=IDS)
def test_every_operation_shows_an_example(path: str, method: str, operation: dict[str, Any]) -> None:
    if method == "post":  # answers have the examples of their properties
        assert operation["requestBody"]["content"]["application/json"]["examples"], path
    for parameter in operation.get("parameters", []):
        assert parameter["schema"].get("type") != "null"
        if parameter.get("required"):
            assert "example" in parameter, parameter["name"]


@pytest.mark.parametrize(("path", "method", "operation"), OPERATIONS, ids=IDS)
def test_examples_of_parameters_are_together_a_request(
    call: Call, path: str, method: str, operation: dict[str, Any]
) -> None:
    shown = {
        parameter["name"]: parameter["example"]
        for parameter in operation.get("parameters", [])
        if "example" in parameter
    }
    if method == "get":
        address = path.format(**{name: quote(str(value)) for name, value in shown.items()})
        query = {name: value for name, value in shown.items() if f"{{{name}}}" not in path}
        assert call("GET", address, params=query).status_code == 200


def test_tags_are_declared_with_words() -> None:
    used = {
        tag for methods in DOCUMENT["paths"].values() for operation in methods.values() for tag in operation["tags"]
    }
    assert {tag["name"] for tag in DOCUMENT["tags"] if tag["description"]} == used


@pytest.mark.parametrize(("path", "operation"), POSTS, ids=[path for path, _ in POSTS])
def test_every_post_says_that_repeating_it_is_safe(path: str, operation: dict[str, Any]) -> None:
    words = " ".join(operation["description"].split())
    assert "nothing is stored, and repeating it is safe" in words, path


ASKED_BY_POST = {name: example for name, example in load_examples().items() if example["method"] == "POST"}


@pytest.mark.parametrize("name", ASKED_BY_POST)
def test_repeating_a_post_changes_nothing(call: Call, name: str) -> None:
    example = ASKED_BY_POST[name]
    first, second = (call("POST", example["path"], json=example["request"]) for _ in range(2))
    assert (first.status_code, first.content) == (second.status_code, second.content)


def test_a_bad_item_of_a_batch_is_answered_in_its_place(call: Call) -> None:
    good, bad = {"quantity": "1 lb", "to": "g"}, {"quantity": "1 us_cup", "to": "g", "ingredient": "flowerpot"}
    answer = call("POST", "/v1/convert", json={"items": [good, bad, good]})
    assert answer.status_code == 200
    first, second, third = answer.json()["items"]
    assert first == third
    assert [error["pointer"] for error in second["problem"]["errors"]] == ["/items/1/ingredient"]
