"""Amounts beyond any kitchen are warned of in every format that can say so, and a cell shows no figure of them."""

from typing import Any

import pytest

from tests.api.conftest import Call

DATE = 46_024  # 2 January 2026, which a spreadsheet makes of "1/2"
OATS = {"unit": "us_cup", "to": "g", "ingredient": "rolled oats"}
POWDER = {"unit": "g", "to": "us_tsp", "ingredient": "baking powder"}


def unlikely(warnings: list[dict[str, Any]]) -> list[dict[str, Any]]:
    return [warning for warning in warnings if warning["code"] == "unlikely_amount"]


def test_one_conversion_warns_with_the_figure_and_the_limit(call: Call) -> None:
    answer = call("GET", "/v1/convert", params=POWDER | {"amount": str(DATE)}).json()
    (warning,) = unlikely(answer["warnings"])
    assert (warning["value"], warning["limit"], warning["unit"]) == (DATE, 25_000, "g")
    assert "46,024 g" in warning["message"]
    assert "date" in warning["message"]
    likely = call("GET", "/v1/convert", params=POWDER | {"amount": "1/2"}).json()
    assert unlikely(likely["warnings"]) == []


def test_a_measure_of_the_kitchen_has_the_same_answer_and_warning(call: Call) -> None:
    answer = call("GET", "/v1/convert", params=OATS | {"amount": str(DATE)})
    assert answer.status_code == 200, answer.text
    (warning,) = unlikely(answer.json()["warnings"])
    row = call("POST", "/v1/convert", json={"items": [OATS | {"amount": str(DATE)}]}).json()["items"][0]["answer"]
    assert row["amount"] == answer.json()["amount"]
    (of_row,) = unlikely(row["warnings"])
    assert of_row | {"pointers": []} == warning | {"pointers": []}
    cell = call("GET", "/v1/convert", params=OATS | {"amount": str(DATE), "format": "cell"})
    assert cell.text == f"# {warning['message']}"
    for form in ("csv", "xml"):
        assert "46,024 us_cup" in call("GET", "/v1/convert", params=OATS | {"amount": str(DATE), "format": form}).text


def test_a_cell_shows_the_reason_and_not_a_figure(call: Call) -> None:
    cell = call("GET", "/v1/convert", params=POWDER | {"amount": str(DATE), "format": "cell"})
    assert cell.status_code == 200
    assert cell.text.startswith("# 46,024 g")
    for field in ("amount_low", "amount_high"):
        shown = call("GET", "/v1/convert", params=POWDER | {"amount": str(DATE), "format": "cell", "field": field})
        assert shown.text == cell.text
    likely = call("GET", "/v1/convert", params=POWDER | {"amount": "1/2", "format": "cell"})
    assert not likely.text.startswith("#")


def test_rows_have_warnings_of_their_own(call: Call) -> None:
    items = [OATS | {"amount": amount} for amount in ("1/2", str(DATE), "2", "2001")]
    answer = call("POST", "/v1/convert", json={"items": items}).json()
    warned = [unlikely(item["answer"]["warnings"]) for item in answer["items"]]
    assert [len(of_row) for of_row in warned] == [0, 1, 0, 1]
    assert warned[1][0]["pointers"] == ["/items/1"]
    table = call("POST", "/v1/convert", params={"format": "csv"}, json={"items": items})
    assert "46,024 us_cup" in table.text
    rows = {"item": ["1/2|g|baking powder|us_tsp", f"{DATE}|g|baking powder|us_tsp"], "format": "cell"}
    first = call("GET", "/v1/convert/rows", params=rows | {"field": "items.0.answer.amount"})
    second = call("GET", "/v1/convert/rows", params=rows | {"field": "items.1.answer.amount"})
    assert (first.text.startswith("#"), second.text.startswith("# 46,024 g")) == (False, True)


@pytest.mark.parametrize("form", ["csv", "xml"])
def test_a_formula_has_a_warning_as_json_and_in_the_table_of_its_warnings(call: Call, form: str) -> None:
    components = [{"name": "mix", "lines": [{"ingredient": "rolled oats", "quantity": f"{DATE} us_cup"}]}]
    body = {"formula": {"name": "oats", "tin": "square 23 x 5 cm", "filled_depth": "26 mm", "components": components}}
    answer = call("POST", "/v1/rescale", json=body).json()
    (warning,) = unlikely(answer["written"]["warnings"])
    assert warning["pointers"] == ["/formula/components/0/lines/0"]
    for field in ({}, {"field": "written.warnings"}):
        table = call("POST", "/v1/rescale", params={"format": form} | field, json=body)
        assert table.status_code == 200
        assert "46,024 us_cup" in table.text


def test_a_cell_of_a_formula_shows_the_reason(call: Call) -> None:
    query = {"line": f"{DATE} us_cup rolled oats", "want": "x 2", "format": "cell", "field": "targets.0.grams"}
    assert call("GET", "/v1/rescale", params=query).text.startswith("# 46,024 us_cup is more than a kitchen uses")
    likely = call("GET", "/v1/rescale", params=query | {"line": "1/2 us_cup rolled oats"})
    assert likely.status_code == 200
    assert not likely.text.startswith("#")


def test_a_column_has_a_warning_with_its_rows(call: Call) -> None:
    body = {"amounts": ["1/2", str(DATE), "", "2001"], "units": ["us_cup"], "to": ["g"], "ingredients": ["rolled oats"]}
    answer = call("POST", "/v1/convert/columns", json=body).json()
    assert [warning["pointers"] for warning in answer["warnings"]] == [["/amounts/1"], ["/amounts/3"]]
    assert answer["problem_count"] == 0
    table = call("POST", "/v1/convert/columns", params={"format": "csv"}, json=body).text.splitlines()
    assert ["kitchen" in line for line in table[1:5]] == [False, True, False, True]
