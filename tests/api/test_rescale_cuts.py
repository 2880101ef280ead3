"""`cuts` as a target's wish in `/v1/rescale`: the layout, pieces weighed after the bake loss."""

from typing import Any

import pytest
from pydantic import TypeAdapter

from api.v1.rescale.schemas import RescaleAnswer
from tests.api.conftest import Call


def rescaled(call: Call, formula: dict[str, Any], *targets: dict[str, Any]) -> Any:
    answer = call("POST", "/v1/rescale", json={"formula": formula, "targets": list(targets)})
    if answer.status_code == 200:
        TypeAdapter(RescaleAnswer).validate_json(answer.content, strict=True)
    return answer.json()


def test_pieces_weigh_their_share_of_one_baked_tin(call: Call, formula: dict[str, Any]) -> None:
    cuts = {"portions": 24, "bake_loss_percent": 12.5, "trim": "5 mm"}
    wanted = {"tin": "rectangle 30 x 20 x 5 cm", "tins": 2, "cuts": cuts}
    plain, cut = rescaled(call, formula, {"tin": "round 23 x 5 cm"}, wanted)["targets"]
    assert "cuts" not in plain
    layout = cut["cuts"]
    assert (layout["rows"], layout["columns"], layout["corner_portions"]) == (4, 6, 4)
    slab_g = cut["grams"] / 2 * 0.875
    assert layout["slab"]["grams"] == pytest.approx(slab_g)
    assert 24 * layout["portion"]["grams"] + layout["trim"]["grams"] == pytest.approx(slab_g)


def test_without_a_bake_loss_pieces_have_no_mass(call: Call, formula: dict[str, Any]) -> None:
    wanted = {"label": "ring", "tin": "ring 25 x 8 x 9 cm", "cuts": {"wedges": 12, "drawing": True}}
    [target] = rescaled(call, formula, wanted)["targets"]
    assert [warning["code"] for warning in target["cuts"]["warnings"]] == ["bake_loss_missing"]
    assert "grams" not in target["cuts"]["portion"]
    assert target["cuts"]["drawing"].startswith("<svg ")


def test_errors_and_warnings_name_the_field(call: Call, formula: dict[str, Any]) -> None:
    bad = {"tin": "square 20 x 5 cm", "cuts": {"wedges": 8}}
    muffins = {"tin": "cavities 12 x 80 ml", "cuts": {"portions": 8}}
    targets = rescaled(call, formula | {"tin": "square 20 x 5 cm"}, bad, muffins)["targets"]
    errors = [error for target in targets for error in target["problem"]["errors"]]
    assert [error["pointer"] for error in errors] == ["/targets/0/cuts/wedges", "/targets/1/tin"]
    tapered = {"shape": "tapered_round", "top_diameter": "24 cm", "base_diameter": "20 cm", "depth": "6 cm"}
    [target] = rescaled(
        call, formula, {"tin_shape": tapered, "cuts": {"wedges": 8, "trim": "2 mm", "bake_loss_percent": 10}}
    )["targets"]
    pointers = [warning["pointers"][0] for warning in target["cuts"]["warnings"]]
    assert pointers == ["/targets/0/tin_shape", "/targets/0/cuts/trim"]


def test_the_cuts_of_the_formula_hold_for_every_target_that_has_none(call: Call, formula: dict[str, Any]) -> None:
    formula["cuts"] = {"portions": 12, "bake_loss_percent": 10}
    targets: list[dict[str, Any]] = [{"tin": "square 24 x 5 cm"}, {"tin": "cavities 12 x 80 ml"}, {"factor": 2}]
    cut, muffins, doubled = rescaled(call, formula, *targets)["targets"]
    assert cut["cuts"]["portions"] == 12
    assert cut["cuts"]["slab"]["grams"] == pytest.approx(cut["grams"] * 0.9)
    assert "cuts" not in muffins
    assert [warning["code"] for warning in muffins["warnings"]][-1] == "not_cut"
    assert "cuts" not in doubled


def test_the_batch_of_cuts_has_the_figures_of_rescale(call: Call, formula: dict[str, Any]) -> None:
    formula["cuts"] = {"portion_grams": 55, "bake_loss_percent": 10, "knife_width": "1 mm"}
    targets = [{"tin": "rectangle 30 x 20 x 5 cm"}, {"tin": "ring 25 x 8 x 9 cm", "cuts": {"wedges": 14}}]
    body = {"formula": formula, "targets": targets}
    batch = call("POST", "/v1/cuts/batch", json=body).json()
    whole = call("POST", "/v1/rescale", json=body).json()
    assert [target["cuts"] for target in batch["targets"]] == [target["cuts"] for target in whole["targets"]]
