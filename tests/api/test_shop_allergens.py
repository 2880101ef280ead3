"""A shop's row adds allergens to those of the reference table; only `free_from` removes one, and with a warning."""

import asyncio
from pathlib import Path
from typing import Any

import httpx
import pytest

from api.app import create_app
from api.settings import Settings
from tests.api.conftest import Call

DOUGH: list[dict[str, Any]] = [
    {"ingredient": "plain flour", "quantity": "500 g"},
    {"ingredient": "water", "quantity": "300 g"},
]


def label_request(*rows: dict[str, Any], lines: list[dict[str, Any]] = DOUGH) -> dict[str, Any]:
    formula = {"name": "dough", "components": [{"name": "mix", "lines": lines}]}
    return {"formula": formula, "shop": {"market": "eu", "bake_loss_percent": 0, "own_ingredients": list(rows)}}


def warnings(answer: dict[str, Any], code: str) -> list[str]:
    return [warning["message"] for warning in answer["warnings"] if warning["code"] == code]


def label_of(response: httpx.Response) -> dict[str, Any]:
    """The label of the only target, with the warnings about the formula."""
    assert response.status_code == 200, response.text
    answer = response.json()
    figures: dict[str, Any] = answer["targets"][0]["label_figures"]
    return figures | {"warnings": answer["written"]["warnings"]}


def with_shop_file(file: Path, body: dict[str, Any]) -> dict[str, Any]:
    app = create_app(Settings(shop_file=file))

    async def ask() -> httpx.Response:
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app=app), base_url="http://tinwright") as client:
            return await client.post("/v1/label", json=body)

    return label_of(asyncio.run(ask()))


# What the shop says of its plain flour, the statement on the label, and how many removals are reported.
STATEMENTS: list[tuple[dict[str, list[str]], str, int]] = [
    ({}, "Contains wheat.", 0),
    ({"contains": []}, "Contains wheat.", 0),
    ({"contains": ["milk"]}, "Contains wheat, milk.", 0),
    ({"contains": ["wheat", "milk"]}, "Contains wheat, milk.", 0),
    ({"free_from": ["wheat"]}, "", 1),
    ({"free_from": ["wheat"], "contains": ["milk"]}, "Contains milk.", 1),
    ({"free_from": ["milk"]}, "Contains wheat.", 0),
    ({"may_contain": ["soybeans"]}, "Contains wheat.", 0),
]


@pytest.mark.parametrize(("fields", "contains_text", "removals"), STATEMENTS)
def test_a_request_row_adds_allergens_and_removes_them_only_by_free_from(
    call: Call, fields: dict[str, list[str]], contains_text: str, removals: int
) -> None:
    answer = label_of(call("POST", "/v1/label", json=label_request({"name": "plain flour"} | fields)))
    assert answer["contains_text"] == contains_text
    assert len(warnings(answer, "contradicts_reference")) == removals


@pytest.mark.parametrize(("fields", "contains_text", "removals"), STATEMENTS)
def test_a_shop_file_adds_allergens_and_removes_them_only_by_free_from(
    tmp_path: Path, fields: dict[str, list[str]], contains_text: str, removals: int
) -> None:
    file = tmp_path / "shop.csv"
    cells = {name: "; ".join(allergens) or "none" for name, allergens in fields.items()}
    file.write_text(f"{','.join(['name', *cells])}\n{','.join(['plain flour', *cells.values()])}\n", "utf-8")
    answer = with_shop_file(file, label_request())
    assert answer["contains_text"] == contains_text
    assert len(warnings(answer, "contradicts_reference")) == removals


def test_the_warning_names_the_ingredient_the_allergen_and_both_sides(call: Call) -> None:
    answer = label_of(call("POST", "/v1/label", json=label_request({"name": "plain flour", "free_from": ["wheat"]})))
    (warning,) = [warning for warning in answer["warnings"] if warning["code"] == "contradicts_reference"]
    for part in ("plain flour", "wheat", "free_from", "our table"):
        assert part in warning["message"]
    assert warning["pointers"][0] == "/formula/components/0/lines/0"


