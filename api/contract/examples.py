"""The published examples: shown in the docs, answered by `python -m api try`, and replayed by the tests."""

from http import HTTPStatus
from pathlib import Path
from typing import Any

import orjson

FOLDER = Path(__file__).parents[2] / "openapi-examples"


def load_example(path: Path) -> dict[str, Any]:
    """One example file: `title`, `method`, `path`, `request` (if it has a body), `status` and the answer.

    The answer is in `response` if it is JSON, otherwise in `response_text` with its `media_type`.
    """
    example: dict[str, Any] = orjson.loads(path.read_bytes())
    return example


def load_examples() -> dict[str, dict[str, Any]]:
    """Every example by file name, without the suffix."""
    return {path.stem: load_example(path) for path in sorted(FOLDER.glob("*.json"))}


def operation_at(document: dict[str, Any], method: str, path: str) -> tuple[str, dict[str, Any]] | None:
    """The path template of the document that matches a path, and its operation; None if there is none."""
    templates = (path, *(template for template in document["paths"] if "{" in template and _fits(path, template)))
    return next(
        (
            (template, document["paths"][template][method.lower()])
            for template in templates
            if method.lower() in document["paths"].get(template, {})
        ),
        None,
    )


def _order(item: tuple[str, dict[str, Any]]) -> tuple[bool, int]:
    _, example = item
    return example.get("status") != HTTPStatus.OK, len(orjson.dumps(example.get("request")))


def _fits(path: str, template: str) -> bool:
    parts, names = path.split("/"), template.split("/")
    return len(parts) == len(names) and all(
        part == name or name.startswith("{") for part, name in zip(parts, names, strict=True)
    )


def add_examples(document: dict[str, Any]) -> None:
    """Add the examples to an OpenAPI document, each to its operation; the shortest first, those of errors last."""
    examples = sorted(load_examples().items(), key=_order)
    for name, example in examples:
        template_and_operation = operation_at(document, example["method"], example["path"].partition("?")[0])
        if template_and_operation is None:
            continue
        _, operation = template_and_operation
        response = operation["responses"].get(str(example.get("status")), {"content": {}})["content"]
        media_type = example.get("media_type", "json")
        places = [
            (operation.get("requestBody", {"content": {}})["content"], "json", "request"),
            (response, "json", "response"),
            (response, media_type, "response_text"),
        ]
        for contents, kind, part in places:
            for content in (content for media, content in contents.items() if media.endswith(kind)):
                if part in example:
                    content.setdefault("examples", {})[name] = {"summary": example["title"], "value": example[part]}
