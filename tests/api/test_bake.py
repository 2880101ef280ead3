"""`POST /v1/bake` and the bake of a rescaled formula: the window, what it rests on, the cautions, the drawing."""

from typing import Any
from xml.etree import ElementTree as ET

import pytest
from pydantic import TypeAdapter

from api.drawings.svg import width_of
from api.v1.bake.schemas import BakeAnswer
from tests.api.conftest import Call

PARKIN = {"oven": "170 celsius", "fan": True, "minutes": 38}
CAUTIONS = ["raw_flour", "probe", "local_rules"]
SVG = "{http://www.w3.org/2000/svg}"


def parkin(*, pieces: dict[str, Any] | None = None, **bake: Any) -> dict[str, Any]:
    """A batter in a square tin, with the bake that works; with pieces, also a dough."""
    components: list[dict[str, Any]] = [{"name": "batter", "lines": [{"ingredient": "oats", "quantity": "600 g"}]}]
    if pieces is not None:
        dough = [{"ingredient": "rolled oats", "quantity": "192 g"}]
        components.append({"name": "nuggets", "lines": dough, "pieces": pieces})
    tin = {"name": "Parkin", "tin": "square 20 x 5 cm", "filled_depth": "32 mm"}
    return tin | {"components": components, "bake": PARKIN | bake}


def bake(call: Call, target: dict[str, Any], formula: dict[str, Any] | None = None) -> dict[str, Any]:
    """The answer for one target."""
    answer = call("POST", "/v1/bake", json={"formula": formula or parkin(), "targets": [target]})
    assert answer.status_code == 200, answer.text
    TypeAdapter(BakeAnswer).validate_json(answer.content, strict=True)
    result: dict[str, Any] = answer.json()
    return result


def baked(call: Call, target: dict[str, Any], formula: dict[str, Any] | None = None) -> dict[str, Any]:
    """The bake of one target."""
    details: dict[str, Any] = bake(call, target, formula)["targets"][0]["bake"]
    return details


def test_the_same_bake_takes_the_same_minutes(call: Call) -> None:
    for target in ({"tin": "square 20 x 5 cm"}, {}):
        result = baked(call, target)
        assert result["minutes"] == 38
        assert (result["minutes_low"], result["minutes_high"], result["check_from_minutes"]) == (34, 43, 30)
        assert result["rule_of_thumb"]["minutes"] == 38


def test_a_bake_warns_of_the_raw_things_that_are_in_it(call: Call) -> None:
    """A flapjack has no egg to warn of, and a cake has: common practice."""
    cake = parkin()
    cake["components"][0]["lines"].append({"ingredient": "egg", "quantity": "200 g"})
    for formula, ids in ((parkin(), CAUTIONS), (cake, ["raw_flour", "raw_egg", "probe", "local_rules"])):
        answers = [bake(call, {"tin": "square 20 x 5 cm"}, formula)]
        body = {"formula": formula, "targets": [{"tin": "square 20 x 5 cm"}], "include": ["bake"]}
        answers.append(call("POST", "/v1/rescale", json=body).json())
        for answer in answers:
            assert [caution["id"] for caution in answer["written"]["cautions"]] == ids
            assert answer["targets"][0]["bake"]["cautions"] == []


def test_an_answer_has_its_sources_and_assumptions(call: Call) -> None:
    body = bake(call, {"tin": "rectangle 20 x 30 x 5 cm", "depth": "45 mm"})
    result = body["targets"][0]["bake"]
    assert result["check_from_minutes"] < result["minutes_low"] < result["minutes"] < result["minutes_high"]
    assert [caution["id"] for caution in body["written"]["cautions"]] == CAUTIONS
    assert result["cautions"] == []
    agencies = {hold["agency"] for hold in body["holds"]}
    assert agencies == {"Food Standards Agency (UK)", "Food and Drug Administration (US)"}
    parameters = {each["parameter"] for each in body["assumptions"]}
    assert parameters >= {"film_coefficient", "conductivity", "surface_share", "rise", "load_per_litre"}
    assert "piece_slowness" not in parameters
    assert result["level_percent"] == 80
    assert "80 of 100 bakes" in result["basis"]
    assert result["calibrated_on"] == 1
    widest = [each["percent"] for each in result["contributions"]]
    assert widest == sorted(widest, reverse=True)
    assert {each["parameter"] for each in result["contributions"]} <= parameters | {"shape_misfit"}
    assert all(each["value_low"] < each["value"] < each["value_high"] and each["cited"] for each in body["assumptions"])
    assert (result["lethality"]["reference_celsius"], result["lethality"]["z_celsius"]) == (70, 7.5)
    assert result["lethality"]["at_minutes"] == result["minutes_low"]
    assert "Common practice" in result["rule_of_thumb"]["text"]
    assert result["rule_of_thumb"]["factor"] == 1.25
    cited = {source["id"] for source in body["sources"]}
    assert cited >= {"uk-fsa-2nd", "us-foodcode", "us-cdc", "trade-common", "own-limit"}


