"""The larder over HTTP: sizes of pieces, and ingredients for which a figure is not known."""

from typing import Any

import pytest

from domain.shop.reference_compositions import UNKNOWN
from domain.things.ingredients import INGREDIENTS, NO_DENSITY
from tests.api.conftest import Call


def converted(call: Call, ingredient: str, unit: str = "each") -> Any:
    params = {"amount": "2", "unit": unit, "to": "g", "ingredient": ingredient}
    return call("GET", "/v1/convert", params=params)


def test_a_size_before_the_name_is_weighed(call: Call) -> None:
    # USDA SR28, NDB 09040: 136 g large, 118 g medium; NDB 11529: 17 g a cherry tomato
    assert converted(call, "large bananas").json()["amount"] == 272
    assert converted(call, "bananas").json()["amount"] == 236
    assert converted(call, "cherry tomatoes").json()["amount"] == 34


def test_a_size_is_read_in_a_formula(call: Call) -> None:
    lines = [{"ingredient": name, "quantity": "3 each"} for name in ("small apples", "large apples")]
    formula = {"name": "Crumble", "tin": "square 20 cm", "components": [{"name": "fruit", "lines": lines}]}
    body = {"formula": formula, "targets": [{"tin": "square 20 cm"}]}
    answer = call("POST", "/v1/rescale", json=body)
    assert answer.status_code == 200, answer.text
    component = answer.json()["targets"][0]["components"][0]
    assert [line["grams"] for line in component["lines"]] == [3 * 149, 3 * 223]  # USDA SR28, NDB 09003


def test_the_grade_of_a_leaf_of_gelatine_is_asked_for(call: Call) -> None:
    answer = converted(call, "leaf gelatine")
    assert answer.status_code == 422
    (error,) = answer.json()["errors"]
    assert (error["code"], error["parameter"]) == ("piece_size_needed", "ingredient")
    assert set(error["candidates"]) == {"bronze", "silver", "gold", "platinum"}


def test_an_egg_with_a_size_needs_the_country_of_its_class(call: Call) -> None:
    (error,) = converted(call, "large eggs").json()["errors"]
    assert error["code"] == "egg_class_needed"
    assert {"eu_l", "us_large", "jp_l"} <= set(error["candidates"])


@pytest.mark.parametrize(("name", "egg_class"), [("large eggs", "us_large"), ("medium egg yolks", "eu_m")])
def test_an_egg_with_a_size_and_its_class_weighs_as_one_of_the_class(call: Call, name: str, egg_class: str) -> None:
    params = {"amount": "2", "unit": "each", "to": "g", "egg_class": egg_class}
    sized, plain = (
        call("GET", "/v1/convert", params=params | {"ingredient": ingredient}).json()
        for ingredient in (name, name.split(maxsplit=1)[1])
    )
    assert sized["amount"] == plain["amount"]


def test_an_egg_with_another_size_than_its_class_is_refused(call: Call) -> None:
    params = {"amount": "2", "unit": "each", "to": "g", "egg_class": "eu_m", "ingredient": "large eggs"}
    answer = call("GET", "/v1/convert", params=params)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["code"] == "egg_size_mismatch"


def test_an_ingredient_lists_its_pieces_by_size(call: Call) -> None:
    pieces = call("GET", "/v1/ingredients/banana").json()["pieces"]
    assert "size" not in pieces[0]
    assert {piece["size"]: piece["grams"] for piece in pieces[1:]} == {  # USDA SR28, NDB 09040
        "extra small": 81,
        "small": 101,
        "medium": 118,
        "large": 136,
        "extra large": 152,
    }


@pytest.mark.parametrize("ingredient", NO_DENSITY)
def test_a_cup_of_an_ingredient_without_a_density_is_a_clear_problem(call: Call, ingredient: str) -> None:
    answer = converted(call, ingredient, "us_cup")
    assert answer.status_code == 422
    (error,) = answer.json()["errors"]
    assert error["code"] == "no_density"
    assert NO_DENSITY[ingredient] in error["message"]
    assert call("GET", f"/v1/ingredients/{ingredient}").status_code == 200


BLANKS = sorted(INGREDIENTS.keys() & (NO_DENSITY.keys() | UNKNOWN.keys()))


@pytest.mark.parametrize("ingredient", BLANKS)
def test_a_label_with_an_ingredient_of_which_a_figure_is_unknown_is_answered(call: Call, ingredient: str) -> None:
    lines = [{"ingredient": "plain flour", "quantity": "200 g"}, {"ingredient": ingredient, "quantity": "50 g"}]
    formula = {"name": "Loaf", "tin": "square 20 cm", "components": [{"name": "dough", "lines": lines}]}
    body = {"formula": formula, "shop": {"market": "uk", "bake_loss_percent": 5}}
    answer = call("POST", "/v1/label", json=body)
    assert answer.status_code == 200, answer.text
    figures = answer.json()["targets"][0]["label_figures"]["nutrition"]
    assert figures
    if ingredient in UNKNOWN:
        assert all(figure["complete"] is False and "printed_per_100g" not in figure for figure in figures)


def test_a_formula_names_every_line_without_a_density(call: Call) -> None:
    blanks = ["sugarpaste", "erythritol", "vanilla pod"]
    lines = [{"ingredient": name, "quantity": "1 us_cup"} for name in ("plain flour", *blanks)]
    formula = {"name": "Cake", "tin": "square 20 cm", "components": [{"name": "mix", "lines": lines}]}
    answer = call("POST", "/v1/rescale", json={"formula": formula, "targets": [{"tin": "square 25 cm"}]})
    assert answer.status_code == 422
    assert [error["code"] for error in answer.json()["errors"]] == ["no_density"] * len(blanks)
