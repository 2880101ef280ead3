"""One example answered in process, as tables a person can read."""

from collections.abc import Iterator, Sequence
from typing import Any

import httpx
from starlette.types import ASGIApp

_HIDDEN = frozenset(
    {"sources", "cited", "drawing", "formula", "ingredients_runs"}
)  # long, and the same whatever was asked
_NAMES = ("label", "name", "product", "ingredient", "part", "tin", "id")  # fields that tell the items of a list apart


def as_request(example: object) -> dict[str, Any]:
    """An example file's request; a file that is only a body is taken as a rescale request.

    Raises:
        TypeError, ValueError: it is neither.
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
        The status and the answer, as text where it is not JSON.
    """
    transport = httpx.ASGITransport(app=app)
    async with httpx.AsyncClient(transport=transport, base_url="http://tinwright") as client:
        response = await client.request(example["method"], example["path"], json=example.get("request"))
    is_json = response.headers.get("content-type", "").endswith("json")
    return response.status_code, response.json() if is_json else response.text


def answer_table(status: int, answer: dict[str, Any] | str) -> str:
    """The answer as text: its fields, then a table for each list."""
    if isinstance(answer, str):
        return answer
    return "\n\n".join([f"status {status}", *_parts("", answer)])


def _parts(title: str, value: dict[str, Any]) -> Iterator[str]:
    """The fields of an object as one table, then each list in it."""
    rows = [[name, _cell(field)] for name, field in _fields(value) if not _is_list_of_objects(field)]
    if rows:
        yield _titled(title, table(rows))
    for name, items in _fields(value):
        if _is_list_of_objects(items):
            yield from _list(f"{title}, {name}" if title else name, items)


def _list(title: str, items: list[dict[str, Any]]) -> Iterator[str]:
    """The items as rows of one table; one by one where they hold lists themselves, as targets do."""
    rows = [dict(_fields(item)) for item in items]
    inner_rows = sum(len(field) for row in rows for field in row.values() if _is_list_of_objects(field))
    if inner_rows > len(items):
        for position, item in enumerate(items, start=1):
            name = next((item[name] for name in _NAMES if isinstance(item.get(name), str)), str(position))
            yield from _parts(f"{title}: {name}", item)
        return
    columns = list(dict.fromkeys(name for row in rows for name in row))
    yield _titled(title, table([[_cell(row.get(name, "")) for name in columns] for row in rows], columns))


def _fields(value: dict[str, Any], prefix: str = "") -> Iterator[tuple[str, Any]]:
    """The fields worth reading, with those of inner objects beside their own."""
    for name, field in value.items():
        if name in _HIDDEN:
            continue
        if isinstance(field, dict):
            yield from _fields(field, f"{prefix}{name}.")
        elif field != []:
            yield prefix + name, field


def _is_list_of_objects(value: object) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(item, dict) for item in value)


def _cell(value: object) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, float):
        return f"{value:.6g}" if abs(value) < 1e6 else f"{value:.1f}"
    if isinstance(value, dict):
        return " ".join(_cell(field) for _, field in _fields(value))
    if isinstance(value, list):
        return ", ".join(_cell(item) for item in value)
    return str(value)


def _titled(title: str, text: str) -> str:
    return f"{title}\n{text}" if title else text


def table(rows: Sequence[Sequence[str]], headers: Sequence[str] = ()) -> str:
    """Rows of cells as columns of text; columns of numbers are aligned to the right.

    >>> print(table([["plain flour", "187.5"], ["salt", "3"]], ["ingredient", "grams"]))
    ingredient   grams
    -----------  -----
    plain flour  187.5
    salt             3
    """
    lines = [headers, *rows] if headers else rows
    widths = [max(len(cell) for cell in column) for column in zip(*lines, strict=True)]
    numeric = [all(_is_number(cell) for cell in column) for column in zip(*rows, strict=True)]
    if headers:
        lines = [headers, ["-" * width for width in widths], *rows]
    return "\n".join(
        "  ".join(
            cell.rjust(width) if right else cell.ljust(width)
            for cell, width, right in zip(line, widths, numeric, strict=True)
        ).rstrip()
        for line in lines
    )


def _is_number(cell: str) -> bool:
    return not cell or cell.lstrip("-").replace(".", "", 1).isdigit()