def test_usual_figures_are_used_with_a_warning(call: Call) -> None:
    body = bake(call, {"tin": "round 23 x 5 cm"})
    assert {(w["code"], w["pointers"][0]) for w in body["written"]["warnings"]} == {
        ("assumed_figure", "/formula/bake/core_temperature"),
        ("assumed_figure", "/formula/bake/start_temperature"),
    }
    result = body["targets"][0]["bake"]
    assert (result["core_celsius"], result["target_side"]["start_celsius"]) == (96, 20)
    assert result["target_side"]["filled_depth_mm"] == 32
    answer = bake(call, {"tin": "round 23 x 5 cm"}, parkin(core_temperature="205 F", start_temperature="68 fahrenheit"))
    assert answer["written"]["warnings"] == []
    assert answer["targets"][0]["bake"]["core_celsius"] == pytest.approx((205 - 32) * 5 / 9)


@pytest.mark.parametrize(
    ("target", "longer"),
    [
        ({"depth": "40 mm"}, True),
        ({"depth": "25 mm"}, False),
        ({"bake": {"oven": "160 celsius", "fan": True}}, True),
        ({"bake": {"oven": "185 celsius", "fan": True}}, False),
        ({"bake": {"start_temperature": "5 celsius"}}, True),
        ({"bake": {"start_temperature": "30 celsius"}}, False),
        ({"bake": {"tin_material": "bright_metal"}}, True),
    ],
)
def test_each_field_moves_the_answer_the_right_way(call: Call, target: dict[str, Any], longer: bool) -> None:
    assert (baked(call, {"tin": "square 20 x 5 cm"} | target)["minutes"] > 38) is longer


def test_pieces_decide_the_time(call: Call) -> None:
    formula = parkin(pieces={"grams_each": 12, "start_temperature": "4 celsius"})
    same = bake(call, {"tin": "square 20 x 5 cm"}, formula)
    assert same["targets"][0]["bake"]["minutes"] == 38
    assert [caution["id"] for caution in same["written"]["cautions"]] == ["pieces_last", *CAUTIONS]
    assert any("dough piece" in sentence for sentence in same["model"])
    assert "piece_slowness" in {each["parameter"] for each in same["assumptions"]}
    larger = baked(call, {"tin": "square 20 x 5 cm", "pieces": {"grams_each": 24}}, formula)
    assert larger["minutes_without_pieces"] < larger["minutes"]
    wide = parkin(pieces={"grams_each": 12, "diameter": "4 cm"})
    assert baked(call, {}, wide)["reference_side"]["piece_diameter_mm"] == 40


def test_warnings_about_a_stretched_model_name_the_field(call: Call) -> None:
    target = {"tin": "ring 25 x 8 x 12 cm", "depth": "10 cm", "bake": {"oven": "140 celsius"}}
    warnings = {(w["code"], w["pointers"][0]) for w in baked(call, target)["warnings"]}
    assert warnings == {
        ("depth_stretched", "/targets/0/depth"),
        ("oven_stretched", "/targets/0/bake/oven"),
        ("fan_offset_varies", "/targets/0/bake/oven"),
        ("shape_approximated", "/targets/0/tin"),
    }


