"""Replaying openapi-examples/: `python -m tests.examples` writes each file's answer anew.

Read every changed answer before you commit it: replayed answers show that nothing moved, not that it is right.
What is right is shown by tests/published/.
"""

import asyncio
from typing import Any

import orjson

from api.app import create_app
from api.contract.examples import FOLDER, load_examples
from api.contract.trying import ask


def load_formulas() -> dict[str, dict[str, Any]]:
    """The formulas of the demo shop by name; every example and the workbook use them."""
    formulas = (orjson.loads(path.read_bytes()) for path in sorted((FOLDER / "formulas").glob("*.json")))
    return {formula["name"]: formula for formula in formulas}


def answer(example: dict[str, Any]) -> tuple[int, Any]:
    """What the service says to an example now."""
    return asyncio.run(ask(create_app(), example))


def write_all() -> None:
    """Put today's status and answer into every example."""
    for name, example in load_examples().items():
        status, response = answer(example)
        if isinstance(response, dict):
            response.pop("figures", None)  # it changes with every correction of the reference data
        example |= {"status": status, "response_text" if isinstance(response, str) else "response": response}
        text = orjson.dumps(example, option=orjson.OPT_INDENT_2).decode()
        (FOLDER / f"{name}.json").write_text(text + "\n", "utf-8")


if __name__ == "__main__":
    write_all()
