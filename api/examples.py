"""The published examples: shown in the docs, answered by `try`, replayed by the tests."""

from pathlib import Path
from typing import Any

import orjson

FOLDER = Path(__file__).parent.parent / "openapi-examples"


def load_example(path: Path) -> dict[str, Any]:
    """One example file: `title`, `method`, `path`, `request` (if it has a body), `status`, `response`."""
    example: dict[str, Any] = orjson.loads(path.read_bytes())
    return example


def load_examples() -> dict[str, dict[str, Any]]:
    """Every example by file name, without its ending."""
    return {path.stem: load_example(path) for path in sorted(FOLDER.glob("*.json")) if path.stem != "openapi"}


def add_examples(document: dict[str, Any]) -> None:
    """Put the examples into an OpenAPI document, each at its operation."""
    for name, example in load_examples().items():
        path = example["path"].partition("?")[0]
        operation = document["paths"].get(path, {}).get(example["method"].lower())
        if operation is None:
            continue
        response = operation["responses"].get(str(example.get("status")))
        places = [(operation.get("requestBody"), "request"), (response, "response")]
        for place, part in places:
            if place and part in example:
                for content in place["content"].values():
                    content.setdefault("examples", {})[name] = {"summary": example["title"], "value": example[part]}
