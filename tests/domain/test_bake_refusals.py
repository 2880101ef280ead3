"""What a bake is taken to be, and what is refused because the model cannot know it."""

import math
from typing import Any

import pytest

from domain.baking.bodies import body_of
from domain.baking.cases import BatterPieces
from domain.baking.window import estimate_bake
from domain.errors import DomainError, MismatchError, NeededError, OutOfRangeError
from domain.tins.shapes import CavitiesTin, MeasuredTin, SquareTin, TaperedRectangleTin, Tin
from domain.tins.text import parse_tin
from tests.domain.test_baking import bake


def test_bodies_of_tins() -> None:
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
    # 100 ml, twice as wide as deep: π/4·(2d)²·d = 100 ml gives d = 31.7 mm.
    assert halves(CavitiesTin(count=12, volume_ml=100), 25)[0][1] == pytest.approx(31.69, abs=0.01)
    assert body_of(SquareTin(side_mm=200), 40)[0].volume_mm3 == 200 * 200 * 40


@pytest.mark.parametrize(
    ("wrong", "error"),
    [
        ({"depth": 0.5}, OutOfRangeError),
        ({"depth": 301}, OutOfRangeError),
        ({"start_c": -18.0}, OutOfRangeError),
        ({"oven": "moderate"}, NeededError),
        ({"tin": MeasuredTin(volume_ml=900)}, NeededError),
        ({"tin": CavitiesTin(count=12, volume_ml=80), "depth": 60}, MismatchError),
        ({"pieces": BatterPieces(diameter_mm=38, start_c=4, count=900)}, OutOfRangeError),
    ],
)
def test_what_the_model_cannot_know_is_refused(wrong: dict[str, Any], error: type[DomainError]) -> None:
    with pytest.raises(error):
        bake(**wrong)


@pytest.mark.parametrize(
    ("time", "core", "oven"), [(0, 96, 180), (1441, 96, 180), (45, 60, 180), (45, 96, 90), (45, 125, 180)]
)
def test_no_answer_where_the_core_cannot_get_there(time: float, core: float, oven: int) -> None:
    one = bake(oven=f"{oven} celsius")
    with pytest.raises(OutOfRangeError):
        estimate_bake(one, time, one, core)
