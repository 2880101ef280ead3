"""`/v1/bake` with a log of bakes, an oven load, a rise, and the doneness of each portion."""

from typing import Any
from xml.etree import ElementTree as ET

import pytest

from tests.api.conftest import Call
from tests.api.test_bake import SVG, bake, baked, parkin

TRAY = {"tin": "rectangle 20 x 30 x 5 cm", "depth": "40 mm"}
LOG = [
    {"tin": "round 20 cm", "filled_depth": "32 mm", "minutes": 37},
    {"tin": "square 20 x 5 cm", "filled_depth": "45 mm", "minutes": 49, "oven": "170 celsius", "fan": True},
    {"tin_shape": {"shape": "square", "side": "15 cm"}, "filled_depth": "40 mm", "minutes": 42},
]


def width(result: dict[str, Any]) -> float:
    return float((result["minutes_high"] - result["minutes_low"]) / result["minutes"])


def test_a_log_of_bakes_calibrates_the_window(call: Call) -> None:
    alone, logged = baked(call, TRAY), baked(call, TRAY, parkin(references=LOG))
    assert (alone["calibrated_on"], logged["calibrated_on"]) == (1, 4)
    assert "scatter_percent" not in alone
    assert 0 <= logged["scatter_percent"] < 20
    assert width(logged) < width(alone)


@pytest.mark.parametrize(
    ("reference", "code", "pointer"),
    [
        ({"filled_depth": "4 cm", "minutes": 40}, "one_of_needed", "/tin"),
        ({"tin": "round 20 cm", "filled_depth": "4 g", "minutes": 40}, "unit_mismatch", "/filled_depth"),
        ({"tin": "round 20 cm", "filled_depth": "40 cm", "minutes": 40}, "out_of_range", "/filled_depth"),
        ({"tin": "round 20 cm", "filled_depth": "4 cm", "minutes": 40, "oven": "hot"}, "oven_needed", "/oven"),
        ({"tin": "round 20 cm", "filled_depth": "4 cm", "minutes": 40, "fan": True}, "oven_needed", "/fan"),
        (
            {"tin": "round 20 cm", "filled_depth": "4 cm", "minutes": 40, "load": {"shelves": 3}},
            "out_of_range",
            "/load/shelves",
        ),
    ],
)
def test_a_fault_in_the_log_names_its_line_and_field(
    call: Call, reference: dict[str, Any], code: str, pointer: str
) -> None:
    body = {"formula": parkin(references=[LOG[0], reference])}
    answer = call("POST", "/v1/bake", json=body)
    assert answer.status_code == 422, answer.text
    errors = [(error["code"], error["pointer"]) for error in answer.json()["errors"]]
    assert errors == [(code, f"/formula/bake/references/1{pointer}")]


def test_a_fuller_oven_takes_longer_and_is_less_certain(call: Call) -> None:
    alone = baked(call, TRAY)
    full = baked(call, TRAY | {"bake": {"load": {"tins": 6, "shelves": 3, "openings": 1}}})
    assert full["minutes"] > alone["minutes"]
    assert width(full) > width(alone)
    answer = bake(call, TRAY | {"bake": {"load": {"tins": 1, "shelves": 2}}})
    (error,) = answer["targets"][0]["problem"]["errors"]
    assert error["pointer"] == "/targets/0/bake/load/shelves"


def test_a_measured_rise_narrows_the_window(call: Call) -> None:
    ring = {"tin": "ring 25 x 8 cm", "depth": "60 mm"}
    assert width(baked(call, ring, parkin(rise_factor=1.4))) < width(baked(call, ring))
    answer = bake(call, ring | {"bake": {"rise_factor": 1.5}})
    assert answer["targets"][0]["problem"]["errors"][0]["pointer"] == "/targets/0/bake/rise_factor"


BANDS = [{"name": "soft", "up_to": 92}, {"name": "set"}]
CUT = {"rows": 5, "columns": 5, "bake_loss_percent": 10}


