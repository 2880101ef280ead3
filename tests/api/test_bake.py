"""`POST /v1/bake` and the bake of a rescaled formula: the window, what it rests on, the cautions, the drawing."""

from typing import Any
from xml.etree import ElementTree as ET

import pytest

from api.drawings.svg import width_of
from tests.api.conftest import Call

PARKIN = {"tin": "square 20 x 5 cm", "filled_depth": "32 mm", "oven": "170 celsius", "fan": True, "minutes": 38}
CAUTIONS = ["raw_flour", "raw_egg", "probe", "local_rules"]
SVG = "{http://www.w3.org/2000/svg}"


def bake(call: Call, target: dict[str, Any], reference: dict[str, Any] | None = None, **more: Any) -> dict[str, Any]:
    answer = call("POST", "/v1/bake", json={"reference": reference or PARKIN, "target": target} | more)
    assert answer.status_code == 200, answer.text
    result: dict[str, Any] = answer.json()
    return result


def test_the_same_bake_takes_the_same_minutes(call: Call) -> None:
    result = bake(call, {"tin": PARKIN["tin"]})
    assert result["minutes"] == 38
    assert (result["minutes_low"], result["minutes_high"], result["check_from_minutes"]) == (37, 39, 33)
    assert result["rule_of_thumb"]["minutes"] == 38


def test_an_answer_has_its_sources_and_assumptions(call: Call) -> None:
    result = bake(call, {"tin": "rectangle 20 x 30 x 5 cm", "filled_depth": "45 mm"})
    assert result["check_from_minutes"] < result["minutes_low"] < result["minutes"] < result["minutes_high"]
    assert [caution["id"] for caution in result["cautions"]] == CAUTIONS
    agencies = {hold["agency"] for hold in result["holds"]}
    assert agencies == {"Food Standards Agency (UK)", "Food and Drug Administration (US)"}
    assert {each["parameter"] for each in result["assumptions"]} == {
        "film_coefficient",
        "conductivity",
        "surface_share",
    }
    assert all(each["low"] < each["central"] < each["high"] and each["sources"] for each in result["assumptions"])
    assert (result["lethality"]["reference_celsius"], result["lethality"]["z_celsius"]) == (70, 7.5)
    assert result["lethality"]["at_minutes"] == result["minutes_low"]
    assert "Common practice" in result["rule_of_thumb"]["text"]
    assert result["rule_of_thumb"]["factor"] == 1.25
    cited = {source["id"] for source in result["sources"]}
    assert cited >= {"uk-fsa-2nd", "us-foodcode", "us-cdc", "trade-common", "own-limit", "memory"}


def test_usual_figures_are_used_with_a_warning(call: Call) -> None:
    result = bake(call, {"tin": "round 23 cm"})
    assert {(w["code"], w["pointer"]) for w in result["warnings"]} == {
        ("assumed_figure", "/reference/core_temperature"),
        ("assumed_figure", "/reference/start_temperature"),
    }
    assert (result["core_celsius"], result["target"]["start_celsius"], result["target"]["filled_depth_mm"]) == (
        96,
        20,
        32,
    )
    given = bake(
        call, {"tin": "round 23 cm"}, PARKIN | {"core_temperature": "205 F", "start_temperature": "68 fahrenheit"}
    )
    assert given["warnings"] == []
    assert given["core_celsius"] == pytest.approx((205 - 32) * 5 / 9)


@pytest.mark.parametrize(
    ("target", "longer"),
    [
        ({"filled_depth": "40 mm"}, True),
        ({"filled_depth": "25 mm"}, False),
        ({"oven": "160 celsius", "fan": True}, True),
        ({"oven": {"setting": "185 celsius", "fan": True}}, False),
        ({"start_temperature": "5 celsius"}, True),
        ({"start_temperature": "30 celsius"}, False),
        ({"tin_material": "bright_metal"}, True),
        ({"pieces": {"grams_each": 12, "start_temperature": "4 celsius"}}, True),
        ({"pieces": {"diameter": "3 cm"}}, True),
    ],
)
def test_each_field_moves_the_answer_the_right_way(call: Call, target: dict[str, Any], longer: bool) -> None:
    assert (bake(call, {"tin": PARKIN["tin"]} | target)["minutes"] > 38) is longer


