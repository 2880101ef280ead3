"""The docs: every operation shows a request that can be sent, and the page's assets are sent in slices."""

import asyncio
import hashlib
import json
from importlib.resources import files
from typing import Any

import pytest
from starlette.types import Message, Scope

from api.app import create_api
from api.contract.docs import ASSETS
from api.settings import Settings
from api.wire.caching import SLICE_BYTES
from tests.api.conftest import Call
from tests.openapi import inlined

DOCUMENT: dict[str, Any] = inlined(create_api(Settings()).openapi())
SWAGGER = files("api.contract") / "swagger"
OPERATIONS = [
    (path, method, operation) for path, methods in DOCUMENT["paths"].items() for method, operation in methods.items()
]


def shown(parameter: dict[str, Any]) -> Any:
    """The value that the docs fill in: the example or the default; None for an optional parameter without either."""
    example = parameter.get("example", parameter["schema"].get("default"))
    assert example is not None or not parameter.get("required"), f"{parameter['name']} needs an example"
    return example


@pytest.mark.parametrize(
    ("path", "method", "operation"), OPERATIONS, ids=[f"{method} {path}" for path, method, _ in OPERATIONS]
)
def test_the_request_that_the_docs_show_runs(call: Call, path: str, method: str, operation: dict[str, Any]) -> None:
    parameters = operation.get("parameters", [])
    values = {parameter["name"]: value for parameter in parameters if (value := shown(parameter)) is not None}
    for parameter in parameters:
        if parameter["in"] == "path":
            path = path.replace(f"{{{parameter['name']}}}", str(values.pop(parameter["name"])))
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
def test_an_operation_with_parameters_shows_an_example(path: str, method: str, operation: dict[str, Any]) -> None:
    parameters = [
        parameter
        for parameter in operation.get("parameters", [])
        if parameter["name"] not in {"format", "field", "fields"}
    ]
    assert not parameters or any("example" in parameter for parameter in parameters), (method, path)


def test_the_vendored_files_are_those_of_the_published_package() -> None:
    manifest = json.loads((SWAGGER / "manifest.json").read_text("utf-8"))
    hashes = {
        file.name: hashlib.sha256(file.read_bytes()).hexdigest()
        for file in SWAGGER.iterdir()
        if file.name != "manifest.json"
    }
    assert hashes == manifest["sha256"]
    assert {*ASSETS, "LICENSE", "NOTICE"} <= hashes.keys()
    # The bundle names its own version.
    assert f'PACKAGE_VERSION:"{manifest["version"]}"' in (SWAGGER / "swagger-ui-bundle.js").read_text("utf-8")


def test_a_large_static_file_is_sent_in_slices() -> None:
    app = create_api(Settings())
    messages: list[Message] = []

    async def receive() -> Message:
        return {"type": "http.request", "body": b"", "more_body": False}

    async def send(message: Message) -> None:
        messages.append(message)

    scope: Scope = {
        "type": "http",
        "asgi": {"version": "3.0", "spec_version": "2.4"},
        "http_version": "1.1",
        "method": "GET",
        "scheme": "http",
        "path": "/docs/swagger-ui-bundle.js",
        "raw_path": b"/docs/swagger-ui-bundle.js",
        "query_string": b"",
        "root_path": "",
        "headers": [],
        "client": ("127.0.0.1", 1),
        "server": ("127.0.0.1", 80),
    }
    asyncio.run(app(scope, receive, send))
    start, *parts = messages
    bundle = (SWAGGER / "swagger-ui-bundle.js").read_bytes()
    assert dict(start["headers"])[b"content-length"] == str(len(bundle)).encode()
    assert max(len(part.get("body", b"")) for part in parts) <= SLICE_BYTES < len(bundle) / 10
    assert b"".join(part.get("body", b"") for part in parts) == bundle
