"""Every operation of the contract carries a request that runs: its example parameters and its first example body."""

import json
from typing import Any

import pytest

from api.app import create_api
from api.settings import Settings
from tests.api.conftest import Call

DOCUMENT: dict[str, Any] = create_api(Settings()).openapi()
OPERATIONS = [
    (path, method, operation) for path, methods in DOCUMENT["paths"].items() for method, operation in methods.items()
]


def shown(parameter: dict[str, Any]) -> Any:
    """What the docs fill in: the example, else the default; nothing for what may be left out."""
    found = parameter.get("example", parameter["schema"].get("default"))
    assert found is not None or not parameter["required"], f"{parameter['name']} needs an example"
    return found


@pytest.mark.parametrize(
    ("path", "method", "operation"), OPERATIONS, ids=[f"{method} {path}" for path, method, _ in OPERATIONS]
)
def test_the_request_that_the_docs_show_runs(call: Call, path: str, method: str, operation: dict[str, Any]) -> None:
    parameters = operation.get("parameters", [])
    values = {one["name"]: value for one in parameters if (value := shown(one)) is not None}
    for one in parameters:
        if one["in"] == "path":
            path = path.replace(f"{{{one['name']}}}", str(values.pop(one["name"])))
    written = {name: json.dumps(value) if isinstance(value, bool) else value for name, value in values.items()}
    body = None
    if "requestBody" in operation:
        examples = operation["requestBody"]["content"]["application/json"]["examples"]
        body = next(iter(examples.values()))["value"]
    answer = call(method.upper(), path, params=written, json=body)
    assert answer.status_code == 200, answer.text


@pytest.mark.parametrize(
    ("path", "method", "operation"), OPERATIONS, ids=[f"{method} {path}" for path, method, _ in OPERATIONS]
)
def test_an_operation_that_can_be_asked_something_shows_an_example(
    path: str, method: str, operation: dict[str, Any]
) -> None:
    asked = [one for one in operation.get("parameters", []) if one["name"] not in {"format", "field"}]
    assert not asked or any("example" in one for one in asked), (method, path)
