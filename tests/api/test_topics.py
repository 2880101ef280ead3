"""The smaller topics over HTTP: convert, eggs, tins, reference."""

from typing import Any

import pytest

from tests.api.conftest import Call

CLOSED_LIST = {
    *("mg", "g", "kg", "oz", "lb"),
    *("ml", "cl", "dl", "l", "us_tsp", "us_tbsp", "us_fl_oz", "us_cup", "us_gill", "us_pint", "us_quart"),
    *("us_gallon", "us_dry_pint", "us_dry_quart"),
    *("imperial_fl_oz", "imperial_gill", "imperial_pint", "imperial_quart", "imperial_gallon"),
    *("metric_tsp", "metric_dessertspoon", "metric_tbsp", "metric_cup", "au_tbsp", "jp_cup"),
    *("mm", "cm", "in", "celsius", "fahrenheit", "gas_mark", "each"),
}


def get(call: Call, path: str, **params: Any) -> Any:
    """The answer to one GET."""
    answer = call("GET", path, params=params)
    assert answer.status_code == 200, answer.text
    return answer.json()


def problem(call: Call, path: str, **params: Any) -> Any:
    """The problem of one GET."""
    answer = call("GET", path, params=params)
    assert answer.status_code == 422
    return answer.json()


def test_convert_answers_with_range_and_sources(call: Call) -> None:
    answer = get(
        call, "/v1/convert", amount="1 1/2", unit="us_cup", to="g", ingredient="plain flour", packing="spooned"
    )
    assert answer["amount"] == 187.5  # USDA-SR28, NDB 20081: 125 g in a cup
    assert answer["amount_low"] < 187.5 < answer["amount_high"]
    assert answer["cited"][0]["record"] == "NDB 20081 WEIGHT seq 1"


@pytest.mark.parametrize("amount", ["1½", "1 1/2", "1.5", "3/2"])
def test_amounts_may_be_written_as_people_do(call: Call, amount: str) -> None:
    assert get(call, "/v1/convert", amount=amount, unit="imperial_pint", to="ml")["amount"] == 852.391875


def test_kitchen_words_need_measures(call: Call) -> None:
    refused = problem(call, "/v1/convert", amount="1", unit="cup", to="ml")
    (error,) = refused["errors"]
    assert (error["parameter"], error["code"]) == ("unit", "ambiguous_unit")
    assert error["candidates"] == ["us_cup", "metric_cup", "jp_cup"]
    assert get(call, "/v1/convert", amount="1", unit="cup", to="ml", measures="jp")["amount"] == 200
    assert problem(call, "/v1/convert", amount="1", unit="cup", to="ml", measures="uk")["errors"][0]["candidates"]


def test_a_thousand_items_and_a_bad_one_in_its_place(call: Call) -> None:
    items: list[dict[str, Any]] = [{"quantity": f"{i} g", "to": "kg"} for i in range(1, 1001)]
    items[500] = {"quantity": "1 us_cup", "to": "g", "ingredient": "moon dust"}
    answer = call("POST", "/v1/convert", json={"items": items})
    assert answer.status_code == 200
    items = answer.json()["items"]
    assert [item.get("answer", {}).get("amount") for item in items] == [
        None if i == 501 else i / 1000 for i in range(1, 1001)
    ]
    assert answer.json()["problem_count"] == 1
    assert items[500]["problem"]["errors"][0]["pointer"] == "/items/500/ingredient"
    assert call("POST", "/v1/convert", json={"items": items * 2}).status_code == 422


def test_eggs_of_one_class_as_another(call: Call) -> None:
    answer = get(call, "/v1/eggs", whole="4", egg_class="us_large", available_egg_classes=["eu_m", "eu_l"])
    (whole,) = answer["parts"]
    assert whole["grams"] == 200  # USDA-SR28, NDB 01123: 50 g without shell, four times
    assert [each["egg_class"] for each in whole["counts"]] == ["eu_m", "eu_l"]
    assert whole["dried"]["grams"] + whole["dried"]["water_grams"] == pytest.approx(200)


def test_an_open_class_says_what_it_assumes(call: Call) -> None:
    answer = get(call, "/v1/eggs", yolks="2", egg_class="eu_xl")
    (warning,) = answer["warnings"]
    assert warning["code"] == "assumed_class_weight"
    assert "73 to 83 g" in warning["message"]


