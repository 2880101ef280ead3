"""A default that a client sends is the same as a field left out, since generated clients send every default."""

import asyncio
from copy import deepcopy
from typing import Any

import pytest

from api.app import create_api, create_app
from api.contract.examples import load_examples, operation_at
from api.contract.trying import ask
from api.settings import Settings

DOCUMENT = create_api(Settings()).openapi()
Json = dict[str, Any]


def resolved(schema: Json) -> Json:
    while "$ref" in schema:
        schema = DOCUMENT["components"]["schemas"][schema["$ref"].rsplit("/", 1)[-1]]
    return schema


def variants(schema: Json, value: Any) -> list[Json]:
    """The object schemas that an object may have: that of its discriminator, or those whose properties it has."""
    schema = resolved(schema)
    kinds = [resolved(kind) for kind in (*schema.get("oneOf", ()), *schema.get("anyOf", ()))]
    objects = [kind for kind in (schema, *kinds) if "properties" in kind and set(value) <= set(kind["properties"])]
    tag = schema.get("discriminator", {}).get("propertyName")
    if tag is not None:
        objects = [resolved({"$ref": schema["discriminator"]["mapping"][value[tag]]})]
    return objects


def add_defaults(schema: Json, value: Any, added: list[str]) -> None:
    """Set every field that has a default and was left out, in a request and in the objects inside it."""
    if isinstance(value, list):
        for item in value:
            add_defaults(list_items(schema), item, added)
    elif isinstance(value, dict):
        for kind in variants(schema, value)[:1]:
            for name, field in kind["properties"].items():
                default = field.get("default", resolved(field).get("default"))
                if name in value:
                    add_defaults(field, value[name], added)
                elif default is not None:
                    value[name] = deepcopy(default)
                    added.append(name)


def list_items(schema: Json) -> Json:
    schema = resolved(schema)
    kinds = (schema, *schema.get("anyOf", ()))
    return next((resolved(kind)["items"] for kind in kinds if "items" in resolved(kind)), {})


_ECHOES = {"formula", "target", "figures"}  # an example file leaves out the id of the figures


def without_echoes(answer: Any) -> Any:
    """An answer without the parts of the request that it returns as they were sent."""
    if isinstance(answer, list):
        return [without_echoes(item) for item in answer]
    if isinstance(answer, dict):
        return {name: without_echoes(value) for name, value in answer.items() if name not in _ECHOES}
    return answer


POSTS = {name: example for name, example in load_examples().items() if example["method"] == "POST"}


def with_defaults(example: Json) -> tuple[Json, list[str]]:
    located = operation_at(DOCUMENT, "POST", example["path"].partition("?")[0])
    assert located is not None
    schema = located[1]["requestBody"]["content"]["application/json"]["schema"]
    changed, added = deepcopy(example), list[str]()
    add_defaults(schema, changed["request"], added)
    return changed, added


@pytest.mark.parametrize("name", POSTS)
def test_a_default_that_is_sent_changes_no_answer(name: str) -> None:
    changed, _ = with_defaults(POSTS[name])
    status, answer = asyncio.run(ask(create_app(), changed))
    expected = POSTS[name].get("response", POSTS[name].get("response_text"))
    assert (status, without_echoes(answer)) == (POSTS[name]["status"], without_echoes(expected))


def test_the_examples_reach_the_defaults() -> None:
    assert len({field for example in POSTS.values() for field in with_defaults(example)[1]}) > 10
