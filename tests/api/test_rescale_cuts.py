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
    cuts = {"pieces": 24, "bake_loss_percent": 12.5, "trim": "5 mm"}
    wanted = {"tin": "rectangle 30 x 20 x 5 cm", "tins": 2, "cuts": cuts}
    plain, cut = rescaled(call, formula, {"tin": "round 23 x 5 cm"}, wanted)["targets"]
    assert "cuts" not in plain
    layout = cut["cuts"]
    assert (layout["rows"], layout["columns"], layout["corner"]) == (4, 6, 4)
    slab_g = cut["grams"] / 2 * 0.875
    assert layout["slab"]["grams"] == pytest.approx(slab_g)
    assert 24 * layout["piece"]["grams"] + layout["trim"]["grams"] == pytest.approx(slab_g)


def test_without_a_bake_loss_pieces_have_no_mass(call: Call, formula: dict[str, Any]) -> None:
    wanted = {"label": "ring", "tin": "ring 25 x 8 x 9 cm", "cuts": {"wedges": 12, "drawing": True}}
    [target] = rescaled(call, formula, wanted)["targets"]
    assert "grams" not in target["cuts"]["piece"]
    assert target["cuts"]["drawing"].startswith("<svg ")


def test_errors_and_warnings_name_the_field(call: Call, formula: dict[str, Any]) -> None:
    bad = {"tin": "square 20 x 5 cm", "cuts": {"wedges": 8}}
    muffins = {"tin": "cavities 12 x 80 ml", "cuts": {"pieces": 8}}
    problem = rescaled(call, formula | {"tin": "square 20 x 5 cm"}, bad, muffins)
    assert [error["pointer"] for error in problem["errors"]] == ["/targets/0/cuts/wedges", "/targets/1/tin"]
    tapered = {"shape": "tapered_round", "top_diameter": "24 cm", "base_diameter": "20 cm", "depth": "6 cm"}
    [target] = rescaled(call, formula, {"tin_shape": tapered, "cuts": {"wedges": 8, "trim": "2 mm"}})["targets"]
    pointers = [warning["pointer"] for warning in target["cuts"]["warnings"]]
    assert pointers == ["/targets/0/tin_shape", "/targets/0/cuts/trim"]


def test_cuts_need_a_tin(call: Call, formula: dict[str, Any]) -> None:
    answer = call("POST", "/v1/rescale", json={"formula": formula, "targets": [{"factor": 2, "cuts": {"pieces": 4}}]})
    assert answer.status_code == 422