def mapped(call: Call, **doneness: Any) -> dict[str, Any]:
    target = {"tin": "square 20 x 5 cm", "cuts": CUT, "bake": {"doneness": doneness}}
    return baked(call, target, parkin(core_temperature="88 celsius"))


def test_the_middle_piece_has_the_estimates_core_and_the_losses_add_up(call: Call) -> None:
    by_place = mapped(call, bands=BANDS)["doneness"]
    portions = by_place["portions"]
    assert [portion["portion"] for portion in portions] == list(range(1, 26))
    assert portions[12]["coldest_celsius"] == pytest.approx(88, abs=0.01)
    assert portions[12]["band"] == "soft"
    assert portions[0]["band"] == "set"
    assert portions[0]["side_percent"] == pytest.approx(10)  # a corner of 5 x 5 has two of twenty walls
    lost = sum(p["top_loss_grams"] + p["side_loss_grams"] + p["base_loss_grams"] for p in portions)
    assert lost == pytest.approx(60, rel=0.01)  # a tenth of 600 g of oats
    assert "drawing" not in by_place


def test_the_plan_shows_every_portion_in_words_and_figures(call: Call) -> None:
    by_place = mapped(call, bands=BANDS, drawing=True)["doneness"]
    root = ET.fromstring(by_place["drawing"])  # noqa: S314 - our own drawing
    words = [element.text or "" for element in root.iter(f"{SVG}text")]
    for portion in by_place["portions"]:
        assert str(portion["portion"]) in words
    assert words.count("soft") == sum(p["band"] == "soft" for p in by_place["portions"])
    assert "88 °C" in words
    assert "coldest portion is number 13" in (root.findtext(f"{SVG}desc") or "")
    assert list(root.iter(f"{SVG}polygon"))
    colours = {element.get("stroke") for element in root.iter() if element.get("stroke")}
    assert colours <= {"none", "#1a1a1a", "#ffffff", "#5a4a35"}


@pytest.mark.parametrize(
    ("tin", "cuts"),
    [
        ("round 23 cm", {"wedges": 8}),
        ("round 23 cm", {"rings": [1, 6, 12]}),
        ("round 23 cm", {"rows": 3, "columns": 3}),
        ("ring 25 x 8 cm", {"wedges": 10}),
        ("hexagon 20 cm", {"rows": 3, "columns": 3}),
        ("rectangle 30 x 20 cm", {"portions": 24, "portion_shape": "triangle"}),
    ],
)
def test_every_kind_of_slab_has_a_plan(call: Call, tin: str, cuts: dict[str, Any]) -> None:
    target = {"tin": tin, "cuts": cuts, "bake": {"doneness": {"drawing": True}}}
    by_place = baked(call, target, parkin(core_temperature="88 celsius"))["doneness"]
    drawn = ET.fromstring(by_place["drawing"])  # noqa: S314 - our own drawing
    assert list(drawn.iter(f"{SVG}polygon"))


@pytest.mark.parametrize(
    ("target", "code", "pointer"),
    [
        ({"bake": {"doneness": {}}}, "tin_needed", "/formula/cuts"),
        (
            {"cuts": CUT, "bake": {"doneness": {"bands": [{"name": "a", "up_to": 95}, {"name": "b", "up_to": 90}]}}},
            "out_of_range",
            "/targets/0/bake/doneness/bands/1/up_to",
        ),
        ({"cuts": {"rows": 30, "columns": 20}, "bake": {"doneness": {}}}, "out_of_range", "/targets/0/cuts"),
        ({"cuts": {"wedges": 6}, "bake": {"doneness": {}}}, "cut_mismatch", "/targets/0/cuts/wedges"),
    ],
)
def test_a_plan_that_cannot_be_drawn_says_why(call: Call, target: dict[str, Any], code: str, pointer: str) -> None:
    (answer,) = bake(call, {"tin": "square 20 x 5 cm"} | target)["targets"]
    assert [(error["code"], error["pointer"]) for error in answer["problem"]["errors"]] == [(code, pointer)]