def test_pieces_decide_the_time(call: Call) -> None:
    pieces = {"grams_each": 12, "count": 16, "start_temperature": "4 celsius"}
    result = bake(call, {"tin": PARKIN["tin"], "pieces": pieces})
    assert result["minutes_without_pieces"] == 38 < result["minutes"]
    assert [caution["id"] for caution in result["cautions"]] == ["pieces_last", *CAUTIONS]
    assert any("dough piece" in sentence for sentence in result["model"])
    assert "piece_slowness" in {each["parameter"] for each in result["assumptions"]}
    # The same pieces in both bakes: the same minutes, and none if the count says so.
    assert bake(call, {"tin": PARKIN["tin"]}, PARKIN | {"pieces": pieces})["minutes"] == 38
    none = bake(call, {"tin": PARKIN["tin"], "pieces": pieces | {"count": 0}})
    assert none["minutes"] == 38
    assert "minutes_without_pieces" not in none


def test_warnings_about_a_stretched_model_name_the_field(call: Call) -> None:
    result = bake(call, {"tin": "ring 25 x 8 x 12 cm", "filled_depth": "10 cm", "oven": "140 celsius"})
    warnings = {(w["code"], w["pointer"]) for w in result["warnings"] if w["code"] != "assumed_figure"}
    assert warnings == {
        ("depth_stretched", "/target/filled_depth"),
        ("oven_stretched", "/target/oven"),
        ("fan_offset_varies", "/target/oven/fan"),
        ("shape_approximated", "/target/tin"),
        ("short_of_hold", "/target"),
    }


@pytest.mark.parametrize(
    ("target", "code", "pointer"),
    [
        ({"oven": "moderate"}, "oven_needed", "/target/oven"),
        ({"oven": "hello"}, "unreadable_oven", "/target/oven"),
        ({"oven": {"setting": "hello"}}, "unreadable_oven", "/target/oven/setting"),
        ({"oven": "gas mark 4", "fan": True}, "gas_mark_with_fan", "/target/fan"),
        ({"oven": {"setting": "180 c", "fan": True}, "fan": False}, "mismatch", "/target/fan"),
        ({"oven": "60 celsius"}, "core_out_of_reach", "/target/oven"),
        ({"filled_depth": "40 cm"}, "out_of_range", "/target/filled_depth"),
        ({"filled_depth": "4 g"}, "unit_mismatch", "/target/filled_depth"),
        ({"start_temperature": "-18 celsius"}, "out_of_range", "/target/start_temperature"),
        ({"start_temperature": "4 mm"}, "unit_mismatch", "/target/start_temperature"),
        ({"pieces": {"grams_each": 40, "count": 900}}, "out_of_range", "/target/pieces/count"),
        ({"pieces": {"count": 9}}, "one_of_needed", "/target/pieces"),
        ({"pieces": {"diameter": "200 cm"}}, "out_of_range", "/target/pieces/diameter"),
        ({"tin": {"shape": "measured", "volume": "900 ml"}}, "shape_needed", "/target/tin/base_area"),
        ({"tin": "cavities 12 x 80 ml", "filled_depth": "6 cm"}, "too_deep_for_cavity", "/target/filled_depth"),
        ({"tin_material": "wood"}, "not_allowed", "/target/tin_material"),
        ({"minutes": 3}, "unknown_field", "/target/minutes"),
    ],
)
def test_an_error_names_the_field(call: Call, target: dict[str, Any], code: str, pointer: str) -> None:
    answer = call("POST", "/v1/bake", json={"reference": PARKIN, "target": {"tin": PARKIN["tin"]} | target})
    assert answer.status_code == 422
    error = answer.json()["errors"][0]
    assert (error["code"], error["pointer"]) == (code, pointer)


@pytest.mark.parametrize("minutes", [0, -1, 1441, "45", None])
def test_minutes_have_their_limits(call: Call, minutes: object) -> None:
    body = {"reference": PARKIN | {"minutes": minutes}, "target": {"tin": PARKIN["tin"]}}
    answer = call("POST", "/v1/bake", json=body)
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == "/reference/minutes"