@pytest.mark.parametrize("field", ["contains", "may_contain"])
def test_an_allergen_cannot_be_claimed_and_denied(call: Call, field: str) -> None:
    row = {"name": "plain flour", "free_from": ["egg", "milk"], field: ["milk"]}
    answer = call("POST", "/v1/label", json=label_request(row))
    assert answer.status_code == 422
    assert [(error["pointer"], error["code"]) for error in answer.json()["errors"]] == [
        ("/shop/own_ingredients/0/free_from/1", "allergen_contradiction")
    ]


def test_an_unknown_allergen_in_free_from_is_refused(call: Call) -> None:
    answer = call("POST", "/v1/label", json=label_request({"name": "plain flour", "free_from": ["dust"]}))
    assert [(error["pointer"], error["code"]) for error in answer.json()["errors"]] == [
        ("/shop/own_ingredients/0/free_from/0", "unknown_allergen")
    ]


@pytest.mark.parametrize(
    ("fields", "asked_for"),
    [
        ({}, ["milk", "soybeans"]),
        ({"contains": []}, ["milk", "soybeans"]),
        ({"contains": ["milk"]}, ["soybeans"]),
        ({"contains": ["milk"], "may_contain": ["soybeans"]}, []),
        ({"contains": ["milk"], "free_from": ["soybeans"]}, []),
        ({"free_from": ["milk", "soybeans"]}, []),
    ],
)
def test_allergens_that_differ_by_make_are_asked_for_until_the_row_names_them(
    call: Call, fields: dict[str, list[str]], asked_for: list[str]
) -> None:
    lines = [{"ingredient": "dark chocolate", "quantity": "100 g"}]
    body = label_request({"name": "dark chocolate"} | fields, lines=lines)
    answer = label_of(call("POST", "/v1/label", json=body))
    messages = " ".join(warnings(answer, "allergens_depend"))
    assert [allergen for allergen in ("milk", "soybeans") if allergen in messages] == asked_for
    assert not warnings(answer, "contradicts_reference")


def test_mixed_nuts_are_declared_until_each_nut_is_named(call: Call) -> None:
    lines = [{"ingredient": "mixed nuts", "quantity": "100 g"}]
    more = {"name": "mixed nuts", "contains": ["almond"]}
    answer = label_of(call("POST", "/v1/label", json=label_request(more, lines=lines)))
    assert answer["ingredients"][0]["allergens"] == ["mixed_nuts", "almond"]
    assert warnings(answer, "nuts_unnamed")
    named = {"name": "mixed nuts", "contains": ["almond", "hazelnut"], "free_from": ["mixed_nuts"]}
    answer = label_of(call("POST", "/v1/label", json=label_request(named, lines=lines)))
    assert answer["ingredients"][0]["allergens"] == ["almond", "hazelnut"]
    assert not warnings(answer, "nuts_unnamed")
    assert not warnings(answer, "contradicts_reference")


def test_a_good_that_is_none_of_our_ingredients_has_the_allergens_that_it_says(call: Call) -> None:
    lines = [{"ingredient": "wharf dust", "quantity": "100 g"}]
    unknown = label_of(call("POST", "/v1/label", json=label_request({"name": "wharf dust"}, lines=lines)))
    none = label_of(call("POST", "/v1/label", json=label_request({"name": "wharf dust", "contains": []}, lines=lines)))
    free = {"name": "wharf dust", "free_from": ["wheat"]}
    only_free = label_of(call("POST", "/v1/label", json=label_request(free, lines=lines)))
    assert warnings(unknown, "allergens_unknown")
    assert warnings(only_free, "allergens_unknown")
    assert not warnings(none, "allergens_unknown")


def test_a_row_that_replaces_one_of_the_shop_file_keeps_its_allergens(tmp_path: Path) -> None:
    file = tmp_path / "shop.csv"
    file.write_text("name,contains,may_contain\nplain flour,milk,sesame\n", "utf-8")
    price = {"name": "plain flour", "currency": "GBP", "packs": [{"size": "1 kg", "price": "0.90"}]}
    kept = with_shop_file(file, label_request(price))
    assert kept["contains_text"] == "Contains wheat, milk."
    assert kept["may_contain"] == ["sesame"]
    removed = with_shop_file(file, label_request(price | {"free_from": ["milk", "sesame"]}))
    assert removed["contains_text"] == "Contains wheat."
    assert removed["may_contain"] == []
    (message,) = warnings(removed, "contradicts_reference")
    assert "shop file" in message


