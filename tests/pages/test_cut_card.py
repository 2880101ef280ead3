"""The cut card: its figures are those of the API, it takes what people write, and it says what is wrong."""

import math
import re
from html import unescape
from html.parser import HTMLParser
from urllib.parse import quote, urlencode

import pytest

from api.drawings.cuts import draw_cuts
from api.drawings.style import ON_CARD
from api.pages.cards.cut_form import FORM, JOB_FORM
from api.pages.cards.cuts import EXAMPLE
from api.pages.cards.fields import CardQuery, query_string
from api.pages.cards.start import examples
from api.v1.cuts.schemas import CutsQuery
from domain.cutting.cuts import cut_slab
from domain.cutting.layouts import Cutting
from domain.cutting.slabs import RectangleSlab
from domain.cutting.wishes import CountWish
from tests.api.conftest import Call

NBSP = "\u00a0"
SQUARE = {"tin": "square 23 cm", "portions": "16", "mix_grams": "1478", "bake_loss_percent": "11"}
ROUND = {"tin": "round 23 cm", "wedges": "10", "slab_grams": "900"}
TRIMMED = {**ROUND, "trim": "4 mm", "knife_width": "2 mm"}
RINGS = {"tin": "round 23 cm", "rings": "1, 6, 12", "slab_grams": "900"}
TRIANGLES = {"tin": "30 x 20 cm", "portions": "24", "portion_shape": "triangle", "slab_grams": "900", "trim": "5 mm"}
DIAMONDS = {**TRIANGLES, "portion_shape": "diamond"}
CURVED = {"tin": "hexagon 24 cm", "portion_size": "5 x 5 cm", "slab_grams": "900", "trim": "3 mm"}
OFFCUT = {"slab": "31 x 20 cm", "portion_size": "5 x 4 cm", "slab_grams": "1,2 kg", "knife_width": "1 mm"}
CARDS = {
    "square": SQUARE,
    "wedges": ROUND,
    "trimmed": TRIMMED,
    "rings": RINGS,
    "triangles": TRIANGLES,
    "diamonds": DIAMONDS,
    "curved": CURVED,
    "offcut": OFFCUT,
    "odd": {**ROUND, "wedges": "9"},
    "ring": {"tin": "ring 25 x 8 cm", "wedges": "14", "slab_grams": "900", "trim": "3 mm"},
    "many": {"tin": "round 40 cm", "wedges": "200"},
}


def path(fields: dict[str, str]) -> str:
    return f"/cards/cuts?{urlencode(fields, quote_via=quote)}"


def rows_of(page: str, table: str) -> list[list[str]]:
    """The cells of a table of a card by its class."""
    body = page.split(f'<table class="{table}">')[1].split("</table>", maxsplit=1)[0]
    return [
        [unescape(cell) for cell in re.findall(r"<t[hd][^>]*>([^<]*)</t[hd]>", row)]
        for row in re.findall(r"<tr.*?</tr>", body)
    ]


def faults_of(page: str) -> dict[str, str]:
    """What is wrong, by the labels of the fields."""
    pairs = re.findall(r"<strong>([^<]+):</strong>\s*<span[^>]*>([^<]+)</span>", page)
    return {unescape(label): unescape(text) for label, text in pairs}


def grams(text: str) -> float:
    return float(text.removesuffix(f"{NBSP}g"))


def test_a_card_shows_the_figures_of_the_answer(call: Call) -> None:
    answer = call("GET", "/v1/cuts", params=SQUARE).json()
    page = call("GET", path(SQUARE)).text
    for axis in ("length", "width"):
        for mark in answer["marks"][axis]:
            assert f"<td>{mark['nearest_mm']:g}</td>" in page
    assert f"<dd>{answer['portion']['grams']:.1f}{NBSP}g</dd>" in page
    alike, slab = rows_of(page, "slab")[1:]
    assert alike[:2] == ["All alike: 4 corner, 8 edge, 4 centre", str(answer["portions"])]
    assert grams(slab[-1]) == pytest.approx(answer["slab"]["grams"], abs=0.05)
    for word in ("Raw flour", "probe", "cook last", "competent person"):
        assert word in page


