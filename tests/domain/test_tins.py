"""Tins: impossible tins cannot be constructed, and the area is a polynomial that fits the shape."""

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.errors import OutOfRangeError
from domain.tins.shapes import (
    CavitiesTin,
    MeasuredTin,
    PolygonTin,
    RectangleTin,
    RingTin,
    RoundTin,
    SquareTin,
    TaperedRectangleTin,
    TaperedRoundTin,
    Tin,
    walls_of,
)
from tests.strategies import LAW, lengths_mm, tapered_tins, tins_with_walls, upright_tins

WRONG_MM = [0.0, -1.0, 0.5, 2_000.1, math.nan, math.inf, -math.inf]
SIZES: list[tuple[Callable[..., Tin], dict[str, Any]]] = [
    (SquareTin, {"side_mm": 200.0, "depth_mm": 50.0}),
    (RectangleTin, {"length_mm": 300.0, "width_mm": 200.0, "depth_mm": 50.0}),
    (RoundTin, {"diameter_mm": 230.0, "depth_mm": 70.0}),
    (RingTin, {"diameter_mm": 250.0, "hole_mm": 80.0, "depth_mm": 90.0}),
    (PolygonTin, {"sides": 6, "across_flats_mm": 200.0, "depth_mm": 60.0}),
    (
        TaperedRectangleTin,
        {
            "top_length_mm": 230.0,
            "top_width_mm": 130.0,
            "base_length_mm": 200.0,
            "base_width_mm": 100.0,
            "depth_mm": 70.0,
        },
    ),
    (TaperedRoundTin, {"top_diameter_mm": 230.0, "base_diameter_mm": 200.0, "depth_mm": 60.0}),
]
EACH_SIZE = [(make, sizes, name) for make, sizes in SIZES for name in sizes if name.endswith("_mm")]


@pytest.mark.parametrize(("make", "sizes", "name"), EACH_SIZE, ids=[f"{row[0].__name__} {row[2]}" for row in EACH_SIZE])
@pytest.mark.parametrize("wrong", WRONG_MM, ids=str)
def test_errors_name_the_impossible_size(
    make: Callable[..., Tin], sizes: dict[str, Any], name: str, wrong: float
) -> None:
    with pytest.raises(OutOfRangeError) as refusal:
        make(**(sizes | {name: wrong}))
    assert refusal.value.path == (name.removesuffix("_mm"),)
    assert make(**sizes) == make(**sizes)


OTHER: list[tuple[str, Callable[[], Tin]]] = [
    ("hole as wide as the tin", lambda: RingTin(diameter_mm=200, hole_mm=200)),
    ("hole wider than the tin", lambda: RingTin(diameter_mm=200, hole_mm=250)),
    ("two sides", lambda: PolygonTin(sides=2, across_flats_mm=200)),
    ("21 sides", lambda: PolygonTin(sides=21, across_flats_mm=200)),
    ("corner of more than half a side", lambda: SquareTin(side_mm=200, corner_radius_mm=100.1)),
    ("corner below nothing", lambda: SquareTin(side_mm=200, corner_radius_mm=-1)),
    ("corner that is no number", lambda: SquareTin(side_mm=200, corner_radius_mm=math.nan)),
    ("corner wider than the narrow side", lambda: RectangleTin(length_mm=300, width_mm=100, corner_radius_mm=51)),
    ("corner wider than a polygon", lambda: PolygonTin(sides=6, across_flats_mm=100, corner_radius_mm=51)),
    ("no cavities", lambda: CavitiesTin(count=0, volume_ml=80)),
    ("1,001 cavities", lambda: CavitiesTin(count=1_001, volume_ml=80)),
    ("cavities of nothing", lambda: CavitiesTin(count=12, volume_ml=0)),
    ("cavities of no number", lambda: CavitiesTin(count=12, volume_ml=math.nan)),
    ("endless volume", lambda: MeasuredTin(volume_ml=math.inf)),
    ("a volume above a cubic metre", lambda: MeasuredTin(volume_ml=1_000_001)),
    ("a base of nothing", lambda: MeasuredTin(volume_ml=1_000, base_area_mm2=0)),
    ("a base that is no number", lambda: MeasuredTin(volume_ml=1_000, base_area_mm2=math.nan)),
    ("a litre on a square millimetre, a kilometre deep", lambda: MeasuredTin(volume_ml=1_000, base_area_mm2=1)),
]


@pytest.mark.parametrize("make", [row[1] for row in OTHER], ids=[row[0] for row in OTHER])
def test_impossible_tins_are_rejected(make: Callable[[], Tin]) -> None:
    with pytest.raises(OutOfRangeError):
        make()