def test_the_curve_goes_through_the_core_at_its_time(call: Call) -> None:
    result = bake(call, {"tin": "round 23 cm", "filled_depth": "45 mm"}, curve=True)
    curve = result["curve"]
    assert curve[0]["minutes"] == 0
    assert curve[0]["core_celsius"] == curve[0]["reference_celsius"] == 20
    below = max(p["minutes"] for p in curve if p["core_celsius"] < result["core_celsius"])
    assert below <= result["minutes"] <= below + curve[1]["minutes"]
    assert "curve" not in bake(call, {"tin": "round 23 cm"})


def drawing(text: str) -> ET.Element:
    return ET.fromstring(text)  # noqa: S314 - our own drawing


def test_the_drawing_has_labels(call: Call) -> None:
    body: dict[str, Any] = {"reference": PARKIN, "target": {"tin": "round 23 cm", "filled_depth": "45 mm"}}
    answer = call("POST", "/v1/bake?format=svg", json=body)
    assert answer.status_code == 200
    assert answer.headers["content-type"].startswith("image/svg+xml")
    root = drawing(answer.text)
    result = bake(call, body["target"], drawing=True)
    assert result["drawing"] == answer.text
    words = " ".join(element.text or "" for element in root.iter(f"{SVG}text"))
    for label in (
        "time in the oven, minutes",
        "core temperature, °C",
        "target, central estimate",
        "reference, the bake that works",
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
    answer = call("POST", "/v1/bake?format=svg", json={"reference": PARKIN, "target": {"tin": "square 25 cm"}})
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


@pytest.mark.parametrize(
    "target", [{}, {"filled_depth": "33 mm"}, {"filled_depth": "70 mm"}, {"filled_depth": "12 mm"}]
)
def test_the_labels_over_the_plot_do_not_overlap(call: Call, target: dict[str, Any]) -> None:
    body = {"reference": PARKIN, "target": {"tin": PARKIN["tin"]} | target}
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
        {"tin": {"shape": "measured", "volume": "2 l"}},
    ]
    answer = call("POST", "/v1/rescale", json={"formula": formula, "targets": targets, "available_eggs": ["eu_m"]})
    assert answer.status_code == 200, answer.text
    result = answer.json()
    assert result["formula"]["bake"] == formula["bake"]
    same, deeper, factor, unknown = (target["bake"] for target in result["targets"])
    assert same["minutes"] == 38
    assert deeper["minutes_low"] > 38
    for each in (same, deeper, factor, unknown):
        assert (each["oven"]["fan_celsius"], each["oven"]["celsius"]) == (170, 190)
        assert [caution["id"] for caution in each["cautions"]] == ["pieces_last", *CAUTIONS]
    for index, each in ((2, factor), (3, unknown)):
        assert "minutes" not in each
        assert [(w["code"], w["pointer"]) for w in each["warnings"]] == [("no_bake_window", f"/targets/{index}")]


@pytest.mark.parametrize("given", [{"minutes": 38}, {"note": "as usual"}, {}])
def test_a_bake_without_an_oven_is_returned_unchanged(
    call: Call, formula: dict[str, Any], given: dict[str, Any]
) -> None:
    formula["bake"] = given
    result = call("POST", "/v1/rescale", json={"formula": formula, "targets": [{"factor": 2}]}).json()
    assert result["formula"]["bake"] == given
    assert "bake" not in result["targets"][0]


@pytest.mark.parametrize(
    ("given", "pointer"),
    [
        ({"oven": "hello"}, "/formula/bake/oven"),
        ({"oven": "170 c", "start_temperature": "4 g"}, "/formula/bake/start_temperature"),
        ({"oven": "170 c", "minutes": -3}, "/formula/bake/minutes"),
    ],
)
def test_a_bake_that_cannot_be_read_is_rejected(
    call: Call, formula: dict[str, Any], given: dict[str, Any], pointer: str
) -> None:
    formula["bake"] = given
    answer = call("POST", "/v1/rescale", json={"formula": formula, "targets": [{"factor": 2}]})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["pointer"] == pointer
