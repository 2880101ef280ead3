"""`POST /v1/convert/columns` gives the same answers as `POST /v1/convert`, and shared parts once."""

import csv
import io
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from api.v1.convert.columns.answers import MAX_SHOWN
from api.v1.convert.columns.reading import MAX_QUESTIONS, MAX_SLOW_AMOUNTS
from api.wire.reading import MAX_WORDED
from tests.api.conftest import Call

URL = "/v1/convert/columns"
AMOUNTS = st.one_of(
    st.decimals(0, 10_000, places=5).map(str),
    st.integers(0, 999).map(str),
    st.sampled_from(["1 1/2", "1½", "1/3", "x", "", "-2", "1e3", "7/0"]),
)
UNITS = st.sampled_from(["us_cup", "cup", "g", "us_tbsp", "each", "celsius", "gas_mark", "mm", "nonsense"])
THINGS = st.sampled_from(["", "plain flour", "whole milk", "egg", "lemon", "moon dust", "flour"])
PACKINGS = st.sampled_from(["", "spooned", "sifted", "packed", "flung"])
ROWS = st.lists(st.tuples(AMOUNTS.filter(bool), UNITS, UNITS, THINGS, PACKINGS), min_size=1, max_size=12)
FIELD_OF = {
    "amounts": "amount",
    "units": "unit",
    "to": "to",
    "ingredients": "ingredient",
    "packings": "packing",
    "egg_classes": "egg_class",
}
FIELDS = ("amounts", "units", "to", "ingredients", "packings")  # as in the body, and in each row of `ROWS`
Rows = list[tuple[str, ...]]


def by_columns(rows: Rows) -> dict[str, list[str]]:
    return {name: list(column) for name, column in zip(FIELDS, zip(*rows, strict=True), strict=True)}


def by_rows(rows: Rows) -> dict[str, Any]:
    names = ("amount", "unit", "to", "ingredient", "packing")
    items = [{name: cell for name, cell in zip(names, row, strict=True) if cell} for row in rows]
    return {"items": items}


def converted(answer: dict[str, Any]) -> dict[int, tuple[float, float, float, dict[str, Any]]]:
    """Amount, low, high and rate of each row that has them."""
    names = ("converted_rows", "amounts", "amounts_low", "amounts_high", "row_rates")
    rows = zip(*(answer[name] for name in names), strict=True)
    return {row: (amount, low, high, answer["rates"][rate]) for row, amount, low, high, rate in rows}


@settings(max_examples=150, deadline=None, derandomize=True)
@given(rows=ROWS)
def test_each_row_equals_the_same_row_of_the_other_endpoint(call: Call, rows: Rows) -> None:
    columns = call("POST", URL, json=by_columns(rows)).json()
    refused = {problem["row"]: problem["problem"] for problem in columns["problems"]}
    answered = converted(columns)
    other = call("POST", "/v1/convert", json=by_rows(rows)).json()
    assert columns["problem_count"] == len(refused) == other["problem_count"]
    for row, item in enumerate(other["items"]):
        if "problem" in item:
            assert row not in answered
            assert (refused[row]["type"], refused[row]["detail"]) == (
                item["problem"]["type"],
                item["problem"]["detail"],
            )
            # Both point at the same fields; in the columns the row's number follows.
            by_column = [
                FIELD_OF.get(error["pointer"].split("/")[1]) if error["pointer"] else str(row)
                for error in refused[row]["errors"]
            ]
            by_row = [error["pointer"].split("/")[-1] for error in item["problem"]["errors"]]
            assert by_column == by_row
            continue
        amount, low, high, rate = answered[row]
        answer = item["answer"]
        assert (amount, low, high) == (answer["amount"], answer["amount_low"], answer["amount_high"])
        assert rate["to"] == answer["unit"]
        of_row = [each for each in columns["warnings"] if f"/amounts/{row}" in each["pointers"]]
        codes = [each["code"] for each in rate["warnings"] + of_row]
        assert codes == [each["code"] for each in answer["warnings"]]
        of_rate = {(each["source"], each["record"]) for each in rate["cited"]}
        assert {(each["source"], each["record"]) for each in answer["cited"]} <= of_rate


