"""`GET /v1/rescale`: the answer of the POST for what can only send an address, in every format."""

import csv
import io
from typing import Any
from urllib.parse import quote_plus

import pytest

from domain.formulas.line_text import parse_line
from tests.api.conftest import Call

Pairs = list[tuple[str, str]]
PARKIN: Pairs = [
    ("name", "Ginger parkin"),
    ("component", "batter"),
    ("line", "2 us_cup plain flour, spooned"),
    ("line", "150 g butter"),
    ("line", "4 eggs"),
    ("line", "1 1/2 us_tsp baking powder"),
    ("component", "nuggets"),
    ("pieces", "16"),
    ("line", "160 g rolled oats"),
    ("tin", "square 20 x 5 cm"),
    ("filled_depth", "30 mm"),
    ("egg_class", "eu_m"),
]
WANTED: Pairs = [("want", "rectangle 30 x 20 x 5 cm"), ("want", "x 2.5"), ("want", "1.5 kg"), ("want", "big tray")]


def address(*pairs: tuple[str, str]) -> str:
    """The address, with its parameters in this order."""
    return "/v1/rescale?" + "&".join(f"{name}={quote_plus(value)}" for name, value in pairs)


def without_places(part: Any) -> Any:
    """An answer without the places of its warnings and errors, which a query names by parameter."""
    if isinstance(part, list):
        return [without_places(each) for each in part]
    if isinstance(part, dict):
        return {
            name: without_places(each)
            for name, each in part.items()
            if name not in {"pointer", "parameter", "pointers", "parameters"}
        }
    return part


def test_get_answers_as_post_does_to_the_last_digit(call: Call, formula: dict[str, Any]) -> None:
    got = call("GET", address(*PARKIN, *WANTED, ("oven", "170 celsius"), ("minutes", "38"), ("portions", "16")))
    assert got.status_code == 200, got.text
    body = got.json()
    formula |= {"bake": {"oven": "170 celsius", "minutes": 38}, "cuts": {"portions": 16}}
    formula["components"][0]["lines"][2] = {"ingredient": "eggs", "quantity": "4 each"}
    formula["components"][0]["lines"][3]["quantity"] = "1.5 us_tsp"
    assert body["formula"] == formula
    sent = [target["target"] for target in body["targets"]]
    assert sent[:3] == [
        {"label": "rectangle 30 x 20 x 5 cm", "tin": "rectangle 30 x 20 x 5 cm"},
        {"label": "x 2.5", "factor": 2.5},
        {"label": "1.5 kg", "grams": 1500},
    ]
    posted = call("POST", "/v1/rescale", json={"formula": formula, "targets": sent}).json()
    assert without_places(body) == without_places(posted)
    assert body["targets"][3]["problem"]["errors"][0]["parameter"] == "want"


def test_the_table_has_a_dozen_columns(call: Call) -> None:
    answer = call("GET", address(*PARKIN, *WANTED, ("format", "csv")))
    header, *rows = csv.reader(io.StringIO(answer.text, newline=""), strict=True)
    assert header == [
        *("label", "factor", "component", "ingredient", "amount", "unit", "grams", "grams_low", "grams_high"),
        *("weigh_grams", "spoons", "problem", "warnings"),
    ]
    assert len(rows) == 3 * 5 + 1
    first, last = (dict(zip(header, row, strict=True)) for row in (rows[0], rows[-1]))
    assert (first["label"], first["component"]) == ("rectangle 30 x 20 x 5 cm", "batter")
    assert (first["amount"], first["unit"], first["grams"], first["weigh_grams"]) == ("3", "us_cup", "375", "375")
    assert (last["label"], last["grams"]) == ("big tray", "")
    assert last["problem"].startswith("Write a tin")


def test_every_format_is_answered(call: Call) -> None:
    url = address(*PARKIN, *WANTED)
    xml = call("GET", f"{url}&format=xml")
    assert (xml.status_code, xml.headers["content-type"]) == (200, "application/xml")
    cell = call("GET", f"{url}&format=cell&field=targets.0.grams")
    grams = call("GET", url).json()["targets"][0]["grams"]
    assert float(cell.text) == grams
    tag = call("GET", url).headers["etag"]
    assert call("GET", url, headers={"If-None-Match": tag}).status_code == 304


def test_lines_without_a_component_make_one(call: Call) -> None:
    body = call(
        "GET", address(("line", "150 g butter"), ("line", "2 cups of granulated sugar"), ("measures", "us"))
    ).json()
    (component,) = body["targets"][0]["components"]
    assert [line["unit"] for line in component["lines"]] == ["g", "us_cup"]
    assert body["targets"][0]["factor"] == 1


@pytest.mark.parametrize(
    ("pairs", "parameter", "message"),
    [
        ([("line", "butter")], "line", "Line 1"),
        ([("line", "10 g butter"), ("line", "2 us_cup moon dust")], "line", "Line 2"),
        ([("line", "2 cup plain flour")], "line", "Line 1"),
        ([("line", "3 eggs")], "egg_class", ""),
        ([("component", "batter"), ("line", "10 g butter"), ("component", "topping")], "component", ""),
        ([("line", "10 g butter"), ("tin", "moon")], "tin", ""),
        ([("line", "10 g butter"), ("want", "x 0")], "want", ""),
        ([("line", "10 g butter"), ("want", "square 20 cm")], "tin", ""),
        ([("line", "10 g butter"), ("oven", "hello")], "oven", ""),
        ([("line", "10 g butter"), ("scale_step", "1 cm")], "scale_step", ""),
        ([("line", "10 g butter"), ("depth", "x")], "", ""),
        ([("line", "10 g butter"), ("size", "x")], "size", ""),
        ([("want", "x 2")], "line", ""),
    ],
)
def test_an_error_names_its_parameter(call: Call, pairs: Pairs, parameter: str, message: str) -> None:
    answer = call("GET", address(*pairs))
    if not parameter:  # the depth of a tin is not read where no tin is wanted
        assert answer.status_code == 200
        return
    assert answer.status_code == 422, answer.text
    (error,) = answer.json()["errors"]
    assert error["parameter"] == parameter
    assert error["message"].startswith(message)


@pytest.mark.parametrize(
    ("text", "quantity", "ingredient", "packing"),
    [
        ("150 g butter", "150 g", "butter", None),
        ("150g butter", "150 g", "butter", None),
        ("1½ us_cup sifted plain flour", "1.5 us_cup", "plain flour", "sifted"),
        ("1½ us_cup plain flour, spooned", "1.5 us_cup", "plain flour", "spooned"),
        ("1½ us_cup plain flour, sifted", "1.5 us_cup", "plain flour", None),  # it is sifted after it is measured
        ("2 us fl oz milk", "2 us_fl_oz", "milk", None),
        ("225 g (8 oz) butter, softened", "225 g", "butter", None),
        ("2 x 400 g tins coconut milk", "800 g", "coconut milk", None),
        ("250 g Butter, weich", "250 g", "Butter", None),
        ("200 g house blend", "200 g", "house blend", None),
        ("1 egg white", "1 each", "egg white", None),
        ("2 cups of caster sugar", "2 cup", "caster sugar", None),
        ("1 pinch salt", "1 pinch", "salt", None),
    ],
)
def test_a_line_is_read_as_people_write_it(text: str, quantity: str, ingredient: str, packing: str | None) -> None:
    line = parse_line(text)
    assert (line.quantity, line.ingredient, line.packing) == (quantity, ingredient, packing)
