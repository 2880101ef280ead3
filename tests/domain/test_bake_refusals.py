"""Shapes of tins in the bake model, and bakes that are rejected because the model does not cover them."""

import math
from typing import Any

import pytest

from domain.baking.bodies import body_of
from domain.baking.cases import BatterPieces
from domain.baking.window import estimate_bake
from domain.errors import DomainErrors
from domain.tins.shapes import CavitiesTin, MeasuredTin, SquareTin, TaperedRectangleTin, Tin
from domain.tins.text import parse_tin
from tests.domain.test_baking import bake


def test_each_shape_of_tin_is_heated_as_slabs_and_cylinders() -> None:
    def halves(tin: Tin | str, depth: float = 40) -> list[tuple[str, float]]:
        body, _ = body_of(parse_tin(tin) if isinstance(tin, str) else tin, depth)
        return [(extent.shape, extent.half_mm) for extent in body.extents]

    assert halves("rectangle 20 x 30 cm") == [("slab", 100), ("slab", 150), ("slab", 20)]
    assert halves("round 23 cm") == [("cylinder", 115), ("slab", 20)]
    assert halves("ring 25 x 8 cm") == [("slab", 42.5), ("slab", 20)]
    tapered = TaperedRectangleTin(
        top_length_mm=220, top_width_mm=120, base_length_mm=200, base_width_mm=100, depth_mm=80
    )
    assert halves(tapered) == [("slab", 102.5), ("slab", 52.5), ("slab", 20)]
    assert halves(MeasuredTin(volume_ml=2000, base_area_mm2=math.pi * 110**2))[0][1] == pytest.approx(110)
    # 100 ml, twice as wide as it is deep: π/4·(2d)²·d = 100 ml gives d = 31.7 mm.
    assert halves(CavitiesTin(count=12, volume_ml=100), 25)[0][1] == pytest.approx(31.69, abs=0.01)
    assert body_of(SquareTin(side_mm=200), 40)[0].volume_mm3 == 200 * 200 * 40


@pytest.mark.parametrize(
    ("wrong", "code", "path"),
    [
        ({"depth": 0.5}, "out_of_range", ("filled_depth",)),
        ({"depth": 301}, "out_of_range", ("filled_depth",)),
        ({"start_c": -18.0}, "out_of_range", ("start_temperature",)),
        ({"oven": "moderate"}, "oven_needed", ("oven",)),
        ({"tin": MeasuredTin(volume_ml=900)}, "shape_needed", ("tin", "base_area")),
        ({"tin": CavitiesTin(count=12, volume_ml=80), "depth": 60}, "too_deep_for_cavity", ("filled_depth",)),
        ({"pieces": BatterPieces(diameter_mm=38, start_c=4, count=900)}, "out_of_range", ("pieces", "count")),
    ],
)
def test_a_bake_outside_the_model_is_rejected(wrong: dict[str, Any], code: str, path: tuple[str, ...]) -> None:
    with pytest.raises(DomainErrors) as rejected:
        bake(**wrong)
    assert [(error.code, error.path) for error in rejected.value.errors] == [(code, path)]


def test_every_field_outside_the_model_is_named() -> None:
    with pytest.raises(DomainErrors) as rejected:
        bake(depth=400, start_c=-18.0, oven="moderate")
    assert [error.path for error in rejected.value.errors] == [("filled_depth",), ("start_temperature",), ("oven",)]
    with pytest.raises(DomainErrors) as rejected:
        BatterPieces(diameter_mm=0.5, start_c=70, count=-1)
    assert [error.path for error in rejected.value.errors] == [("diameter",), ("count",), ("start_temperature",)]


@pytest.mark.parametrize(
    ("minutes", "core_c", "oven", "paths"),
    [
        (0, 96, 180, [("minutes",)]),
        (1441, 96, 180, [("minutes",)]),
        (45, 60, 180, [("core_temperature",)]),
        (45, 96, 90, [("reference", "oven")]),
        (45, 125, 180, [("reference", "oven")]),
        (0, 60, 50, [("minutes",), ("core_temperature",), ("reference", "oven")]),
    ],
)
def test_there_is_no_estimate_if_the_core_cannot_reach_its_temperature(
    minutes: float, core_c: float, oven: int, paths: list[tuple[str, ...]]
) -> None:
    same = bake(oven=f"{oven} celsius")
    with pytest.raises(DomainErrors) as rejected:
        estimate_bake(same, minutes, same, core_c)
    assert [error.path for error in rejected.value.errors] == paths


def test_each_oven_that_is_too_cool_is_named() -> None:
    with pytest.raises(DomainErrors) as rejected:
        estimate_bake(bake(oven="80 celsius"), 45, bake(oven="70 celsius"), 96)
    assert [error.path for error in rejected.value.errors] == [("reference", "oven"), ("target", "oven")]
