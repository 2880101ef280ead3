"""The conventions of the contract, checked over the whole document."""

import gzip
import json
from collections.abc import Iterator
from typing import Any

import pytest

from api.app import create_api
from api.contract.conventions import apply_conventions, every_schema, names_reached, operations, schemas_within
from api.settings import Settings

DOCUMENT = create_api(Settings()).openapi()
COMPONENTS = DOCUMENT["components"]["schemas"]
ASKED, ANSWERED = names_reached(DOCUMENT)
ONLY_ANSWERED = ANSWERED - ASKED


def named_schemas(names: set[str]) -> Iterator[tuple[str, dict[str, Any]]]:
    for name in sorted(names):
        for schema in schemas_within(COMPONENTS[name]):
            yield name, schema


def test_every_number_has_a_format() -> None:
    numbers = [schema for schema in every_schema(DOCUMENT) if schema.get("type") in {"number", "integer"}]
    assert len(numbers) > 100
    assert {schema["format"] for schema in numbers if schema["type"] == "number"} == {"double"}
    assert {schema["format"] for schema in numbers if schema["type"] == "integer"} <= {"int32", "int64"}


def test_nothing_may_be_null() -> None:
    """Except in a list of an answer, where null holds the place of a row without a figure."""
    places = [
        schema["items"]
        for name in ONLY_ANSWERED
        for schema in schemas_within(COMPONENTS[name])
        if schema.get("type") == "array"
    ]
    allowed = [id(kind) for place in places for kind in place.get("anyOf", ())]
    nulls = [schema for schema in every_schema(DOCUMENT) if schema.get("type") == "null"]
    assert not [schema for schema in nulls if id(schema) not in allowed]


def test_no_default_stands_beside_a_reference() -> None:
    assert not [schema for schema in every_schema(DOCUMENT) if "$ref" in schema and "default" in schema]


def test_requests_are_closed() -> None:
    for name, schema in named_schemas(ASKED):
        if "properties" in schema:
            assert schema.get("additionalProperties") is not None, name


def test_answers_are_open() -> None:
    assert len(ONLY_ANSWERED) > 40
    assert not [name for name, schema in named_schemas(ONLY_ANSWERED) if schema.get("additionalProperties") is False]


def test_answers_have_no_closed_list_of_values() -> None:
    assert not [name for name, schema in named_schemas(ONLY_ANSWERED) if "enum" in schema or "const" in schema]
    assert any("x-extensible-enum" in schema for _, schema in named_schemas(ONLY_ANSWERED))


def test_every_reference_leads_somewhere() -> None:
    def references(part: Any) -> Iterator[str]:
        if isinstance(part, dict):
            if isinstance(part.get("$ref"), str):
                yield part["$ref"]
            for key, value in part.items():
                if key not in {"examples", "example"}:
                    yield from references(value)
        elif isinstance(part, list):
            for value in part:
                yield from references(value)

    for reference in set(references(DOCUMENT)):
        _, _, group, name = reference.split("/")
        assert name in DOCUMENT["components"][group], reference


def test_operation_ids_make_no_class_that_is_also_a_schema() -> None:
    for _, _, operation in operations(DOCUMENT):
        stem = "".join(part.capitalize() for part in operation["operationId"].split("_"))
        assert not {stem, f"{stem}Request", f"{stem}Response"} & set(COMPONENTS), operation["operationId"]


def test_no_property_is_a_bare_end_of_a_range() -> None:
    bare = {"low", "high", "central", "class", "edge", "available"}
    assert not [
        (name, field) for name, schema in COMPONENTS.items() for field in schema.get("properties", {}) if field in bare
    ]


def kind_of(schema: dict[str, Any]) -> str:
    """What a client holds: a named schema, a list of something, or a type of JSON."""
    if "$ref" in schema:
        return str(schema["$ref"])
    return f"list of {kind_of(schema['items'])}" if "items" in schema else str(schema.get("type"))


@pytest.mark.parametrize(
    "name", ["rows", "columns", "rings", "shape", "figures", "rise", "pattern", "egg_class", "cited", "confidence"]
)
def test_a_name_has_one_meaning(name: str) -> None:
    fields = [schema.get("properties", {}).get(name) for schema in COMPONENTS.values()]
    parameters = [
        parameter["schema"]
        for _, _, operation in operations(DOCUMENT)
        for parameter in operation.get("parameters", [])
        if parameter.get("name") == name
    ]
    kinds = {kind_of(field) for field in [*fields, *parameters] if field is not None}
    assert len(kinds) == 1, kinds


def test_the_document_is_small() -> None:
    compact = json.dumps(DOCUMENT, separators=(",", ":"), ensure_ascii=False).encode()
    assert len(compact) < 300_000
    assert len(gzip.compress(compact)) < 50_000  # as it is served


@pytest.mark.parametrize(
    ("schema", "expected"),
    [
        ({"type": "number"}, {"type": "number", "format": "double"}),
        (
            {"type": "integer", "maximum": 5_000_000_000},
            {"type": "integer", "maximum": 5_000_000_000, "format": "int64"},
        ),
        ({"anyOf": [{"type": "string"}, {"type": "null"}], "default": None}, {"type": "string"}),
        ({"$ref": "#/components/schemas/X", "default": 1}, {"$ref": "#/components/schemas/X"}),
    ],
)
def test_a_schema_is_brought_to_the_conventions(schema: dict[str, Any], expected: dict[str, Any]) -> None:
    document = {"paths": {}, "components": {"schemas": {"Tried": schema, "X": {"type": "object"}}}}
    apply_conventions(document)
    assert schema == expected
