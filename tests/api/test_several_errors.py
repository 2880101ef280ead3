"""Requests with two or more independent faults: each fault is reported, at a field that the caller sent."""

from typing import Any

import pytest

from tests.api.conftest import Call

GET_CASES = [  # path, query, the parameter and code of each error
    pytest.param(
        "/v1/convert",
        {"amount": "1e3", "unit": "cup", "to": "spoonful", "ingredient": "gronud ginger", "egg_class": "large"},
        [
            ("amount", "unreadable"),
            ("unit", "ambiguous_unit"),
            ("to", "unknown_unit"),
            ("egg_class", "ambiguous_egg_class"),
            ("ingredient", "unknown_ingredient"),
        ],
        id="convert",
    ),
    pytest.param(
        "/v1/convert",
        {"amount": "2000000", "unit": "g", "ingredient": "gronud ginger"},
        [("amount", "out_of_range"), ("ingredient", "unknown_ingredient")],
        id="convert, amount out of range",
    ),
    pytest.param(
        "/v1/eggs",
        {"whole": "x", "yolks": "-1", "egg_class": "large", "available_egg_classes": ["eu_m", "huge"]},
        [
            ("egg_class", "ambiguous_egg_class"),
            ("available_egg_classes", "unknown_egg_class"),
            ("whole", "unreadable"),
            ("yolks", "out_of_range"),
        ],
        id="eggs",
    ),
    pytest.param(
        "/v1/tins/measure",
        {"tin": "bucket", "filled_depth": "3 g"},
        [("tin", "unreadable_tin"), ("filled_depth", "unit_mismatch")],
        id="tins/measure",
    ),
    pytest.param(
        "/v1/tins/factor",
        {"have": "x", "want": "square 9 m", "filled_depth": "deep", "depth": "0 cm"},
        [
            ("have", "unreadable_tin"),
            ("want", "unknown_unit"),
            ("filled_depth", "unreadable"),
            ("depth", "out_of_range"),
        ],
        id="tins/factor",
    ),
    pytest.param(
        "/v1/oven",
        {"setting": "gas mark 12", "fan": "true"},
        [("setting", "out_of_range"), ("fan", "gas_mark_with_fan")],
        id="oven",
    ),
]


@pytest.mark.parametrize(("path", "query", "expected"), GET_CASES)
def test_a_get_reports_every_fault_by_parameter(
    call: Call, path: str, query: dict[str, Any], expected: list[tuple[str, str]]
) -> None:
    answer = call("GET", path, params=query)
    assert answer.status_code == 422
    errors = answer.json()["errors"]
    assert [(error["parameter"], error["code"]) for error in errors] == expected
    assert {error["parameter"] for error in errors} <= set(query)


SQUARE = {"shape": "square", "side": "x yard", "depth": "5 g"}
POST_CASES = [  # path, body, the pointer and code of each error
    pytest.param(
        "/v1/eggs",
        {"whites": "x", "egg_class": "large", "available_egg_classes": ["huge", "eu_m", "tiny"]},
        [
            ("/egg_class", "ambiguous_egg_class"),
            ("/available_egg_classes/0", "unknown_egg_class"),
            ("/available_egg_classes/2", "unknown_egg_class"),
            ("/whites", "unreadable"),
        ],
        id="eggs",
    ),
    pytest.param(
        "/v1/tins/measure",
        {"tin_shape": SQUARE, "filled_depth": "2000000 mm"},
        [
            ("/tin_shape/side", "unreadable"),
            ("/tin_shape/depth", "unit_mismatch"),
            ("/filled_depth", "out_of_range"),
        ],
        id="tins/measure",
    ),
    pytest.param(
        "/v1/rescale",
        {
            "formula": {
                "name": "Biscuit",
                "components": [
                    {
                        "name": "Dough",
                        "lines": [
                            {"ingredient": "moon dust", "quantity": "2 blorps"},
                            {"ingredient": "moon dust", "amount": "2", "unit": "blorps"},
                        ],
                    }
                ],
            }
        },
        [
            ("/formula/components/0/lines/0/ingredient", "unknown_ingredient"),
            ("/formula/components/0/lines/0/quantity", "unknown_unit"),
            ("/formula/components/0/lines/1/ingredient", "unknown_ingredient"),
            ("/formula/components/0/lines/1/unit", "unknown_unit"),
        ],
        id="formula, both fields of a line",
    ),
    pytest.param(
        "/v1/tins/measure",
        {"tin_shape": {"shape": "measured", "volume": "2 cm", "base_area": "3 g"}},
        [("/tin_shape/volume", "unit_mismatch"), ("/tin_shape/base_area", "unit_mismatch")],
        id="tins/measure, measured",
    ),
    pytest.param(
        "/v1/tins/factor",
        {"have_shape": SQUARE, "want": "bucket", "depth": "0 cm"},
        [
            ("/have_shape/side", "unreadable"),
            ("/have_shape/depth", "unit_mismatch"),
            ("/want", "unreadable_tin"),
            ("/depth", "out_of_range"),
        ],
        id="tins/factor",
    ),
    pytest.param(
        "/v1/oven",
        {"setting": "hot degrees", "fan_offset_celsius": 1e-12},
        [
            ("/fan_offset_celsius", "out_of_range"),
            ("/setting", "unreadable_oven"),
        ],
        id="oven",
    ),
    pytest.param(
        "/v1/oven",
        {"setting": "gas mark 12", "fan": True},
        [("/setting", "out_of_range"), ("/fan", "gas_mark_with_fan")],
        id="oven, out of range",
    ),
]


