"""The main job over HTTP: laws, warnings and what a bench reads off the answer."""

import math
from typing import Any

import pytest

from tests.api.conftest import Call


def rescale(call: Call, formula: dict[str, Any], *targets: dict[str, Any], **more: Any) -> dict[str, Any]:
    """The answer to one rescale request."""
    answer = call("POST", "/v1/rescale", json={"formula": formula, "targets": list(targets), **more})
    assert answer.status_code == 200, answer.text
    body: dict[str, Any] = answer.json()
    return body


def codes(target: dict[str, Any]) -> set[str]:
    """The codes of a target's warnings."""
    return {warning["code"] for warning in target["warnings"]}


def test_the_factor_between_tins_is_the_ratio_of_their_areas(call: Call, formula: dict[str, Any]) -> None:
    # Plane geometry: 20 × 30 over 20 × 20; two rounds of 23 cm over the square; the filled depth is kept.
    body = rescale(call, formula, {"tin": "rectangle 20 x 30 x 5 cm"}, {"tin": "round 23 x 5 cm", "tins": 2})
    tray, rounds = body["targets"]
    assert tray["factor"] == 1.5
    assert rounds["factor"] == pytest.approx(2 * math.pi * 11.5**2 / 400, rel=1e-12)
    assert tray["filled_depth_mm"] == rounds["filled_depth_mm"] == 30
    assert tray["fill_percent"] == pytest.approx(60)


def test_the_same_tin_changes_nothing(call: Call, formula: dict[str, Any]) -> None:
    body = rescale(call, formula, {"tin": formula["tin"]}, {"factor": 1})
    for target in body["targets"]:
        assert target["factor"] == 1
        for scaled, written in zip(target["components"], body["written"]["components"], strict=True):
            for line, as_written in zip(scaled["lines"], written["lines"], strict=True):
                assert line["grams"] == as_written["grams"]


def test_totals_are_the_sums_of_their_lines(call: Call, formula: dict[str, Any]) -> None:
    (target,) = rescale(call, formula, {"grams": 4321.0})["targets"]
    assert target["grams"] == pytest.approx(4321.0, rel=1e-12)
    for figure in ("grams", "grams_low", "grams_high"):
        parts = [component[figure] for component in target["components"]]
        assert target[figure] == pytest.approx(sum(parts), rel=1e-12)
        for component in target["components"]:
            assert component[figure] == pytest.approx(sum(line[figure] for line in component["lines"]), rel=1e-12)


def test_pieces_keep_their_mass_and_change_their_number(call: Call, formula: dict[str, Any]) -> None:
    (target,) = rescale(call, formula, {"factor": 2.5})["targets"]
    pieces = target["components"][1]["pieces"]
    assert (pieces["count"], pieces["grams_each"]) == (40, 10)
    assert pieces["leftover_grams"] == pytest.approx(0, abs=1e-9)


def test_eggs_come_as_exact_grams_whole_eggs_and_beaten_egg(call: Call, formula: dict[str, Any]) -> None:
    (target,) = rescale(call, formula, {"factor": 1.2}, available_egg_classes=["eu_m", "eu_l"])["targets"]
    (eggs,) = target["eggs"]
    medium, large = eggs["counts"]
    assert medium["exact_count"] == pytest.approx(4.8)
    assert (medium["count"], medium["whole_eggs"]) == (5, 4)
    for count in (medium, large):
        each = count["grams"] / count["count"]
        assert count["whole_eggs"] * each + count["beaten_grams"] == pytest.approx(eggs["grams"])
        assert count["error_percent"] == pytest.approx((count["grams"] - eggs["grams"]) / eggs["grams"] * 100)


