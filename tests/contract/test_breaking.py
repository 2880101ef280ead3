"""The comparison of two contracts: each kind of break is reported, and compatible changes are not."""

import copy
from collections.abc import Callable
from typing import Any

import pytest

from api.app import create_api
from api.settings import Settings
from tests.contract.breaking import breaks

Document = dict[str, Any]
Change = Callable[[Document], object]

TIN = {"type": "string", "minLength": 1, "maxLength": 80, "pattern": "^[a-z]"}
SMALL: Document = {
    "paths": {
        "/tins/{name}": {
            "get": {
                "operationId": "get_tin",
                "tags": ["tins"],
                "parameters": [
                    {"in": "path", "name": "name", "required": True, "schema": {"type": "string", "maxLength": 80}},
                    {
                        "in": "query",
                        "name": "unit",
                        "schema": {"type": "string", "enum": ["mm", "cm"], "default": "mm"},
                    },
                ],
                "responses": {
                    "200": {
                        "headers": {"ETag": {"schema": {"type": "string"}}},
                        "content": {
                            "application/json": {"schema": {"$ref": "#/components/schemas/Answer"}},
                            "text/csv": {"schema": {"type": "string"}},
                        },
                    },
                    "404": {"content": {"application/problem+json": {"schema": {"type": "object"}}}},
                },
            },
            "post": {
                "operationId": "measure",
                "tags": ["tins"],
                "requestBody": {
                    "content": {"application/json": {"schema": {"$ref": "#/components/schemas/Request"}}},
                },
                "responses": {"200": {"content": {"application/json": {"schema": {"type": "object"}}}}},
            },
        }
    },
    "components": {
        "schemas": {
            "Request": {
                "type": "object",
                "additionalProperties": False,
                "required": ["tin"],
                "properties": {
                    "tin": {"$ref": "#/components/schemas/Tin"},
                    "count": {"type": "number", "minimum": 1, "exclusiveMaximum": 50},
                    "tags": {"type": "array", "maxItems": 5, "items": {"enum": ["a", "b"]}},
                    "own": {"type": "object", "additionalProperties": {"type": "number"}},
                    "inside": {"$ref": "#/components/schemas/Request"},
                },
            },
            "Tin": {"anyOf": [{"$ref": "#/components/schemas/Square"}, TIN, {"type": "null"}]},
            "Square": {
                "type": "object",
                "title": "Square",
                "required": ["shape", "side"],
                "properties": {"shape": {"const": "square"}, "side": {"type": "number"}, "depth": {"type": "number"}},
            },
            "Answer": {
                "type": "object",
                "required": ["area", "kind"],
                "properties": {
                    "area": {"type": "integer"},
                    "kind": {"enum": ["flat", "deep"]},
                    "code": {"anyOf": [{"enum": ["a"]}, {"type": "string"}]},
                    "note": {"type": "string"},
                    "parts": {"type": "array", "items": {"$ref": "#/components/schemas/Answer"}},
                },
            },
        }
    },
}


def schema(document: Document, name: str) -> Document:
    schema_of_name: Document = document["components"]["schemas"][name]
    return schema_of_name


def field_of(document: Document, name: str, field: str) -> Document:
    schema_of_field: Document = schema(document, name)["properties"][field]
    return schema_of_field


def at(document: Document, method: str) -> Document:
    operation: Document = document["paths"]["/tins/{name}"][method]
    return operation


