"""`/v1/label`: own compositions, what is not printed and why, estimates, sources, what else a label needs."""

from typing import Any

from tests.api.conftest import Call
from tests.api.test_shop_endpoints import example_request, the_part


def test_the_shops_nutrition_replaces_the_reference_and_its_allergens_are_added(call: Call) -> None:
    body = example_request("label-parkin-uk")
    without_rows = example_request("label-parkin-uk", {"own_ingredients": []})
    plain = the_part(call("POST", "/v1/label", json=without_rows), "label_figures")
    response = call("POST", "/v1/label", json=body)
    own, cautions = the_part(response, "label_figures"), response.json()["written"]["cautions"]
    assert plain["ingredients"][0]["nutrition"] == "reference"
    assert own["ingredients"][0]["nutrition"] == "own"
    assert "soybeans" in own["may_contain"]
    assert "soybeans" not in plain["may_contain"]
    assert {caution["id"] for caution in cautions} >= {"not_legal_advice", "cross_contact"}


def test_rules_from_memory_are_marked(call: Call) -> None:
    response = call("POST", "/v1/label", json=example_request("label-parkin-uk"))
    rounding = the_part(response, "label_figures")["nutrition"][0]["printed_per_100g"]["cited"][0]
    assert (rounding["source"], rounding["confidence"]) == ("eu-rounding-2nd", "quoted")
    by_id = {rule["id"]: rule["cited"][0]["confidence"] for rule in response.json()["label_rules"]["rules"]}
    assert (by_id["additives"], by_id["flour_additions"], by_id["compound"]) == ("recalled", "recalled", "quoted")
    sources = {source["id"]: source["confidence"] for source in call("GET", "/v1/sources").json()["sources"]}
    assert (sources["us-21cfr101-9"], sources["us-fda-flg"], sources["eu-1169-2011"]) == ("recalled", "read", "quoted")


def test_the_answer_names_what_a_label_also_needs(call: Call) -> None:
    answer = call("POST", "/v1/label", json=example_request("label-torte-us")).json()
    names = {figure["name"] for figure in answer["label_rules"]["not_computed"]}
    assert {"added sugars", "what enriched flour is enriched with in the list of ingredients"} <= names
    answer = call("POST", "/v1/label", json=example_request("label-parkin-uk")).json()
    names = {figure["name"] for figure in answer["label_rules"]["not_computed"]}
    assert {"net quantity", "the plant of each vegetable oil and fat in the list of ingredients"} <= names


def test_a_label_for_australia_is_refused_with_the_reason(call: Call) -> None:
    response = call("POST", "/v1/label", json=incomplete_label(market="au"))
    assert response.status_code == 422
    (error,) = response.json()["errors"]
    assert (error["pointer"], error["code"]) == ("/shop/market", "not_allowed")
    assert "Australia" in error["message"]
    assert error["candidates"] == ["eu", "uk", "us"]


def test_a_band_is_given_only_for_a_figure_that_is_printed(call: Call) -> None:
    answer = call("POST", "/v1/label", json=example_request("label-parkin-uk"))
    bands = {
        line["nutrient"]: line.get("front_of_pack_band") for line in the_part(answer, "label_figures")["nutrition"]
    }
    assert (bands["saturates_g"], bands["sugars_g"], bands["salt_g"], bands["protein_g"]) == (
        "high",
        "high",
        "medium",
        None,
    )
    answer = call("POST", "/v1/label", json=incomplete_label())
    assert not any("front_of_pack_band" in line for line in the_part(answer, "label_figures")["nutrition"])


def test_nothing_is_printed_as_zero_with_its_unit(call: Call) -> None:
    answer = call("POST", "/v1/label", json=example_request("label-torte-us"))
    for line in the_part(answer, "label_figures")["nutrition"]:
        printed = line.get("printed_per_100g", {}).get("text", "")
        assert not printed.startswith("0.0"), line["name"]


def incomplete_label(**shop: Any) -> dict[str, Any]:
    """A request whose third line has no composition."""
    lines = [
        {"ingredient": name, "quantity": grams}
        for name, grams in (("plain flour", "100 g"), ("butter", "50 g"), ("oat milk", "80 g"))
    ]
    formula = {"name": "Harbour scone", "components": [{"name": "dough", "lines": lines}]}
    return {"formula": formula, "shop": {"market": "uk", "bake_loss_percent": 10} | shop}


def test_a_label_prints_no_figure_that_leaves_an_ingredient_out(call: Call) -> None:
    answer = call("POST", "/v1/label", json=incomplete_label())
    for line in the_part(answer, "label_figures")["nutrition"]:
        assert not line["complete"]
        assert line["not_printed"] == "figures_missing"
        assert line["missing"] == [{"ingredient": "oat milk", "pointer": "/formula/components/0/lines/2"}]
        assert not {"per_100g", "printed_per_100g", "intake_percent_per_100g", "estimate_per_100g"} & line.keys()
    warned = {(warning["code"], *warning["pointers"]) for warning in answer.json()["written"]["warnings"]}
    assert {
        ("no_composition", "/formula/components/0/lines/2"),
        ("nutrition_incomplete", "/formula/components/0/lines/2"),
    } <= warned


def test_an_estimate_is_a_range_and_no_label_text(call: Call) -> None:
    part = the_part(call("POST", "/v1/label", json=incomplete_label(estimate=True)), "label_figures")
    assert part["language"] == "en"
    for line in part["nutrition"]:
        assert "printed_per_100g" not in line
        assert line["estimate_per_100g"]["amount_low"] < line["estimate_per_100g"]["amount_high"]


def test_the_nutrition_of_the_packet_makes_a_label_complete(call: Call) -> None:
    packet = {"fat_g": 1.5, "saturates_g": 0.2, "carbohydrate_g": 6.6, "sugars_g": 3.4, "fibre_g": 0.8}
    row = {"name": "oat milk", "nutrition": packet | {"protein_g": 1, "salt_g": 0.1, "water_g": 90}}
    part = the_part(call("POST", "/v1/label", json=incomplete_label(own_ingredients=[row])), "label_figures")
    assert all(line["complete"] and line["printed_per_100g"]["text"] for line in part["nutrition"])
    assert not any("not_printed" in line for line in part["nutrition"])