def test_a_bare_egg_size_is_refused_with_the_candidates(call: Call) -> None:
    refused = problem(call, "/v1/eggs", whole="4", egg_class="large")
    assert {"us_large", "ca_large", "au_large", "nz_large"} <= set(refused["errors"][0]["candidates"])


def test_a_tin_is_measured(call: Call) -> None:
    answer = get(call, "/v1/tins/measure", tin="square 8 in", filled_depth="1 in")
    assert answer["area_cm2"] == pytest.approx(64 * 6.4516)  # 8 × 8 in²; an inch is 2.54 cm by definition
    assert answer["filled_ml"] == pytest.approx(64 * 16.387064)  # NIST: a cubic inch is 16.387064 ml
    assert "volume_ml" not in answer


def test_water_that_was_weighed_measures_a_tin(call: Call) -> None:
    tin = {"shape": "measured", "volume": "998 g", "base_area": "200 cm2"}
    answer = call("POST", "/v1/tins/measure", json={"tin_shape": tin}).json()
    assert answer["volume_ml"] == pytest.approx(1000)  # FAO: 0.998 g/ml at 20 °C
    assert answer["depth_mm"] == pytest.approx(50)
    assert answer["tin_shape"] == tin


@pytest.mark.parametrize("both", [{}, {"tin": "square 20 cm", "tin_shape": {"shape": "square", "side": "20 cm"}}])
def test_a_tin_has_one_of_its_two_forms(call: Call, both: dict[str, Any]) -> None:
    (error,) = call("POST", "/v1/tins/measure", json=both).json()["errors"]
    assert (error["pointer"], error["code"], error["candidates"]) == ("/tin", "one_of_needed", ["tin", "tin_shape"])


def test_a_tin_as_data_is_the_same_tin(call: Call) -> None:
    shape = {"shape": "round", "diameter": "23 cm", "depth": "7 cm"}
    forms: list[dict[str, Any]] = [{"tin": "round 23 x 7 cm"}, {"tin_shape": shape}]
    text, data = (call("POST", "/v1/tins/measure", json=form).json() for form in forms)
    assert {name: value for name, value in text.items() if name != "tin"} == {
        name: value for name, value in data.items() if name != "tin_shape"
    }
    forms = [{"have": "round 23 x 7 cm"}, {"have_shape": shape}]
    text, data = (call("POST", "/v1/tins/factor", json=form | {"want": "square 20 cm"}).json() for form in forms)
    assert text["factor"] == data["factor"]
    assert data["have_shape"] == shape


def test_a_source_is_found_by_its_id(call: Call) -> None:
    every = get(call, "/v1/sources")
    for each in every["sources"]:
        assert get(call, f"/v1/sources/{each['id']}") == each | {"figures": every["figures"]}
    missing = call("GET", "/v1/sources/usda-sr62")
    assert (missing.status_code, missing.json()["type"]) == (404, "/problems/unknown_source")
    (error,) = missing.json()["errors"]
    assert (error["parameter"], error["candidates"][0]) == ("source_id", "usda-sr28")


def test_the_factor_of_two_tins(call: Call) -> None:
    answer = get(call, "/v1/tins/factor", have="square 20 cm", want="rectangle 20 x 30 cm")
    assert (answer["factor"], answer["kept"]) == (1.5, "depth")
    assert (answer["have"], answer["want"]) == ("square 20 cm", "rectangle 20 x 30 cm")
    assert get(call, "/v1/tins/factor", have="square 20 cm", want="square 20 cm", want_tins="3")["factor"] == 3


def test_ingredients_are_found_by_any_of_their_names(call: Call) -> None:
    for name in ("caster-sugar", "superfine sugar", "Caster Sugar"):
        assert call("GET", f"/v1/ingredients/{name}").json()["id"] == "caster-sugar"
    ids = [ingredient["id"] for ingredient in get(call, "/v1/ingredients", name="almond")["ingredients"]]
    assert {"almonds", "ground-almonds", "flaked-almonds"} <= set(ids)


def test_the_tables_are_as_large_as_promised(call: Call) -> None:
    assert len(get(call, "/v1/ingredients")["ingredients"]) >= 150
    units = {unit["id"] for unit in get(call, "/v1/units")["units"]}
    assert units >= CLOSED_LIST
    regions = {entry["region"] for entry in get(call, "/v1/eggs/classes")["egg_classes"]}
    assert regions == {"EU and UK", "USA", "Canada", "Australia", "New Zealand", "Japan"}
    assert {tin["name"] for tin in get(call, "/v1/tins")["nominal"]} >= {"full-sheet", "half-sheet", "gn-1-1"}
