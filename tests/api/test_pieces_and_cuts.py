"""Whole pieces for each tin, cavity and portion, pieces on the cuts, weighing, measures and warnings, over HTTP."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.api.conftest import Call
from tests.api.test_rescale import codes, rescale
from tests.strategies import HEAVY_LAW

TRAY = {"tin": "rectangle 30 x 20 x 5 cm"}


def nuggets(target: dict[str, Any]) -> dict[str, Any]:
    pieces: dict[str, Any] = target["components"][1]["pieces"]
    return pieces


@pytest.mark.parametrize(
    ("target", "count", "per_tin"),
    [
        pytest.param({**TRAY, "tins": 2}, 48, 24, id="the mass is kept, and each tin gets a whole number"),
        pytest.param({**TRAY, "pieces": {"count": 30}}, 30, 30, id="a count"),
        pytest.param({**TRAY, "tins": 3, "pieces": {"per_tin": 20}}, 60, 20, id="a count for each tin"),
        pytest.param({**TRAY, "pieces": {"keep": "count"}}, 16, 16, id="the count of the formula's tin"),
        pytest.param({**TRAY, "depth": "15 mm", "pieces": {"keep": "spacing"}}, 24, 24, id="the area of each piece"),
        pytest.param({"tin": "cavities 12 x 80 ml"}, 12, 12, id="one for each muffin"),
        pytest.param({"tin": "cavities 12 x 80 ml", "pieces": {"per_cavity": 2}}, 24, 24, id="two for each muffin"),
        pytest.param({**TRAY, "cuts": {"portions": 24}, "pieces": {"per_portion": 1}}, 24, 24, id="one a portion"),
        pytest.param({**TRAY, "pieces": {"grams_each": 11.2}}, 21, 21, id="a mass: 21.4 pieces are 21"),
    ],
)
def test_a_target_says_how_its_dough_is_divided(
    call: Call, formula: dict[str, Any], target: dict[str, Any], count: int, per_tin: int
) -> None:
    (answer,) = rescale(call, formula, target)["targets"]
    pieces = nuggets(answer)
    assert (pieces["count"], pieces.get("per_tin", pieces["count"])) == (count, per_tin)
    assert pieces["count"] * pieces["grams_each"] == pytest.approx(answer["components"][1]["grams"])


@HEAVY_LAW
@given(st.integers(1, 40), st.floats(0.2, 6), st.integers(1, 4))
def test_printed_figures_sent_back_give_the_same_counts(call: Call, count: int, depth: float, tins: int) -> None:
    formula = {
        "name": "Slab",
        "tin": "square 20 x 8 cm",
        "filled_depth": "30 mm",
        "components": [
            {"name": "batter", "lines": [{"ingredient": "plain flour", "quantity": "700 g"}]},
            {
                "name": "nuggets",
                "lines": [{"ingredient": "rolled oats", "quantity": "300 g"}],
                "pieces": {"count": count},
            },
        ],
    }
    (answer,) = rescale(call, formula, {"tin": "round 23 x 8 cm", "depth": f"{depth:.2f} cm", "tins": tins})["targets"]
    pieces, grams = nuggets(answer), answer["components"][1]["grams"]
    assert pieces.get("per_tin", pieces["count"]) * tins == pieces["count"]
    query = {"grams": round(grams, 2), "grams_each": round(pieces["grams_each"], 2)}
    if query["grams_each"] < 1:
        return
    again = call("GET", "/v1/pieces", params=query).json()
    assert again["count"] == pieces["count"]


def test_pieces_by_the_portion_without_cuts_are_a_problem_of_that_target_only(
    call: Call, formula: dict[str, Any]
) -> None:
    formula["components"][1]["pieces"] = {"per_portion": 1}
    formula["cuts"] = {"portions": 16}
    whole = rescale(call, formula, TRAY, {"factor": 2}, {"tin": "square 25 x 5 cm", "cuts": {"portions": 25}})
    assert whole["written"]["components"][1]["pieces"]["count"] == 16
    tray, double, square = whole["targets"]
    assert [nuggets(each)["count"] for each in (tray, double, square)] == [16, 32, 25]
    del formula["cuts"]
    bad, good = rescale(call, formula, TRAY, {**TRAY, "cuts": {"portions": 12}})["targets"]
    assert (bad["problem"]["errors"][0]["code"], bad["problem"]["errors"][0]["pointer"]) == (
        "cut_wish_needed",
        "/targets/0/pieces/per_portion",
    )
    assert nuggets(good)["count"] == 12


def test_pieces_are_placed_on_the_cuts_and_drawn_with_them(call: Call, formula: dict[str, Any]) -> None:
    formula["components"][1]["pieces"] = {"count": 16, "diameter": "25 mm", "drawing": True}
    targets = [{**TRAY, "cuts": {"portions": 24}}, {**TRAY, "cuts": {"portions": 18}}, TRAY]
    shared, uneven, uncut = call("POST", "/v1/pieces", json={"formula": formula, "targets": targets}).json()["targets"]
    (placed,) = shared["pieces"]
    assert placed["count"] == len(placed["on_cuts"]["positions"]) == 24
    assert placed["on_cuts"]["nearest_mm"] == pytest.approx(50)  # 6 x 4 portions of 50 mm, one in the middle of each
    assert "pieces_under_knife" not in codes(shared)
    assert "24\N{NO-BREAK SPACE}dough pieces" in placed["drawing"]
    (other,) = uneven["pieces"]
    assert "on_cuts" not in other
    assert other["pieces_under_knife"] > 0
    (warning,) = [each for each in uneven["warnings"] if each["code"] == "pieces_under_knife"]
    assert warning["value"] == other["pieces_under_knife"]
    assert "pieces_uneven" in codes(uneven)
    assert "pieces_under_knife" not in uncut["pieces"][0]


def test_a_mix_is_placed_by_the_portion_too(call: Call) -> None:
    body = {"grams": 300, "count": 12, "g_per_ml": 1.2, "tin": "rectangle 20 x 15 cm", "cuts": {"portions": 6}}
    answer = call("POST", "/v1/pieces", json=body).json()
    assert len(answer["on_cuts"]["positions"]) == 12
    missing = call("POST", "/v1/pieces", json={"grams": 300, "count": 12, "cuts": {"portions": 6}}).json()
    assert missing["errors"][0]["pointer"] == "/cuts"


def test_the_batter_is_lifted_by_its_pieces(call: Call, formula: dict[str, Any]) -> None:
    formula["components"][1]["pieces"] |= {"g_per_ml": 1.0}
    (measured_with,) = rescale(call, formula, {"factor": 1}, {"tin": formula["tin"]})["targets"][1:]
    lift = measured_with["batter_lift"]
    assert lift["lift_mm"] == pytest.approx(160 / 40)  # 160 ml in 400 cm²
    assert measured_with["filled_depth_mm"] == 30
    formula |= {"filled_depth_with_pieces": False, "filled_depth": "48 mm"}
    (without,) = rescale(call, formula, {"tin": formula["tin"]})["targets"]
    assert without["batter_lift"]["with_pieces_mm"] == pytest.approx(52)
    assert "past_rim" in codes(without)


def test_lines_are_weighed_on_the_scale_that_errs_least(call: Call, formula: dict[str, Any]) -> None:
    formula["components"][0]["lines"][3] = {"ingredient": "bicarbonate of soda", "quantity": "10.5 g"}
    (fine,) = rescale(call, formula, {"factor": 1}, scale_step="5 g")["targets"]
    (coarse,) = rescale(call, formula, {"factor": 1}, scale_step="5 g", small_scale_max="8 g")["targets"]
    assert fine["components"][0]["lines"][3]["weigh_grams"] == 10.5
    assert "weighing_error" not in codes(fine)
    assert coarse["components"][0]["lines"][3]["weigh_grams"] == 10
    (warning,) = [each for each in coarse["warnings"] if each["code"] == "weighing_error"]
    assert warning["value"] == pytest.approx(-100 * 0.5 / 10.5)
    assert (warning["limit"], warning["unit"]) == (1, "percent")
    assert "bicarbonate of soda" in warning["message"]
    assert "hard_to_weigh" not in fine
    (hard,) = coarse["hard_to_weigh"]
    assert (hard["component"], hard["ingredient"]) == (formula["components"][0]["name"], "bicarbonate of soda")
    assert hard["error_percent"] == warning["value"]
    assert "dilution" not in hard  # 105 g in 1,050 g is more than a formula can spare
    assert "batch_factor" not in hard  # half of 5 g is 1 % of 250 g, which are 24 batches: nobody makes so many


def test_a_line_too_small_for_the_scales_may_be_diluted(call: Call, formula: dict[str, Any]) -> None:
    formula["components"][0]["lines"][3] = {"ingredient": "bicarbonate of soda", "quantity": "0.75 g"}
    (target,) = rescale(call, formula, {"factor": 1})["targets"]
    (hard,) = target["hard_to_weigh"]
    assert hard["dilution"] == {"weigh_grams": 7.5, "mixture_grams": 75, "parts": 10, "error_percent": 0}


def test_household_measures_of_every_line_with_a_density(call: Call, formula: dict[str, Any]) -> None:
    include = ["lines", "household"]
    (target,) = rescale(call, formula, {"factor": 2}, measures="us", include=include)["targets"]
    flour, butter, _, powder = target["components"][0]["lines"]
    assert flour["household"]["text"] == "1 qt"  # twice 2 cups
    assert powder["household"]["text"] == "1 tbsp"  # twice 1 1/2 teaspoons
    # 300 g at 227 g a cup (USDA SR26, NDB 01145) are 1.32 cups.
    assert butter["household"]["text"].startswith("1 cup + 5 tbsp")
    (plain,) = rescale(call, formula, {"factor": 2})["targets"]
    assert "household" not in plain["components"][0]["lines"][0]


def test_cautions_come_with_every_rescale(call: Call, formula: dict[str, Any]) -> None:
    cautions = rescale(call, formula, {"factor": 1})["written"]["cautions"]
    assert {caution["id"] for caution in cautions} == {"raw_flour", "raw_egg", "pieces_last"}


def test_a_warning_about_several_lines_is_said_once(call: Call, formula: dict[str, Any]) -> None:
    vague = {"ingredient": "salt", "quantity": "1 pinch"}
    formula["components"][0]["lines"] += [vague, vague]
    warnings = rescale(call, formula, {"factor": 1}, TRAY)["written"]["warnings"]
    assert len({(warning["code"], warning["message"]) for warning in warnings}) == len(warnings)
    (pinch,) = [warning for warning in warnings if warning["code"] == "vague_measure"]
    assert pinch["pointers"] == ["/formula/components/0/lines/4", "/formula/components/0/lines/5"]
    (short,) = call("GET", "/v1/pieces", params={"grams": 25, "grams_each": 10}).json()["warnings"]
    assert (short["code"], short["parameters"]) == ("piece_mass_off", ["grams_each"])


def test_portions_sold_by_weight_are_not_short(call: Call) -> None:
    query = {"tin": "rectangle 30 x 20 cm", "slab_grams": 1200, "portion_grams": 65, "trim": "5 mm"}
    nearest = call("GET", "/v1/cuts", params=query).json()
    at_least = call("GET", "/v1/cuts", params={**query, "portion_rule": "at_least"}).json()
    assert (nearest["portion_rule"], at_least["portion_rule"]) == ("nearest", "at_least")
    assert nearest["portion"]["grams"] < 65 <= at_least["portion"]["grams"]
    (short,) = [warning for warning in nearest["warnings"] if warning["code"] == "portions_short"]
    assert (short["limit"], short["unit"], short["parameters"]) == (65, "g", ["portion_grams"])
    assert "portions_short" not in codes(at_least)
    for answer in (nearest, at_least):
        lost = sum(answer[part]["grams"] for part in ("knife", "trim", "offcut"))
        assert answer["portions"] * answer["portion"]["grams"] + lost == pytest.approx(1200)


def test_an_australian_part_cup_is_said_to_differ(call: Call) -> None:
    query = {"amount": "1/3", "unit": "cup", "to": "ml", "measures": "au", "ingredient": "milk"}
    third = call("GET", "/v1/convert", params=query).json()
    (warning,) = [each for each in third["warnings"] if each["code"] == "marked_cup_differs"]
    assert (warning["value"], warning["unit"]) == (80, "ml")
    assert third["amount"] == pytest.approx(250 / 3)


def test_the_drawing_of_a_targets_cuts_shows_its_pieces(call: Call, formula: dict[str, Any]) -> None:
    cuts = {"portions": 24, "drawing": True}
    with_pieces, other = rescale(call, formula, {**TRAY, "cuts": cuts}, {**TRAY, "cuts": {"portions": 24}})["targets"]
    assert with_pieces["cuts"]["drawing"].count("<circle") == 2 * 24
    assert "drawing" not in other["cuts"]


def test_batches_count_whole_pieces_for_each_tin(call: Call, formula: dict[str, Any]) -> None:
    cut = {"label": "tray", **TRAY, "cuts": {"portions": 24}}
    product = {"name": "Parkin", "formula": formula, "bake_loss_percent": 10, "targets": [cut]}
    body = {"products": [product], "orders": [{"product": "Parkin", "portions": 60}]}
    (tins,) = call("POST", "/v1/batches", json=body).json()["products"][0]["tins"]
    (dough,) = tins["dough_pieces"]
    assert (tins["tins"], dough["per_tin"], dough["count"]) == (3, 24, 72)
    assert dough["leftover_grams"] == pytest.approx(0, abs=1e-6)
    formula["components"][1]["pieces"] = {"per_portion": 2}
    (again,) = call("POST", "/v1/batches", json=body).json()["products"][0]["tins"][0]["dough_pieces"]
    assert (again["per_tin"], again["count"]) == (48, 144)
