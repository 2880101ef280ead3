"""The limits of one request, with what to do instead; and integers that are written with a decimal point."""

from typing import Any

import pytest

from api.v1.shop.reading import MAX_DETAILS, MAX_LINES_OF_JOB, MAX_SCALED_LINES
from tests.api.conftest import Call
from tests.load.worst import formulas, orders

TOO_MANY_LINES = formulas.formula(formulas.line, 0, 20, MAX_LINES_OF_JOB // 20 + 1)


def refused(call: Call, path: str, body: dict[str, Any]) -> dict[str, Any]:
    answer = call("POST", path, json=body)
    assert answer.status_code == 422
    (error,) = answer.json()["errors"]
    assert error["code"] == "out_of_range"
    return dict(error)


@pytest.mark.parametrize(
    ("path", "more"),
    [("/v1/label", {"shop": {"market": "eu"}}), ("/v1/cost", {"shop": {"currency": "GBP"}}), ("/v1/balance", {})],
)
def test_a_formula_of_very_many_lines_is_refused(call: Call, path: str, more: dict[str, Any]) -> None:
    error = refused(call, path, {"formula": TOO_MANY_LINES, **more})
    assert error["pointer"] == "/formula"
    assert f"{MAX_LINES_OF_JOB} lines" in error["message"]


def test_two_formulas_count_together(call: Call) -> None:
    half = formulas.formula(formulas.line, 0, 10, MAX_LINES_OF_JOB // 20 + 1)
    assert call("POST", "/v1/balance", json={"formula": half}).status_code == 200
    error = refused(call, "/v1/balance", {"formula": half, "compare_with": half})
    assert error["pointer"] == "/compare_with"


def test_lines_times_sizes_are_counted(call: Call) -> None:
    lines = MAX_SCALED_LINES // 8 // 40 + 1
    error = refused(call, "/v1/batches", orders.day(formulas.line, 40, lines, 0))
    assert error["pointer"].startswith("/products/")
    assert "ask for the rest in another" in error["message"]


def test_goods_with_very_many_details_are_rejected(call: Call) -> None:
    rows = [formulas.good(i, 0) for i in range(MAX_DETAILS // 23 + 1)]
    small = formulas.formula(formulas.line, 0, 1, 1)
    shop = {"currency": "GBP", "own_ingredients": rows}
    error = refused(call, "/v1/cost", {"formula": small, "shop": shop})
    assert error["pointer"] == "/shop/own_ingredients"
    shop["own_ingredients"] = rows[:-1]
    assert call("POST", "/v1/cost", json={"formula": small, "shop": shop}).is_success


def test_many_drawings_are_answered_until_they_are_too_many(call: Call) -> None:
    def cut(first: int, last: int, *, drawing: bool) -> list[dict[str, Any]]:
        cuts = {"rows": 4, "columns": 6, "drawing": drawing}
        targets = [{"tin": f"rectangle {30 + i} x 40 cm", "cuts": cuts} for i in range(first, last)]
        answers: list[dict[str, Any]] = call("POST", "/v1/cuts/batch", json={"targets": targets}).json()["targets"]
        return answers

    assert [each["cuts"]["portions"] for each in cut(0, 50, drawing=False)] == [24] * 50
    drawn = cut(0, 50, drawing=True)
    answered = sum("cuts" in each for each in drawn)
    assert answered >= 9
    assert all("drawing" in each["cuts"] for each in drawn[:answered])
    problem = drawn[answered]["problem"]["errors"][0]
    assert problem["pointer"] == f"/targets/{answered}/cuts"
    assert "in another" in problem["message"]
    assert all("drawing" in each["cuts"] for each in cut(answered, answered + 9, drawing=True))


@pytest.mark.parametrize(("written", "status"), [(12.0, 200), (12, 200), (12.5, 422), ("12", 422), (True, 422)])
def test_a_whole_number_may_be_written_with_a_point(call: Call, written: object, status: int) -> None:
    body: dict[str, Any] = {"tin": "rectangle 30 x 40 cm", "portions": written}
    answer = call("POST", "/v1/cuts", json=body)
    assert answer.status_code == status
    if status == 200:
        assert type(answer.json()["portions"]) is int
        nested = {"shape": "polygon", "sides": 6.0, "across_flats": "20 cm"}
        assert call("POST", "/v1/tins/measure", json={"tin_shape": nested}).is_success


@pytest.mark.parametrize(
    ("path", "body"),
    [
        ("/v1/pieces", {"grams": 1_000, "grams_each": 5e-324}),
        ("/v1/cuts", {"tin": "square 20 cm", "slab_grams": 1, "portion_grams": 5e-324}),
        ("/v1/cuts", {"tin": "square 20 cm", "slab_grams": 5e-324, "portion_grams": 1}),
        ("/v1/cuts", {"tin": "round 20 cm", "slab_grams": 5e-324, "portion_grams": 1}),
    ],
)
def test_a_mass_close_to_zero_is_rejected(call: Call, path: str, body: dict[str, Any]) -> None:
    # Found by requests generated from the contract, which allows the smallest number above 0.
    refused(call, path, body)
