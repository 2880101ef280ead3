"""The fast reader of a table rejects everything that the model rejects, and reads the same values."""

import json
from typing import Any

import msgspec
import orjson
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from api.contract.examples import load_examples
from api.v1.convert.reading import Table, as_table, read_table
from api.v1.convert.schemas import MAX_ITEMS, ConversionItemRequest, ConversionsRequest
from api.wire.schemas import adapter

MODEL = adapter(ConversionsRequest)
ODD: st.SearchStrategy[Any] = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-(2**70), 2**70),
    st.floats(allow_nan=False, allow_infinity=False),
    st.text(max_size=3),
    st.sampled_from(["", "g", "x" * 40, "x" * 41, "é" * 40, "🥚" * 40, "🥚" * 41, "us", "eu_m"]),
    st.just([]),
    st.just({}),
)
NUMBER = st.one_of(
    st.floats(-2e6, 2e6), st.integers(-2_000_000, 2_000_000), st.sampled_from([0.01, 25, 25.5, 1e6, -1e6])
)
TEXT = st.sampled_from(["g", "us_cup", "1 1/2", "plain flour", "x" * 40, "x" * 80, "x" * 81, "½ us_cup", ""])
VALUE = st.one_of(NUMBER, TEXT, ODD)
GOOD = {
    "to": st.sampled_from(["g", "us_cup", "x" * 40]),
}
GOOD_IF_GIVEN = {
    "quantity": st.sampled_from(["200 g", "½ us_cup", "x" * 80]),
    "amount": TEXT,
    "unit": st.just("g"),
    "ingredient": st.sampled_from([None, "plain flour", "x" * 80]),
    "packing": st.sampled_from([None, "spooned", "é" * 40]),
    "g_per_ml": st.none() | st.floats(0.01, 25, exclude_min=True) | st.integers(1, 25),
    "egg_class": st.sampled_from([None, "eu_m"]),
}
ITEMS = st.lists(st.fixed_dictionaries(GOOD, optional=GOOD_IF_GIVEN), min_size=1, max_size=3)
BODIES = st.fixed_dictionaries({"items": ITEMS}, optional={"measures": st.sampled_from([None, "us", "uk"])})


@st.composite
def bodies(draw: st.DrawFn) -> Any:
    """A valid body, or one with an odd value in one place, or with one field too many or too few."""
    body: dict[str, Any] = draw(BODIES)
    item = draw(st.sampled_from(body["items"]))
    places: list[dict[str, Any]] = [body, item]
    if draw(st.booleans()):
        place = draw(st.sampled_from(places))
        field = draw(st.sampled_from([*place, "measures", "ingredient", "g_per_ml", "x"]))
        if draw(st.integers(0, 9)):
            place[field] = draw(VALUE)
        else:
            place.pop(field, None)
    return body


def by_model(raw: bytes) -> Table | None:
    try:
        return as_table(MODEL.validate_json(raw))
    except ValidationError:
        return None


def plain(table: Table) -> str:
    """The values of a table, each with its type."""
    return repr((table.items, table.measures))


def agree(raw: bytes) -> bool:
    """Whether the fast reader accepted the body; fails if the model would have rejected it."""
    quick = read_table(raw)
    if quick is None:
        return False
    slow = by_model(raw)
    assert slow is not None, raw
    assert plain(quick) == plain(slow)
    return True


@settings(max_examples=3_000, deadline=None, derandomize=True)
@given(body=bodies())
def test_the_model_accepts_what_the_fast_reader_accepts(body: Any) -> None:
    try:
        raw = orjson.dumps(body)
    except TypeError:  # an integer past 64 bits, which other writers send
        raw = json.dumps(body).encode()
    agree(raw)


ROW = b'{"amount":"1","unit":"g","g_per_ml":%b,"to":"kg"}'
WRITTEN = {
    "a number above the largest double": b'{"items":[' + ROW % b"1e400" + b"]}",
    "a number of thousands of digits": b'{"items":[' + ROW % (b"1" * 5_000) + b"]}",
    "not a number": b'{"items":[' + ROW % b"NaN" + b"]}",
    "infinity": b'{"items":[' + ROW % b"Infinity" + b"]}",
    "minus zero": b'{"items":[' + ROW % b"-0.0" + b"]}",
    "a leading zero": b'{"items":[' + ROW % b"01" + b"]}",
    "a lone surrogate": b'{"items":[{"quantity":"1 \\ud800","to":"kg"}]}',
    "a surrogate pair": b'{"items":[{"quantity":"1 \\ud83e\\udd5a","to":"kg"}]}',
    "not UTF-8": b'{"items":[{"quantity":"1 \xff","to":"kg"}]}',
    "a byte order mark": b'\xef\xbb\xbf{"items":[' + ROW % b"1" + b"]}",
    "a name twice": b'{"items":[{"quantity":"1 g","quantity":"2 g","to":"kg"}]}',
    "a name twice, wrong first": b'{"items":[{"quantity":7,"quantity":"2 g","to":"kg"}]}',
    "trailing data": b'{"items":[' + ROW % b"1" + b"]} 1",
    "a trailing comma": b'{"items":[' + ROW % b"1" + b",]}",
    "truncated": b'{"items":[' + ROW % b"1",
    "empty": b"",
    "deep nesting": b'{"items":' + b"[" * 100_000,
    "deep nesting in an unknown field": b'{"items":[{"quantity":"1 g","to":"g","x":' + b"[" * 100_000,
}


@pytest.mark.parametrize("raw", WRITTEN.values(), ids=WRITTEN)
def test_unusual_json_is_read_as_by_the_model(raw: bytes) -> None:
    agree(raw)


@pytest.mark.parametrize(("rows", "taken"), [(0, False), (1, True), (MAX_ITEMS, True), (MAX_ITEMS + 1, False)])
def test_both_readers_accept_the_same_number_of_rows(rows: int, taken: bool) -> None:
    raw = b'{"items":[' + b",".join([ROW % b"1"] * rows) + b"]}"
    assert agree(raw) == taken == (by_model(raw) is not None)


def test_the_fast_reader_accepts_every_example() -> None:
    bodies = [
        example["request"]
        for example in load_examples().values()
        if (example["method"], example["path"]) == ("POST", "/v1/convert")
    ]
    assert bodies
    assert all(agree(orjson.dumps(body)) for body in bodies)


def test_both_readers_know_the_same_fields() -> None:
    row = {
        "quantity": "1 g",
        "amount": "1",
        "unit": "g",
        "to": "kg",
        "ingredient": "a",
        "packing": "b",
        "g_per_ml": 2.0,
        "egg_class": "c",
    }
    assert set(row) == set(ConversionItemRequest.__annotations__) - {"__pydantic_config__"}
    raw = orjson.dumps({"items": [row]})
    for table in (read_table(raw), by_model(raw)):
        assert table is not None
        assert msgspec.to_builtins(table.items) == [row]
