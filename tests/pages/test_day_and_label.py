"""The cards of the day and of the label show the figures of the API, and no label while figures are missing."""

import re
from collections.abc import Mapping
from html import unescape
from typing import Any

import pytest

from api.contract.examples import FOLDER
from api.pages.cards.fields import query_string
from api.pages.cards.start import examples
from api.settings import Settings
from tests.api.conftest import Call
from tests.pages.bench import text_of
from tests.pages.conftest import caller
from tests.pages.test_cut_card import faults_of

NBSP = "\u00a0"
PARKIN = examples()["Ginger parkin slab"]
TIN = "rectangle 20 x 30 x 5 cm"
DAY = {
    **PARKIN,
    "portions": "24",
    "bake_loss_percent": "11 %",
    "order": ["20 x 30: 3 tins", "36 pieces"],
    "bowl": "4 kg",
    "shelves": "4",
    "per_shelf": "2",
}
LABEL = {**PARKIN, "portions": "24", "bake_loss_percent": "11 %", "market": "uk", "may_contain": "almond, sesame"}


def page_of(call: Call, card: str, fields: Mapping[str, Any], status: int = 200) -> str:
    page = call("GET", f"/cards/{card}?{query_string(fields)}")
    assert page.status_code == status, faults_of(page.text)
    return page.text


@pytest.fixture(scope="module")
def formula(call: Call) -> dict[str, Any]:
    text = {"text": PARKIN["recipe"], "measures": "uk", "egg_class": "eu_m"}
    read: dict[str, Any] = call("POST", "/v1/formulas/read", json=text).json()["formula"] | {"filled_depth": "26 mm"}
    nuggets = next(part for part in read["components"] if part["name"] == "Nuggets")
    nuggets["pieces"] = {"count": 16}
    return read


def cells_of(page: str, caption: str) -> list[list[str]]:
    """The rows of the table with this caption."""
    table = page.split(f'id="{caption}"', maxsplit=1)[1].split("</table>", maxsplit=1)[0]
    return [
        [
            unescape(re.sub(r"<[^>]*>", "", cell)).strip()
            for cell in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.DOTALL)
        ]
        for row in re.findall(r"<tr>.*?</tr>", table, re.DOTALL)
    ]


def test_the_day_is_that_of_the_batches(call: Call, formula: dict[str, Any]) -> None:
    cuts = {"portions": 24, "bake_loss_percent": 11}
    target = {"label": TIN, "tin": TIN, "cuts": cuts, "tins_per_shelf": 2}
    body = {
        "products": [{"name": formula["name"], "formula": formula, "targets": [target]}],
        "orders": [
            {"product": formula["name"], "label": TIN, "tins": 3},
            {"product": formula["name"], "label": TIN, "portions": 36},
        ],
        "available_egg_classes": ["eu_l"],
        "mixing_bowl_grams": 4000,
        "measures": "uk",
    }
    answer = call("POST", "/v1/batches", json=body).json()
    page = page_of(call, "day", DAY)
    figures = re.findall(r"<dt>([^<]+)</dt><dd>([^<]+?)\s*<", page)
    product, eggs = answer["products"][0], answer["eggs"][0]
    assert [value for _, value in figures] == [
        str(product["portions_ordered"]),
        str(product["portions_made"]),
        str(eggs["crack"]),
    ]
    assert cells_of(page, "tins")[1][1:] == [str(product["tins"][0]["tins"]), str(product["portions_made"])]
    for number, mix in enumerate(answer["mixes"], start=1):
        rows = cells_of(page, f"bowl-{number}")[1:]
        assert [row[0] for row in rows] == [line["ingredient"] for line in mix["lines"]]
        for row, line in zip(rows, mix["lines"], strict=True):
            shown = float(row[1].removesuffix(f"{NBSP}g"))
            assert shown == pytest.approx(line["grams_per_bowl"], abs=0.5)
            assert shown == pytest.approx(line["grams_per_bowl"], rel=0.01) or shown < 10
        assert f"{mix['bowls']} bowl" in page
    assert len(answer["mixes"]) == 2


def test_the_oven_loads_take_the_minutes_of_the_bake(call: Call) -> None:
    oven = {"oven": "150 °C fan", "minutes": "48"}
    fields = {name: value for name, value in DAY.items() if name != "order"} | oven
    bake = page_of(call, "bake", fields)
    loads = cells_of(page_of(call, "day", DAY | oven), "loads")[1]
    assert loads[2:4] == ["5", "1"]  # 5 tins, 2 on each of 4 shelves
    assert loads[0].endswith("gas mark 3½")  # between marks 3 (325 °F) and 4 (350 °F), as on a dial
    assert f"{loads[1]}" in re.sub(r"<[^>]*>", " ", bake)


def test_without_orders_the_card_asks_for_them_and_keeps_the_recipe(call: Call) -> None:
    page = page_of(call, "day", PARKIN)
    assert '<textarea id="order"' in page
    assert '<input type="hidden" name="recipe"' in page