def test_the_drawing_is_that_of_the_layout_without_its_words(call: Call) -> None:
    layout = cut_slab(RectangleSlab(length_mm=230.0, width_mm=230.0), CountWish(portions=16), Cutting(slab_g=1315.42))
    assert draw_cuts(layout, style=ON_CARD) in call("GET", path(SQUARE)).text


@pytest.mark.parametrize("name", CARDS)
def test_the_column_together_adds_up_to_the_slab(call: Call, name: str) -> None:
    _, *rows, slab = rows_of(call("GET", path(CARDS[name])).text, "slab")
    unit = "%" if name == "many" else "g"
    figures = [float(row[-1].removesuffix(f"{NBSP}{unit}")) for row in rows]
    assert math.fsum(figures) == pytest.approx(float(slab[-1].removesuffix(f"{NBSP}{unit}")), abs=1e-6)


@pytest.mark.parametrize("name", CARDS)
def test_the_cuts_to_make_are_listed_and_numbered_through(call: Call, name: str) -> None:
    page = call("GET", path(CARDS[name])).text
    figures = dict(re.findall(r"<dt>([^<]+)</dt><dd>([^<]+)</dd>", page))
    listed = page.split('<div class="lists">')[1].split("</section>")[0]
    numbers = [int(number) for number in re.findall(r'<th scope="row">(\d+)</th>', listed)]
    assert numbers == list(range(1, int(figures["Cuts to make"]) + 1))
    assert int(figures["Cuts to make"]) == call("GET", "/v1/cuts", params=api_form(CARDS[name])).json()["cuts_to_make"]


def api_form(fields: dict[str, str]) -> dict[str, str | list[str]]:
    """The fields as the API takes them."""
    made: dict[str, str | list[str]] = {**fields}
    if "rings" in made:
        made["rings"] = ["1", "6", "12"]
    return {name: "1200" if value == "1,2 kg" else value for name, value in made.items()}


def test_two_opposite_marks_are_one_cut_by_angle_and_by_tape_on_the_trimmed_rim(call: Call) -> None:
    page = call("GET", path(TRIMMED)).text
    tape = math.pi * (230 - 2 * 4)  # plane geometry: the circumference of the trimmed round
    assert f"<td>36° – 216°</td><td>{round(tape / 10 * 2) / 2:g} – {round(tape / 10 * 6 * 2) / 2:g}</td>" in page
    assert "the tape lies round the trimmed rim" in page


def test_a_ruler_in_inches_is_a_choice(call: Call) -> None:
    page = call("GET", path({"tin": "9 x 13 in", "portions": "6", "ruler": "in"})).text
    assert "<td>4 1/2</td>" in page
    assert not re.search(r"\d\s?mm", re.sub(r"<desc.*?</desc>|<form.*?</form>", "", page, flags=re.DOTALL))


def test_rings_have_equal_pieces_unless_it_is_said(call: Call) -> None:
    pieces = [row[3] for row in rows_of(call("GET", path(RINGS)).text, "slab")[1:-1]]
    assert len(pieces) == 3
    assert len(set(pieces)) == 1


WRITTEN = [
    ({"slab_grams": "812,5"}, {"slab_grams": "812.5"}),
    ({"slab_grams": "812,5 g"}, {"slab_grams": "812.5"}),
    ({"slab_grams": "1 kg"}, {"slab_grams": "1000"}),
    ({"slab_grams": "1,2 kg"}, {"slab_grams": "1200"}),
    ({"tin": "27,5 x 18 cm"}, {"tin": "rectangle 27.5 x 18 cm"}),
    ({"tin": "", "slab": "27,5 x 18 cm"}, {"tin": "", "slab": "27.5 x 18 cm"}),
    (
        {"portions": "", "portion_grams": "65 g", "slab_grams": "1030"},
        {"portions": "", "portion_grams": "65", "slab_grams": "1030"},
    ),
    ({"portions": "", "portion_size": "5,5 x 4 cm"}, {"portions": "", "portion_size": "5.5 x 4 cm"}),
    (
        {"mix_grams": "1,478 kg", "bake_loss_percent": "11,5 %", "lang": "de"},
        {"mix_grams": "1478", "bake_loss_percent": "11.5"},
    ),
    ({"slab_grams": "1.500", "lang": "de"}, {"slab_grams": "1500"}),
    ({"slab_grams": "1.500 kg"}, {"slab_grams": "1500"}),
    ({"trim": "2,5 mm"}, {"trim": "2.5 mm"}),
]


