"""Answers as tables: their rows and columns, formulas in texts, limits, and a column in one GET."""

import re
from typing import Any
from xml.etree import ElementTree as ET

import httpx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.wire import routing, table_writing
from api.wire.figures import plain
from api.wire.table_writing import MAX_ANSWER_BYTES, MAX_CELLS, as_csv, as_xml, check_cells
from domain.errors import OutOfRangeError
from tests.api.conftest import Call
from tests.api.samples import EXAMPLES, POSTS, table, url_with

# Text that a spreadsheet would run as a formula.

DANGEROUS = (
    "=1+1",
    "+1",
    "rye;=1+1",
    'rye; "=1+1',
    "rye\t@SUM(A1)",
    "rye\r\n-1",
    "-1",
    "@SUM(A1)",
    "\t=1",
    "\r=1",
    "＝1",
    '=HYPERLINK("http://x")',
    "=cmd|' /C calc'!A0",
)


def rescaled(call: Call, formula: dict[str, Any], kind: str, names: list[str]) -> httpx.Response:
    """A rescaling with component names of the caller's choosing, as a table."""
    line = {"ingredient": "butter", "quantity": "100 g"}
    formula["components"] = [{"name": name, "lines": [line]} for name in names]
    request = {"formula": formula, "targets": [{"label": names[0], "factor": 2}]}
    return call("POST", "/v1/rescale", json=request, headers={"Accept": kind})


def starts_a_formula(cell: str) -> bool:
    """Whether any spreadsheet, with any of the usual separators, would find a formula in a text."""
    parts = re.split(r"[;\t\r\n]", cell)
    return any(part.lstrip(" \"'").startswith(("=", "+", "-", "@")) and not part.startswith("'") for part in parts)


def test_csv_text_is_neutralised_where_it_could_be_a_formula(call: Call, formula: dict[str, Any]) -> None:
    got = rescaled(call, formula, "text/csv", list(DANGEROUS))
    assert got.status_code == 200, got.text
    header, rows = table(got.content)
    shown = [row[header.index("component")] for row in rows]
    assert [re.sub(r"(^|(?<=[;\t\r\n]))'", "", cell) for cell in shown] == list(DANGEROUS)
    assert not any(starts_a_formula(cell) for cell in shown)
    assert {row[header.index("label")] for row in rows} == {"'=1+1"}
    # A negative number is not a text.
    cold = call("GET", "/v1/convert?amount=0&unit=fahrenheit&to=celsius&format=csv")
    assert table(cold.content)[1][0][0].startswith("-17.7")


@given(text=st.text(min_size=1, max_size=40))
def test_any_text_survives_csv_and_xml(call: Call, text: str) -> None:
    formula = {"name": "x", "tin": "square 20 x 5 cm"}
    got = rescaled(call, formula, "text/csv", [text])
    if got.status_code == 422:  # blank, or a lone surrogate
        return
    header, rows = table(got.content)
    cell = rows[0][header.index("component")]
    assert not starts_a_formula(cell)
    kept = re.sub(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\ufffe\uffff]", "\ufffd", text)
    assert re.sub(r"(^|(?<=[;\t\r\n]))'", "", cell) == re.sub(r"(^|(?<=[;\t\r\n]))'", "", kept)
    root = ET.fromstring(rescaled(call, formula, "application/xml", [text]).content)  # noqa: S314 - our own answer
    in_xml = root.findtext("./row/component") or ""
    assert in_xml.replace("\n", "") == kept.replace("\r\n", "").replace("\r", "").replace("\n", "")


# Tables.


def test_a_row_is_an_ingredient_in_one_packing(call: Call) -> None:
    answer = call("GET", "/v1/ingredients").json()["ingredients"]
    header, rows = table(call("GET", "/v1/ingredients?format=csv").content)
    pairs = [
        (ingredient["id"], d["packing"]) for ingredient in answer for d in ingredient["densities"] or [{"packing": ""}]
    ]
    assert [(row[header.index("id")], row[header.index("densities.packing")]) for row in rows] == pairs


def test_the_header_stays_when_figures_are_missing(call: Call) -> None:
    with_depth = table(call("GET", "/v1/tins/measure?tin=square%2020%20x%205%20cm&format=csv").content)
    without = table(call("GET", "/v1/tins/measure?tin=square%2020%20cm&format=csv").content)
    assert with_depth[0] == without[0]
    assert without[1][0][without[0].index("volume_ml")] == ""


def test_a_part_of_an_answer_as_a_table(call: Call) -> None:
    header, rows = table(call("GET", "/v1/units?format=csv&field=kitchen_words").content)
    words = call("GET", "/v1/units").json()["kitchen_words"]
    assert header[:2] == ["word", "us"]
    assert [row[0] for row in rows] == [word["word"] for word in words]
    unit = table(call("GET", "/v1/convert?amount=1&unit=g&to=kg&format=csv&field=unit").content)
    assert unit == (["unit"], [["kg"]])


