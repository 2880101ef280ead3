"""`POST /v1/convert/columns` gives the same answers as `POST /v1/convert`, and shared parts once."""

import csv
import io
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from api.v1.convert.columns.answers import MAX_SHOWN
from api.v1.convert.columns.reading import MAX_QUESTIONS, MAX_SLOW_AMOUNTS
from tests.api.conftest import Call

URL = "/v1/convert/columns"
AMOUNTS = st.one_of(
    st.floats(0, 10_000, allow_subnormal=False),
    st.integers(0, 999),
    st.sampled_from(["1 1/2", "1½", "1/3", "x", "", "-2", "1e3", "7/0"]),
)
UNITS = st.sampled_from(["us_cup", "cup", "g", "us_tbsp", "each", "celsius", "gas_mark", "mm", "nonsense"])
THINGS = st.sampled_from([None, "plain flour", "whole milk", "egg", "lemon", "moon dust", "flour"])
PACKINGS = st.sampled_from([None, "spooned", "sifted", "packed", "flung"])
ROWS = st.lists(st.tuples(AMOUNTS.filter(bool), UNITS, UNITS, THINGS, PACKINGS), min_size=1, max_size=12)


def by_columns(rows: list[tuple[Any, ...]]) -> dict[str, Any]:
    amount, unit, to, ingredient, packing = (
        ["" if cell is None else cell for cell in column] for column in zip(*rows, strict=True)
    )
    return {"amount": amount, "unit": unit, "to": to, "ingredient": ingredient, "packing": packing}


def by_rows(rows: list[tuple[Any, ...]]) -> dict[str, Any]:
    items = []
    for amount, unit, to, ingredient, packing in rows:
        known = {"ingredient": ingredient, "packing": packing}
        items.append(
            {"quantity": {"amount": amount, "unit": unit}, "to": to} | {k: v for k, v in known.items() if v is not None}
        )
    return {"items": items}


@settings(max_examples=150, deadline=None, derandomize=True)
@given(rows=ROWS)
def test_each_row_equals_the_same_row_of_the_other_endpoint(call: Call, rows: list[tuple[Any, ...]]) -> None:
    columns = call("POST", URL, json=by_columns(rows)).json()
    refused = {problem["row"]: problem["problem"] for problem in columns["problems"]}
    assert columns["problem_count"] == len(refused)
    for row, item in enumerate(call("POST", "/v1/convert", json=by_rows(rows)).json()["items"]):
        found = [columns[name][row] for name in ("amount", "low", "high")]
        if "problem" in item:
            assert (found, columns["rate"][row]) == ([None] * 3, None)
            assert (refused[row]["type"], refused[row]["detail"]) == (
                item["problem"]["type"],
                item["problem"]["detail"],
            )
            # Both point at the same fields; in the columns the row's number follows.
            by_column = [
                error["pointer"].split("/")[1] if error["pointer"] else str(row) for error in refused[row]["errors"]
            ]
            by_row = [error["pointer"].split("/")[-1] for error in item["problem"]["errors"]]
            assert by_column == by_row
            continue
        assert found == [item["amount"], item["low"], item["high"]]
        rate = columns["rates"][columns["rate"][row]]
        assert rate["to"] == item["unit"]
        assert [one["code"] for one in rate["warnings"]] == [one["code"] for one in item["warnings"]]
        known = {(one["source"], one["record"]) for one in rate["sources"]}
        assert {(one["source"], one["record"]) for one in item["sources"]} <= known


@settings(max_examples=30, deadline=None, derandomize=True)
@given(rows=ROWS, one=st.tuples(UNITS, UNITS, THINGS))
def test_one_value_for_all_rows_equals_a_column_of_it(
    call: Call, rows: list[tuple[Any, ...]], one: tuple[Any, ...]
) -> None:
    unit, to, thing = one
    amounts = [row[0] for row in rows]
    spread = by_columns([(amount, unit, to, thing, None) for amount in amounts])
    short = {"amount": amounts, "unit": unit, "to": to} | ({} if thing is None else {"ingredient": thing})
    answers = [call("POST", URL, json=body).json() for body in (spread, short)]
    for answer in answers:
        for problem in answer["problems"]:
            for error in problem["problem"]["errors"]:
                # A column's pointer ends in the row; a single value's does not.
                error["pointer"] = "/".join(error["pointer"].split("/")[:2])
    assert answers[0] == answers[1]


