"""The sheet of all sizes: each column is the answer of `/v1/rescale` for its tin."""

from typing import Any

import pytest

from tests.api.conftest import Call
from tests.pages.bench import address, answer, api_formula, rows_of, text_of

TINS = ["square 20 x 5 cm", "round 23 x 7 cm", "rectangle 30 x 20 x 5 cm"]
PARTS = ["lines", "eggs", "pieces", "household", "bake"]


def shown_grams(grams: float) -> str:
    return f"{grams:.2f}".rstrip("0").rstrip(".") + " g"


@pytest.fixture(scope="module")
def targets(call: Call) -> list[dict[str, Any]]:
    """The targets of the sheet, from the API."""
    wanted = [{"tin": tin} for tin in TINS]
    rescaled = answer(call, "/v1/rescale", formula=api_formula(call), targets=wanted, measures="uk", include=PARTS)
    targets: list[dict[str, Any]] = rescaled["targets"]
    return targets


def test_every_line_of_every_column_is_that_of_the_api(call: Call, targets: list[dict[str, Any]]) -> None:
    rows = rows_of(call("GET", address("sizes", want=TINS)).text)
    assert rows[""] == [tin.replace(" x ", " × ") for tin in TINS]
    lines = targets[0]["components"][0]["lines"]
    names = ["egg" if "eggs" in line else line["ingredient"] for line in lines]  # as the weigh card has it
    for number, name in enumerate(names):
        lines = [target["components"][0]["lines"][number] for target in targets]
        assert len(rows[name]) == len(TINS)
        for cell, line in zip(rows[name], lines, strict=True):
            assert cell.startswith(shown_grams(line["weigh_grams"]))
            if "spoons" in line:
                assert cell.endswith(line["spoons"]["text"])


def test_household_measures_are_those_of_a_market_with_cups(call: Call) -> None:
    wanted = [{"tin": tin} for tin in TINS]
    rescaled = answer(call, "/v1/rescale", formula=api_formula(call), targets=wanted, measures="us", include=PARTS)
    rows = rows_of(call("GET", address("sizes", want=TINS, measures="us")).text)
    for column, target in enumerate(rescaled["targets"]):
        flour = next(line for line in target["components"][0]["lines"] if line["ingredient"] == "plain flour")
        assert "cup" in rows["plain flour"][column]
        assert rows["plain flour"][column].endswith(flour["household"]["text"])


def test_markets_without_cups_get_spoons_for_small_amounts_only(call: Call) -> None:
    rows = rows_of(call("GET", address("sizes", want=TINS)).text)
    assert rows["plain flour"] == ["151 g", "157 g", "227 g"]  # 200 g times the ratio of the areas, on a scale of 1 g
    assert rows["ground ginger"][0].endswith("tbsp")


def test_no_market_chosen_is_no_cup(call: Call) -> None:
    recipe = "Sponge\nTin: square 23 x 5 cm\n200 g plain flour\n1500 g plums\n2 medium eggs"
    fields: dict[str, str | list[str]] = {"recipe": recipe, "want": TINS, "egg_class": "eu_m"}
    html = call("GET", address("sizes", "measures", "pieces", "dough", **fields)).text
    assert rows_of(html)["plain flour"] == ["151 g", "157 g", "227 g"]
    assert "cup" not in text_of(html)


def test_eggs_have_the_name_that_they_have_on_the_weigh_card(call: Call) -> None:
    recipe = "Sponge\nTin: square 23 x 5 cm\n200 g plain flour\n4 large eggs"
    fields: dict[str, str | list[str]] = {"recipe": recipe, "want": TINS, "egg_class": "us_large", "eggs": "eu_m"}
    rows = rows_of(call("GET", address("sizes", "pieces", "dough", measures="us", **fields)).text)
    assert "M" in rows["egg"][0]
    assert "large eggs" not in rows


def test_without_a_depth_the_sheet_says_which_field_the_time_needs(call: Call) -> None:
    text = text_of(call("GET", address("sizes", "depth", want=TINS)).text)
    assert text.count("No time is known. Fill in with the recipe: Filled to.") == 1
    assert "filled_depth" not in text