@settings(max_examples=30, deadline=None, derandomize=True)
@given(rows=ROWS, row=st.tuples(UNITS, UNITS, THINGS))
def test_one_value_for_all_rows_equals_a_column_of_it(call: Call, rows: Rows, row: tuple[Any, ...]) -> None:
    unit, to, thing = row
    amounts = [row[0] for row in rows]
    spread = by_columns([(amount, unit, to, thing, "") for amount in amounts])
    short = {"amounts": amounts, "units": [unit], "to": [to]} | ({"ingredients": [thing]} if thing else {})
    answers = [call("POST", URL, json=body).json() for body in (spread, short)]
    for answer in answers:
        for problem in answer["problems"]:
            for error in problem["problem"]["errors"]:
                # A column's pointer ends in the row; a single value's does not.
                error["pointer"] = "/".join(error["pointer"].split("/")[:2])
    assert answers[0] == answers[1]


def test_the_range_is_the_rates_range(call: Call) -> None:
    body = {"amounts": ["1", "3"], "units": ["us_cup"], "to": ["g"], "ingredients": ["plain flour"]}
    answer = call("POST", URL, json=body | {"packings": ["spooned"]}).json()
    (rate,) = answer["rates"]
    assert answer["row_rates"] == [0, 0]
    first = [answer[name][0] for name in ("amounts", "amounts_low", "amounts_high")]
    assert first == [rate["factor"], rate["factor_low"], rate["factor_high"]]
    # NIST SP 811 (2008), app. B.8: 1 US cup is 236.5882 ml; USDA SR 26, NDB 20081: 125 g of plain flour.
    assert answer["amounts"] == [125, 375]


def test_one_amount_may_be_converted_in_many_ways(call: Call) -> None:
    body = {"amounts": ["1"], "units": ["kg", "lb", "oz"], "to": ["g"]}
    assert call("POST", URL, json=body).json()["amounts"] == [1_000, 453.59237, 28.349523125]  # NIST HB 44, app. C


def test_problems_have_a_pointer(call: Call) -> None:
    body = {"amounts": ["1", "x", "2"], "units": ["g", "g", "cup"], "to": ["kg"], "ingredients": ["butter"]}
    problems = call("POST", URL, json=body | {"packings": ["flung"]}).json()["problems"]
    pointers = [(each["row"], each["problem"]["errors"][0]["pointer"]) for each in problems]
    assert pointers == [(1, "/amounts/1"), (2, "/units/2")]
    odd = call("POST", URL, json={"amounts": ["1", "2"], "units": ["g"] * 4, "to": ["kg"] * 3})
    assert odd.status_code == 422
    assert [error["pointer"] for error in odd.json()["errors"]] == ["/amounts", "/to"]
    assert odd.json()["type"] == "/problems/rows_differ"


def test_the_pointer_of_a_text_for_all_rows_leads_to_it(call: Call) -> None:
    body = {"amounts": ["1", "2"], "units": ["us_cup"], "to": ["g"], "ingredients": ["moon dust"]}
    problems = call("POST", URL, json=body).json()["problems"]
    assert [each["problem"]["errors"][0]["pointer"] for each in problems] == ["/ingredients/0"] * 2


def test_a_unit_mismatch_does_not_point_at_the_amount(call: Call) -> None:
    body = {"amounts": ["180"], "units": ["celsius"], "to": ["g"]}
    problem = call("POST", URL, json=body).json()["problems"][0]["problem"]
    (row,) = call("POST", "/v1/convert", json={"items": [{"quantity": "180 celsius", "to": "g"}]}).json()["items"]
    assert problem["errors"][0]["code"] == row["problem"]["errors"][0]["code"]
    assert problem["errors"][0]["pointer"] != "/amounts/0"


def test_an_empty_cell_stays_empty(call: Call) -> None:
    body = {
        "amounts": ["", "2", "", " ", "2"],
        "units": ["", "us_cup", "us_cup", "", ""],
        "to": ["ml"],
        "ingredients": ["", "", "moon dust", "", ""],
    }
    answer = call("POST", URL, json=body).json()
    assert (answer["converted_rows"], answer["amounts"]) == ([1], [473.176473])  # 2 x 231 in³ / 8, exact
    # An amount without a unit is not guessed.
    (problem,) = answer["problems"]
    assert (problem["row"], problem["problem"]["errors"][0]["pointer"]) == (4, "/units/4")
    shown = next(csv.DictReader(io.StringIO(call("POST", f"{URL}?format=csv", json=body).text)))
    assert set(shown.values()) == {""}


