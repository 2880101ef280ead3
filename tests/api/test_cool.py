"""`POST /v1/cool`, and frozen pieces in a bake."""

from typing import Any

import pytest
from pydantic import TypeAdapter

from api.v1.cool.schemas import CoolAnswer
from tests.api.conftest import Call
from tests.api.test_bake import baked, parkin

SLAB = {
    "tin": "square 23 cm",
    "depth": "38 mm",
    "start_temperature": "96 celsius",
    "place": "rack",
    "cut_temperature": "28 celsius",
}


def cool(call: Call, **changes: Any) -> dict[str, Any]:
    """The answer for a slab with changes."""
    answer = call("POST", "/v1/cool", json={**SLAB, **changes})
    assert answer.status_code == 200, answer.text
    TypeAdapter(CoolAnswer).validate_json(answer.content, strict=True)
    result: dict[str, Any] = answer.json()
    return result


def test_a_slab_is_unmoulded_before_it_is_cut(call: Call) -> None:
    unmould, cut, core = cool(call, unmould_temperature="130 F", core_temperature="27 celsius")["milestones"]
    assert [each["step"] for each in (unmould, cut, core)] == ["unmould", "cut", "core"]
    assert unmould["minutes"] < cut["minutes"] < core["minutes"]
    assert cut["text"].startswith(f"Cut after {cut['minutes_low']} to {cut['minutes_high']} minutes")


def test_an_answer_has_its_level_rules_assumptions_and_cautions(call: Call) -> None:
    answer = cool(call, place="blast_chiller", cut_temperature="5 celsius")
    assert answer["level_percent"] == 80
    assert [rule["id"] for rule in answer["rules"]] == ["us_first_stage", "us_both_stages", "uk_advice"]
    assert [caution["id"] for caution in answer["cautions"]] == ["cool_rules", "cool_probe"]
    assert {each["parameter"] for each in answer["assumptions"]} >= {"surroundings", "film_coefficient", "tin_share"}
    assert all(each["cited"] for each in (*answer["assumptions"], *answer["rules"], *answer["cautions"]))


def test_what_is_weighed_narrows_the_window(call: Call) -> None:
    usual, weighed = (cool(call, **changes)["milestones"][0] for changes in ({}, {"grams": 1206}))
    assert weighed["minutes_high"] / weighed["minutes_low"] < usual["minutes_high"] / usual["minutes_low"]


def test_a_tin_as_data_gives_the_same_answer(call: Call) -> None:
    request = {name: value for name, value in SLAB.items() if name != "tin"}
    shape = {"shape": "square", "side": "23 cm"}
    as_data = call("POST", "/v1/cool", json={**request, "tin_shape": shape}).json()
    assert as_data["milestones"] == cool(call)["milestones"]


def test_a_frozen_bake_has_a_freezing_point_and_a_thawing_one_has_no_cooling_rules(call: Call) -> None:
    frozen = cool(
        call, place="blast_freezer", start_temperature="20 celsius", cut_temperature="-18 celsius", curve=True
    )
    assert frozen["freezing_celsius"] < 0
    assert frozen["curve"][0]["core_celsius"] == pytest.approx(20)
    thawed = cool(call, place="bench", start_temperature="-18 celsius", cut_temperature="10 celsius", in_tin=False)
    assert thawed["rules"] == []
    assert thawed["milestones"][0]["minutes"] > 30


@pytest.mark.parametrize(
    ("changes", "code", "pointer"),
    [
        ({"cut_temperature": "5 celsius"}, "temperature_not_reached", "/cut_temperature"),
        ({"cut_temperature": None}, "null_value", "/cut_temperature"),
        ({"depth": "200 cm"}, "out_of_range", "/depth"),
        ({"grams": 99000}, "out_of_range", "/grams"),
        ({"tin_shape": {"shape": "measured", "volume": "900 ml"}}, "shape_needed", "/tin_shape/base_area"),
        ({"start_temperature": "300 celsius"}, "out_of_range", "/start_temperature"),
        ({"ball_diameter": "28 mm"}, "one_of_needed", "/depth"),
        ({"composition": {"water_percent": 60, "fat_percent": 60}}, "out_of_range", "/composition"),
    ],
)
def test_an_impossible_cooling_is_refused(call: Call, changes: dict[str, Any], code: str, pointer: str) -> None:
    slab = {name: value for name, value in SLAB.items() if name != "tin" or "tin_shape" not in changes}
    answer = call("POST", "/v1/cool", json={**slab, **changes})
    assert answer.status_code == 422, answer.text
    assert (code, pointer) in [(each["code"], each["pointer"]) for each in answer.json()["errors"]]


def test_a_ball_of_dough_chills_and_freezes_as_such(call: Call) -> None:
    ball = {name: value for name, value in SLAB.items() if name not in {"tin", "depth"}} | {
        "ball_diameter": "28 mm",
        "start_temperature": "18 celsius",
        "place": "freezer",
        "cut_temperature": "-12 celsius",
    }
    frozen, larger = (
        call("POST", "/v1/cool", json=ball | {"ball_diameter": diameter}).json() for diameter in ("28 mm", "35 mm")
    )
    assert frozen["milestones"][0]["minutes"] < larger["milestones"][0]["minutes"]
    named = {each["parameter"] for each in frozen["assumptions"]}
    assert {"dough_density", "dough_water_share"} <= named
    assert "tin_share" not in named
    wrong = call("POST", "/v1/cool", json=ball | {"ball_diameter": "80 cm", "start_temperature": "300 celsius"})
    assert [each["pointer"] for each in wrong.json()["errors"]] == ["/ball_diameter", "/start_temperature"]
    neither = {name: value for name, value in ball.items() if name != "ball_diameter"}
    errors = call("POST", "/v1/cool", json=neither).json()["errors"]
    assert [(each["code"], each["pointer"]) for each in errors] == [
        ("one_of_needed", "/tin"),
        ("depth_needed", "/depth"),
    ]


def test_a_temperature_to_wait_for_is_needed(call: Call) -> None:
    answer = call("POST", "/v1/cool", json={name: value for name, value in SLAB.items() if name != "cut_temperature"})
    assert answer.json()["errors"][0]["code"] == "one_of_needed"


def test_frozen_pieces_bake_longer_than_chilled_ones(call: Call) -> None:
    times = [
        baked(call, {"pieces": {"grams_each": 12, "start_temperature": start}}, parkin(pieces={"grams_each": 12}))[
            "minutes"
        ]
        for start in ("20 celsius", "4 celsius", "-6 celsius", "-18 celsius")
    ]
    assert times == sorted(times)
    assert times[-1] > times[0]


def test_windows_with_pieces_are_bounded(call: Call) -> None:
    formula = parkin(pieces={"grams_each": 12, "start_temperature": "-18 celsius"})
    targets = [{"tin": f"square {20 + i / 4} x 5 cm"} for i in range(26)]
    assert call("POST", "/v1/bake", json={"formula": formula, "targets": targets[:25]}).status_code == 200
    refused = call("POST", "/v1/bake", json={"formula": formula, "targets": targets})
    assert refused.status_code == 422
    assert "at most 25 targets" in refused.json()["errors"][0]["message"]