@pytest.mark.parametrize(
    ("target", "code", "pointer"),
    [
        ({"bake": {"oven": "hello"}}, "unreadable_oven", "/targets/0/bake/oven"),
        ({"bake": {"oven": "moderate"}}, "oven_needed", "/targets/0/bake/oven"),
        ({"bake": {"oven": "gas mark 4", "fan": True}}, "gas_mark_with_fan", "/targets/0/bake/fan"),
        ({"bake": {"fan": True}}, "oven_needed", "/targets/0/bake/fan"),
        ({"bake": {"minutes": 40}}, "needed", "/targets/0/bake/minutes"),
        ({"bake": {"start_temperature": "-18 celsius"}}, "out_of_range", "/targets/0/bake/start_temperature"),
        ({"bake": {"start_temperature": "4 mm"}}, "unit_mismatch", "/targets/0/bake/start_temperature"),
        ({"depth": "4 g"}, "unit_mismatch", "/targets/0/depth"),
        ({"pieces": {"diameter": "2 g", "count": 4}}, "unit_mismatch", "/targets/0/pieces/diameter"),
        ({"pieces": {"diameter": "2 cm"}}, "pieces_needed", "/targets/0/pieces"),
    ],
)
def test_an_error_of_a_target_names_the_field(call: Call, target: dict[str, Any], code: str, pointer: str) -> None:
    (answer,) = bake(call, {"tin": "square 20 x 5 cm"} | target)["targets"]
    assert [(error["code"], error["pointer"]) for error in answer["problem"]["errors"]] == [(code, pointer)]


@pytest.mark.parametrize(
    ("target", "reason"),
    [
        ({"bake": {"oven": "60 celsius"}}, "oven"),
        ({"factor": 2}, "target tin"),
        ({"tin_shape": {"shape": "measured", "volume": "2 l"}}, "how deep the batter stands"),
    ],
)
def test_a_target_without_a_window_says_why(call: Call, target: dict[str, Any], reason: str) -> None:
    tin = {} if {"factor", "tin_shape"} & target.keys() else {"tin": "square 20 x 5 cm"}
    result = baked(call, tin | target)
    assert "minutes" not in result
    assert [warning["code"] for warning in result["warnings"]] == ["no_bake_window"]
    assert reason in result["warnings"][0]["message"]


@pytest.mark.parametrize("minutes", [0, -1, 1441, "45"])
def test_minutes_have_their_limits(call: Call, minutes: object) -> None:
    answer = call("POST", "/v1/bake", json={"formula": parkin(minutes=minutes)})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/formula/bake/minutes"


def test_a_bake_needs_the_one_that_works(call: Call) -> None:
    formula = parkin()
    del formula["bake"]
    answer = call("POST", "/v1/bake", json={"formula": formula})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/formula/bake"


def test_bake_and_rescale_have_the_same_window(call: Call) -> None:
    target = {"tin": "round 23 x 5 cm", "depth": "40 mm", "bake": {"oven": "165 celsius"}}
    formula = parkin(pieces={"count": 16})
    (whole,) = call("POST", "/v1/rescale", json={"formula": formula, "targets": [target]}).json()["targets"]
    details = baked(call, target, formula)
    assert {name: details[name] for name in whole["bake"]} == whole["bake"]


def test_the_curve_goes_through_the_core_at_its_time(call: Call) -> None:
    target = {"tin": "round 23 x 5 cm", "depth": "45 mm"}
    result = baked(call, target, parkin(curve=True))
    curve = result["curve"]
    assert curve[0]["minutes"] == 0
    assert curve[0]["core_celsius"] == curve[0]["reference_celsius"] == 20
    below = max(p["minutes"] for p in curve if p["core_celsius"] < result["core_celsius"])
    assert below <= result["minutes"] <= below + curve[1]["minutes"]
    assert "curve" not in baked(call, target)


def drawing(text: str) -> ET.Element:
    return ET.fromstring(text)  # noqa: S314 - our own drawing


def test_the_drawing_has_labels(call: Call) -> None:
    target = {"tin": "round 23 x 5 cm", "depth": "45 mm"}
    body: dict[str, Any] = {"formula": parkin(), "targets": [target]}
    answer = call("POST", "/v1/bake?format=svg", json=body)
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith("image/svg+xml")
    root = drawing(answer.text)
    result = baked(call, target, parkin(drawing=True))
    assert result["drawing"] == answer.text
    words = " ".join(element.text or "" for element in root.iter(f"{SVG}text"))
    for label in (
        "time in the oven, minutes",
        "core temperature, °C",
        "this tin, central estimate",
        "the bake that works",
        f"{result['minutes_low']} to {result['minutes_high']} minutes",
        f"check from {result['check_from_minutes']}",
        "done: core at 96 °C",
    ):
        assert label in words
    title, desc = root.find(f"{SVG}title"), root.find(f"{SVG}desc")
    assert title is not None
    assert desc is not None
    assert root.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
    assert "probe" in (desc.text or "")