@pytest.mark.parametrize(("typed", "sent"), WRITTEN, ids=[str(row[0]) for row in WRITTEN])
def test_fields_take_what_people_write(call: Call, typed: dict[str, str], sent: dict[str, str]) -> None:
    base = {"tin": "square 20 cm", "portions": "16"}
    page = call("GET", path({**base, **typed}))
    assert page.status_code == 200, faults_of(page.text)
    filled = {name: value for name, value in {**base, **sent}.items() if value}
    answer = call("GET", "/v1/cuts", params=filled).json()
    decimal = "," if typed.get("lang") == "de" else "."
    assert f"<dd>{answer['portions']}</dd>" in page.text
    if "grams" in answer["portion"]:
        shown = f"{answer['portion']['grams']:.1f}".removesuffix(".0").replace(".", decimal)
        assert f"<dd>{shown}{NBSP}g" in page.text


def test_the_forms_have_a_field_for_every_parameter() -> None:
    fields = {field.name for group in FORM for field in group.fields}
    assert fields == {*CutsQuery.model_fields, "ruler"} - {"drawing"}  # the page always draws
    job = {field.name for group in JOB_FORM for field in group.fields}
    assert job == fields - {"tin", "slab", "mix_grams", "label"}  # those are the recipe's
    assert job <= CardQuery.model_fields.keys()


def test_empty_fields_of_a_form_are_ignored(call: Call) -> None:
    empty = dict.fromkeys((field.name for group in FORM for field in group.fields), "")
    page = call("GET", path({**empty, **ROUND}))
    assert page.status_code == 200
    figures = re.findall(r"<dd>.*?</dd>", page.text)
    assert figures == re.findall(r"<dd>.*?</dd>", call("GET", path(ROUND)).text)
    assert call("GET", path(empty)).status_code == 200


WRONG = {
    "tin=moon&portions=16": {"Tin, or length x width of the slab": "square 20 cm"},
    "tin=oval+30+x+20+cm&portions=16": {"Tin, or length x width of the slab": "An oval is not"},
    "tin=Herzform&portions=16": {"Tin, or length x width of the slab": "A heart is not"},
    "portions=16": {"Tin, or length x width of the slab": "one of the two"},
    "tin=square+20+cm&portions=many": {"So many pieces": "whole number"},
    "tin=square+20+cm&portions=0": {"So many pieces": "At least 1."},
    "tin=square+20+cm&portions=9999": {"So many pieces": "At most 1000."},
    "tin=square+20+cm&portions=4&portions=5": {"So many pieces": "once only"},
    "tin=square+20+cm&wedges=8": {"Wedges of a round": "not cut like that"},
    "tin=square+23+cm&portions=16&mix_grams=1478": {"Bake loss": "weigh one slab"},
    "tin=square+20+cm&portion_grams=60": {"Weight of the cooled slab": "what the cooled slab weighs"},
    "tin=square+20+cm&portion_grams=60&slab_grams=5+cm": {"Weight of the cooled slab": "940 g"},
    "tin=square+20+cm&portions=4&trim=11+cm": {"Trim all round": "leaves something"},
    "tin=square+20+cm&portions=4&trim=5": {"Trim all round": "5 mm"},
    "tin=round+23+cm&rings=a": {"Rings of a round: pieces in each": "each ring"},
    "tin=square+20+cm&portions=5&portion_shape=triangle": {"So many pieces": "so many pieces"},
    "tin=square+20+cm&portions=4&longest_side=5+cm": {"No side longer than": "larger than that"},
    "tin=square+20+cm&portions=4&candles=3": {"candles": "no such field"},
}


