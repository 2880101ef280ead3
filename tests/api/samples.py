"""A request for every operation, and readers of answers that do not use the code of the service."""

import csv
import io
from collections.abc import Iterator
from typing import Any

import httpx

from api.app import create_api
from api.contract.examples import load_examples
from api.settings import Settings
from tests.openapi import inlined

DOCUMENT: dict[str, Any] = inlined(create_api(Settings()).openapi())
SHARED = ("json", "csv", "xml", "text", "cell")
EXAMPLES = load_examples()


def sample_gets() -> dict[str, str]:
    """A URL for every GET of the contract: that of an example, or the path alone if no parameter is required."""
    requests = {
        "/v1/ingredients/{ingredient_id}": "/v1/ingredients/plain-flour",
        "/v1/sources/{source_id}": "/v1/sources/usda-sr28",
    }
    for example in EXAMPLES.values():
        path, _, query = example["path"].partition("?")
        plain_query = "&".join(part for part in query.split("&") if not part.startswith(("format=", "field=")))
        if example["method"] == "GET" and example["status"] == 200:
            requests.setdefault(path, f"{path}?{plain_query}")
    for path, methods in DOCUMENT["paths"].items():
        if path.startswith("/v1") and "get" in methods:
            assert path in requests or not any(
                parameter.get("required") for parameter in methods["get"].get("parameters", ())
            ), f"{path} has no example, so it cannot be requested here"
            requests.setdefault(path, path)
    return {path: requests[path] for path in DOCUMENT["paths"] if path in requests}


GETS = sample_gets()
POSTS = {
    name: example
    for name, example in EXAMPLES.items()
    if example["method"] == "POST" and example["status"] == 200 and "format=" not in example["path"]
}


def url_with(url: str, **more: str) -> str:
    """The URL with more parameters."""
    return str(httpx.URL(url).copy_merge_params(more))


def leaves(value: Any, before: str = "") -> Iterator[tuple[str, Any]]:
    """Every scalar of a JSON document with its dotted path."""
    if isinstance(value, dict | list):
        for key, inner in value.items() if isinstance(value, dict) else enumerate(value):
            yield from leaves(inner, f"{before}.{key}" if before else str(key))
    else:
        yield before, value


def table(body: bytes) -> tuple[list[str], list[list[str]]]:
    """Header and rows of a CSV answer, read strictly."""
    header, *rows = csv.reader(io.StringIO(body.decode("utf-8"), newline=""), strict=True)
    return header, rows