@pytest.mark.parametrize("name", POSTS)
@pytest.mark.parametrize("kind", ["csv", "xml"])
def test_posts_answer_tables_too(call: Call, name: str, kind: str) -> None:
    example = POSTS[name]
    by_name = call("POST", url_with(example["path"], format=kind), json=example["request"])
    media_type = {"csv": "text/csv", "xml": "application/xml"}[kind]
    by_accept = call("POST", example["path"], json=example["request"], headers={"Accept": media_type})
    assert by_name.status_code == by_accept.status_code == 200
    assert by_name.content == by_accept.content
    assert by_name.headers["content-type"].startswith(media_type)
    assert by_name.headers["cache-control"] == "no-store"
    assert by_name.headers["vary"] == by_accept.headers["vary"]
    assert by_name.headers["vary"].startswith("Accept")
    if kind == "csv":
        header, rows = table(by_name.content)
        assert rows
        assert {len(row) for row in rows} == {len(header)}


def test_a_rescaling_has_a_row_for_each_line_of_each_target(call: Call) -> None:
    example = EXAMPLES["rescale-parkin"]
    header, rows = table(call("POST", "/v1/rescale?format=csv", json=example["request"]).content)
    lines = [
        (target["factor"], component["name"], line["ingredient"], line["weigh_grams"])
        for target in example["response"]["targets"]
        for component in target["components"]
        for line in component["lines"]
    ]
    at = [header.index(name) for name in ("factor", "component", "ingredient", "weigh_grams")]
    shown = [tuple(row[i] for i in at) for row in rows]
    assert shown == [(plain(factor), name, ingredient, plain(grams)) for factor, name, ingredient, grams in lines]


def test_a_row_holds_its_own_figures_and_only_names_from_outside(call: Call) -> None:
    request = EXAMPLES["rescale-parkin"]["request"]
    header, rows = table(call("POST", "/v1/rescale?format=csv", json=request).content)
    assert len(header) == 13
    header, warned = table(call("POST", "/v1/rescale?format=csv&field=targets", json=request).content)
    assert {"label", "factor", "grams", "fill_percent"} <= set(header)
    assert len(warned) == len(request["targets"]) < len(rows)


def test_a_drawing_never_enters_a_table(call: Call) -> None:
    url = "/v1/cuts?tin=square%2020%20cm&portions=4&drawing=true"
    for kind in ("csv", "xml"):
        answer = call("GET", f"{url}&format={kind}")
        assert answer.status_code == 200
        assert b"svg" not in answer.content
        assert call("GET", f"{url}&format={kind}&field=drawing").json()["type"] == "/problems/no_table"
    assert call("GET", f"{url}&format=text&field=drawing").text.startswith("<svg")


def test_every_text_of_a_csv_is_quoted_and_no_number_is(call: Call) -> None:
    answer = call("GET", "/v1/units?format=csv").text
    for line in answer.split("\r\n")[1:-1]:
        for cell in re.findall(r'(?:^|,)("(?:[^"]|"")*"|[^,]*)', line):
            assert cell.startswith('"') or re.fullmatch(r"-?[0-9]+(\.[0-9]+)?|", cell), cell


@pytest.mark.parametrize("kind", ["csv", "xml"])
def test_a_table_with_too_many_cells_is_refused(call: Call, monkeypatch: pytest.MonkeyPatch, kind: str) -> None:
    names = ["flour", "butter"]
    line = {"ingredient": "mine", "own": True, "quantity": "1 g"}
    formula = {"name": "x", "components": [{"name": name, "lines": [line] * 20} for name in names]}
    body = {"formula": formula, "targets": [{"factor": 1 + i / 7} for i in range(50)]}
    assert len(call("POST", f"/v1/rescale?format={kind}", json=body).content) < MAX_ANSWER_BYTES
    monkeypatch.setattr(table_writing, "MAX_CELLS", 1_000)
    answer = call("POST", f"/v1/rescale?format={kind}", json=body)
    assert answer.status_code == 422
    (error,) = answer.json()["errors"]
    assert error["code"] == "answer_too_large"
    assert "`field`" in error["message"]


@pytest.mark.parametrize("kind", ["json", "csv", "xml"])
def test_an_answer_with_too_many_bytes_is_refused(call: Call, monkeypatch: pytest.MonkeyPatch, kind: str) -> None:
    assert call("POST", "/v1/convert", json={"items": [{"quantity": "1 g", "to": "kg"}]}).status_code == 200
    monkeypatch.setattr(routing, "MAX_ANSWER_BYTES", 100)
    monkeypatch.setattr(table_writing, "MAX_ANSWER_BYTES", 100)
    body = {"items": [{"quantity": "1 g", "to": "kg"}] * 20}
    answer = call("POST", f"/v1/convert?format={kind}", json=body)
    assert answer.status_code == 422
    assert answer.json()["type"] == "/problems/answer_too_large"
    assert "Split the request" in answer.json()["detail"]
    assert call("GET", f"/v1/units?format={kind}").status_code == 422


