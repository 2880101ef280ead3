"""Everything that is wrong with a rescale or bake request is reported at once, each error at a field of the request."""

from typing import Any

import pytest

from tests.api.conftest import Call


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
            {"tin": "square 25 x 5 cm", "cuts": {"portions": 9, "trim": "3 g", "knife_width": "1 kg"}},
        ],
        "available_egg_classes": ["eu_m", "huge"],
        "scale_step": "1 mm",
        "small_scale_step": "1 cm",
    }
    reported = pointers(call, "/v1/rescale", body)
    assert reported == sorted(
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
            "/available_egg_classes/1",
            "/scale_step",
            "/small_scale_step",
        ]
    )
    for pointer in reported:
        resolve(body, pointer)


def test_rescale_reports_own_ingredients_and_targets_together(call: Call, formula: dict[str, Any]) -> None:
    del formula["tin"]
    own = [{"name": "wharf flour", "g_per_ml": 0.5, "contains": ["moonlight"]}]
    body = {
        "formula": formula,
        "targets": [{"tin": "square 25 cm"}],
        "shop": {"own_ingredients": own},
        "scale_step": "1 mm",
    }
    reported = pointers(call, "/v1/rescale", body)
    assert any(pointer.startswith("/shop/own_ingredients/0/contains") for pointer in reported)
    assert {"/formula/tin", "/scale_step"} <= set(reported)


def test_rescale_reports_divisions_targets_and_cuts_together(call: Call, formula: dict[str, Any]) -> None:
    formula["components"][1]["pieces"] = {"grams_each": 500}
    body = {"formula": formula, "targets": [{"tin": "cavities 12 x 80 ml", "depth": "3 cm"}]}
    assert pointers(call, "/v1/rescale", body) == ["/formula/components/1/pieces/grams_each", "/targets/0/depth"]
    formula["components"][1]["pieces"] = {"count": 16}
    body["targets"] = [
        {"tin": "cavities 12 x 80 ml", "depth": "3 cm"},
        {"tin": "square 20 x 5 cm", "cuts": {"wedges": 8}},
    ]
    answer = call("POST", "/v1/rescale", json=body).json()
    problems = [error for target in answer["targets"] for error in target["problem"]["errors"]]
    assert [error["pointer"] for error in problems] == ["/targets/0/depth", "/targets/1/cuts/wedges"]


def test_a_field_that_cannot_be_read_is_not_reported_as_missing_too(call: Call, formula: dict[str, Any]) -> None:
    formula |= {"tin": "square 20 g", "filled_depth": "3 kg", "egg_class": "huge"}
    formula["components"][0]["lines"][2]["quantity"] = "4 each"
    tapered = {"shape": "tapered_round", "top_diameter": "24 cm", "base_diameter": "20 cm", "depth": "6 cm"}
    body = {"formula": formula, "targets": [{"tin_shape": tapered}, {"tin": "square 20 cm"}]}
    assert pointers(call, "/v1/rescale", body) == ["/formula/egg_class", "/formula/filled_depth", "/formula/tin"]


def test_a_missing_egg_class_is_asked_for_once_and_where_it_belongs(call: Call, formula: dict[str, Any]) -> None:
    del formula["egg_class"]
    formula["components"][0]["lines"] += [{"ingredient": "egg", "quantity": "1 each"}]
    body = {"formula": formula, "targets": [{"factor": 2}]}
    assert errors(call, "/v1/rescale", body) == [("/formula/egg_class", "egg_class_needed")]
    body["scale_step"] = "1 mm"
    assert pointers(call, "/v1/rescale", body) == ["/formula/egg_class", "/scale_step"]


def test_bake_reports_formula_and_targets(call: Call, formula: dict[str, Any]) -> None:
    formula |= {"tin": "square 20 g", "filled_depth": "3 kg"}
    formula["bake"] = {"oven": "hello", "start_temperature": "4 mm", "core_temperature": "5 g"}
    changes = {"oven": "moderate", "start_temperature": "-18 celsius"}
    pieces = {"count": 4, "diameter": "3 g", "start_temperature": "2 mm"}
    body = {"formula": formula, "targets": [{"tin": "round 23 g", "bake": changes, "pieces": pieces}]}
    reported = pointers(call, "/v1/bake", body)
    assert reported == sorted(
        [f"/formula/{name}" for name in ("tin", "filled_depth")]
        + [f"/formula/bake/{name}" for name in ("oven", "start_temperature", "core_temperature")]
        + [f"/targets/0/bake/{name}" for name in ("oven", "start_temperature")]
        + ["/targets/0/tin", "/targets/0/pieces/diameter", "/targets/0/pieces/start_temperature"]
    )
    for pointer in reported:
        resolve(body, pointer)


@pytest.mark.parametrize(
    ("line", "pointer"),
    [
        ({"ingredient": "rolled oats", "quantity": "2 each"}, ""),
        ({"ingredient": "plain flour", "quantity": "1 us_cup", "packing": "melted"}, "/packing"),
        ({"ingredient": "plain flour", "quantity": "10 cm"}, "/quantity"),
        ({"ingredient": "wharf dust", "own": True, "quantity": "1 us_cup"}, "/ingredient"),
    ],
)
def test_a_line_without_a_weight_is_reported_once_beside_a_target_that_fills_as_usual(
    call: Call, formula: dict[str, Any], line: dict[str, Any], pointer: str
) -> None:
    formula["components"][0]["lines"][0] = line
    targets = [{"tin": "rectangle 30 x 20 x 5 cm", "depth": "fit"}, {"tin": "square 20 cm", "depth": "fit"}]
    for path in ("/v1/rescale", "/v1/cost"):
        reported = errors(call, path, {"formula": formula, "targets": targets, "shop": {"currency": "GBP"}})
        assert [place for place, _ in reported] == [f"/formula/components/0/lines/0{pointer}", "/targets/1/tin"]
    del formula["filled_depth"]
    body = {"formula": formula, "targets": targets[:1]}
    assert ("/formula/filled_depth", "filled_depth_needed") in errors(call, "/v1/rescale", body)