def test_whole_egg_batches_lie_on_both_sides_and_are_whole(call: Call, formula: dict[str, Any]) -> None:
    (target,) = rescale(call, formula, {"tin": "rectangle 24 x 20 x 5 cm"}, available_egg_classes=["eu_m", "eu_l"])[
        "targets"
    ]
    for egg_class in ("eu_m", "eu_l"):
        below, above = (batch for batch in target["whole_egg_batches"] if batch["egg_class"] == egg_class)
        assert below["factor"] < target["factor"] < above["factor"]
        assert below["filled_depth_mm"] < target["filled_depth_mm"] < above["filled_depth_mm"]
        for batch in (below, above):
            assert batch["eggs"][0]["exact_count"] == batch["eggs"][0]["count"]


def test_weighed_grams_are_multiples_of_the_scales_step(call: Call, formula: dict[str, Any]) -> None:
    body = rescale(call, formula, {"factor": 1.237}, scale_step="5 g", small_scale_step="0.2 g")
    (target,) = body["targets"]
    lines = [line for component in target["components"] for line in component["lines"]]
    for line in lines:
        on_coarse = math.isclose(line["weigh_grams"] / 5, round(line["weigh_grams"] / 5), abs_tol=1e-9)
        step = 5 if on_coarse and line["grams"] >= 10 else 0.2
        assert line["grams"] <= 200 or step == 5
        assert math.isclose(line["weigh_grams"] / step, round(line["weigh_grams"] / step), abs_tol=1e-9)
        assert abs(line["weigh_grams"] - line["grams"]) <= step / 2 + 1e-9
    worst = max(abs(line["weigh_grams"] / line["grams"] - 1) * 100 for line in lines)
    assert target["rounding_error_percent"] == pytest.approx(worst)


def test_spoons_are_offered_for_small_dry_lines_only(call: Call, formula: dict[str, Any]) -> None:
    (target,) = rescale(call, formula, {"factor": 1}, measures="us")["targets"]
    flour, butter, egg, powder = target["components"][0]["lines"]
    assert powder["spoons"]["text"] == "1 1/2 tsp"
    assert powder["spoons"]["error_percent"] == pytest.approx(0, abs=1e-9)
    assert "spoons" not in flour
    assert "spoons" not in butter
    assert "spoons" not in egg


@pytest.mark.parametrize(
    ("target", "code"),
    [
        pytest.param({"tin": "square 20 x 2 cm"}, "past_rim", id="past the rim"),
        pytest.param({"tin": "square 20 x 4 cm"}, "past_two_thirds", id="past two thirds, and it rises"),
        pytest.param({"tin": "square 20 x 5 cm", "depth": "8 mm"}, "shallow_fill", id="shallower than 10 mm"),
        pytest.param({"tin": "cavities 12 x 80 ml"}, "depth_not_kept", id="no depth to keep"),
        pytest.param({"tin": "half-sheet"}, "nominal_size", id="a nominal size"),
        pytest.param({"factor": 0.001}, "weighs_nothing", id="lost on the scale"),
    ],
)
def test_an_unusual_target_gets_a_warning(
    call: Call, formula: dict[str, Any], target: dict[str, Any], code: str
) -> None:
    (answer,) = rescale(call, formula, target)["targets"]
    assert code in codes(answer)


def test_a_batter_that_does_not_rise_may_fill_the_tin(call: Call, formula: dict[str, Any]) -> None:
    del formula["components"][0]["lines"][3]
    (answer,) = rescale(call, formula, {"tin": "square 20 x 4 cm"})["targets"]
    assert "past_two_thirds" not in codes(answer)


def test_vague_measures_have_a_wide_range_and_a_warning(call: Call, formula: dict[str, Any]) -> None:
    formula["components"][1]["lines"].append({"ingredient": "salt", "quantity": "2 pinches"})
    body = rescale(call, formula, {"factor": 2})
    salt = body["written"]["components"][1]["lines"][1]
    assert salt["grams_high"] > 1.5 * salt["grams"] > 2 * salt["grams_low"]
    (vague,) = (warning for warning in body["written"]["warnings"] if warning["code"] == "vague_measure")
    assert vague["pointers"][0] == "/formula/components/1/lines/1"
    assert "vague_measure" not in codes(body["targets"][0])  # it is said once, with the formula


