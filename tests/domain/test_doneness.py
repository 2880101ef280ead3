"""Doneness by place: the field against finite volumes, its laws, and the shares of each piece's faces."""

import math
from itertools import pairwise
from typing import Any

import pytest

from domain.baking.doneness import Band, Doneness, band_of, doneness_by_place
from domain.baking.heat_field import HeatField
from domain.baking.window import BakeEstimate, estimate_bake
from domain.cutting.cuts import cut_slab
from domain.cutting.layouts import Cutting
from domain.cutting.tin_slabs import slab_of
from domain.cutting.wishes import GridWish, RingsWish, WedgesWish, Wish
from domain.errors import DomainErrors
from domain.tins.text import parse_tin
from tests.domain.finite_volumes import axis, left
from tests.domain.test_baking import PARKIN, bake

FOUR_BY_FOUR = GridWish(rows=4, columns=4)


def estimate(tin: str = "square 20 cm", depth: float = 40, core_c: float = 88.0) -> BakeEstimate:
    return estimate_bake(PARKIN, 45, bake(tin, depth), core_c)


def mapped(
    tin: str = "square 20 cm",
    wish: Wish = FOUR_BY_FOUR,
    *,
    trim_mm: float = 0.0,
    slab_g: float | None = None,
    **more: Any,
) -> Doneness:
    layout = cut_slab(slab_of(parse_tin(tin))[0], wish, Cutting(trim_mm=trim_mm, slab_g=slab_g))
    return doneness_by_place(estimate(tin), layout, **more)