def test_a_row_may_add_again_what_the_shop_file_says_it_is_free_from(tmp_path: Path) -> None:
    file = tmp_path / "shop.csv"
    file.write_text("name,free_from\nplain flour,wheat\n", "utf-8")
    assert with_shop_file(file, label_request({"name": "plain flour"}))["contains_text"] == ""
    again = with_shop_file(file, label_request({"name": "plain flour", "contains": ["wheat"]}))
    assert again["contains_text"] == "Contains wheat."


def test_a_row_named_like_one_ingredient_and_mapped_to_another_has_the_allergens_of_both(call: Call) -> None:
    lines = [{"ingredient": "butter", "quantity": "100 g"}]
    row: dict[str, Any] = {"name": "butter", "ingredient": "soya oil"}
    both = label_of(call("POST", "/v1/label", json=label_request(row, lines=lines)))
    assert both["contains_text"] == "Contains soya, milk."
    free = label_of(call("POST", "/v1/label", json=label_request(row | {"free_from": ["milk"]}, lines=lines)))
    assert free["contains_text"] == "Contains soya."
    (message,) = warnings(free, "contradicts_reference")
    assert "butter contains milk" in message


COMPOUND: dict[str, Any] = {"name": "quay crunch", "contains": []}
PARTS = [
    (["hazelnuts", "sugar"], "Contains hazelnuts."),
    (["semolina", "whey powder", "albumen"], "Contains wheat, milk, egg."),
    (["Weizenmehl", "Magermilchpulver", "Haselnüsse", "Zucker"], "Contains wheat, milk, hazelnuts."),
    (["beurre", "farine de blé", "sucre"], "Contains milk, wheat."),
    (["flour"], "Contains wheat."),  # whichever flour is meant
    (["coconut milk", "cocoa butter", "buckwheat flour", "sugar"], ""),
]


@pytest.mark.parametrize(("parts", "contains_text"), PARTS, ids=str)
def test_a_good_contains_what_its_parts_contain(call: Call, parts: list[str], contains_text: str) -> None:
    lines = [{"ingredient": "quay crunch", "quantity": "100 g"}]
    row = COMPOUND | {"parts": [{"name": part} for part in parts]}
    answer = label_of(call("POST", "/v1/label", json=label_request(row, lines=lines)))
    assert answer["contains_text"] == contains_text
    assert not warnings(answer, "allergens_depend")


def test_an_allergen_of_a_part_is_removed_by_free_from_only_and_with_a_warning(call: Call) -> None:
    lines = [{"ingredient": "quay crunch", "quantity": "100 g"}]
    row = COMPOUND | {"parts": [{"name": "semolina"}], "free_from": ["wheat"]}
    answer = label_of(call("POST", "/v1/label", json=label_request(row, lines=lines)))
    assert answer["contains_text"] == ""
    (message,) = warnings(answer, "contradicts_reference")
    assert "semolina contains wheat" in message


@pytest.mark.parametrize(
    ("row", "allergens"),
    [
        ({"parts": [{"name": "wheat flour"}, {"name": "milk solids"}]}, ["wheat", "milk"]),
        ({"parts": [{"name": "wheat flour"}], "contains": ["wheat"]}, []),
        ({"parts": [{"name": "wheat flour"}], "free_from": ["wheat"]}, []),
        ({"parts": [{"name": "wheat flour"}], "may_contain": ["wheat"]}, []),
        ({"label_name": "almond crunch"}, ["almond"]),
        ({"parts": [{"name": "nuts"}]}, ["mixed_nuts"]),
        ({"parts": [{"name": "nuts"}], "contains": ["walnut"]}, []),
        ({"parts": [{"name": "sugar"}, {"name": "oat milk"}]}, []),
    ],
)
def test_a_name_with_a_word_for_an_allergen_that_the_row_leaves_out_is_asked_about(
    call: Call, row: dict[str, Any], allergens: list[str]
) -> None:
    lines = [{"ingredient": "quay crunch", "quantity": "100 g"}]
    answer = label_of(call("POST", "/v1/label", json=label_request(COMPOUND | row, lines=lines)))
    messages = warnings(answer, "allergens_depend")
    assert len(messages) == len(allergens)
    assert all(f"names {allergen}." in message for allergen, message in zip(allergens, messages, strict=True))
