"""The README's requests give the answers that it shows."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from api.contract.examples import load_examples
from tests.api.conftest import Call

README = (Path(__file__).parents[2] / "README.md").read_text("utf-8")
_SHOWN = re.compile(
    r"```sh\n(?P<command>(?:(?!```).)*?)```\n```json(?: (?P<example>[\w-]+))?\n(?P<answer>.*?)```", re.DOTALL
)
SHOWN = [match.groupdict() for match in _SHOWN.finditer(README)]


def contains(actual: Any, shown: Any) -> bool:
    """Whether *actual* contains everything in *shown*; its lists may be longer."""
    if isinstance(shown, dict):
        return isinstance(actual, dict) and all(key in actual and contains(actual[key], shown[key]) for key in shown)
    if isinstance(shown, list):
        return isinstance(actual, list) and all(map(contains, actual, shown)) and len(actual) >= len(shown)
    return bool(actual == shown)


@pytest.mark.parametrize("shown", SHOWN, ids=lambda shown: shown["command"].strip()[-60:])
def test_a_shown_request_gives_its_shown_answer(call: Call, shown: dict[str, str | None]) -> None:
    assert shown["command"]
    assert shown["answer"]
    if shown["example"]:
        request = load_examples()[shown["example"]]
        answer = call(request["method"], request["path"], json=request["request"])
    else:
        address = re.search(r"'http://127\.0\.0\.1:8000([^']+)'", shown["command"])
        assert address
        answer = call("GET", address[1])
    assert contains(answer.json(), json.loads(shown["answer"])), answer.text[:500]


def test_four_requests_are_shown_with_their_answers() -> None:
    assert len(SHOWN) == 4


def test_the_readme_is_short() -> None:
    assert len(README.splitlines()) <= 130