def test_a_line_may_have_its_own_density_or_be_an_own_ingredient(call: Call, formula: dict[str, Any]) -> None:
    formula["components"][1]["lines"] += [
        {"ingredient": "wharf spice mix", "quantity": "2 metric_tsp", "g_per_ml": 0.5},
        {"ingredient": "yesterday's crumbs", "quantity": "40 g", "own": True},
    ]
    body = rescale(call, formula, {"factor": 2})
    spice, crumbs = body["targets"][0]["components"][1]["lines"][1:]
    assert spice["grams"] == 10
    assert crumbs["grams"] == 80
    assert "own_ingredient" in codes(body["written"])


def test_a_missing_filled_depth_is_reported_once(call: Call, formula: dict[str, Any]) -> None:
    del formula["filled_depth"]
    tapered = {"shape": "tapered_round", "top_diameter": "24 cm", "base_diameter": "20 cm", "depth": "6 cm"}
    request = {"formula": formula, "targets": [{"tin_shape": tapered}, {"tin_shape": tapered}]}
    answer = call("POST", "/v1/rescale", json=request)
    assert answer.status_code == 422
    assert [(e["pointer"], e["code"]) for e in answer.json()["errors"]] == [
        ("/formula/filled_depth", "filled_depth_needed")
    ]


@pytest.mark.parametrize(
    "target",
    [
        {"factor": 1, "grams": 10},
        {"factor": 2, "depth": "3 cm"},
        {"factor": 2, "tins": 3},
        {"factor": 2, "cuts": {"portions": 4}},
        {"tin": "square 20 cm", "tin_shape": {"shape": "square", "side": "20 cm"}},
        {"portions": {"count": 12, "grams_each": 60}},
        {"tin": "big tray"},
        {"factor": 2, "pieces": {"count": 4, "grams_each": 10}},
        {"factor": 2, "bake": {"oven": "180 celsius"}},
    ],
)
def test_a_bad_target_has_its_problem_and_the_others_their_answer(
    call: Call, formula: dict[str, Any], target: dict[str, Any]
) -> None:
    good, bad, other = rescale(call, formula, {"factor": 2}, {"label": "bad"} | target, {"grams": 500.0})["targets"]
    assert (good["factor"], other["grams"]) == (2, pytest.approx(500.0))
    assert set(bad) == {"label", "target", "problem"}
    assert bad["target"] == {"label": "bad"} | target
    for error in bad["problem"]["errors"]:
        _, place, index, *field = error["pointer"].split("/")
        assert (place, index) == ("targets", "1")
        assert field[0] in target


@pytest.mark.parametrize("target", [{"factor": 0}, {"tin": "square 20 cm", "tins": 0}, {"size": "large"}])
def test_a_target_outside_the_schema_refuses_the_request(
    call: Call, formula: dict[str, Any], target: dict[str, Any]
) -> None:
    answer = call("POST", "/v1/rescale", json={"formula": formula, "targets": [target]})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"].startswith("/targets/0")


def test_without_targets_the_formula_is_answered_as_it_is_written(call: Call, formula: dict[str, Any]) -> None:
    (alone,) = rescale(call, formula)["targets"]
    (empty,) = rescale(call, formula, {})["targets"]
    (same_tin,) = rescale(call, formula, {"tin": formula["tin"]})["targets"]
    assert alone == empty
    assert alone["target"] == {}
    assert {**alone, "target": same_tin["target"]} == same_tin


def test_portions_are_weighed_after_the_oven(call: Call, formula: dict[str, Any]) -> None:
    wanted = {"portions": {"count": 30, "grams_each": 70}}
    (target,) = rescale(call, formula | {"cuts": {"portions": 16, "bake_loss_percent": 12.5}}, wanted)["targets"]
    assert target["grams"] == pytest.approx(30 * 70 / 0.875)


