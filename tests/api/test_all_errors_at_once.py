"""Everything that is wrong with a rescale or bake request is reported at once, each error at a field of the request."""

from typing import Any

import pytest

from tests.api.conftest import Call

PARKIN = {"tin": "square 20 x 5 cm", "filled_depth": "32 mm", "oven": "170 celsius", "fan": True, "minutes": 38}


def errors(call: Call, path: str, body: dict[str, Any]) -> list[tuple[str, str]]:
    """Pointer and code of every error of a rejected request, sorted."""
    answer = call("POST", path, json=body)
    assert answer.status_code == 422, answer.text
    return sorted((error["pointer"], error["code"]) for error in answer.json()["errors"])


def pointers(call: Call, path: str, body: dict[str, Any]) -> list[str]:
    """The pointer of every error of a rejected request, sorted."""
    return [pointer for pointer, _ in errors(call, path, body)]


def resolve(body: Any, pointer: str) -> Any:
    """The value that a JSON pointer names; KeyError or IndexError if the request has no such field."""
    for part in pointer.split("/")[1:]:
        body = body[int(part)] if isinstance(body, list) else body[part]
    return body


def test_rescale_reports_every_part_of_the_request(call: Call, formula: dict[str, Any]) -> None:
    formula["components"][0]["lines"] += [
        {"ingredient": "gronud ginger", "quantity": "1 us_tsp"},
        {"ingredient": "wharf dust", "quantity": "2 us_cup", "own": True},  # readable, but it cannot be weighed
    ]
    formula["components"][1]["lines"][0]["quantity"] = "160 mm"
    formula["bake"] = {
        "oven": "hello",
        "minutes": 38,
        "start_temperature": "4 g",
        "core_temperature": "5 mm",
    }
    body = {
        "formula": formula,
        "targets": [
            {"tin": "square 20 g"},
            {"tin": "cavities 12 x 80 ml", "depth": "3 cm"},
            {"tin": "square 25 x 5 cm", "depth": "3 kg"},
            {"tin": "square 25 x 5 cm", "cuts": {"pieces": 9, "trim": "3 g", "knife_width": "1 kg"}},
        ],
        "available_eggs": ["eu_m", "huge"],
        "scale_step": "1 mm",
        "small_step": "1 cm",
    }
    found = pointers(call, "/v1/rescale", body)
    assert found == sorted(
        [
            "/formula/bake/core_temperature",
            "/formula/bake/oven",
            "/formula/bake/start_temperature",
            "/formula/components/0/lines/4/ingredient",
            "/formula/components/0/lines/5/ingredient",
            "/formula/components/1/lines/0/quantity",
            "/targets/0/tin",
            "/targets/1/depth",
            "/targets/2/depth",
            "/targets/3/cuts/knife_width",
            "/targets/3/cuts/trim",
            "/available_eggs/1",
            "/scale_step",
            "/small_step",
        ]
    )
    for pointer in found:
        resolve(body, pointer)


def test_rescale_reports_own_ingredients_and_targets_together(call: Call, formula: dict[str, Any]) -> None:
    del formula["tin"]
    own = [{"name": "wharf flour", "g_per_ml": 0.5, "contains": ["moonlight"]}]
    body = {"formula": formula, "targets": [{"tin": "square 25 cm"}], "own_ingredients": own, "scale_step": "1 mm"}
    found = pointers(call, "/v1/rescale", body)
    assert any(pointer.startswith("/own_ingredients/0/contains") for pointer in found)
    assert {"/formula/tin", "/scale_step"} <= set(found)


def test_rescale_reports_divisions_targets_and_cuts_together(call: Call, formula: dict[str, Any]) -> None:
    formula["components"][1]["pieces"] = {"grams_each": 500}
    body = {"formula": formula, "targets": [{"tin": "cavities 12 x 80 ml", "depth": "3 cm"}]}
    assert pointers(call, "/v1/rescale", body) == ["/formula/components/1/pieces/grams_each", "/targets/0/depth"]
    formula["components"][1]["pieces"] = {"count": 16}
    body["targets"] = [
        {"tin": "cavities 12 x 80 ml", "depth": "3 cm"},
        {"tin": "square 20 x 5 cm", "cuts": {"wedges": 8}},
    ]
    assert pointers(call, "/v1/rescale", body) == ["/targets/0/depth", "/targets/1/cuts/wedges"]