def base(tin: Tin) -> float:
    walls = walls_of(tin)
    assert walls is not None
    return walls.a0


@LAW
@given(tins_with_walls(), st.floats(0, 1))
def test_the_area_is_positive_at_every_height(tin: Tin, share: float) -> None:
    walls = walls_of(tin)
    assert walls is not None
    assert walls.depth_mm is not None
    assert walls.area_mm2(share * walls.depth_mm) > 0


@LAW
@given(upright_tins())
def test_upright_walls_have_the_same_area_at_every_height(tin: Tin) -> None:
    walls = walls_of(tin)
    assert walls is not None
    assert not walls.sloping
    assert walls.area_mm2(0) == walls.area_mm2(50)


@LAW
@given(lengths_mm, st.floats(0, 20))
def test_a_square_is_a_rectangle_and_a_polygon_of_four(side: float, radius: float) -> None:
    square = base(SquareTin(side_mm=side, corner_radius_mm=radius))
    assert square == base(RectangleTin(length_mm=side, width_mm=side, corner_radius_mm=radius))
    assert square == pytest.approx(base(PolygonTin(sides=4, across_flats_mm=side, corner_radius_mm=radius)))


@LAW
@given(lengths_mm)
def test_a_square_with_the_largest_corners_is_round(side: float) -> None:
    assert base(SquareTin(side_mm=side, corner_radius_mm=side / 2)) == pytest.approx(base(RoundTin(diameter_mm=side)))


@LAW
@given(lengths_mm)
def test_polygons_approach_their_inscribed_circle(across: float) -> None:
    areas = [base(PolygonTin(sides=sides, across_flats_mm=across)) for sides in range(3, 21)]
    assert areas == sorted(areas, reverse=True)
    assert base(RoundTin(diameter_mm=across)) < areas[-1] < 1.01 * base(RoundTin(diameter_mm=across))


@LAW
@given(st.floats(150, 400), st.floats(20, 140))
def test_a_ring_is_the_round_tin_without_its_hole(diameter: float, hole: float) -> None:
    ring = base(RingTin(diameter_mm=diameter, hole_mm=hole))
    assert ring + base(RoundTin(diameter_mm=hole)) == pytest.approx(base(RoundTin(diameter_mm=diameter)))


GROW = st.floats(0.1, 50)


@LAW
@given(lengths_mm, lengths_mm, GROW)
def test_every_size_makes_a_tin_larger(side: float, width: float, more: float) -> None:
    assert base(SquareTin(side_mm=side)) < base(SquareTin(side_mm=side + more))
    rectangle = base(RectangleTin(length_mm=side, width_mm=width))
    assert rectangle < base(RectangleTin(length_mm=side + more, width_mm=width))
    assert rectangle < base(RectangleTin(length_mm=side, width_mm=width + more))
    assert base(RoundTin(diameter_mm=side)) < base(RoundTin(diameter_mm=side + more))
    assert base(RingTin(diameter_mm=700, hole_mm=side)) > base(RingTin(diameter_mm=700, hole_mm=side + more))
    assert base(PolygonTin(sides=7, across_flats_mm=side)) < base(PolygonTin(sides=7, across_flats_mm=side + more))


@LAW
@given(tapered_tins())
def test_tapered_tins_have_their_own_base_and_rim(tin: Tin) -> None:
    walls = walls_of(tin)
    assert walls is not None
    assert walls.depth_mm is not None
    if isinstance(tin, TaperedRoundTin):
        ends = base(RoundTin(diameter_mm=tin.base_diameter_mm)), base(RoundTin(diameter_mm=tin.top_diameter_mm))
    else:
        assert isinstance(tin, TaperedRectangleTin)
        ends = tin.base_length_mm * tin.base_width_mm, tin.top_length_mm * tin.top_width_mm
    assert (walls.a0, walls.area_mm2(walls.depth_mm)) == pytest.approx(ends)


def test_a_tapered_tin_with_equal_base_and_rim_is_upright() -> None:
    tapered = TaperedRoundTin(top_diameter_mm=200, base_diameter_mm=200, depth_mm=60)
    assert walls_of(tapered) == walls_of(RoundTin(diameter_mm=200, depth_mm=60))


def test_a_tin_known_only_by_its_volume_has_no_walls() -> None:
    assert walls_of(CavitiesTin(count=12, volume_ml=80)) is None
    assert walls_of(MeasuredTin(volume_ml=2_000)) is None
    walls = walls_of(MeasuredTin(volume_ml=2_000, base_area_mm2=40_000))
    assert walls is not None
    assert walls.depth_mm == 50
