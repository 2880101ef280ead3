"""Every property of the shop's requests and answers is described, and has a fitting example."""

from collections.abc import Iterator
from types import ModuleType
from typing import Any

import pytest
from pydantic import BaseModel, TypeAdapter

from api.v1.balance import schemas as balance
from api.v1.batches import schemas as batches
from api.v1.cost import schemas as cost
from api.v1.label import schemas as label
from api.v1.shop import schemas as shop
from api.v1.shop import sold

MODULES: tuple[ModuleType, ...] = (balance, batches, cost, label, shop, sold)
MODELS: list[type[BaseModel]] = [
    model
    for module in MODULES
    for model in vars(module).values()
    if isinstance(model, type) and issubclass(model, BaseModel) and model.__module__ == module.__name__
]
# The values of these types are in the document, so they need no example.
EXPLAINED = {"$ref", "enum", "const"}


def own_properties(model: type[BaseModel]) -> Iterator[tuple[str, dict[str, Any]]]:
    """The properties that the model itself declares, without those of its base."""
    properties = model.model_json_schema().get("properties", {})
    for name in model.__annotations__:
        if name in properties:
            yield name, properties[name]


def kinds(schema: dict[str, Any]) -> list[dict[str, Any]]:
    """The types that a property may have."""
    return [kind for kind in schema.get("anyOf", [schema]) if kind.get("type") != "null"]


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)
def test_every_property_is_described(model: type[BaseModel]) -> None:
    for name, schema in own_properties(model):
        described = "description" in schema or any("description" in kind or "$ref" in kind for kind in kinds(schema))
        assert described, name


@pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)
def test_every_figure_and_text_has_an_example_that_fits(model: type[BaseModel]) -> None:
    for name, schema in own_properties(model):
        for kind in kinds(schema):
            items = kind.get("items", kind)
            if kind.get("type") == "boolean" or EXPLAINED & items.keys():
                continue
            examples = schema.get("examples") or kind.get("examples") or items.get("examples")
            assert examples, name
            listed = kind.get("type") == "array" and not (schema.get("examples") or kind.get("examples"))
            field: Any = model.model_fields[name].rebuild_annotation()
            for example in examples:
                TypeAdapter(field).validate_python([example] if listed else example)
