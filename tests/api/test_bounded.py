"""A large body with everything wrong in it is refused soon, and a right one is read as ever."""

import orjson
import pytest
from pydantic import ValidationError

from api.v1.batches.schemas import BatchesRequest
from api.v1.rescale.schemas import RescaleRequest
from api.wire.bounded import MOST_FIELDS, MOST_FOUND, MOST_ITEMS, SMALL, TooManyFields, bounded
from api.wire.schemas import adapter
from tests.load.worst import formulas, orders

READ = bounded(adapter(BatchesRequest))
PLAIN = adapter(BatchesRequest).validator.validate_json


def bad_lines(line: object, components: int = 2) -> bytes:
    product = {"name": "a", "formula": {"name": "x", "components": [{"name": "c", "lines": [line] * 60}] * components}}
    return orjson.dumps({"orders": [], "products": [product] * 40})


def found_in(raw: bytes) -> list[tuple[str, tuple[str | int, ...]]]:
    with pytest.raises(ValidationError) as caught:
        READ(raw)
    return [(one["type"], one["loc"]) for one in caught.value.errors()]


@pytest.mark.parametrize("name", ["batches: goods", "batches: lean goods"])
def test_a_right_body_is_the_same_model(name: str) -> None:
    raw = orders.WORST[name](0).body or b""
    assert len(raw) > SMALL
    assert READ(raw) == PLAIN(raw)


def test_a_model_built_late_is_read_too() -> None:
    raw = formulas.WORST["rescale: 200 lines, 50 tins"](0).body or b""
    assert isinstance(bounded(adapter(RescaleRequest))(raw), RescaleRequest)


@pytest.mark.parametrize("line", [{}, 1, None, {"ingredient": "x", "quantity": 1, "more": 2}])
def test_of_very_many_errors_some_are_found_where_they_are(line: object) -> None:
    raw = bad_lines(line)
    some = found_in(raw)
    assert 50 <= len(some) <= MOST_FOUND + 10
    with pytest.raises(ValidationError) as caught:
        PLAIN(raw)
    everything = {(one["type"], one["loc"]) for one in caught.value.errors()}
    # Lists that lost their bad items may seem too short: nothing else may differ.
    assert {one for one in some if one[0] != "too_short"} <= everything


def test_few_errors_in_a_large_body_are_all_found() -> None:
    request = orjson.loads(orders.WORST["batches: goods"](0).body or b"")
    request["orders"][3] = {"product": "x", "pieces": 0}
    request["products"][2]["formula"]["components"][0]["lines"][4]["quantity"] = 12
    request["surprise"] = True
    raw = orjson.dumps(request)
    with pytest.raises(ValidationError) as caught:
        PLAIN(raw)
    assert found_in(raw) == [(one["type"], one["loc"]) for one in caught.value.errors()]


def test_an_object_or_a_list_beyond_all_reason_is_not_looked_into() -> None:
    with pytest.raises(TooManyFields):
        READ(orjson.dumps({f"field {i}": 1 for i in range(50 * MOST_FIELDS)}))
    with pytest.raises(TooManyFields):
        READ(orjson.dumps({"orders": [{}] * (3 * MOST_ITEMS)}))


@pytest.mark.parametrize("row", [{}, {"a": 1, "b": 2, "c": 3}, {"contains": ["milk"] * 30}])
def test_nor_is_a_body_with_more_in_it_than_any_request(row: object) -> None:
    with pytest.raises(TooManyFields):
        READ(bad_lines(row, components=20))


def test_the_largest_day_that_fits_the_schema_is_told_why_it_is_refused() -> None:
    assert READ(orders.WORST["batches: 40 products of 60 lines"](0).body or b"")


def test_when_only_fields_are_missing_all_are_told() -> None:
    request = orjson.loads(orders.WORST["batches: goods"](0).body or b"")
    raw = orjson.dumps({name: value for name, value in request.items() if name not in {"orders", "products"}})
    assert len(raw) > SMALL
    with pytest.raises(ValidationError) as caught:
        PLAIN(raw)
    assert found_in(raw) == [(one["type"], one["loc"]) for one in caught.value.errors()]


def test_what_is_no_json_is_refused_as_that() -> None:
    assert found_in(b'{"orders": [' + b"1:," * 20_000) == [("json_invalid", ())]