BREAKS: dict[str, tuple[Change, str]] = {
    "path": (lambda d: d["paths"].clear(), "/tins/{name}: the path is gone"),
    "operation": (lambda d: d["paths"]["/tins/{name}"].pop("post"), "the operation is gone"),
    "operationId": (lambda d: at(d, "get").update(operationId="tin"), "its operationId changed"),
    "tags": (lambda d: at(d, "get").update(tags=["trays"]), "its tags"),
    "key required": (lambda d: d.update(security=[{"key": []}]), "a key is newly required"),
    "parameter": (lambda d: at(d, "get")["parameters"].pop(), "parameter unit: gone"),
    "parameter's values": (
        lambda d: at(d, "get")["parameters"][1]["schema"].update(enum=["mm"]),
        "parameter unit: ['cm'] is not accepted",
    ),
    "parameter's default": (
        lambda d: at(d, "get")["parameters"][1]["schema"].update(default="cm"),
        "parameter unit: the default changed from 'mm' to 'cm'",
    ),
    "parameter required": (lambda d: at(d, "get")["parameters"][1].update(required=True), "unit: newly required"),
    "parameter's list form": (lambda d: at(d, "get")["parameters"][1].update(explode=False), "explode changed"),
    "new required parameter": (
        lambda d: at(d, "get")["parameters"].append({"in": "query", "name": "x", "required": True, "schema": {}}),
        "parameter x: new and required",
    ),
    "answer": (lambda d: at(d, "get")["responses"].pop("404"), "the answer 404 is gone"),
    "media type": (lambda d: at(d, "get")["responses"]["200"]["content"].pop("text/csv"), "text/csv is gone"),
    "header": (lambda d: at(d, "get")["responses"]["200"]["headers"].clear(), "the header ETag is gone"),
    "body": (lambda d: at(d, "post").pop("requestBody"), "the body is gone"),
    "body required": (lambda d: at(d, "post")["requestBody"].update(required=True), "the body is newly required"),
    "body's media type": (lambda d: at(d, "post")["requestBody"]["content"].clear(), "application/json is gone"),
    "request field": (lambda d: schema(d, "Request")["properties"].pop("count"), "body.count: gone"),
    "request field required": (
        lambda d: schema(d, "Request")["required"].append("count"),
        "body.count: newly required",
    ),
    "new required field": (
        lambda d: schema(d, "Square").update(
            required=["shape", "side", "lid"], properties={**schema(d, "Square")["properties"], "lid": {}}
        ),
        "body.tin.lid: newly required",
    ),
    "greater minimum": (lambda d: field_of(d, "Request", "count").update(minimum=2), "the minimum rose"),
    "minimum excluded": (lambda d: field_of(d, "Request", "count").update(exclusiveMinimum=1), "the minimum rose"),
    "smaller maximum": (lambda d: field_of(d, "Request", "count").update(maximum=49), "the maximum fell"),
    "number to integer": (lambda d: field_of(d, "Request", "count").update(type="integer"), "number is not accepted"),
    "fewer items": (lambda d: field_of(d, "Request", "tags").update(maxItems=4), "maxItems fell from 5 to 4"),
    "some items": (lambda d: field_of(d, "Request", "tags").update(minItems=1), "minItems rose from 0 to 1"),
    "fewer values": (lambda d: field_of(d, "Request", "tags").update(items={"enum": ["a"]}), "tags[]: ['b'] is not"),
    "only some values": (lambda d: field_of(d, "Request", "count").update(enum=[1]), "only [1] is accepted"),
    "shorter text": (lambda d: schema(d, "Tin")["anyOf"][1].update(maxLength=40), "maxLength fell from 80 to 40"),
    "other pattern": (lambda d: schema(d, "Tin")["anyOf"][1].update(pattern="^x"), "pattern changed"),
    "new format": (lambda d: schema(d, "Tin")["anyOf"][1].update(format="uuid"), "format changed"),
    "branch": (lambda d: schema(d, "Tin").update(anyOf=schema(d, "Tin")["anyOf"][1:]), "object is not accepted"),
    "null": (lambda d: schema(d, "Tin")["anyOf"].pop(), "null is not accepted"),
    "tag": (lambda d: field_of(d, "Square", "shape").update(const="quadrat"), "['square'] is not accepted"),
    "field of a branch": (lambda d: schema(d, "Square")["properties"].pop("depth"), "body.tin.depth: gone"),
    "additional fields rejected": (
        lambda d: schema(d, "Square").update(additionalProperties=False),
        "additional fields are newly rejected",
    ),
    "additional fields narrowed": (
        lambda d: field_of(d, "Request", "own").update(additionalProperties={"type": "integer"}),
        "own.*: number is not accepted",
    ),
    "keyword unknown to the rules": (
        lambda d: field_of(d, "Request", "count").update(multipleOf=2),
        "`multipleOf` changed",
    ),
    "closed answer": (lambda d: schema(d, "Answer").update(additionalProperties=False), "Answer: the answer is closed"),
    "response field": (lambda d: schema(d, "Answer")["properties"].pop("note"), "200.note: gone"),
    "response field optional": (lambda d: schema(d, "Answer")["required"].pop(), "200.kind: may be left out now"),
    "integer to number": (lambda d: field_of(d, "Answer", "area").update(type="number"), "number is not accepted"),
    "null answered": (
        lambda d: field_of(d, "Answer", "area").update(type=["integer", "null"]),
        "null is not accepted",
    ),
    "more values answered": (
        lambda d: field_of(d, "Answer", "kind")["enum"].append("round"),
        "kind: ['round'] is not accepted",
    ),
    "any value answered": (
        lambda d: schema(d, "Answer")["properties"].update(kind={"type": "string"}),
        "only ['flat', 'deep'] is accepted",
    ),
    "other items answered": (
        lambda d: field_of(d, "Answer", "parts").update(items={"type": "string"}),
        "parts[]: string is not accepted",
    ),
}

