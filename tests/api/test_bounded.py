"""A large body with errors in every part is rejected quickly, and a valid one is read as usual."""

from typing import Any

import orjson
import pytest
from pydantic import ValidationError

from api.v1.batches.schemas import BatchesRequest
from api.v1.rescale.schemas import RescaleRequest
from api.v1.tins.schemas import MeasureRequest
from api.wire.bounded import FEW_PARTS, MAX_FIELDS, MAX_ITEMS, SMALL, TooManyFields, bounded, failing_fast
from api.wire.schemas import adapter
from tests.load.worst import formulas, orders

PLAIN = adapter(BatchesRequest)
READ = bounded(PLAIN, BatchesRequest)


def bad_lines(line: object, components: int = 2) -> bytes:
    product = {"name": "a", "formula": {"name": "x", "components": [{"name": "c", "lines": [line] * 60}] * components}}
    return orjson.dumps({"orders": [], "products": [product] * 40})


def errors_of(raw: bytes) -> list[tuple[str, tuple[str | int, ...]]]:
    with pytest.raises(ValidationError) as caught:
        READ(raw)
    return [(error["type"], error["loc"]) for error in caught.value.errors()]


def errors_of_the_model(raw: bytes) -> list[tuple[str, tuple[str | int, ...]]]:
    with pytest.raises(ValidationError) as caught:
        PLAIN.validate_json(raw)
    return [(error["type"], error["loc"]) for error in caught.value.errors()]


@pytest.mark.parametrize("name", ["compute_batches: goods", "compute_batches: lean goods"])
def test_a_valid_body_is_read_as_the_model_reads_it(name: str) -> None:
    raw = orders.WORST[name](0).body or b""
    assert len(raw) > SMALL
    read: Any = READ(raw)
    expected: Any = PLAIN.validate_json(raw)
    assert isinstance(read, BatchesRequest)
    assert read.model_dump() == expected.model_dump()
    assert read.model_fields_set == expected.model_fields_set


def test_a_model_that_is_built_late_is_read_too() -> None:
    raw = formulas.WORST["compute_rescale: 200 lines, 50 tins"](0).body or b""
    assert isinstance(bounded(adapter(RescaleRequest), RescaleRequest)(raw), RescaleRequest)


def test_a_model_without_lists_is_not_copied() -> None:
    assert failing_fast(MeasureRequest) is MeasureRequest


@pytest.mark.parametrize("line", [{}, 1, None, {"ingredient": "x", "quantity": 1, "more": 2}])
def test_of_very_many_errors_the_first_of_each_list_are_reported(line: object) -> None:
    raw = bad_lines(line)
    reported = errors_of(raw)
    assert 1 <= len(reported) <= 2 * 40
    assert set(reported) <= set(errors_of_the_model(raw))


@pytest.mark.parametrize(
    ("make", "name"), [(formulas.rescale, "rescale"), (None, "compute_batches: goods")], ids=["formula", "orders"]
)
def test_every_error_of_an_ordinary_body_is_reported(make: Any, name: str) -> None:
    if make is None:
        request = orjson.loads(orders.WORST[name](0).body or b"")
        request["shop"]["own_ingredients"] = request["shop"]["own_ingredients"][:5]
        request["products"], request["orders"] = request["products"][:4], request["orders"][:4]
        request["orders"][3] = {"product": "x", "pieces": 0}
        request["products"][2]["formula"]["components"][0]["lines"][4]["quantity"] = 12
        request["products"][2]["formula"]["components"][0]["lines"][1]["quantity"] = 12
        request["surprise"] = True
        raw, read, model = orjson.dumps(request), READ, PLAIN
    else:
        request = orjson.loads(formulas.rescale(formulas.line, 3, 40, 2)(0).body or b"")
        request["formula"]["components"][1]["lines"][7]["packing"] = 3
        request["formula"]["components"][1]["lines"][9]["packing"] = 3
        request["targets"][1]["factor"] = "x"
        model = adapter(RescaleRequest)
        raw, read = orjson.dumps(request), bounded(model, RescaleRequest)
    assert len(raw) > SMALL
    assert raw.count(b",") + raw.count(b"{") + raw.count(b"[") < FEW_PARTS
    caught: list[list[tuple[str, Any]]] = []
    for validate in (read, model.validate_json):
        with pytest.raises(ValidationError) as error:
            validate(raw)
        caught.append([(each["type"], each["loc"]) for each in error.value.errors()])
    assert caught[0] == caught[1]
    assert len(caught[0]) >= 3


def test_an_object_or_a_list_that_is_far_too_long_is_not_validated() -> None:
    with pytest.raises(TooManyFields):
        READ(orjson.dumps({f"field {i}": 1 for i in range(50 * MAX_FIELDS)}))
    with pytest.raises(TooManyFields):
        READ(orjson.dumps({"orders": [{}] * (3 * MAX_ITEMS)}))


@pytest.mark.parametrize("row", [{}, {"a": 1, "b": 2, "c": 3}, {"contains": ["milk"] * 30}])
def test_a_body_with_more_values_than_any_request_is_not_validated(row: object) -> None:
    with pytest.raises(TooManyFields):
        READ(bad_lines(row, components=20))


def test_the_largest_day_that_fits_the_schema_is_read() -> None:
    assert READ(orders.WORST["compute_batches: 40 products of 60 lines"](0).body or b"")


def test_every_missing_field_is_reported() -> None:
    request = orjson.loads(orders.WORST["compute_batches: goods"](0).body or b"")
    raw = orjson.dumps({name: value for name, value in request.items() if name not in {"orders", "products"}})
    assert len(raw) > SMALL
    assert errors_of(raw) == errors_of_the_model(raw)


def test_a_large_text_that_is_not_json_is_rejected_as_malformed() -> None:
    assert errors_of(b'{"orders": [' + b"1:," * 15_000) == [("json_invalid", ())]