def test_the_fill_of_the_recipes_own_tin_is_no_note_about_the_tins_wanted(call: Call) -> None:
    recipe = "Sponge\nTin: square 23 cm\n200 g plain flour\nBake at 150 °C fan for 40 minutes"
    more = {"market": "eu", "bake_loss_percent": "10 %", "portions": "12", "order": "3 tins"}
    for card in ("weigh", "sizes", "bake", "day", "label"):
        fields = {"recipe": recipe, **more}
        wanted = call("GET", address(card, "pieces", "dough", want=TINS[:1], **fields)).text
        assert "its fill was not checked" not in wanted, card
        without = call("GET", address(card, "pieces", "dough", want=["square 20 cm"], **fields)).text
        assert ("its fill was not checked" in without) == (card != "day"), card
    assert "its fill was not checked" in call("GET", address("weigh", "pieces", "dough", recipe=recipe)).text


def test_tin_pieces_and_bake_are_those_of_the_api(call: Call, targets: list[dict[str, Any]]) -> None:
    rows = rows_of(call("GET", address("sizes", want=TINS)).text)
    for column, target in enumerate(targets):
        pieces, bake = target["components"][1]["pieces"], target["bake"]
        assert rows["Fill to"][column] == f"26 mm {target['fill_percent']:.0f} % full"
        assert rows["Divide into"][column].startswith(f"{pieces['count']} × {pieces['grams_each']:.1f}"[:-2])
        assert rows["Check from"][column] == f"{bake['check_from_minutes']} min"
        assert rows["Likely done"][column] == f"{bake['minutes_low']} to {bake['minutes_high']} min"
        assert float(rows["Factor"][column].removeprefix("× ")) == pytest.approx(target["factor"], abs=0.0005)


def test_oven_is_said_once(call: Call) -> None:
    text = text_of(call("GET", address("sizes", want=TINS)).text)
    assert text.count("Oven: 150 °C (302 °F) with a fan, 170 °C (338 °F) without, gas mark 3½.") == 1


def test_tin_with_a_problem_says_so_in_its_column(call: Call) -> None:
    response = call("GET", address("sizes", want=["square 20 x 5 cm", "round 500 cm"]))
    rows = rows_of(response.text)
    assert response.status_code == 200
    assert rows["butter"][0].startswith("125 g")  # 165 g × (20 / 23)²
    assert rows["butter"][1] == ""
    assert "2,000 mm" in text_of(response.text)


def test_amounts_too_small_for_the_scale_are_said_once_for_all_tins(call: Call) -> None:
    small = ["square 5 x 5 cm", "square 6 x 5 cm"]
    rescaled = answer(call, "/v1/rescale", formula=api_formula(call), targets=[{"tin": tin} for tin in small])
    codes = [{warning["code"] for warning in target["warnings"]} for target in rescaled["targets"]]
    assert all("weighing_error" in each for each in codes)
    text = text_of(call("GET", address("sizes", want=small)).text)
    assert "whole eu_m eggs" not in text  # batches with whole eggs are not on the sheet
    assert text.count("The scale is too coarse for small amounts") == 1
    assert "square 5 × 5 cm, square 6 × 5 cm: The scale" in text


def test_a_sheet_without_a_good_tin_names_the_fault_by_its_label(call: Call) -> None:
    response = call("GET", address("sizes", want=["round 500 cm", "round 0 cm"]))
    assert response.status_code == 422
    assert "Tin wanted:" in text_of(response.text)


def test_factor_and_mass_are_columns_too(call: Call) -> None:
    rows = rows_of(call("GET", address("sizes", want=["x 2", "3 kg"])).text)
    assert rows["butter"][0].startswith("330 g")
    assert rows[""] == ["x 2", "3 kg"]
    assert "Likely done" not in rows  # a window needs a tin


def test_without_a_wish_the_sheet_has_the_recipe_as_written(call: Call) -> None:
    rows = rows_of(call("GET", address("sizes")).text)
    assert rows[""] == ["square 23 × 5 cm"]
    assert rows["butter"][0].startswith("165 g")


def test_recipe_without_pieces_and_bake(call: Call) -> None:
    recipe = "Parkin\nTin: square 20 x 5 cm\n200 g plain flour\n200 g butter"
    response = call("GET", address("sizes", "pieces", "dough", recipe=recipe, want=TINS))
    rows = rows_of(response.text)
    assert response.status_code == 200
    assert not rows.keys() & {"Divide into", "Check from", "Likely done"}
    assert "Oven:" not in text_of(response.text)


def test_the_sizes_card_is_shown_in_german(call: Call) -> None:
    html = call("GET", address("sizes", want=TINS, lang="de", measures="metric")).text
    rows = rows_of(html)
    assert rows["Faktor"][0] == "× 0,756"  # (20 / 23)²
    assert any(cell.endswith("TL") for cell in rows["Butter"])