def test_a_target_divides_the_dough_in_its_own_way(call: Call, formula: dict[str, Any]) -> None:
    by_count, by_mass = rescale(
        call, formula, {"factor": 2, "pieces": {"count": 24}}, {"factor": 2, "pieces": {"grams_each": 20}}
    )["targets"]
    # 160 g of oats, twice: 24 equal pieces, or 16 of 20 g.
    assert by_count["components"][1]["pieces"]["grams_each"] == pytest.approx(320 / 24)
    assert by_mass["components"][1]["pieces"]["count"] == 16


def test_only_the_parts_that_are_included_are_answered(call: Call, formula: dict[str, Any]) -> None:
    whole = {**formula, "cuts": {"portions": 16}, "bake": {"oven": "170 celsius", "minutes": 40}}
    (target,) = rescale(call, whole, {"tin": "square 20 x 5 cm"}, include=["cuts"])["targets"]
    assert {"eggs", "bake"}.isdisjoint(target)
    assert target["cuts"]["portions"] == 16
    assert all({"lines", "pieces"}.isdisjoint(component) for component in target["components"])


def test_every_part_sent_back_gives_the_same_answer(call: Call, formula: dict[str, Any]) -> None:
    tapered = {"shape": "tapered_round", "top_diameter": "24 cm", "base_diameter": "20 cm", "depth": "6 cm"}
    body = rescale(call, formula, {"label": "round", "tin_shape": tapered, "depth": "3 cm"}, {"factor": 1.1})
    again = rescale(call, body["formula"], *[target["target"] for target in body["targets"]])
    assert again == body


def test_a_line_may_have_an_amount_and_a_unit(call: Call, formula: dict[str, Any]) -> None:
    lines = formula["components"][0]["lines"]
    as_text = rescale(call, formula, {"factor": 2})
    for line in lines:
        amount, unit = line.pop("quantity").rsplit(" ", 1)
        line |= {"amount": amount, "unit": unit}
    assert rescale(call, formula, {"factor": 2})["targets"] == as_text["targets"]


@pytest.mark.parametrize(
    ("line", "field"),
    [
        ({}, ""),
        ({"amount": "2"}, "/amount"),
        ({"unit": "g"}, "/unit"),
        ({"quantity": "2 g", "amount": "2", "unit": "g"}, "/quantity"),
        ({"amount": "2", "unit": "cup"}, "/unit"),
        ({"amount": "some", "unit": "g"}, "/amount"),
        ({"amount": "2", "unit": "cm"}, "/unit"),
    ],
)
def test_half_a_quantity_is_refused_at_the_field_that_was_sent(
    call: Call, formula: dict[str, Any], line: dict[str, Any], field: str
) -> None:
    formula["components"][1]["lines"] = [{"ingredient": "salt"} | line]
    answer = call("POST", "/v1/rescale", json={"formula": formula})
    assert answer.status_code == 422
    assert [error["pointer"] for error in answer.json()["errors"]] == [f"/formula/components/1/lines/0{field}"]


def test_fifty_targets_at_once_and_not_one_more(call: Call, formula: dict[str, Any]) -> None:
    assert len(rescale(call, formula, *[{"factor": 1 + i / 10} for i in range(50)])["targets"]) == 50
    too_many = {"formula": formula, "targets": [{"factor": 1}] * 51}
    assert call("POST", "/v1/rescale", json=too_many).status_code == 422


def test_bake_is_returned_unchanged(call: Call, formula: dict[str, Any]) -> None:
    formula["bake"] = {"oven": "170 celsius", "fan": True, "minutes": 38}
    assert rescale(call, formula, {"factor": 1})["formula"]["bake"] == formula["bake"]