def test_rescale_and_cuts_say_the_doneness_that_bake_says(call: Call) -> None:
    wish = {"bands": BANDS, "drawing": True}
    body = {
        "formula": parkin(core_temperature="88 celsius", doneness=wish),
        "targets": [{"tin": "square 20 x 5 cm", "cuts": CUT}, {"tin": "ring 25 x 8 cm", "depth": "50 mm"}],
    }
    in_bake, without = call("POST", "/v1/bake", json=body).json()["targets"]
    by_place = in_bake["bake"]["doneness"]
    assert call("POST", "/v1/rescale", json=body).json()["targets"][0]["bake"]["doneness"] == by_place
    assert call("POST", "/v1/cuts/batch", json=body).json()["targets"][0]["doneness"] == by_place
    assert "doneness" not in without["bake"]  # no cuts: the formula's wish does not refuse this target
    assert "no_doneness" in {warning["code"] for warning in without["warnings"]}
    formula = {"formula": parkin(core_temperature="88 celsius"), "targets": body["targets"]}
    plain = call("POST", "/v1/rescale", json=formula).json()["targets"][0]
    assert "doneness" not in plain["bake"]


def test_bands_of_the_formula_that_fall_are_refused_at_once(call: Call) -> None:
    bands = [{"name": "a", "up_to": 95}, {"name": "b", "up_to": 90}]
    answer = call("POST", "/v1/rescale", json={"formula": parkin(doneness={"bands": bands}), "targets": [TRAY]})
    assert [error["pointer"] for error in answer.json()["errors"]] == ["/formula/bake/doneness/bands/1/up_to"]


CUPS = {"shape": "cavities", "count": 12, "depth": "35 mm"}


def test_cavities_have_a_time_of_their_own(call: Call) -> None:
    by_volume = baked(call, {"tin": "cavities 12 x 100 ml"})
    assert by_volume["minutes"] < 38
    with_depth = baked(call, {"tin": "cavities 12 x 100 ml x 35 mm"})
    as_data = baked(call, {"tin_shape": CUPS | {"volume": "100 ml"}})
    assert with_depth["minutes"] == as_data["minutes"]
    # A frustum by hand: 35 * pi / 12 * (70^2 + 70 * 50 + 50^2) mm3 are 99.9 ml.
    by_sizes = baked(call, {"tin_shape": CUPS | {"top_diameter": "70 mm", "base_diameter": "50 mm"}})
    assert by_sizes["minutes"] == pytest.approx(with_depth["minutes"], rel=0.01)
    wide = baked(call, {"tin": "cavities 12 x 100 ml x 20 mm"})
    assert wide["minutes"] < with_depth["minutes"]  # the same batter, shallower


@pytest.mark.parametrize(
    ("cups", "code", "pointer"),
    [
        ({"count": 12, "depth": "35 mm"}, "needed", "volume"),
        ({"count": 12, "depth": "35 mm", "top_diameter": "7 cm"}, "needed", "base_diameter"),
        ({"count": 12, "volume": "80 ml", "top_diameter": "7 cm"}, "given_twice", "top_diameter"),
        ({"count": 12, "volume": "80 g"}, "unit_mismatch", "volume"),
        ({"count": 12, "volume": "80 ml", "depth": "9000 mm"}, "out_of_range", "depth"),
    ],
)
def test_a_cup_that_is_not_described_is_named(call: Call, cups: dict[str, Any], code: str, pointer: str) -> None:
    (answer,) = bake(call, {"tin_shape": {"shape": "cavities"} | cups})["targets"]
    errors = [(error["code"], error["pointer"]) for error in answer["problem"]["errors"]]
    assert errors == [(code, f"/targets/0/tin_shape/{pointer}")]
