"""Answers one example in process, and formats the answer as a table."""

from collections.abc import Iterator
from typing import Any

import httpx
from starlette.types import ASGIApp
from tabulate import tabulate


def as_request(example: object) -> dict[str, Any]:
    """The request of an example file; a file that contains only a body is read as a rescale request.

    Raises:
        TypeError, ValueError: the file is neither.
    """
    if not isinstance(example, dict):
        raise TypeError("an example is a JSON object")
    if "path" not in example:
        return {"method": "POST", "path": "/v1/rescale", "request": example}
    if not isinstance(example["path"], str) or example.get("method") not in {"GET", "POST"}:
        raise ValueError("an example has a path, a method (GET or POST) and, for POST, a request")
    return example


async def ask(app: ASGIApp, example: dict[str, Any]) -> tuple[int, dict[str, Any] | str]:
    """Send an example's request to the application, without a socket.

    Args:
        app: the service.
        example: `method`, `path` and, for POST, `request`.
    Returns:
        The status and the answer, as text if it is not JSON.
    """
    transport = httpx.ASGITransport(app=app)
    async with httpx.AsyncClient(transport=transport, base_url="http://tinwright") as client:
        response = await client.request(example["method"], example["path"], json=example.get("request"))
    is_json = response.headers.get("content-type", "").endswith("json")
    return response.status_code, response.json() if is_json else response.text


def answer_table(status: int, answer: dict[str, Any] | str) -> str:
    """The answer as text: one table for each target of a rescaling, otherwise one row for each field."""
    if isinstance(answer, str):
        return answer
    if "targets" in answer and "formula" in answer:
        return "\n\n".join(_target(target) for target in answer["targets"])
    rows = list(_fields("", answer))
    return tabulate(rows, headers=["field", f"answer (status {status})"], disable_numparse=True)


def _target(target: dict[str, Any]) -> str:
    title = f"{target.get('label') or target.get('tin') or 'target'}: factor {target['factor']:.6g}"
    if "filled_depth_mm" in target:
        title += f", {target['filled_depth_mm']:.1f} mm deep"
    if "fill_percent" in target:
        title += f", {target['fill_percent']:.0f} % full"
    rows = [row for component in target["components"] for row in _component(component)]
    table = tabulate(
        rows,
        headers=["component", "ingredient", "as written", "grams", "low", "high", "weigh", "spoons"],
        floatfmt=("", "", "", ".2f", ".2f", ".2f", "g", ""),
    )
    eggs = [
        f"{count['exact_count']:.2f} {eggs['part']} of {count['class']}: {count['whole_eggs']} and"
        f" {count['beaten_grams']:.1f} g beaten, or {count['count']} ({count['error_percent']:+.1f} %)"
        for eggs in target["eggs"]
        for count in eggs["counts"]
    ]
    warnings = [f"! {warning['message']}" for warning in target["warnings"]]
    worst = f"worst rounding of a line: {target['rounding_error_percent']:.2f} %"
    return "\n".join([title, table, *eggs, worst, *warnings])


def _component(component: dict[str, Any]) -> Iterator[list[Any]]:
    for line in component["lines"]:
        written = f"{line['quantity']['amount']:g} {line['quantity']['unit']}"
        spoons = line.get("spoons", {}).get("text", "")
        yield [
            component["name"],
            line["ingredient"],
            written,
            line["grams"],
            line["low"],
            line["high"],
            line["weigh_grams"],
            spoons,
        ]
    pieces = component.get("pieces")
    divided = f"{pieces['count']} pieces of {pieces['grams_each']:.1f} g" if pieces else ""
    yield [
        component["name"],
        "= total",
        divided,
        component["grams"],
        component["low"],
        component["high"],
        component["weigh_grams"],
        "",
    ]


def _fields(name: str, value: object) -> Iterator[tuple[str, str]]:
    if isinstance(value, dict):
        for key, inner in value.items():
            yield from _fields(f"{name}.{key}" if name else key, inner)
    elif isinstance(value, list):
        for position, inner in enumerate(value):
            yield from _fields(f"{name}[{position}]", inner)
    else:
        yield name, str(value)