def test_the_range_is_the_rates_range(call: Call) -> None:
    body = {"amount": [1, 3], "unit": "us_cup", "to": "g", "ingredient": "plain flour", "packing": "spooned"}
    answer = call("POST", URL, json=body).json()
    (rate,) = answer["rates"]
    assert answer["rate"] == [0, 0]
    assert [answer["amount"][0], answer["low"][0], answer["high"][0]] == [rate["factor"], rate["low"], rate["high"]]
    # NIST SP 811 (2008), app. B.8: 1 US cup is 236.5882 ml; USDA SR 26, NDB 20081: 125 g of plain flour.
    assert answer["amount"] == [125, 375]


def test_problems_have_a_pointer(call: Call) -> None:
    body = {"amount": [1, "x", 2], "unit": ["g", "g", "cup"], "to": "kg", "packing": "flung", "ingredient": "butter"}
    found = call("POST", URL, json=body).json()["problems"]
    assert [(one["row"], one["problem"]["errors"][0]["pointer"]) for one in found] == [(1, "/amount/1"), (2, "/unit/2")]
    odd = call("POST", URL, json={"amount": [1, 2], "unit": ["g"], "to": ["kg", "kg", "kg"]})
    assert odd.status_code == 422
    assert [error["pointer"] for error in odd.json()["errors"]] == ["/unit", "/to"]
    assert odd.json()["type"] == "/problems/rows_differ"


def test_a_unit_mismatch_does_not_point_at_the_amount(call: Call) -> None:
    found = call("POST", URL, json={"amount": [180], "unit": "celsius", "to": ["g"]}).json()["problems"][0]["problem"]
    (row,) = call("POST", "/v1/convert", json={"items": [{"quantity": "180 celsius", "to": "g"}]}).json()["items"]
    assert found["errors"][0]["code"] == row["problem"]["errors"][0]["code"]
    assert found["errors"][0]["pointer"] != "/amount/0"


def test_an_empty_cell_stays_empty(call: Call) -> None:
    body = {
        "amount": ["", 2, "", " ", "2"],
        "unit": ["", "us_cup", "us_cup", "", ""],
        "to": "ml",
        "ingredient": ["", "", "moon dust", "", ""],
    }
    answer = call("POST", URL, json=body).json()
    assert answer["amount"] == [None, 473.176473, None, None, None]  # 2 x 231 in³ / 8, exact
    # An amount without a unit is not guessed.
    (problem,) = answer["problems"]
    assert (problem["row"], problem["problem"]["errors"][0]["pointer"]) == (4, "/unit/4")
    shown = next(csv.DictReader(io.StringIO(call("POST", f"{URL}?format=csv", json=body).text)))
    assert set(shown.values()) == {""}


def test_null_is_no_empty_cell(call: Call) -> None:
    body = {"amount": ["1", None], "unit": "g", "to": "kg", "packing": None}
    errors = call("POST", URL, json=body).json()["errors"]
    found = {(error["pointer"], error["code"]) for error in errors}
    assert found == {("/amount/1", "null_value"), ("/packing", "null_value")}


def test_an_empty_row_is_not_converted(call: Call) -> None:
    names = [f"thing {number}" for number in range(MAX_QUESTIONS)]
    body = {
        "amount": [1, *[""] * MAX_QUESTIONS],
        "unit": ["g", *[" "] * MAX_QUESTIONS],
        "to": "kg",
        "ingredient": ["", *names],
        "g_per_ml": ["", *[0.5] * MAX_QUESTIONS],
        "packing": [" ", *[""] * MAX_QUESTIONS],
    }
    answer = call("POST", URL, json=body).json()
    assert answer["amount"] == [0.001, *[None] * MAX_QUESTIONS]
    assert answer["problems"] == []


