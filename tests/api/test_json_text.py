"""A body that is no JSON is refused with the place of its fault; a field that stands twice in an object is refused."""

import json
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.v1.convert.reading import read_table
from api.wire.json_text import may_repeat_a_field, plain_data, repeated_fields
from tests.api.conftest import Call
from tests.api.samples import POSTS
from tests.api.test_errors import JSON, refused

ROW = '{"quantity": "1 lb", "to": "g"}'
PARKIN = POSTS["rescale-parkin"]["request"]


def errors_of(call: Call, path: str, raw: str) -> list[tuple[str, str]]:
    body = refused(call("POST", path, content=raw.encode(), headers=JSON), 422)
    return [(error["pointer"], error["code"]) for error in body["errors"]]


@pytest.mark.parametrize(
    ("row", "field"),
    [
        ('{"quantity": "1 lb", "to": "g", "to": "kg"}', "to"),
        ('{"quantity" : "1 lb", "to" : "g", "quantity"\n: "2 lb"}', "quantity"),
        ('{"quantity": "1 lb", "to": "g", "t\\u006f": "kg"}', "to"),
        ('{"quantity": "1 lb", "to": "\\u003a", "to": "g"}', "to"),
    ],
    ids=["plain", "spaced", "escaped name", "escaped colon"],
)
def test_a_field_given_twice_is_refused_and_not_overwritten(call: Call, row: str, field: str) -> None:
    # RFC 8259, section 4: names should be unique; which of two equal ones a reader keeps is not predictable.
    assert errors_of(call, "/v1/convert", f'{{"items": [{ROW}, {row}]}}') == [(f"/items/1/{field}", "given_twice")]


def test_every_field_given_twice_is_named_beside_the_other_errors(call: Call) -> None:
    raw = json.dumps({**PARKIN, "surprise": 1}).replace(
        '"ingredient": "egg"', '"ingredient": "butter", "ingredient": "egg"'
    )
    raw = raw.replace('"name": "Ginger', '"name": {}, "name": "Ginger', 1)
    errors = errors_of(call, "/v1/rescale", raw)
    assert ("/surprise", "unknown_field") in errors
    assert ("/formula/name", "given_twice") in errors
    assert any(pointer.endswith("/ingredient") and code == "given_twice" for pointer, code in errors)


def test_the_same_value_given_twice_is_answered(call: Call) -> None:
    # Generated Rust clients write the discriminator of a tin twice.
    formula = {**PARKIN["formula"], "tin_shape": {"shape": "square", "side": "20 cm"}}
    formula.pop("tin")
    raw = json.dumps({**PARKIN, "formula": formula}).replace(
        '"shape": "square"', '"shape": "square", "shape": "square"'
    )
    answer = call("POST", "/v1/rescale", content=raw.encode(), headers=JSON)
    assert answer.status_code == 200
    assert answer.json()["formula"] == formula


def test_a_whole_table_given_twice_is_refused(call: Call) -> None:
    rows = ", ".join([ROW] * 1_000)
    assert errors_of(call, "/v1/convert", f'{{"items": [{rows}], "items": [{ROW}]}}') == [("/items", "given_twice")]
    columns = '{"amounts": ["1", "2"], "units": ["lb"], "to": ["g"], "amounts": ["3"]}'
    assert errors_of(call, "/v1/convert/columns", columns) == [("/amounts", "given_twice")]


@pytest.mark.parametrize("ingredient", ["plain flour", "a: b", "\\u003a", '\\"x\\": 1', "x\\\\"])
def test_a_colon_in_a_text_is_no_field(call: Call, ingredient: str) -> None:
    raw = f'{{"items": [{{"quantity": "1 lb", "to": "g", "ingredient": "{ingredient}", "g_per_ml": 1}}]}}'
    answer = call("POST", "/v1/convert", content=raw.encode(), headers=JSON)
    assert answer.status_code == 200
    assert answer.json()["items"][0]["answer"]["amount"] == 453.59237


@given(colons=st.booleans(), indent=st.sampled_from([None, 1]), field=st.integers(0, 10**6), ascii_only=st.booleans())
def test_of_a_request_with_one_field_more_that_field_is_found(
    colons: bool, indent: int | None, field: int, ascii_only: bool
) -> None:
    request = {**PARKIN, "formula": {**PARKIN["formula"], "name": "Ofen: 150 °C, ü" if colons else "Parkin"}}
    raw = json.dumps(request, indent=indent, ensure_ascii=ascii_only).encode()
    assert repeated_fields(raw) == []
    assert not may_repeat_a_field(raw, plain_data(raw))
    places = list(objects(request))
    path, members = places[field % len(places)]
    name = sorted(members)[field % len(members)]
    doubled = dumped(request, path, name)
    assert json.loads(doubled) == request
    assert may_repeat_a_field(doubled, plain_data(doubled))
    assert repeated_fields(doubled) == [(*path, name)]


def objects(value: Any, path: tuple[str | int, ...] = ()) -> Any:
    if isinstance(value, dict) and value:
        yield path, value
    if isinstance(value, dict | list):
        for key, inner in value.items() if isinstance(value, dict) else enumerate(value):
            yield from objects(inner, (*path, key))


def dumped(value: Any, path: tuple[str | int, ...], name: str) -> bytes:
    """A JSON text in which the object at the path gives a field twice, first with another value."""
    if isinstance(value, list):
        return b"[" + b",".join(dumped(item, inside(path, i), name) for i, item in enumerate(value)) + b"]"
    if not isinstance(value, dict):
        return json.dumps(value).encode()
    members = [json.dumps(key).encode() + b":" + dumped(item, inside(path, key), name) for key, item in value.items()]
    if path == ():
        members.insert(0, json.dumps(name).encode() + b':"another"')
    return b"{" + b",".join(members) + b"}"


def inside(path: tuple[str | int, ...], key: str | int) -> tuple[str | int, ...]:
    """The rest of a path within a member; a path that leads nowhere for the other members."""
    return path[1:] if path and path[0] == key else ("", "")


def test_the_fast_reader_leaves_a_repeated_field_to_the_model() -> None:
    assert read_table(f'{{"items": [{ROW}]}}'.encode()) is not None
    assert read_table(f'{{"items": [{ROW}], "items": [{ROW}]}}'.encode()) is None


@pytest.mark.parametrize(
    ("raw", "words"),
    [
        (b"", "empty"),
        (b" \n", "empty"),
        (b'{\n  "items": [\n    {"quantity": "1 lb", "to": "g"},\n  ]\n}', "line 4"),
        (b"{'items': []}", "line 1 column 2"),
        (b"quantity=1+lb", "line 1 column 1"),
        (
            '{"items": [{"quantity": "1 lb", "ingredient": "Muskatnuß"}]}'.encode("latin-1"),
            "UTF-8 (RFC 8259): see its byte 56",
        ),
        (b'{"items": [' + b"[1]," * 20_000 + b"}", "byte"),
        (b'{"items": [' + b'{"quantity": null},' * 2_000 + b"]}", "trailing comma at line 1"),
    ],
    ids=["nothing", "blank", "trailing comma", "quotes", "a form", "Latin-1", "many lists", "many nulls"],
)
def test_a_text_that_is_no_json_is_refused_with_the_place(call: Call, raw: bytes, words: str) -> None:
    body = refused(call("POST", "/v1/convert", content=raw, headers=JSON), 400)
    assert body["type"] == "/problems/malformed_json"
    assert words in body["detail"]