def test_null_is_no_empty_cell(call: Call) -> None:
    body = {"amounts": ["1", None], "units": ["g"], "to": ["kg"], "packings": None}
    errors = call("POST", URL, json=body).json()["errors"]
    places = {(error["pointer"], error["code"]) for error in errors}
    assert places == {("/amounts/1", "null_value"), ("/packings", "null_value")}


def test_an_empty_row_is_not_converted(call: Call) -> None:
    names = [f"thing {number}" for number in range(MAX_QUESTIONS)]
    body = {
        "amounts": ["1", *[""] * MAX_QUESTIONS],
        "units": ["g", *[" "] * MAX_QUESTIONS],
        "to": ["kg"],
        "ingredients": ["", *names],
        "g_per_ml": ["", *["0.5"] * MAX_QUESTIONS],
        "packings": [" ", *[""] * MAX_QUESTIONS],
    }
    answer = call("POST", URL, json=body).json()
    assert (answer["converted_rows"], answer["amounts"]) == ([0], [0.001])
    assert answer["problems"] == []


def test_slow_amounts_are_limited(call: Call) -> None:
    celsius = {"amounts": ["180", "200"] * 1_000, "units": ["celsius"], "to": ["fahrenheit"]}
    assert call("POST", URL, json=celsius).json()["amounts"] == [356, 392] * 1_000  # 1.8 x + 32, by definition
    for amounts in (
        [str(i / 100) for i in range(MAX_SLOW_AMOUNTS + 1)],
        [f"{i} o'clock" for i in range(MAX_SLOW_AMOUNTS + 1)],
    ):
        refused = call("POST", URL, json=celsius | {"amounts": amounts})
        assert refused.status_code == 422
        assert refused.json()["errors"][0]["pointer"].startswith("/amounts")
    too_large = [str(2_000_000 + i) for i in range(MAX_SLOW_AMOUNTS + 1)]
    assert call("POST", URL, json={"amounts": too_large, "units": ["g"], "to": ["kg"]}).status_code == 422
    body = {"amounts": ["n/a"] * 5_000 + ["-1"] * 5_000, "units": ["g"], "to": ["kg"]}
    assert call("POST", URL, json=body).json()["problem_count"] == 10_000


def test_a_bad_row_does_not_affect_the_others(call: Call) -> None:
    amounts = ["10000000", "1", "9" * 80, "-1", "1000000000000"]
    answer = call("POST", URL, json={"amounts": amounts, "units": ["g"], "to": ["kg"] * 4 + ["k" * 80]}).json()
    assert (answer["converted_rows"], answer["amounts"], answer["row_rates"]) == ([1], [0.001], [0])
    assert [each["row"] for each in answer["problems"]] == [0, 2, 3, 4]


def test_a_density_is_read_from_text(call: Call) -> None:
    body = {"amounts": ["1"], "units": ["l"], "to": ["kg"], "g_per_ml": ["0.5", "1 1/2", "heavy", "0.001", ""]}
    answer = call("POST", URL, json=body).json()
    assert (answer["converted_rows"], answer["amounts"]) == ([0, 1], [0.5, 1.5])
    errors = {each["row"]: each["problem"]["errors"] for each in answer["problems"]}
    assert [(error["pointer"], error["code"]) for error in errors[2]] == [("/g_per_ml/2", "unreadable")]
    assert [(error["pointer"], error["code"]) for error in errors[3]] == [("/g_per_ml/3", "out_of_range")]
    assert set(errors) == {2, 3, 4}


def test_every_cell_is_text_and_every_column_a_list(call: Call) -> None:
    bad = call("POST", URL, json={"amounts": [1], "units": ["g", None], "to": "kg"}).json()
    assert {error["pointer"] for error in bad["errors"]} == {"/amounts/0", "/units/1", "/to"}


def test_only_the_first_problems_are_listed_and_all_are_counted(call: Call) -> None:
    body = {"amounts": ["1"] * 300, "units": ["us_cup"], "to": ["g"], "ingredients": ["moon dust"]}
    answer = call("POST", URL, json=body).json()
    assert (answer["problem_count"], len(answer["problems"])) == (300, 100)