@pytest.mark.parametrize("query", WRONG)
def test_an_invalid_card_is_a_page_that_says_what_to_do(call: Call, query: str) -> None:
    page = call("GET", f"/cards/cuts?{query}")
    assert (page.status_code, page.headers["content-type"]) == (422, "text/html; charset=utf-8")
    assert page.headers["cache-control"] == "no-store"
    faults = faults_of(page.text)
    assert set(faults) == set(WRONG[query])
    for label, words in WRONG[query].items():
        assert words in faults[label]
    if "tin=square" in query:
        assert 'value="square 2' in page.text, "the form loses what was typed"


def test_no_message_names_a_field_of_the_api(call: Call) -> None:
    names = [name for name in CutsQuery.model_fields if "_" in name]
    for query in WRONG:
        page = re.sub(r"<form.*?</form>", "", call("GET", f"/cards/cuts?{query}").text, flags=re.DOTALL)
        faults = page.split('<div class="faults"')[1].split("</ul>")[0]
        texts = re.sub(r"<[^>]*>", " ", faults)
        assert not [name for name in names if name in texts], query


def test_without_a_way_to_cut_the_card_says_so(call: Call) -> None:
    page = call("GET", "/cards/cuts?tin=square+20+cm")
    assert page.status_code == 422
    assert "Say how it is cut" in page.text


def test_everything_that_is_wrong_is_on_the_page_at_once(call: Call) -> None:
    fields = {
        "tin": "moon",
        "portions": "many",
        "slab_grams": "5 cm",
        "trim": "wide",
        "knife_width": "2 cups",
        "candles": "3",
    }
    page = call("GET", path(fields))
    assert page.status_code == 422
    # By the labels that the person sees; the unknown field comes last.
    assert set(faults_of(page.text)) == {
        "Tin, or length x width of the slab",
        "So many pieces",
        "Weight of the cooled slab",
        "Trim all round",
        "Lost at each cut",
        "candles",
    }
    assert list(faults_of(page.text))[-1] == "candles"


def test_a_field_that_is_read_well_is_not_at_fault_because_another_is_not(call: Call) -> None:
    for fields in ({"tin": "square 20 cm", "portions": "many"}, {**SQUARE, "mix_grams": "x"}):
        assert len(faults_of(call("GET", path(fields)).text)) == 1


def test_other_ways_are_links_that_make_what_they_promise(call: Call) -> None:
    questions: list[dict[str, str]] = [
        {"slab": "30 x 20 cm", "portions": "13"},
        {"slab": "31 x 20 cm", "portion_size": "5 x 4 cm"},
        {"tin": "round 23 cm", "portion_grams": "60", "slab_grams": "940"},
        {"tin": "round 23 cm", "wedges": "40", "slab_grams": "940"},
    ]
    followed, kinds = 0, set()
    for question in questions:
        answer, page = call("GET", "/v1/cuts", params=question).json(), call("GET", path(question)).text
        ways = re.findall(r'<div class="way">\s*<a class="button" href="(/cards/cuts\?[^"]+)">(\d+)', page)
        assert len(ways) == len(answer["alternatives"]) >= 1
        for (link, pieces), promised in zip(ways, answer["alternatives"], strict=True):
            there = call("GET", unescape(link)).text
            figures = dict(re.findall(r"<dt>([^<]+)</dt><dd>([^<]+?)\s*<", there))
            assert figures["Pieces"] == pieces == str(promised["portions"])
            assert f"{promised['length_mm']:.1f}".removesuffix(".0") in there
            kinds.add(promised["reason"])
            followed += 1
    assert followed >= 6
    assert {"rings", "round_grid"} <= kinds