COMPATIBLE: dict[str, Change] = {
    "a key may be shown": lambda d: d.update(security=[{}, {"key": []}]),
    "nothing": lambda _: None,
    "words": lambda d: at(d, "get").update(summary="x", description="y"),
    "path": lambda d: d["paths"].update({"/new": {"get": {}}}),
    "operation": lambda d: d["paths"]["/tins/{name}"].update(put={}),
    "parameter": lambda d: at(d, "get")["parameters"].append({"in": "query", "name": "x", "schema": {}}),
    "parameter's values": lambda d: at(d, "get")["parameters"][1]["schema"]["enum"].append("in"),
    "answer": lambda d: at(d, "get")["responses"].update({"406": {}}),
    "media type": lambda d: at(d, "get")["responses"]["200"]["content"].update({"text/plain": {"schema": {}}}),
    "request field": lambda d: schema(d, "Request")["properties"].update(lid={"type": "boolean"}),
    "request field optional": lambda d: schema(d, "Request")["required"].clear(),
    "wider limits": lambda d: field_of(d, "Request", "count").update(minimum=0, exclusiveMaximum=51),
    "maximum allowed": lambda d: [
        field_of(d, "Request", "count").pop("exclusiveMaximum"),
        field_of(d, "Request", "count").update(maximum=50),
    ],
    "longer lists": lambda d: field_of(d, "Request", "tags").update(maxItems=6),
    "branch": lambda d: schema(d, "Tin")["anyOf"].append({"type": "number"}),
    "union in a union": lambda d: [
        d["components"]["schemas"].update(Text={"oneOf": [TIN, {"type": "number"}]}),
        schema(d, "Tin")["anyOf"].__setitem__(1, {"$ref": "#/components/schemas/Text"}),
    ],
    "pattern dropped": lambda d: schema(d, "Tin")["anyOf"][1].pop("pattern"),
    "response field": lambda d: schema(d, "Answer")["properties"].update(volume={"type": "number"}),
    "response field required": lambda d: schema(d, "Answer")["required"].append("note"),
    "fewer values answered": lambda d: field_of(d, "Answer", "kind")["enum"].pop(),
    "values of an open list": lambda d: field_of(d, "Answer", "code")["anyOf"][0]["enum"].append("b"),
    "limit answered": lambda d: field_of(d, "Answer", "note").update(maxLength=9),
    "name of a schema": lambda d: [
        d["components"]["schemas"].update(Result=schema(d, "Answer")),
        at(d, "get")["responses"]["200"]["content"]["application/json"].update(
            schema={"$ref": "#/components/schemas/Result"}
        ),
    ],
}


def changed(change: Change) -> Document:
    document = copy.deepcopy(SMALL)
    change(document)
    return document


@pytest.mark.parametrize(("change", "expected"), BREAKS.values(), ids=BREAKS)
def test_a_break_is_reported(change: Change, expected: str) -> None:
    reported = breaks(SMALL, changed(change))
    assert any(expected in sentence for sentence in reported), reported


@pytest.mark.parametrize("change", COMPATIBLE.values(), ids=COMPATIBLE)
def test_a_compatible_change_is_not_reported(change: Change) -> None:
    assert breaks(SMALL, changed(change)) == []


def test_the_service_is_compatible_with_itself_and_each_removed_field_is_reported() -> None:
    document = create_api(Settings()).openapi()
    assert breaks(document, copy.deepcopy(document)) == []
    lost = copy.deepcopy(document)
    del schema(lost, "LineAnswer")["properties"]["grams"]
    del schema(lost, "Line")["properties"]["packing"]
    reported = breaks(document, lost)
    assert "POST /v1/rescale 200.targets[].components[].lines[].grams: gone" in reported
    assert "POST /v1/rescale body.formula.components[].lines[].packing: gone" in reported