def test_a_gas_mark_names_its_sources(call: Call) -> None:
    answer = call("POST", URL, json={"amounts": ["4"], "units": ["gas_mark"], "to": ["celsius"]}).json()
    assert answer["rates"][0]["cited"]
    assert "factor" not in answer["rates"][0]


def test_csv_and_xml_have_one_line_for_each_row(call: Call) -> None:
    body = {"amounts": ["1", "x", "2"], "units": ["us_cup"], "to": ["ml"]}
    shown = call("POST", f"{URL}?format=csv", json=body)
    assert shown.headers["content-type"].startswith("text/csv")
    rows = list(csv.DictReader(io.StringIO(shown.text)))
    assert [row["unit"] for row in rows] == ["ml", "", "ml"]
    assert float(rows[2]["amount"]) == 2 * float(rows[0]["amount"]) == 473.176473  # 231 in³ / 8, exact
    assert rows[1]["problem"].startswith("Not an amount")
    assert call("POST", f"{URL}?format=xml", json=body).text.count("<problem>Not an amount") == 1


def test_each_line_of_csv_names_its_ingredient(call: Call) -> None:
    body = {"amounts": ["1", "", "2,5", "1"], "units": ["g"], "to": ["kg"]}
    names = ["plain flour", "", "Butter", "moon\x07dust"]
    shown = [
        [row["ingredient"] for row in csv.DictReader(io.StringIO(call("POST", f"{URL}?format=csv", json=table).text))]
        for table in (body, {**body, "ingredients": ["butter"]}, {**body, "ingredients": names})
    ]
    assert shown == [[""] * 4, ["butter"] * 4, ["plain flour", "", "Butter", "moon\ufffddust"]]


def test_a_column_of_different_ingredients_is_one_request(call: Call) -> None:
    # USDA-SR28: one cup of flour is 125 g (NDB 20081), of rolled oats 81 g (NDB 20038).
    body = {"amounts": ["1,5", "2"], "units": ["us_cup"], "to": ["g"], "ingredients": ["plain flour", "rolled oats"]}
    answer = call("POST", URL, json={**body, "packings": ["spooned", ""]}).json()
    assert answer["amounts"] == [187.5, 162]
    assert [rate["ingredient_id"] for rate in answer["rates"]] == ["plain-flour", "rolled-oats"]


def test_a_table_has_few_different_amounts_in_words(call: Call) -> None:
    body = {"amounts": [f"half of {row}" for row in range(MAX_WORDED + 1)], "units": ["g"], "to": ["kg"]}
    (error,) = call("POST", URL, json=body).json()["errors"]
    assert (error["code"], error["limit"]) == ("out_of_range", MAX_WORDED)


def test_too_large_tables_are_rejected_with_advice(call: Call) -> None:
    densities = [str(0.02 + i / 1_000) for i in range(MAX_QUESTIONS + 1)]
    body = {"amounts": ["1"] * len(densities), "units": ["us_cup"], "to": ["g"], "g_per_ml": densities}
    many = call("POST", URL, json=body)
    assert (many.status_code, many.json()["type"]) == (422, "/problems/out_of_range")
    assert "in parts" in many.json()["detail"]
    body["g_per_ml"] = densities[:-1] + densities[:1]
    assert call("POST", URL, json=body).status_code == 200
    long = {"amounts": ["1"] * (MAX_SHOWN + 1), "units": ["us_cup"], "to": ["ml"]}
    assert call("POST", URL, json=long).status_code == 200
    assert call("POST", f"{URL}?format=csv", json=long).status_code == 422


def test_a_bad_row_of_csv_says_what_is_wrong_first(call: Call) -> None:
    url = "/v1/convert/rows?item=1|nonsense|moon dust&item=1|us_cup|butter&to=g&format=csv"
    bad, good = csv.DictReader(io.StringIO(call("GET", url).text))
    items = call("GET", url.replace("&format=csv", "")).json()["items"]
    first, second = items[0]["problem"]["errors"]
    assert first["message"] in bad["problem.detail"]
    assert "2 errors" in bad["problem.detail"]
    assert second["message"] not in bad["problem.detail"]
    assert good["problem.detail"] == ""