@pytest.mark.parametrize(("path", "body", "expected"), POST_CASES)
def test_a_post_reports_every_fault_by_pointer(
    call: Call, path: str, body: dict[str, Any], expected: list[tuple[str, str]]
) -> None:
    answer = call("POST", path, json=body)
    assert answer.status_code == 422
    errors = answer.json()["errors"]
    assert [(error["pointer"], error["code"]) for error in errors] == expected
    for error in errors:
        assert_sent(body, error["pointer"])


def assert_sent(body: Any, pointer: str) -> None:
    """The pointer leads to something in the body."""
    for part in pointer.split("/")[1:]:
        body = body[int(part)] if isinstance(body, list) else body[part]


ROWS = [  # a row of `POST /v1/convert`, and the pointer and code of each error within the row
    (
        {"amount": "x", "unit": "cup", "to": "stone", "ingredient": "moon dust"},
        [
            ("/amount", "unreadable"),
            ("/unit", "ambiguous_unit"),
            ("/to", "unknown_unit"),
            ("/ingredient", "unknown_ingredient"),
        ],
    ),
    (
        {"quantity": "1 cup", "to": "stone", "egg_class": "large"},
        [("/quantity", "ambiguous_unit"), ("/to", "unknown_unit"), ("/egg_class", "ambiguous_egg_class")],
    ),
    (
        {"quantity": "3000000 g", "to": "stone"},
        [("/quantity", "out_of_range"), ("/to", "unknown_unit")],
    ),
    ({"amount": "-1", "unit": "g", "to": "kg"}, [("/amount", "out_of_range")]),
    ({"unit": "g", "to": "stone"}, [("/amount", "one_of_needed"), ("/to", "unknown_unit")]),
    ({"amount": "1", "to": "kg"}, [("/unit", "one_of_needed")]),
    ({"quantity": "1 g", "unit": "g", "to": "kg"}, [("/unit", "one_of_needed")]),
    ({"quantity": "900 celsius", "to": "fahrenheit"}, [("/quantity", "out_of_range")]),
]


def test_each_row_reports_every_fault(call: Call) -> None:
    body = {"items": [row for row, _ in ROWS]}
    items = call("POST", "/v1/convert", json=body).json()["items"]
    for index, (item, (_, expected)) in enumerate(zip(items, ROWS, strict=True)):
        errors = [(error["pointer"], error["code"]) for error in item["problem"]["errors"]]
        assert errors == [(f"/items/{index}{pointer}", code) for pointer, code in expected]
        for pointer, code in errors:
            if code != "one_of_needed":  # which names a field that is missing
                assert_sent(body, pointer)


def test_each_item_of_a_get_reports_every_fault(call: Call) -> None:
    answer = call("GET", "/v1/convert/rows", params={"item": ["x|cup|moon dust", "1|g||kg", "|g"], "to": "g"})
    first, second, third = answer.json()["items"]
    assert [(error["parameter"], error["code"]) for error in first["problem"]["errors"]] == [
        ("item", "unreadable"),
        ("item", "ambiguous_unit"),
        ("item", "unknown_ingredient"),
    ]
    assert second["answer"]["amount"] == 0.001
    assert [error["code"] for error in third["problem"]["errors"]] == ["needed"]


def test_each_row_of_the_columns_reports_every_fault(call: Call) -> None:
    names = ["moon dust", "", ""]
    body = {"amounts": ["x", "1", "y"], "units": ["cup", "g", "g"], "to": ["kg"], "ingredients": names}
    answer = call("POST", "/v1/convert/columns", json=body).json()
    errors = {
        problem["row"]: [error["pointer"] for error in problem["problem"]["errors"]] for problem in answer["problems"]
    }
    assert errors == {0: ["/amounts/0", "/units/0", "/ingredients/0"], 2: ["/amounts/2"]}
    assert (answer["converted_rows"], answer["amounts"]) == ([1], [0.001])


def test_columns_of_different_lengths_are_all_reported(call: Call) -> None:
    body = {"amounts": ["1", "2"], "units": ["g"] * 4, "to": ["kg"] * 3}
    answer = call("POST", "/v1/convert/columns", json=body)
    assert [error["pointer"] for error in answer.json()["errors"]] == ["/amounts", "/to"]


@pytest.mark.parametrize("target", ["round 20 cm", [], 1])
def test_a_target_that_is_no_object_is_reported_beside_errors_of_the_formula(call: Call, target: object) -> None:
    """The rest is judged without the item; an error of the target that takes its place is not reported."""
    formula = {
        "name": "slab",
        "bake": {"minutes": 48},
        "components": [{"name": "batter", "lines": [{"ingredient": "buttter", "quantity": "1 g"}]}],
    }
    product = {"name": "slab", "formula": formula, "targets": [target]}
    answer = call(
        "POST", "/v1/batches", json={"orders": [{"product": "slab"}], "oven_shelves": 4, "products": [product]}
    )
    assert answer.status_code == 422
    errors = [(error["pointer"], error["code"]) for error in answer.json()["errors"]]
    assert errors == [
        ("/products/0/targets/0", "wrong_type"),
        ("/products/0/formula/components/0/lines/0/ingredient", "unknown_ingredient"),
    ]