def test_orders_in_one_field_are_a_line_each(call: Call) -> None:
    page = page_of(call, "day", {**DAY, "order": "20 x 30: 3 tins\r\n\r\n36 Stück\r\n"})
    assert "<span>36 Stück</span>" in page
    assert "<dd>108 " in page or "<dd>108<" in page  # 3 tins of 24, and 36


WRONG: list[tuple[dict[str, Any], set[str]]] = [
    ({"order": ["x"]}, {"Orders of the day"}),
    ({"want": [TIN, "round 20 x 5 cm"], "order": ["moon: 3 tins"]}, {"Orders of the day"}),
    ({"want": [TIN], "order": ["20 x 30: 3 tins", "round 20 x 7 cm: 2 tins"]}, {"Orders of the day"}),
    (
        {"order": ["x"], "bowl": "5 cm", "shelves": "none"},
        {"Orders of the day", "The mixing bowl holds", "Shelves in the oven"},
    ),
    ({"per_shelf": "", "oven": "150 °C fan", "minutes": "48"}, {"Tins on one shelf"}),
    ({"want": ["square 20 x 5 cm", "round 20 x 5 cm"], "order": ["3 tins"]}, {"Orders of the day"}),
]


@pytest.mark.parametrize(("changes", "labels"), WRONG, ids=[str(row[0]) for row in WRONG])
def test_what_is_wrong_with_a_day_is_said_by_its_field(call: Call, changes: dict[str, Any], labels: set[str]) -> None:
    page = page_of(call, "day", {name: value for name, value in (DAY | changes).items() if value}, 422)
    assert set(faults_of(page)) == labels
    assert '<textarea id="order"' in page


@pytest.mark.parametrize(
    ("order", "status"), [("23 x 23: 2 tins", 200), ("Café: 2 tins", 200), ("round 20 cm: 2 tins", 422)]
)
def test_without_a_tin_wanted_the_recipes_own_is_baked(call: Call, order: str, status: int) -> None:
    fields = {name: value for name, value in DAY.items() if name not in {"want", "order"}}
    page_of(call, "day", {**fields, "order": [order]}, status)


def test_tins_that_are_not_cut_are_counted_as_tins(call: Call) -> None:
    fields = {name: value for name, value in DAY.items() if name not in {"portions", "bake_loss_percent", "order"}}
    page = page_of(call, "day", {**fields, "order": ["Café: 2 tins", "3 tins"]})
    figures = dict(re.findall(r"<dt>([^<]+)</dt><dd>([^<]+?)\s*<", page))
    assert (figures["Tins ordered"], figures["Tins made"]) == ("5", "5")
    assert "Pieces ordered" not in page
    assert "bake_loss_percent" not in re.sub(r"<form.*?</form>|<a [^>]*>", "", page, flags=re.DOTALL)


def test_a_day_is_of_tins(call: Call) -> None:
    assert set(faults_of(page_of(call, "day", {**DAY, "want": ["x 2.5"]}, 422))) >= {"Tin wanted"}
    pieces = page_of(call, "day", {**DAY, "pieces_per_tin": "12"}, 422)
    assert set(faults_of(pieces)) == {"Dough pieces in each tin"}


def test_the_label_is_that_of_the_api_and_a_proof(call: Call, formula: dict[str, Any]) -> None:
    target = {"label": TIN, "tin": TIN, "cuts": {"portions": 24, "bake_loss_percent": 11}}
    shop = {"market": "uk", "may_contain": ["almond", "sesame"]}
    body = {"formula": formula, "targets": [target], "shop": shop, "measures": "uk"}
    figures = call("POST", "/v1/label", json=body).json()["targets"][0]["label_figures"]
    assert all(line["complete"] for line in figures["nutrition"])
    page = page_of(call, "label", LABEL)
    proof = page.split('<div class="proof"', maxsplit=1)[1].split("</table>", maxsplit=1)[0]
    text = unescape(re.sub(r"<[^>]*>", "", proof))
    assert figures["ingredients_text"] in text
    assert figures["contains_text"] in text
    assert "May contain almond, sesame." in text
    for line in figures["nutrition"]:
        printed = [line["printed_per_100g"]["text"], line["printed_per_portion"]["text"]]
        assert f"{line['name']}</th><td>{'</td><td>'.join(printed)}</td>" in proof
    assert text.count("PROOF") >= 6
    assert "Not checked, and not for sale" in page
    for word in ("competent person", "local law", "packet"):
        assert word in page


def test_allergens_are_emphasised(call: Call) -> None:
    proof = page_of(call, "label", LABEL).split('<div class="proof"', maxsplit=1)[1]
    assert "<b>WHEAT</b>" in proof
    assert "<b>EGG</b>" in proof


GAPS = [
    {**examples()["Rye and plum slab"], "portions": "24", "bake_loss_percent": "11", "market": "eu"},
    {
        **LABEL,
        "recipe": "Cake\nTin: square 20 x 5 cm\n\nBatter:\n200 g plain flour\n20 g coconut flour\n100 g butter",
        "pieces": "",
        "dough": "",
    },
]


