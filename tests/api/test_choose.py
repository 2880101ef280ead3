"""Tins for a mix, masses in tins, usual fills and yield tests over HTTP."""

from typing import Any

import pytest

from tests.api.conftest import Call
from tests.api.samples import EXAMPLES

FORMULA: dict[str, Any] = {
    "name": "Slab by weight",
    "tin": "square 23 x 5 cm",
    "filled_depth": "26 mm",
    "components": [
        {
            "name": "batter",
            "lines": [
                {"ingredient": name, "quantity": f"{grams} g"}
                for name, grams in (
                    ("butter", 165),
                    ("dark muscovado sugar", 140),
                    ("plain flour", 220),
                    ("medium oatmeal", 210),
                    ("bicarbonate of soda", 6),
                    ("whole milk", 490),
                )
            ],
        }
    ],
}
TINS = [{"tin": "square 23 x 5 cm", "count": 2}, {"tin": "round 20 x 7 cm"}]


def ask(call: Call, path: str, body: dict[str, Any]) -> dict[str, Any]:
    answer = call("POST", path, json=body)
    assert answer.status_code == 200, answer.text
    result: dict[str, Any] = answer.json()
    return result


def targets(call: Call, *wanted: dict[str, Any], **more: Any) -> list[dict[str, Any]]:
    result: list[dict[str, Any]] = ask(call, "/v1/rescale", {"formula": FORMULA | more, "targets": list(wanted)})[
        "targets"
    ]
    return result


def test_the_formulas_own_tin_is_chosen_for_the_formula(call: Call) -> None:
    answer = ask(call, "/v1/tins/choose", {"formula": FORMULA, "tins": TINS})
    best = answer["choices"][0]
    assert [(tin["tin"], tin["count"]) for tin in best["tins"]] == [("square 23 x 5 cm", 1)]
    assert best["factor"] == pytest.approx(1)
    assert best["tins"][0]["filled_depth_mm"] == pytest.approx(26)
    assert (best["leftover_grams"], best["extra_grams"]) == (0, 0)


def test_a_choice_goes_into_rescale_and_fills_as_it_says(call: Call) -> None:
    answer = ask(call, "/v1/tins/choose", {"formula": FORMULA, "grams": 2_600, "tins": TINS})
    for choice in answer["choices"]:
        for tin in choice["tins"]:
            (target,) = targets(call, {"tin": tin["tin"], "grams": tin["grams"]})
            assert target["filled_depth_mm"] == pytest.approx(tin["filled_depth_mm"])
        together = sum(tin["count"] * tin["grams"] for tin in choice["tins"])
        assert together + choice["leftover_grams"] - choice["extra_grams"] == pytest.approx(2_600)


def test_portions_need_the_mix_that_the_oven_takes_away(call: Call) -> None:
    body = {"formula": FORMULA, "tins": TINS, "portions": {"count": 40, "mass_each": "1 oz"}, "bake_loss_percent": 10}
    best = ask(call, "/v1/tins/choose", body)["choices"][0]
    # 40 ounces of 28.349523125 g (definition), and a tenth more that is lost: 40 * 28.3495 / 0.9
    assert best["grams"] - best["extra_grams"] == pytest.approx(1_259.979, abs=1e-3)
    assert best["portions"] >= 38


@pytest.mark.parametrize(
    ("tin", "cuts", "share"),
    [
        ("square 30 x 6 cm", {"portions": 40, "trim": "5 mm"}, (290 / 300) ** 2),
        ("square 30 x 6 cm", {"rows": 5, "columns": 8, "trim": "5 mm", "knife_width": "2 mm"}, 276 * 282 / 300**2),
        ("round 30 x 6 cm", {"portions": 40, "trim": "10 mm"}, (280 / 300) ** 2),
        ("square 30 x 6 cm", {"portions": 40}, 1),
    ],
    ids=["trim", "trim and knife", "round", "nothing lost"],
)
def test_portions_weigh_what_was_wanted_after_oven_and_knife(
    call: Call, tin: str, cuts: dict[str, Any], share: float
) -> None:
    wanted = {"portions": {"count": 40, "grams_each": 42}, "tin": tin, "cuts": cuts | {"bake_loss_percent": 10}}
    (answer,) = targets(call, wanted)
    assert answer["grams"] == pytest.approx(40 * 42 / 0.9 / share)  # by hand, from the areas
    assert answer["cuts"]["portions"] == 40
    assert answer["cuts"]["portion"]["grams"] == pytest.approx(42)