def test_a_table_has_a_limit_of_cells_and_of_bytes() -> None:
    check_cells(MAX_CELLS // 10, 10)
    with pytest.raises(OutOfRangeError):
        check_cells(MAX_CELLS // 10 + 1, 10)
    long = [["x" * 100_000]] * (MAX_ANSWER_BYTES // 100_000 + 1)
    for write in (as_csv, as_xml):
        with pytest.raises(OutOfRangeError):
            write(["column"], long)


# A column in one GET.


def test_a_column_by_get_answers_in_order_with_the_bad_row_in_its_place(call: Call) -> None:
    items = [
        "2|us_cup|plain-flour||spooned",
        "1|us_cup|moon dust",
        "1 1/2|us_cup|rolled-oats",
        "350|fahrenheit||celsius",
    ]
    answer = call("GET", "/v1/convert/rows", params={"item": items})
    assert answer.status_code == 200
    flour, bad, oats, oven = answer.json()["items"]
    assert flour["answer"]["amount"] == 250  # USDA-SR28, NDB 20081: 125 g in a cup
    assert bad["problem"]["errors"][0]["code"] == "unknown_ingredient"
    assert oats["answer"]["amount"] == 121.5  # USDA-SR28, NDB 08120: 81 g in a cup
    assert oven["answer"]["amount"] == pytest.approx((350 - 32) / 1.8)  # definition of the Fahrenheit scale
    header, rows = table(call("GET", "/v1/convert/rows", params={"item": items, "format": "csv"}).content)
    assert [row[:2] for row in rows] == [
        ["plain-flour", "250"],
        ["moon dust", ""],
        ["rolled-oats", "121.5"],
        ["", rows[3][1]],
    ]
    assert [bool(row[header.index("problem.detail")]) for row in rows] == [False, True, False, False]
    root = ET.fromstring(call("GET", "/v1/convert/rows", params={"item": items, "format": "xml"}).content)  # noqa: S314
    assert [element.text for element in root.iterfind(".//amount")][:3] == ["250", None, "121.5"]


def test_rows_take_what_they_leave_out_from_the_parameters(call: Call) -> None:
    short = call("GET", "/v1/convert/rows?item=1&item=2%7Cus_tbsp&unit=us_cup&ingredient=whole-milk&to=kg").json()
    short = [item["answer"] for item in short["items"]]
    assert [row["amount"] for row in short] == [0.244, pytest.approx(0.244 / 8)]  # USDA-SR28, NDB 01077: 244 g a cup
    assert {row["unit"] for row in short} == {"kg"}
    single = call("GET", "/v1/convert?amount=1&unit=us_cup&ingredient=whole-milk").json()
    assert (single["amount"], single["unit"]) == (244, "g")


@pytest.mark.parametrize("row", ["", "|", "|us_cup", "1", "1|g|a|b|c|d", "x|g", "1|g|||packed|", "9" * 301])
def test_a_bad_row_never_spoils_the_others(call: Call, row: str) -> None:
    answer = call("GET", "/v1/convert/rows", params={"item": ["1|kg", row, "2|kg"]})
    if len(row) in {0, 301}:  # outside what a row may be long
        assert answer.status_code == 422
        return
    first, bad, last = answer.json()["items"]
    assert (first["answer"]["amount"], last["answer"]["amount"]) == (1000, 2000)
    assert bad["problem"]["errors"][0]["parameter"] == "item"


def test_a_column_and_a_single_amount_are_two_operations(call: Call) -> None:
    both = call("GET", "/v1/convert?amount=1&unit=g&item=1%7Cg").json()
    assert [error["parameter"] for error in both["errors"]] == ["item"]
    rows = call("GET", "/v1/convert/rows?amount=1&unit=g").json()
    assert {error["parameter"] for error in rows["errors"]} == {"item", "amount"}
    single = call("GET", "/v1/convert?to=g").json()
    assert [error["parameter"] for error in single["errors"]] == ["amount", "unit"]


def test_a_column_has_a_limit(call: Call) -> None:
    assert call("GET", "/v1/convert/rows?" + "item=1%7Ckg&" * 1000).status_code == 200
    assert call("GET", "/v1/convert/rows?" + "item=1%7Ckg&" * 1001).status_code == 422


def test_a_useful_column_fits_the_shortest_address_that_sheets_allow(call: Call) -> None:
    rows = "&".join(["item=1%201%2F2%7Ccup%7Cplain-flour"] * 50)
    url = f"/v1/convert/rows?measures=us&format=csv&{rows}"
    assert len(url) < 2048 - len("https://tinwright.example.com")
    assert len(table(call("GET", url).content)[1]) == 50