@pytest.mark.parametrize("tin", ["square 20 cm", "rectangle 16 x 24 cm", "round 18 cm"])
def test_the_field_against_finite_volumes(tin: str) -> None:
    done = estimate(tin, 50)
    field, heated = HeatField(done), done.central.target
    s = done.central.diffusivity * done.central.minutes / done.central.stretch
    film = heated.factors[0].biot / math.sqrt(heated.factors[0].square_mm2)
    cells = {3: 24, 2: 60}[len(heated.factors)]
    axes = [axis(f.shape, math.sqrt(f.square_mm2), film, cells) for f in heated.factors]
    remaining = left([matrix for matrix, _ in axes], s)
    for share in (0, cells // 3, cells - 4):
        index = (*(share for _ in axes[:-1]), 0)
        place = [axes[i][1][share] for i in range(len(axes) - 1)]
        expected = heated.surroundings_c - (heated.surroundings_c - heated.start_c) * remaining[index]
        assert field.celsius(place, axes[-1][1][0], done.minutes) == pytest.approx(min(100, expected), abs=0.4)


def test_the_middle_piece_has_the_core_and_the_others_are_hotter() -> None:
    five = mapped(wish=GridWish(rows=5, columns=5))
    assert five.pieces[12].coldest_c == pytest.approx(88, abs=1e-6)
    assert five.pieces[12].coldest_c < five.pieces[11].coldest_c < five.pieces[10].coldest_c
    assert five.pieces[10].coldest_c < five.pieces[0].coldest_c
    for piece in five.pieces:
        assert piece.coldest_c <= piece.mean_c <= 100
        assert piece.lethality_minutes >= five.pieces[12].lethality_minutes * (1 - 1e-12)


def test_a_square_is_symmetric() -> None:
    pieces = mapped().pieces
    for row in range(4):
        for column in range(4):
            piece = pieces[4 * row + column]
            for other in (pieces[4 * column + row], pieces[4 * (3 - row) + column]):
                assert (piece.coldest_c, piece.mean_c) == pytest.approx((other.coldest_c, other.mean_c))


def test_shares_of_faces_by_hand() -> None:
    # A 200 mm square 50 mm high in 4 x 4: a corner has a 50 x 50 top, two 50 x 50 walls, two cut faces and the base.
    pieces = mapped(baked_depth_mm=50.0).pieces
    corner, edge, centre = pieces[0], pieces[1], pieces[5]
    assert [corner.crust_percent, edge.crust_percent, centre.crust_percent] == pytest.approx([50, 100 / 3, 100 / 6])
    assert [corner.side_percent, edge.side_percent, centre.side_percent] == pytest.approx([12.5, 6.25, 0])
    trimmed = mapped(trim_mm=5.0).pieces
    assert all(piece.side_percent == 0 for piece in trimmed)


@pytest.mark.parametrize(
    ("tin", "wish"),
    [
        ("square 20 cm", FOUR_BY_FOUR),
        ("rectangle 20 x 30 cm", GridWish(rows=3, columns=5)),
        ("round 23 cm", WedgesWish(wedges=8)),
        ("round 23 cm", RingsWish(rings=(1, 6, 12))),
        ("ring 25 x 8 cm", WedgesWish(wedges=10)),
    ],
)
def test_losses_and_sides_add_up_to_the_slab(tin: str, wish: Wish) -> None:
    pieces = mapped(tin, wish, mix_g=990.0, slab_g=900.0).pieces
    assert sum(p.side_percent for p in pieces) == pytest.approx(100)
    lost = [(p.top_loss_g or 0) + (p.side_loss_g or 0) + (p.base_loss_g or 0) for p in pieces]
    assert sum(lost) == pytest.approx(90)
    assert mapped(tin, wish).pieces[0].top_loss_g is None


def test_the_outer_ring_of_a_round_is_hotter_and_a_full_wedge_reaches_the_middle() -> None:
    rings = mapped("round 23 cm", RingsWish(rings=(1, 6, 12))).pieces
    assert rings[0].coldest_c == pytest.approx(88, abs=1e-6)
    assert rings[0].coldest_c < rings[1].coldest_c < rings[-1].coldest_c
    wedges = mapped("round 23 cm", WedgesWish(wedges=8)).pieces
    assert {round(p.coldest_c, 6) for p in wedges} == {88.0}


@pytest.mark.parametrize("tin", ["rectangle 20 x 30 cm", "round 23 cm"])
def test_every_point_of_an_isotherm_has_its_temperature(tin: str) -> None:
    wish: Wish = GridWish(rows=4, columns=4)
    field, shown = HeatField(estimate(tin)), mapped(tin, wish)
    assert len(shown.isotherms) >= 3
    assert all(a.celsius < b.celsius for a, b in pairwise(shown.isotherms))
    for isotherm in shown.isotherms:
        for line in isotherm.lines:
            for x, y in line:
                place = [abs(x), abs(y)] if field.kind == "rectangle" else [math.hypot(x, y)]
                assert field.celsius(place, 0.0, shown.minutes) == pytest.approx(isotherm.celsius, abs=0.1)


def test_isotherms_of_a_ring_lie_on_both_sides_of_its_gap() -> None:
    shown = mapped("ring 25 x 8 cm", WedgesWish(wedges=8))
    inner, outer = (math.hypot(*line[0]) for line in shown.isotherms[0].lines)
    assert 40 < inner < 82.5 < outer < 125  # the gap runs from 40 to 125 mm
    assert inner + outer == pytest.approx(165)


BANDS = [Band(name="soft", up_to_c=93), Band(name="set", up_to_c=97), Band(name="firm")]


def test_bands_are_the_shop_s_own_words() -> None:
    shown = mapped(bands=BANDS)
    assert {p.band for p in shown.pieces} == {"soft", "set", "firm"}
    assert [i.celsius for i in shown.isotherms] == [93, 97]
    for piece in shown.pieces:
        assert piece.band == band_of(piece.coldest_c, BANDS)
    assert mapped().pieces[0].band is None
    assert band_of(99, BANDS[:2]) is None


def test_bands_that_do_not_rise_are_refused_one_by_one() -> None:
    wrong = [Band(name="a"), Band(name="b", up_to_c=95), Band(name="c", up_to_c=90)]
    with pytest.raises(DomainErrors) as refused:
        mapped(bands=wrong)
    assert [error.path for error in refused.value.errors] == [("bands", 0, "up_to"), ("bands", 2, "up_to")]


def test_a_map_of_too_many_pieces_is_refused() -> None:
    with pytest.raises(DomainErrors) as refused:
        mapped("rectangle 60 x 40 cm", GridWish(rows=20, columns=30))
    assert [error.path for error in refused.value.errors] == [("cuts",)]


def test_a_longer_bake_leaves_no_piece_colder() -> None:
    layout = cut_slab(slab_of(parse_tin("square 20 cm"))[0], FOUR_BY_FOUR, Cutting())
    early, late = (doneness_by_place(estimate(core_c=core), layout) for core in (80.0, 92.0))
    assert all(a.coldest_c <= b.coldest_c for a, b in zip(early.pieces, late.pieces, strict=True))


def test_part_pieces_are_left_out_and_whole_ones_numbered() -> None:
    shown = mapped("round 23 cm", GridWish(rows=5, columns=5))
    assert [piece.number for piece in shown.pieces] == list(range(1, shown.layout.pieces + 1))
    places = [shape.place for shape in shown.layout.shapes]
    assert all(places[piece.index] != "part" for piece in shown.pieces)