class Elements(HTMLParser):
    """The tags and attributes of a page as a browser reads them."""

    def __init__(self) -> None:
        super().__init__()
        self.scripts = 0
        self.attributes: set[str] = set()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        names = {name for name, _ in attrs}
        self.scripts += tag == "script" and "src" not in names
        self.attributes |= names


@pytest.mark.parametrize("field", ["label", "name", "tin", "trim", "batch", "nothing<script>"])
def test_text_of_the_caller_is_escaped(call: Call, field: str) -> None:
    hostile = '<script>alert(1)</script>" onload="x\x00\U0001f370'
    page = call("GET", path({"slab": "30 x 20 cm", "portions": "6", field: hostile}))
    assert page.status_code in {200, 422}
    elements = Elements()
    elements.feed(page.text)
    assert elements.scripts == 0
    assert not [name for name in elements.attributes if name.startswith("on")]


def test_the_example_is_a_bake_of_the_demo_shop(call: Call) -> None:
    page = call("GET", f"/cards/cuts?{query_string(EXAMPLE)}")
    assert page.status_code == 200
    assert "<h1>Ginger parkin slab</h1>" in page.text


def test_each_ring_of_a_card_has_its_own_list(call: Call) -> None:
    captions = re.findall(r"<caption>Round ring (\d+)", call("GET", path(RINGS)).text)
    assert captions == ["2", "3"]  # the middle piece is not divided


JOB = {**examples()["Ginger parkin slab"], "portions": "24", "bake_loss_percent": "11 %"}


def test_the_card_of_a_job_has_the_figures_of_the_rescaled_formula(call: Call) -> None:
    weighed = call("GET", f"/cards/weigh?{query_string(JOB)}")
    assert weighed.status_code == 200
    page = call("GET", f"/cards/cuts?{query_string(JOB)}").text
    text = {"text": JOB["recipe"], "measures": "uk", "egg_class": "eu_m"}
    formula = call("POST", "/v1/formulas/read", json=text).json()["formula"] | {"filled_depth": "26 mm"}
    nuggets = next(part for part in formula["components"] if part["name"] == "Nuggets")
    nuggets["pieces"] = {"count": 16}
    target = {"tin": "rectangle 20 x 30 x 5 cm", "cuts": {"portions": 24, "bake_loss_percent": 11}}
    body = {"formula": formula, "targets": [target], "measures": "uk", "include": ["cuts", "pieces"]}
    answer = call("POST", "/v1/rescale", json=body).json()["targets"][0]
    cuts = answer["cuts"]
    assert f"<dd>{cuts['portion']['grams']:.1f}{NBSP}g</dd>" in page
    assert grams(rows_of(page, "slab")[-1][-1]) == pytest.approx(cuts["slab"]["grams"], abs=0.05)
    pieces = next(part["pieces"]["count"] for part in answer["components"] if "pieces" in part)
    assert f"{pieces}{NBSP}dough pieces" in page  # in the description of the drawing


def test_a_job_without_cuts_asks_how_to_cut_and_keeps_the_recipe(call: Call) -> None:
    fields = {name: value for name, value in JOB.items() if name != "portions"}
    page = call("GET", f"/cards/cuts?{query_string(fields)}")
    assert page.status_code == 200
    assert '<input id="portions"' in page.text
    assert '<input type="hidden" name="recipe"' in page.text


def test_errors_in_the_cuts_of_a_job_are_shown_in_the_form_of_the_cuts(call: Call) -> None:
    page = call("GET", f"/cards/cuts?{query_string({**JOB, 'portions': 'x', 'slab_grams': '5 cm'})}")
    assert page.status_code == 422
    assert set(faults_of(page.text)) == {"So many pieces", "Weight of the cooled slab"}
    assert '<input id="portions"' in page.text
    broken = call("GET", f"/cards/cuts?{query_string({**JOB, 'longest_side': '3 cm'})}")
    assert set(faults_of(broken.text)) == {"No side longer than"}