@pytest.mark.parametrize("fields", GAPS, ids=["a compound ingredient without parts", "an ingredient without a figure"])
def test_there_is_no_label_while_something_is_missing(call: Call, fields: dict[str, Any]) -> None:
    page = page_of(call, "label", {name: value for name, value in fields.items() if value})
    assert "No label yet: this is missing" in page
    assert 'class="proof"' not in page
    assert "per 100 g" not in page
    missing = page.split('id="missing"', maxsplit=1)[1].split("</ul>", maxsplit=1)[0]
    assert missing.count("<li>") >= 1


@pytest.mark.parametrize(
    ("language", "lines"),
    [
        ("en", {"wheat: self-raising flour", "milk: butter", "egg: egg", "dark chocolate: some makes contain"}),
        ("de", {"wheat: backfertiges Mehl", "milk: Butter", "egg: Ei", "Zartbitterschokolade: "}),
    ],
)
def test_the_allergens_that_are_known_are_said_before_there_is_a_label(
    call: Call, language: str, lines: set[str]
) -> None:
    """Self-raising flour has its parts on the packet only; wheat, milk and egg are known without it."""
    recipe = "Tray bake\n\n225 g butter\n4 eggs\n275 g self-raising flour\n100 g dark chocolate"
    fields = {"recipe": recipe, "egg_class": "eu_m", "market": "uk", "bake_loss_percent": "8", "lang": language}
    page = page_of(call, "label", fields)
    assert 'id="missing"' in page
    allergens = text_of(page.split('id="allergens"', maxsplit=1)[1].split("</section>", maxsplit=1)[0])
    assert not {line for line in lines if line not in allergens}


@pytest.mark.parametrize("card", ["label", "cuts"])
def test_a_bake_loss_is_said_to_be_of_everything_that_was_weighed(call: Call, card: str) -> None:
    """An icing goes on after baking and loses nothing: the loss of the batter alone would make pieces too light."""
    page = text_of(page_of(call, card, {name: value for name, value in LABEL.items() if value}))
    assert "e.g. 11 % of all that was weighed, icing too" in page


def test_the_label_asks_for_the_market_and_the_bake_loss(call: Call) -> None:
    assert '<select id="market"' in page_of(call, "label", PARKIN)
    no_loss = {name: value for name, value in LABEL.items() if name != "bake_loss_percent"}
    assert set(faults_of(page_of(call, "label", no_loss, 422))) == {"Bake loss"}
    assert set(faults_of(page_of(call, "label", {**LABEL, "may_contain": "moon"}, 422))) == {"May contain traces of"}
    assert set(faults_of(page_of(call, "label", {**LABEL, "market": "moon"}, 422))) == {"Market of the label"}


@pytest.mark.parametrize(("card", "fields"), [("day", DAY), ("label", LABEL)])
def test_the_cards_speak_german(call: Call, card: str, fields: dict[str, Any]) -> None:
    page = page_of(call, card, {**fields, "lang": "de"})
    words = {"day": ["Bestellungen", "Stücke gebacken", "Je Schüssel"], "label": ["ENTWURF", "sachkundige Person"]}
    for word in words[card]:
        assert word in page
    assert "Change the card" not in page


def test_the_packs_of_the_shop_file_are_counted() -> None:
    shop = caller(Settings(shop_file=FOLDER / "shop" / "halfmoon-wharf.csv"))
    text = unescape(page_of(shop, "day", DAY))
    packs = text.split('id="packs"')[1].split("</table>")[0]
    assert re.search(r"black treacle.*?[1-9][0-9]* × 454", packs, re.DOTALL)
    assert re.search(r"egg.*?[1-9][0-9]* × (12|30)", packs, re.DOTALL)
    assert "ground ginger" not in packs  # the shop names no pack of it


def test_a_bowl_and_all_bowls_agree(call: Call) -> None:
    """What is weighed into each bowl, times the bowls, is what is fetched, within the steps of the scale."""
    page = page_of(call, "day", {**DAY, "bowl": "2 kg"})
    table = page.split('id="bowl-1"', maxsplit=1)[1]
    bowls = int(re.findall(r"([0-9]+) bowls of", table)[0])
    assert bowls > 1
    for _, each, together in cells_of(page, "bowl-1")[1:]:
        in_one, every = (float(cell.removesuffix(f"{NBSP}g")) for cell in (each, together))
        assert every == pytest.approx(in_one * bowls, rel=0.02)


def test_how_to_weigh_is_on_no_card_of_the_day_and_of_the_label(call: Call) -> None:
    small = {"want": ["square 5 x 5 cm"]}
    assert "make it up to" in call("GET", f"/cards/weigh?{query_string({**PARKIN, **small})}").text
    assert "make it up to" not in page_of(call, "day", {**DAY, **small, "portions": "4", "order": ["1 tin"]})
    assert "make it up to" not in page_of(call, "label", {**LABEL, **small, "portions": "4"})


def test_notes_of_the_day_name_ingredients_in_the_language_of_the_page(call: Call) -> None:
    page = page_of(call, "day", {**DAY, "lang": "de"})
    assert "Salz: " in page
    assert "salt: " not in page