def test_slow_amounts_are_limited(call: Call) -> None:
    celsius = {"amount": [180, 200] * 1_000, "unit": "celsius", "to": "fahrenheit"}
    assert call("POST", URL, json=celsius).json()["amount"] == [356, 392] * 1_000  # 1.8 x + 32, by definition
    for amounts in (
        [i / 100 for i in range(MAX_SLOW_AMOUNTS + 1)],
        [f"{i} o'clock" for i in range(MAX_SLOW_AMOUNTS + 1)],
    ):
        refused = call("POST", URL, json=celsius | {"amount": amounts})
        assert refused.status_code == 422
        assert refused.json()["errors"][0]["pointer"].startswith("/amount")
    out_of_range = {"amount": [2e6 + i for i in range(MAX_SLOW_AMOUNTS + 1)], "unit": "g", "to": "kg"}
    assert call("POST", URL, json=out_of_range).status_code == 422
    answer = call("POST", URL, json={"amount": ["n/a"] * 5_000 + [-1] * 5_000, "unit": "g", "to": "kg"}).json()
    assert answer["problem_count"] == 10_000


def test_a_bad_row_does_not_affect_the_others(call: Call) -> None:
    body = {"amount": [1e7, 1, "9" * 80, -1, 1e12], "unit": "g", "to": ["kg", "kg", "kg", "kg", "k" * 80]}
    answer = call("POST", URL, json=body).json()
    assert answer["amount"] == [None, 0.001, None, None, None]
    assert [one["row"] for one in answer["problems"]] == [0, 2, 3, 4]


def test_errors_name_only_the_form_that_was_sent(call: Call) -> None:
    bad = call("POST", URL, json={"amount": [True], "unit": [3, "g"], "to": 5}).json()
    assert {error["pointer"] for error in bad["errors"]} == {"/amount/0", "/unit/0", "/to"}
    assert len(bad["errors"]) == 3


def test_only_the_first_problems_are_listed_and_all_are_counted(call: Call) -> None:
    answer = call(
        "POST", URL, json={"amount": [1] * 300, "unit": "us_cup", "to": "g", "ingredient": "moon dust"}
    ).json()
    assert (answer["problem_count"], len(answer["problems"])) == (300, 100)


def test_a_gas_mark_names_its_sources(call: Call) -> None:
    answer = call("POST", URL, json={"amount": [4], "unit": "gas_mark", "to": "celsius"}).json()
    assert answer["rates"][0]["sources"]
    assert "factor" not in answer["rates"][0]


def test_csv_and_xml_have_one_line_for_each_row(call: Call) -> None:
    body = {"amount": [1, "x", 2], "unit": "us_cup", "to": "ml"}
    shown = call("POST", f"{URL}?format=csv", json=body)
    assert shown.headers["content-type"].startswith("text/csv")
    rows = list(csv.DictReader(io.StringIO(shown.text)))
    assert [row["unit"] for row in rows] == ["ml", "", "ml"]
    assert float(rows[2]["amount"]) == 2 * float(rows[0]["amount"]) == 473.176473  # 231 in³ / 8, exact
    assert rows[1]["problem"].startswith("Not an amount")
    assert call("POST", f"{URL}?format=xml", json=body).text.count("<problem>Not an amount") == 1


def test_too_large_tables_are_rejected_with_advice(call: Call) -> None:
    densities = [0.02 + i / 1_000 for i in range(MAX_QUESTIONS + 1)]
    body = {"amount": [1] * len(densities), "unit": "us_cup", "to": "g", "g_per_ml": densities}
    many = call("POST", URL, json=body)
    assert (many.status_code, many.json()["type"]) == (422, "/problems/out_of_range")
    assert "in parts" in many.json()["detail"]
    body["g_per_ml"] = densities[:-1] + densities[:1]
    assert call("POST", URL, json=body).status_code == 200
    long = {"amount": [1] * (MAX_SHOWN + 1), "unit": "us_cup", "to": "ml"}
    assert call("POST", URL, json=long).status_code == 200
    assert call("POST", f"{URL}?format=csv", json=long).status_code == 422