def test_portions_that_cannot_be_cut_say_so(call: Call) -> None:
    wanted = {"portions": {"count": 9, "grams_each": 42}, "tin": "square 30 x 6 cm"}
    (answer,) = targets(call, wanted | {"cuts": {"portions": 9, "trim": "16 cm", "bake_loss_percent": 10}})
    assert [error["pointer"] for error in answer["problem"]["errors"]] == ["/targets/0/cuts/trim"]
    of_formula = {"cuts": {"portions": 9, "trim": "16 cm", "bake_loss_percent": 10}}
    (whole,) = targets(call, wanted, **of_formula)
    assert whole["grams"] == pytest.approx(9 * 42 / 0.9)
    assert "not_cut" in [warning["code"] for warning in whole["warnings"]]


def test_a_mix_without_a_formula(call: Call) -> None:
    body = {
        "grams": 1_200,
        "g_per_ml": 0.8,
        "depth_low": "28 mm",
        "depth_high": "34 mm",
        "tins": TINS,
        "rise": "custard",
    }
    best = ask(call, "/v1/tins/choose", body)["choices"][0]
    assert "factor" not in best
    assert best["tins"][0]["filled_depth_mm"] == pytest.approx(1_200 / 0.8 / 52.9, abs=0.01)  # 23 cm squared is 529 cm²


@pytest.mark.parametrize(
    ("change", "pointer", "code"),
    [
        ({"formula": None}, "/g_per_ml", "density_needed"),
        ({"tins": [{"count": 2}]}, "/tins/0/tin", "one_of_needed"),
        ({"tins": [{"tin": "round 10 x 7 cm"}], "grams": 90_000, "portions": None}, None, None),
        ({"portions": {"count": 9, "grams_each": 60}}, "/portions", "bake_loss_needed"),
        ({"portions": {"count": 90, "grams_each": 600}, "bake_loss_percent": 9}, "/tins", "tins_needed"),
        ({"depth_low": "9 cm", "depth_high": "2 cm"}, "/depth_low", "out_of_range"),
        ({"g_per_ml": 0.8}, "/g_per_ml", "given_twice"),
    ],
)
def test_an_error_names_its_field(call: Call, change: dict[str, Any], pointer: str | None, code: str | None) -> None:
    body = {name: value for name, value in ({"formula": FORMULA, "tins": TINS} | change).items() if value is not None}
    answer = call("POST", "/v1/tins/choose", json=body)
    if pointer is None:
        assert answer.json()["choices"][0]["leftover_grams"] > 0
        return
    assert answer.status_code == 422, answer.text
    assert (pointer, code) in {(error["pointer"], error["code"]) for error in answer.json()["errors"]}


def test_a_mass_in_a_tin_is_a_target(call: Call) -> None:
    by_grams, by_mass, by_factor = targets(
        call,
        {"tin": "round 25 x 7 cm", "grams": 453.59237},
        {"tin": "round 25 x 7 cm", "mass": "1 lb"},
        {"tin": "round 25 x 7 cm", "factor": 453.59237 / 1_231},
    )
    assert by_grams["filled_depth_mm"] == pytest.approx(by_mass["filled_depth_mm"])
    assert by_grams["filled_depth_mm"] == pytest.approx(by_factor["filled_depth_mm"])


def test_a_depth_beside_a_mass_is_given_twice(call: Call) -> None:
    (answer,) = targets(call, {"tin": "round 25 x 7 cm", "grams": 900, "depth": "4 cm"})
    assert [(error["code"], error["pointer"]) for error in answer["problem"]["errors"]] == [
        ("given_twice", "/targets/0/depth")
    ]


def test_the_usual_fill_follows_the_kind(call: Call) -> None:
    tin = {"tin": "rectangle 30 x 20 x 6 cm", "depth": "fit"}
    (raised,), (dense,) = targets(call, tin), targets(call, tin, rise="dense_slab")
    assert (raised["fill_percent"], dense["fill_percent"]) == (pytest.approx(66), pytest.approx(90))


