"""Every published example is answered as it says, and fits its schema in the OpenAPI document."""

from collections.abc import Iterator
from typing import Any

import pytest
from fastapi.routing import APIRoute
from pydantic import TypeAdapter

from api.app import ROUTERS, create_api
from api.contract.examples import load_examples
from api.settings import Settings
from api.wire.problems import Problem
from api.wire.routing import PureRoute
from tests.api.conftest import Call
from tests.examples import load_formulas

EXAMPLES = load_examples()
FORMULAS = load_formulas()
API = create_api(Settings())


def answer_model(method: str, path: str) -> Any:
    """The model that the contract declares for an operation's answer."""
    for route in (route for router in ROUTERS for route in router.routes):
        if isinstance(route, APIRoute) and route.path_regex.match(path) and method in (route.methods or ()):
            return route.answer_model if isinstance(route, PureRoute) else route.response_model
    raise LookupError(f"{method} {path}")


def test_there_are_at_least_six_pairs_from_the_demo_shop() -> None:
    assert sum("response" in example for example in EXAMPLES.values()) >= 6


@pytest.mark.parametrize("name", EXAMPLES)
def test_published_examples_are_true(call: Call, name: str) -> None:
    example = EXAMPLES[name]
    answer = call(example["method"], example["path"], json=example.get("request"))
    assert answer.status_code == example["status"]
    if "response_text" in example:
        assert answer.headers["content-type"].partition(";")[0] == example["media_type"]
        assert answer.text == example["response_text"]
    else:
        body = answer.json()
        if answer.is_success:
            assert body.pop("figures") == answer.headers["X-Figures"]
        assert body == example["response"]


@pytest.mark.parametrize("name", [name for name, example in EXAMPLES.items() if "response" in example])
def test_answers_fit_their_declared_model(call: Call, name: str) -> None:
    example = EXAMPLES[name]
    answer = call(example["method"], example["path"], json=example.get("request"))
    path = example["path"].partition("?")[0]
    model = answer_model(example["method"], path) if answer.is_success else Problem
    # Answers are open for clients; our own have no field that the model does not declare.
    TypeAdapter(model).validate_json(answer.content, strict=True, extra="forbid")


@pytest.mark.parametrize("path", ["/v1/ingredients", "/v1/units", "/v1/tins", "/v1/sources", "/v1/eggs/classes"])
def test_reference_answers_fit_their_declared_model(call: Call, path: str) -> None:
    answer = call("GET", path)
    assert answer.status_code == 200
    TypeAdapter(answer_model("GET", path)).validate_json(answer.content, strict=True, extra="forbid")


def formulas_in(part: Any) -> Iterator[dict[str, Any]]:
    """Every formula inside a request, at any depth."""
    if isinstance(part, dict):
        if "components" in part:
            yield part
        part = list(part.values())
    if isinstance(part, list):
        for item in part:
            yield from formulas_in(item)


def test_every_example_uses_the_demo_shops_formulas() -> None:
    sent = [
        (name, formula)
        for name, example in EXAMPLES.items()
        if example["status"] == 200
        for formula in formulas_in(example.get("request"))
    ]
    assert {formula["name"] for _, formula in sent} == set(FORMULAS)
    for name, formula in sent:
        assert {key: value for key, value in formula.items() if key not in {"bake", "cuts"}} == FORMULAS[
            formula["name"]
        ], name


def test_examples_are_shown_in_the_contract() -> None:
    document = API.openapi()
    shown = document["paths"]["/v1/rescale"]["post"]["requestBody"]["content"]["application/json"]["examples"]
    assert shown
