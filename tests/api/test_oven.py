"""`/v1/oven`: every scale at once, the same by GET and POST, and what is refused."""

from typing import get_args

import pytest

from api.v1.job.baking_schemas import TinMaterial
from domain.baking.cases import TIN_MATERIALS
from tests.api.conftest import Call


def test_a_fan_setting_on_every_scale(call: Call) -> None:
    # 170 °C with a fan, 20 °C lower by NSW Health's note: 190 °C, by the scales' definition 374 °F.
    answer = call("GET", "/v1/oven?setting=170 celsius&fan=true")
    assert answer.status_code == 200
    reading = answer.json()
    assert (reading["fan_celsius"], reading["celsius"], reading["fahrenheit"]) == (170, 190, 374)
    assert (reading["fan_offset_celsius"], reading["celsius_low"], reading["celsius_high"]) == (20, 190, 198)
    assert reading["gas_mark_nearest"] == 5
    assert {source["source"] for source in reading["cited"]} >= {"au-nsw-health", "us-afrs", "gasmark-2nd"}


@pytest.mark.parametrize(
    "setting",
    ["350 F", "350 fahrenheit", "gas mark 4", "gas 4", "350 °F"],
)
def test_the_same_oven_however_it_is_written(call: Call, setting: str) -> None:
    reading = call("POST", "/v1/oven", json={"setting": setting}).json()
    assert reading["fahrenheit"] == pytest.approx(350)
    assert reading["gas_mark"] == pytest.approx(4)
    assert reading["fan_celsius"] == pytest.approx(reading["celsius"] - 20)


def test_get_and_post_answer_the_same(call: Call) -> None:
    got = call("GET", "/v1/oven?setting=180 c&fan=true&fan_offset_celsius=25").json()
    posted = call("POST", "/v1/oven", json={"setting": "180 c", "fan": True, "fan_offset_celsius": 25}).json()
    assert got == posted
    assert (got["celsius_low"], got["celsius_high"]) == (205, 205)


def test_a_word_has_no_single_figure(call: Call) -> None:
    reading = call("GET", "/v1/oven?setting=Moderate").json()
    assert {"celsius", "fahrenheit", "fan_celsius", "gas_mark", "gas_mark_nearest"}.isdisjoint(reading)
    assert (reading["fahrenheit_low"], reading["fahrenheit_high"]) == (350, 400)
    assert len(reading["words"]) == 3


def test_past_the_gas_marks_the_degrees_still_answer(call: Call) -> None:
    reading = call("GET", "/v1/oven?setting=300 c").json()
    assert reading["fahrenheit"] == 572
    assert "gas_mark" not in reading
    assert reading["warnings"][0]["code"] == "no_gas_mark"
    assert reading["warnings"][0]["parameters"] == ["setting"]


@pytest.mark.parametrize(
    ("query", "code", "parameter"),
    [
        ("setting=gas mark 12", "out_of_range", "setting"),
        ("setting=hello", "unreadable_oven", "setting"),
        ("setting=180", "unreadable_oven", "setting"),
        ("setting=1000 c", "out_of_range", "setting"),
        ("setting=gas mark 4&fan=true", "gas_mark_with_fan", "fan"),
        ("setting=180 c&fan_offset_celsius=60", "too_large", "fan_offset_celsius"),
        ("setting=180 c&fan_offset_celsius=nan", "not_finite", "fan_offset_celsius"),
        ("setting=180 c&fan=perhaps", "wrong_type", "fan"),
        ("fan=true", "missing_field", "setting"),
        ("setting=180 c&colour=red", "unknown_field", "colour"),
        (f"setting={'9' * 41}", "too_long", "setting"),
    ],
)
def test_a_refused_oven_names_the_parameter(call: Call, query: str, code: str, parameter: str) -> None:
    answer = call("GET", f"/v1/oven?{query}")
    assert answer.status_code == 422
    error = answer.json()["errors"][0]
    assert (error["code"], error["parameter"]) == (code, parameter)


def test_a_cell_gets_one_figure(call: Call) -> None:
    answer = call("GET", "/v1/oven?setting=350 F&format=text&field=fan_fahrenheit")
    assert (answer.status_code, float(answer.text)) == (200, 314)


def test_materials_in_the_schema_are_those_of_the_table() -> None:
    assert set(get_args(get_args(TinMaterial)[0])) == set(TIN_MATERIALS)