def test_the_drawing_is_white_paper_and_grey_ink(call: Call) -> None:
    answer = call("POST", "/v1/bake?format=svg", json={"formula": parkin(), "targets": [{"tin": "square 25 x 5 cm"}]})
    root = drawing(answer.text)
    sheet = root.find(f"{SVG}rect")
    assert sheet is not None
    assert (sheet.get("fill"), sheet.get("width")) == ("#ffffff", root.get("viewBox", "").split()[2])
    colours = {
        element.get(name)
        for element in root.iter()
        for name in ("fill", "stroke")
        if (element.get(name) or "").startswith("#")
    }
    assert all(colour and colour[1:3] == colour[3:5] == colour[5:7] for colour in colours)
    _, _, width, height = (float(part) for part in root.get("viewBox", "").split())
    for line in root.iter(f"{SVG}polyline"):
        for point in (line.get("points") or "").split():
            x, y = (float(part) for part in point.split(","))
            assert 0 <= x <= width
            assert 0 <= y <= height


@pytest.mark.parametrize("target", [{}, {"depth": "33 mm"}, {"depth": "70 mm"}, {"depth": "12 mm"}])
def test_the_labels_over_the_plot_do_not_overlap(call: Call, target: dict[str, Any]) -> None:
    body = {"formula": parkin(), "targets": [{"tin": "square 20 x 5 cm"} | target]}
    root = drawing(call("POST", "/v1/bake?format=svg", json=body).text)
    words = list(root.iter(f"{SVG}text"))
    check = next(word for word in words if (word.text or "").startswith("check from"))
    window = next(word for word in words if "minutes" in (word.text or "") and word.get("y") == check.get("y"))
    assert float(check.get("x", 0)) < float(window.get("x", 0))
    end = float(window.get("x", 0)) + width_of(window.text or "", float(window.get("font-size", 0)))
    assert end <= float(root.get("viewBox", "").split()[2])


def test_every_target_of_a_formula_gets_its_oven_and_window(call: Call, formula: dict[str, Any]) -> None:
    formula["bake"] = {"oven": "170 celsius", "fan": True, "minutes": 38, "note": "turn once"}
    targets = [
        {"tin": "square 20 x 5 cm"},
        {"tin": "square 20 x 5 cm", "depth": "40 mm"},
        {"factor": 2},
        {"tin_shape": {"shape": "measured", "volume": "2 l"}},
    ]
    answer = call(
        "POST", "/v1/rescale", json={"formula": formula, "targets": targets, "available_egg_classes": ["eu_m"]}
    )
    assert answer.status_code == 200, answer.text
    result = answer.json()
    assert result["formula"]["bake"] == formula["bake"]
    same, deeper, factor, unknown = (target["bake"] for target in result["targets"])
    assert same["minutes"] == 38
    assert deeper["minutes"] > 38
    for each in (same, deeper, factor, unknown):
        assert (each["oven"]["fan_celsius"], each["oven"]["celsius"]) == (170, 190)
    ids = [caution["id"] for caution in result["written"]["cautions"]]
    assert ids == ["pieces_last", "raw_flour", "raw_egg", "probe", "local_rules"]
    for index, each in ((2, factor), (3, unknown)):
        assert "minutes" not in each
        assert [(w["code"], w["pointers"][0]) for w in each["warnings"]] == [("no_bake_window", f"/targets/{index}")]


@pytest.mark.parametrize("formula_bake", [{"minutes": 38}, {"note": "as usual"}, {}])
def test_a_bake_without_an_oven_is_returned_unchanged(
    call: Call, formula: dict[str, Any], formula_bake: dict[str, Any]
) -> None:
    formula["bake"] = formula_bake
    result = call("POST", "/v1/rescale", json={"formula": formula, "targets": [{"factor": 2}]}).json()
    assert result["formula"]["bake"] == formula_bake
    assert "bake" not in result["targets"][0]


@pytest.mark.parametrize(
    ("formula_bake", "pointer"),
    [
        ({"oven": "hello"}, "/formula/bake/oven"),
        ({"oven": "170 c", "start_temperature": "4 g"}, "/formula/bake/start_temperature"),
        ({"oven": "170 c", "minutes": -3}, "/formula/bake/minutes"),
    ],
)
def test_a_bake_that_cannot_be_read_is_rejected(
    call: Call, formula: dict[str, Any], formula_bake: dict[str, Any], pointer: str
) -> None:
    formula["bake"] = formula_bake
    answer = call("POST", "/v1/rescale", json={"formula": formula, "targets": [{"factor": 2}]})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == pointer
