"""Every published example is true, and fits the schema that the contract promises."""

from typing import Any

import pytest
from fastapi.routing import APIRoute
from pydantic import TypeAdapter

from api.app import ROUTERS, create_api
from api.examples import load_examples
from api.problems import Problem
from api.settings import Settings
from tests.api.conftest import Call

EXAMPLES = load_examples()
API = create_api(Settings())


def answer_model(method: str, path: str) -> Any:
    """The model that the contract declares for an operation's answer."""
    for route in (route for router in ROUTERS for route in router.routes):
        if isinstance(route, APIRoute) and route.path_regex.match(path) and method in (route.methods or ()):
            return route.response_model
    raise LookupError(f"{method} {path}")


def test_there_are_at_least_six_pairs_from_the_demo_shop() -> None:
    assert sum("response" in example for example in EXAMPLES.values()) >= 6


@pytest.mark.parametrize("name", EXAMPLES)
def test_published_examples_are_true(call: Call, name: str) -> None:
    example = EXAMPLES[name]
    answer = call(example["method"], example["path"], json=example.get("request"))
    assert (answer.status_code, answer.json()) == (example["status"], example["response"])


@pytest.mark.parametrize("name", EXAMPLES)
def test_answers_fit_their_declared_model(call: Call, name: str) -> None:
    example = EXAMPLES[name]
    answer = call(example["method"], example["path"], json=example.get("request"))
    path = example["path"].partition("?")[0]
    model = answer_model(example["method"], path) if answer.is_success else Problem
    TypeAdapter(model).validate_json(answer.content, strict=True)


@pytest.mark.parametrize("path", ["/v1/ingredients", "/v1/units", "/v1/tins", "/v1/sources", "/v1/eggs/classes"])
def test_reference_answers_fit_their_declared_model(call: Call, path: str) -> None:
    answer = call("GET", path)
    assert answer.status_code == 200
    TypeAdapter(answer_model("GET", path)).validate_json(answer.content, strict=True)


def test_examples_are_shown_in_the_contract() -> None:
    document = API.openapi()
    shown = document["paths"]["/v1/rescale"]["post"]["requestBody"]["content"]["application/json"]["examples"]
    assert "rescale-parkin" in shown