def cited_in(part: Any) -> set[str]:
    """The sources that any part of an answer cites."""
    if isinstance(part, list):
        return {source for each in part for source in cited_in(each)}
    if not isinstance(part, dict):
        return set()
    own = {ref["source"] for ref in part.get("cited", [])}
    return own | {source for name, each in part.items() if name != "sources" for source in cited_in(each)}


def test_the_sources_that_are_cited_are_listed_and_no_others(call: Call, formula: dict[str, Any]) -> None:
    formula["bake"] = {"oven": "170 celsius", "fan": True, "minutes": 38}
    for path in ("/v1/rescale", "/v1/bake"):
        body = call("POST", path, json={"formula": formula, "targets": [{"tin": "round 26 x 6 cm"}]}).json()
        assert body["written"]["cautions"]
        assert cited_in(body) == {source["id"] for source in body["sources"]} != set()


def test_the_shops_own_ingredients_have_their_own_densities(call: Call, formula: dict[str, Any]) -> None:
    formula["components"][1]["lines"] += [
        {"ingredient": "wharf flour", "quantity": "2 us_cup"},
        {"ingredient": "crumb brick", "quantity": "3 each"},
    ]
    own = [
        {"name": "wharf flour", "ingredient": "plain flour", "g_per_ml": 0.5},
        {"name": "crumb brick", "grams_each": 40},
    ]
    body = rescale(call, formula, {"factor": 2}, shop={"own_ingredients": own})
    flour, brick = body["targets"][0]["components"][1]["lines"][1:]
    assert flour["grams"] == pytest.approx(2 * 2 * 236.5882365 * 0.5)  # NIST: the cup; the shop: its density
    assert brick["grams"] == 2 * 3 * 40
    assert "own_ingredient" not in codes(body["targets"][0])


def test_a_dough_gives_whole_pieces_and_a_rest(call: Call, formula: dict[str, Any]) -> None:
    formula["components"][1]["pieces"] = {"count": 3}
    (half,) = rescale(call, formula, {"factor": 0.5})["targets"]
    pieces = half["components"][1]["pieces"]
    # 80 g of dough in pieces of 160/3 g: one and a half, so two of 40 g, or one and half of one left.
    assert (pieces["count"], pieces["exact_count"], pieces["grams_each"]) == (2, pytest.approx(1.5), 40)
    assert pieces["leftover_grams"] == pytest.approx(80 / 3)
    assert (pieces["below"]["count"], pieces["above"]["count"]) == (1, 3)
    assert "piece_mass_off" in codes(half)


def test_the_work_of_one_request_is_limited(call: Call, formula: dict[str, Any]) -> None:
    line = {"ingredient": "egg", "quantity": "1/7 each"}
    formula["components"] = [{"name": "eggs", "lines": [line] * 60}] * 20
    request = {"formula": formula, "targets": [{"factor": 1 + i} for i in range(50)], "available_egg_classes": ["eu_l"]}
    answer = call("POST", "/v1/rescale", json=request)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/targets"


def test_egg_lines_count_once_for_each_class(call: Call, formula: dict[str, Any]) -> None:
    lines = [{"ingredient": "salt", "quantity": f"{i + 1} g"} for i in range(60)]
    plain = formula | {"components": [{"name": "mix", "lines": lines}]}
    targets = [{"factor": 1 + i / 10} for i in range(50)]
    assert len(rescale(call, plain, *targets, available_egg_classes=["eu_m", "eu_l"])["targets"]) == 50
    eggs = [{"ingredient": "egg", "quantity": f"{i + 1} g"} for i in range(60)]
    rich = formula | {"components": [{"name": "mix", "lines": eggs}]}
    body = {"formula": rich, "targets": targets, "available_egg_classes": ["eu_m", "eu_l"]}
    refused = call("POST", "/v1/rescale", json=body)
    assert refused.status_code == 422
    assert refused.json()["errors"][0]["pointer"] == "/targets"
