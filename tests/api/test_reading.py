"""`/v1/formulas`: a pasted recipe becomes a formula that every endpoint takes, and asks what it must not guess."""

from typing import Any

import pytest

from api.contract.examples import load_examples
from tests.api.conftest import Call

PARKIN = """Ginger parkin slab
Tin: square 23 x 5 cm
165 g plain flour
1 tsp bicarb
2 eggs
96 g butter (unsalted)
2-3 tbsp milk
Salt to taste
"""


def read(call: Call, **body: Any) -> dict[str, Any]:
    answer = call("POST", "/v1/formulas/read", json=body)
    assert answer.status_code == 200, answer.text
    result: dict[str, Any] = answer.json()
    return result


def test_a_read_formula_goes_unchanged_to_rescale(call: Call) -> None:
    answer = read(call, text=PARKIN, language="en", measures="uk", egg_class="eu_m")
    assert answer["ready"]
    assert answer["formula"]["tin"] == "square 23 x 5 cm"
    rescaled = call("POST", "/v1/rescale", json={"formula": answer["formula"], "targets": [{"tin": "20 x 30 cm"}]})
    assert rescaled.status_code == 200, rescaled.text
    factor = rescaled.json()["targets"][0]["factor"]
    assert factor == pytest.approx(20 * 30 / 23**2)  # areas: the depth is kept


def test_the_formula_of_the_published_example_goes_to_rescale(call: Call) -> None:
    example = load_examples()["formulas-read-parkin"]
    formula = call("POST", "/v1/formulas/read", json=example["request"]).json()["formula"]
    rescaled = call("POST", "/v1/rescale", json={"formula": formula, "targets": [{"factor": 2}]}).json()
    assert rescaled["formula"] == formula
    assert rescaled["targets"][0]["grams"] == pytest.approx(2 * rescaled["written"]["grams"])


def test_every_line_of_the_text_is_answered_in_its_place(call: Call) -> None:
    answer = read(call, text=PARKIN)
    for line in answer["lines"]:
        assert PARKIN[line["start"] : line["end"]] == line["text"]
        assert sum(part in line for part in ("line", "question", "kept")) >= 1
    assert "".join("".join(line["text"].split()) for line in answer["lines"]) == "".join(PARKIN.split())


def test_each_question_is_asked_once_and_its_answers_finish_the_job(call: Call) -> None:
    text = "250 g flour\n1 tsp salt\n1 tsp honey\n3 eggs"
    first = read(call, text=text)
    assert not first["ready"]
    codes = {question["code"]: question for question in first["questions"]}
    assert set(codes) == {"ambiguous_ingredient", "measures_needed", "egg_class_needed"}
    assert codes["measures_needed"]["lines"] == [2, 3]
    assert codes["measures_needed"]["field"] == "measures"
    flour = codes["ambiguous_ingredient"]["choices"][0]["text"]
    second = read(call, text=text, measures="uk", egg_class="eu_m", answers=[{"line": 1, "text": flour}])
    assert second["ready"]
    assert second["questions"] == []
    assert second["formula"]["components"][0]["lines"][0] == {"ingredient": "plain flour", "quantity": "250 g"}


def test_lines_and_text_are_read_alike(call: Call) -> None:
    by_text = read(call, text=PARKIN, measures="uk")
    by_lines = read(call, lines=PARKIN.split("\n"), measures="uk")
    assert by_text == by_lines


@pytest.mark.parametrize(
    "body",
    [
        {},
        {"text": "1 g salt", "lines": ["1 g salt"]},
        {"text": "x\n" * 600},
        {"text": "1 g salt", "egg_class": "large"},
    ],
)
def test_invalid_requests_are_refused(call: Call, body: dict[str, Any]) -> None:
    assert call("POST", "/v1/formulas/read", json=body).status_code == 422


def test_an_error_in_an_option_points_to_the_option(call: Call) -> None:
    answer = call("POST", "/v1/formulas/read", json={"text": "2 eggs", "egg_class": "dinosaur"}).json()
    assert [error["pointer"] for error in answer["errors"]] == ["/egg_class"]


@pytest.mark.parametrize(
    ("query", "cell"),
    [
        ("text=225 g (8 oz) butter", "225E0"),
        ("text=1 lb 4 oz plain flour", "56699046E-5"),  # 20 ounces of 28.349523125 g (NIST HB 44)
        ("text=1.500 g Weizenmehl&language=de", "1500E0"),
    ],
)
def test_a_line_in_a_cell_is_grams(call: Call, query: str, cell: str) -> None:
    answer = call("GET", f"/v1/formulas/read-line?format=cell&field=line.grams&{query}")
    assert answer.text.startswith(cell[:8]) or answer.text == cell
    assert call("GET", f"/v1/formulas/read-line?format=cell&{query}").text == answer.text


@pytest.mark.parametrize(
    ("query", "reason"),
    [
        ("text=250 g flour", "# text: The word stands for several ingredients"),
        ("text=46024 tbsp honey&measures=us", "# text: 46024 tbsp is not what a recipe holds"),
        ("text=1 tsp salt", "# measures: "),
        ("text=3 eggs", "# egg_class: "),
        ("text=For the filling:", "# text: "),
    ],
)
def test_a_cell_says_why_there_are_no_grams(call: Call, query: str, reason: str) -> None:
    assert call("GET", f"/v1/formulas/read-line?format=cell&{query}").text.startswith(reason)
    assert call("GET", f"/v1/formulas/read-line?{query}").status_code == 422


def test_tins_and_ovens_in_words_are_taken_elsewhere_too(call: Call) -> None:
    factor = call("GET", "/v1/tins/factor?have=20 x 30 cm&want=23 cm springform")
    assert factor.status_code == 200, factor.text
    oven = call("GET", "/v1/oven?setting=180C fan")
    assert oven.json()["fan_celsius"] == 180


def test_a_date_in_a_cell_is_no_amount(call: Call) -> None:
    # 1/2 typed in 2026 is day 46,024 of a spreadsheet's calendar.
    address = "/v1/convert?format=cell&measures=us&unit=cup&ingredient=rolled oats&amount="
    assert call("GET", address + "46024").text.startswith("# 46,024 us_cup is more than a kitchen uses at once")
    assert not call("GET", address + "2000").text.startswith("#")
