"""The quick reading of a table by columns takes nothing that the model refuses, and reads it as the model does."""

import json
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st
from pydantic import ValidationError

from api.contract.examples import load_examples
from api.v1.convert.columns import routes as convert_columns
from api.v1.convert.columns.schemas import MAX_ROWS, ConvertColumnsRequest
from api.wire.schemas import adapter
from tests.api.test_convert_table import ODD

MODEL = adapter(ConvertColumnsRequest)
FIELDS = tuple(ConvertColumnsRequest.model_fields)
NUMBERS = st.one_of(st.floats(-1e15, 1e15), st.integers(-9, 9), st.sampled_from([0.01, 25, 25.5, 1e15, 1e15 + 1]))
TEXTS = st.sampled_from(["g", "us_cup", "plain flour", "1 1/2", "", " ", "x" * 40, "x" * 41, "é" * 80, "x" * 81])
RIGHT: dict[str, st.SearchStrategy[Any]] = {
    "amount": st.lists(
        st.floats(-1e15, 1e15) | st.none() | st.sampled_from(["1/2", "", "x" * 80]), min_size=1, max_size=3
    ),
    "unit": st.sampled_from(["g", "x" * 40, ["g", None, ""], ["us_cup"]]),
    "to": st.sampled_from(["kg", ["kg", "x" * 80]]),
}
MORE: dict[str, st.SearchStrategy[Any]] = {
    "ingredient": st.sampled_from([None, "plain flour", [None, "", "x" * 80]]),
    "packing": st.sampled_from([None, "spooned", ["sifted", None]]),
    "g_per_ml": st.sampled_from([None, 0.5, 25, [None, 1]]),
    "egg_class": st.sampled_from([None, "eu_m", ["eu_m"]]),
    "measures": st.sampled_from([None, "us"]),
}
CELLS = st.one_of(NUMBERS, TEXTS, ODD, st.lists(st.one_of(NUMBERS, TEXTS, ODD), max_size=3))


@st.composite
def bodies(draw: st.DrawFn) -> Any:
    """A right body, or one with something odd in one place, or with a field too many or too few."""
    body: dict[str, Any] = draw(st.fixed_dictionaries(RIGHT, optional=MORE))
    if draw(st.booleans()):
        field = draw(st.sampled_from([*FIELDS, "x"]))
        if draw(st.integers(0, 9)):
            body[field] = draw(CELLS)
        else:
            body.pop(field, None)
    return body


def agree(raw: bytes) -> bool:
    """Whether the quick reading took it; fails if it took what the model would not."""
    quick = convert_columns.read_columns(raw)
    if quick is None:
        return False
    try:
        slow = MODEL.validate_json(raw)
    except ValidationError:
        raise AssertionError(raw) from None
    assert [repr(getattr(quick, name)) for name in FIELDS] == [repr(getattr(slow, name)) for name in FIELDS]
    return True


@settings(max_examples=3_000, deadline=None, derandomize=True)
@given(body=bodies())
def test_what_it_takes_the_model_takes_too(body: Any) -> None:
    agree(json.dumps(body).encode())


def test_the_usual_forms_are_its_own() -> None:
    asked = [one["request"] for one in load_examples().values() if one["path"] == "/v1/convert/columns"]
    assert asked
    assert all(agree(json.dumps(body).encode()) for body in asked)
    for rows, taken in ((MAX_ROWS, True), (MAX_ROWS + 1, False)):
        assert agree(json.dumps({"amount": [1] * rows, "unit": "g", "to": "kg"}).encode()) == taken
