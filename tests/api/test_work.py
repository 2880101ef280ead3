"""The limits of one request, with what to do instead; and integers that are written with a decimal point."""

from typing import Any

import pytest

from api.v1.shop.reading import MOST_DETAILS, MOST_LINES, MOST_SCALED_LINES
from tests.api.conftest import Call
from tests.load.worst import formulas, orders

TOO_MANY_LINES = formulas.formula(formulas.line, 0, 20, MOST_LINES // 20 + 1)


def refused(call: Call, path: str, body: dict[str, Any]) -> dict[str, Any]:
    answer = call("POST", path, json=body)
    assert answer.status_code == 422
    (error,) = answer.json()["errors"]
    assert error["code"] == "out_of_range"
    return dict(error)


@pytest.mark.parametrize(
    ("path", "more"),
    [("/v1/label", {"market": "eu"}), ("/v1/cost", {"currency": "GBP"}), ("/v1/balance", {})],
)
def test_a_formula_of_very_many_lines_is_refused(call: Call, path: str, more: dict[str, Any]) -> None:
    error = refused(call, path, {"formula": TOO_MANY_LINES, **more})
    assert error["pointer"] == "/formula"
    assert f"{MOST_LINES} lines" in error["message"]


def test_two_formulas_count_together(call: Call) -> None:
    half = formulas.formula(formulas.line, 0, 10, MOST_LINES // 20 + 1)
    assert call("POST", "/v1/balance", json={"formula": half}).status_code == 200
    error = refused(call, "/v1/balance", {"formula": half, "compare_with": half})
    assert error["pointer"] == "/compare_with"


def test_lines_times_sizes_are_counted(call: Call) -> None:
    lines = MOST_SCALED_LINES // 8 // 40 + 1
    error = refused(call, "/v1/batches", orders.day(formulas.line, 40, lines, 0))
    assert error["pointer"].startswith("/products/")
    assert "ask for the rest in another" in error["message"]


def test_rows_with_very_much_in_them_are_refused(call: Call) -> None:
    rows = [formulas.good(i, 0) for i in range(MOST_DETAILS // 23 + 1)]
    small = formulas.formula(formulas.line, 0, 1, 1)
    error = refused(call, "/v1/cost", {"formula": small, "currency": "GBP", "own_ingredients": rows})
    assert error["pointer"] == "/own_ingredients"
    assert call("POST", "/v1/cost", json={"formula": small, "currency": "GBP", "own_ingredients": rows[:-1]}).is_success


def test_many_drawings_are_answered_until_they_are_too_many(call: Call) -> None:
    tins = [{"tin": f"rectangle {30 + i} x 40 cm", "label": str(i)} for i in range(50)]
    body = {"tins": tins, "rows": 4, "columns": 6}
    plain = call("POST", "/v1/cuts", json=body).json()["tins"]
    assert [one.get("pieces") for one in plain] == [24] * 50
    drawn = call("POST", "/v1/cuts", json=body | {"drawing": True}).json()["tins"]
    answered = sum("drawing" in one for one in drawn)
    assert answered >= 9
    assert all("pieces" in one for one in drawn[:answered])
    problem = drawn[answered]["problem"]["errors"][0]
    assert problem["pointer"] == f"/tins/{answered}"
    assert "in another" in problem["message"]
    rest = call("POST", "/v1/cuts", json=body | {"drawing": True, "tins": tins[answered : answered + 9]}).json()["tins"]
    assert all("drawing" in one for one in rest)


@pytest.mark.parametrize(("written", "status"), [(12.0, 200), (12, 200), (12.5, 422), ("12", 422), (True, 422)])
def test_a_whole_number_may_be_written_with_a_point(call: Call, written: object, status: int) -> None:
    asked: dict[str, Any] = {"tin": "rectangle 30 x 40 cm", "pieces": written}
    answer = call("POST", "/v1/cuts", json=asked)
    assert answer.status_code == status
    if status == 200:
        assert type(answer.json()["pieces"]) is int
        nested = {"shape": "polygon", "sides": 6.0, "across_flats": "20 cm"}
        assert call("POST", "/v1/tins/measure", json={"tin": nested}).is_success


@pytest.mark.parametrize(
    ("path", "body"),
    [
        ("/v1/pieces", {"grams": 1_000, "grams_each": 5e-324}),
        ("/v1/cuts", {"tin": "square 20 cm", "slab_grams": 1, "piece_grams": 5e-324}),
        ("/v1/cuts", {"tin": "square 20 cm", "slab_grams": 5e-324, "piece_grams": 1}),
        ("/v1/cuts", {"tin": "round 20 cm", "slab_grams": 5e-324, "piece_grams": 1}),
    ],
)
def test_a_mass_next_to_nothing_is_refused(call: Call, path: str, body: dict[str, Any]) -> None:
    # Found by requests made from the contract: the least number above 0 is one that it allows.
    refused(call, path, body)
