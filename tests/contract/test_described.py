"""Every parameter and property has a description and an example of its own kind."""

from collections.abc import Iterator
from typing import Any

import pytest

from api.app import create_api
from api.settings import Settings
from tests.openapi import inlined

DOCUMENT: dict[str, Any] = inlined(create_api(Settings()).openapi())
SCHEMAS: dict[str, Any] = DOCUMENT["components"]["schemas"]
OF_EVERY_TOPIC = {"format", "field", "fields"}  # parameters that `api.wire` declares
OF_THE_WIRE = {"Problem", "ProblemError", "Warned"}  # models that `api.wire` declares
LENGTHS = {"depth", "length", "width", "diameter", "side", "radius", "hole", "flats"}  # the last word of a name


def operations() -> Iterator[dict[str, Any]]:
    for path, methods in DOCUMENT["paths"].items():
        if path.startswith("/v1/"):
            yield from methods.values()


def names_in(part: Any) -> Iterator[str]:
    if isinstance(part, dict):
        if "$ref" in part:
            yield part["$ref"].rpartition("/")[2]
        for inner in part.values():
            yield from names_in(inner)
    elif isinstance(part, list):
        for inner in part:
            yield from names_in(inner)


def reached() -> set[str]:
    """Names of the schemas that operations use."""
    names = set[str]()
    left = {name for operation in operations() for name in names_in(operation) if name in SCHEMAS}
    while left:
        name = left.pop()
        names.add(name)
        left |= {inner for inner in names_in(SCHEMAS[name]) if inner in SCHEMAS} - names
    return names - OF_THE_WIRE


def declared(part: dict[str, Any], word: str) -> Any:
    """A keyword of a property, its own or that of the type that it refers to."""
    if word in part:
        return part[word]
    inner = [*part.get("anyOf", ()), *part.get("allOf", ())]
    if "$ref" in part:
        inner.append(SCHEMAS[part["$ref"].rpartition("/")[2]])
    return next((declaration for each in inner if (declaration := declared(each, word)) is not None), None)


PROPERTIES = [
    (f"{name}.{field}", part)
    for name in sorted(reached())
    for field, part in SCHEMAS[name].get("properties", {}).items()
]
PARAMETERS = [
    (f"{operation['operationId']} {parameter['name']}", parameter | parameter["schema"])
    for operation in operations()
    for parameter in operation.get("parameters", ())
    if parameter["name"] not in OF_EVERY_TOPIC
]
DESCRIBED = [*PROPERTIES, *PARAMETERS]


def is_made_of_models(part: dict[str, Any]) -> bool:
    """Whether the examples are those of the properties inside."""
    refers = [
        name for name in names_in(part) if "properties" in SCHEMAS.get(name, {}) or "oneOf" in SCHEMAS.get(name, {})
    ]
    return bool(refers)


def shows_its_values(part: dict[str, Any]) -> bool:
    """Whether the schema lists every value, so that an example adds nothing."""
    return declared(part, "type") == "boolean" or any(
        declared(part, word) is not None for word in ("const", "enum", "x-extensible-enum")
    )


@pytest.mark.parametrize(("name", "part"), DESCRIBED, ids=[name for name, _ in DESCRIBED])
def test_it_is_described_and_has_an_example(name: str, part: dict[str, Any]) -> None:
    assert declared(part, "description"), name
    if is_made_of_models(part) or shows_its_values(part):
        return
    examples = declared(part, "examples") or [declared(part, "example")]
    assert examples[0] is not None, name
    field = name.rpartition(".")[2].rpartition(" ")[2]
    if field.rpartition("_")[2] in LENGTHS and isinstance(examples[0], str):
        assert any(example.endswith(("mm", "cm", "in")) for example in examples), (name, examples)