def test_a_field_that_cannot_be_read_is_not_reported_as_missing_too(call: Call, formula: dict[str, Any]) -> None:
    formula |= {"tin": "square 20 g", "filled_depth": "3 kg", "egg_class": "huge"}
    formula["components"][0]["lines"][2]["quantity"] = "4 each"
    tapered = {"shape": "tapered_round", "top_diameter": "24 cm", "base_diameter": "20 cm", "depth": "6 cm"}
    body = {"formula": formula, "targets": [{"tin": tapered}, {"tin": "square 20 cm"}]}
    assert pointers(call, "/v1/rescale", body) == ["/formula/egg_class", "/formula/filled_depth", "/formula/tin"]


def test_a_missing_egg_class_is_asked_for_once_and_where_it_belongs(call: Call, formula: dict[str, Any]) -> None:
    del formula["egg_class"]
    formula["components"][0]["lines"] += [{"ingredient": "egg", "quantity": "1 each"}]
    body = {"formula": formula, "targets": [{"factor": 2}]}
    assert errors(call, "/v1/rescale", body) == [("/formula/egg_class", "egg_class_needed")]
    body["scale_step"] = "1 mm"
    assert pointers(call, "/v1/rescale", body) == ["/formula/egg_class", "/scale_step"]


def test_bake_reports_both_sides(call: Call) -> None:
    body = {
        "reference": PARKIN
        | {
            "tin": "square 20 g",
            "filled_depth": "3 kg",
            "oven": "hello",
            "start_temperature": "4 mm",
            "core_temperature": "5 g",
        },
        "target": {
            "tin": "round 23 g",
            "filled_depth": "40 cm",
            "oven": "moderate",
            "start_temperature": "-18 celsius",
            "pieces": {"diameter": "3 g", "start_temperature": "2 mm"},
        },
    }
    found = pointers(call, "/v1/bake", body)
    assert found == sorted(
        [f"/reference/{name}" for name in ("tin", "filled_depth", "oven", "start_temperature", "core_temperature")]
        + [f"/target/{name}" for name in ("tin", "filled_depth", "oven", "start_temperature")]
        + ["/target/pieces/diameter", "/target/pieces/start_temperature"]
    )
    for pointer in found:
        resolve(body, pointer)


@pytest.mark.parametrize(
    ("reference", "target", "expected"),
    [
        pytest.param(
            {"core_temperature": "50 celsius"},
            {"filled_depth": "4 g"},
            ["/reference/core_temperature", "/target/filled_depth"],
            id="a core that is too cool, and a depth",
        ),
        pytest.param(
            {"oven": "60 celsius"},
            {"oven": "70 celsius", "start_temperature": "4 g"},
            ["/reference/oven", "/target/oven", "/target/start_temperature"],
            id="two ovens that are too cool, and a temperature",
        ),
        pytest.param(
            {"start_temperature": "-18 celsius"},
            {"oven": "hello"},
            ["/reference/start_temperature", "/target/oven"],
            id="the target takes over a start that is reported already",
        ),
        pytest.param(
            {"filled_depth": "40 cm", "tin": {"shape": "measured", "volume": "900 ml"}},
            {"pieces": {"grams_each": 0.0001}},
            ["/reference/filled_depth", "/target/pieces/grams_each"],
            id="pieces given by their mass",
        ),
    ],
)
def test_bake_reports_independent_errors(
    call: Call, reference: dict[str, Any], target: dict[str, Any], expected: list[str]
) -> None:
    body = {"reference": PARKIN | reference, "target": {"tin": "square 20 x 5 cm"} | target}
    found = pointers(call, "/v1/bake", body)
    assert found == expected
    for pointer in found:
        resolve(body, pointer)