def test_the_kind_of_mix_is_said(call: Call) -> None:
    for fields, kind in (({}, "chemically_raised"), ({"rise": "dense_slab"}, "dense_slab")):
        answer = ask(call, "/v1/rescale", {"formula": FORMULA | fields, "targets": [{"factor": 2}]})
        assert answer["written"]["rise"] == kind


def test_the_likely_range_lies_within_the_bounds_and_names_its_line(call: Call) -> None:
    written = ask(call, "/v1/rescale", EXAMPLES["rescale-parkin"]["request"])["written"]
    likely = written["likely"]
    assert written["grams_low"] < likely["grams_low"] < written["grams"] < likely["grams_high"] < written["grams_high"]
    assert likely["widest_line"] == "/formula/components/0/lines/4"  # flour by the cup


SLAB, WATER = {"tin": "square 20 x 5 cm"}, {"shape": "measured", "base_area": "400 cm2"}


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        (SLAB | {"filled_depth": "4 cm", "grams": 50}, ("unlikely_density", "/grams", 50 / 1_600, 0.3, "g_per_ml")),
        (SLAB | {"grams": 5_000}, ("unlikely_density", "/grams", 2.5, 1.4, "g_per_ml")),
        ({"tin": "square 90 x 5 cm"}, ("larger_than_oven", "/tin", 900, 800, "mm")),
        ({"tin_shape": WATER | {"volume": "120 ml"}}, ("shallow_tin", "/tin_shape", 3, 10, "mm")),
        ({"tin_shape": WATER | {"volume": "12 l"}}, ("larger_than_oven", "/tin_shape", 300, 200, "mm")),
        (
            {"tin_shape": {"shape": "measured", "volume": "1.5 ml"}},
            ("unlikely_volume", "/tin_shape", 1.5, 5, "ml"),
        ),
    ],
)
def test_an_impossible_measure_has_a_warning(
    call: Call, body: dict[str, Any], expected: tuple[str, str, float, float, str]
) -> None:
    (warning,) = ask(call, "/v1/tins/measure", body)["warnings"]
    code, pointer, value, limit, unit = expected
    assert (warning["pointers"], warning["code"], warning["unit"]) == ([pointer], code, unit)
    assert (warning["value"], warning["limit"]) == (pytest.approx(value), pytest.approx(limit))


def test_water_that_was_weighed_in_the_wrong_unit_has_a_warning(call: Call) -> None:
    def codes(water: str) -> list[str]:
        answer = ask(call, "/v1/tins/measure", {"tin_shape": {"shape": "measured", "volume": water}})
        return [warning["code"] for warning in answer["warnings"]]

    assert [codes(water) for water in ("1500 g", "1.5 g", "500 kg")] == [[], ["unlikely_volume"], ["unlikely_volume"]]


def test_a_choice_warns_of_the_formula_and_of_the_tins(call: Call) -> None:
    shallow = FORMULA | {"filled_depth": "9 mm"}
    tins = [*TINS, {"tin": "square 90 x 6 cm"}]
    warned = ask(call, "/v1/tins/choose", {"formula": shallow, "tins": tins})["warnings"]
    places = {(warning["code"], *warning["pointers"]) for warning in warned}
    assert {("unlikely_density", "/formula/filled_depth"), ("larger_than_oven", "/tins/2/tin")} <= places


def test_weights_before_and_after_the_oven_give_density_loss_and_trim(call: Call) -> None:
    body = {"tin": "square 20 x 5 cm", "filled_depth": "4 cm", "grams": 1_280}
    yields = {"raw_grams": 1_280, "baked_grams": 1_152, "trimmed_grams": 1_036.8}
    answer = ask(call, "/v1/tins/measure", body | yields)
    assert (answer["g_per_ml"], answer["bake_loss_percent"], answer["trim_percent"]) == pytest.approx((0.8, 10, 10))
    wrong = call("POST", "/v1/tins/measure", json=body | {"raw_grams": 900, "baked_grams": 990})
    (error,) = wrong.json()["errors"]
    assert (error["pointer"], error["value"], error["limit"]) == ("/baked_grams", 990, 900)
