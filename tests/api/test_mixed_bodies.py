"""Bodies mixed from the examples, with fields of other examples and faults: no 5xx, and errors name their fields."""

import copy
import os
from collections import defaultdict
from collections.abc import Iterator
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.api.conftest import Call
from tests.api.samples import DOCUMENT, EXAMPLES

Path = tuple[str | int, ...]

MANY = 10_000 if os.environ.get("TINWRIGHT_EXPLORE") else 500
BODIES = [(each["path"].partition("?")[0], each["request"]) for each in EXAMPLES.values() if each["method"] == "POST"]
NONSENSE = [0, -1, 1e9, 1e-9, True, "", "x", [], {}, [1], ["x"], [[]], [{}]]
WORDS = ["1 g", "1 cup", "1.500 g", "2 each", "9 m", "20 cm", "square 20", "round 20 x 5 cm", "large egg", "egg", "fit"]


def places(value: Any, path: Path = ()) -> Iterator[tuple[Path, Any]]:
    """Every value of a body with its path; of a list the first two items."""
    yield path, value
    if isinstance(value, dict | list):
        for key, inner in value.items() if isinstance(value, dict) else enumerate(value[:2]):
            yield from places(inner, (*path, key))


def values_by_field() -> dict[str, list[Any]]:
    """What the examples and the contract give for a field of this name."""
    values = defaultdict[str, list[Any]](list)
    for _, body in BODIES:
        for path, value in places(body):
            if path and isinstance(path[-1], str):
                values[path[-1]].append(value)
    for schema in DOCUMENT["components"]["schemas"].values():
        for name, field in schema.get("properties", {}).items():
            values[name] += field.get("examples", [])
    return values


VALUES = {name: values for name, values in values_by_field().items() if values}
FIELDS = sorted(VALUES)


@st.composite
def mixed(draw: st.DrawFn) -> tuple[str, Any]:
    """A path and a body, with up to five changes."""
    path, body = draw(st.sampled_from(BODIES))
    body = {"": copy.deepcopy(body)}
    for _ in range(draw(st.integers(1, 5))):
        place, value = draw(st.sampled_from([each for each in places(body) if each[0]]))
        above: Any = body
        for part in place[:-1]:
            above = above[part]
        change = draw(st.sampled_from(("add", "add", "leave out", "nonsense", "word", "of the field", "twice")))
        if change == "add" and isinstance(value, dict):
            name = draw(st.sampled_from(FIELDS))
            value[name] = copy.deepcopy(draw(st.sampled_from(VALUES[name])))
        elif change == "leave out" and len(place) > 1:
            del above[place[-1]]
        elif change == "twice" and isinstance(value, list):
            above[place[-1]] = value + copy.deepcopy(value)
        elif change == "of the field" and place[-1] in VALUES:
            above[place[-1]] = copy.deepcopy(draw(st.sampled_from(VALUES[str(place[-1])])))
        elif change in {"nonsense", "word"}:
            above[place[-1]] = copy.deepcopy(draw(st.sampled_from(NONSENSE if change == "nonsense" else WORDS)))
    return path, body[""]


@given(request=mixed())
@settings(max_examples=MANY)
def test_a_mixed_body_is_answered_or_refused_at_its_fields(call: Call, request: tuple[str, Any]) -> None:
    path, body = request
    answer = call("POST", path, json=body)
    assert answer.status_code in {200, 422}, answer.text
    if answer.status_code == 422:
        assert answer.json()["errors"]
        for error in answer.json()["errors"]:
            assert is_sent_or_missing(body, error["pointer"]), error


def is_sent_or_missing(body: Any, pointer: str) -> bool:
    """Whether a pointer leads to a value of the body, or to a field that an object of it lacks."""
    parts = [part.replace("~1", "/").replace("~0", "~") for part in pointer.split("/")[1:]]
    for part in parts:
        if isinstance(body, list) and part.isdigit() and int(part) < len(body):
            body = body[int(part)]
        elif isinstance(body, dict) and part in body:
            body = body[part]
        else:
            return isinstance(body, dict)
    return True
