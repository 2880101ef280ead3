"""Speed of cutting in milliseconds of processor time, the best of many rounds: the issue's own bounds."""

import pytest

from api.drawings.cuts import draw_cuts
from domain.cutting.cuts import cut_slab
from domain.cutting.layouts import CountWish, Cutting, SizeWish
from domain.cutting.slabs import PolygonSlab, RectangleSlab, RoundSlab
from domain.pieces.patterns import set_pieces
from tests.load.clock import best_ms

pytestmark = pytest.mark.benchmark
SHEET = RectangleSlab(length_mm=660.4, width_mm=457.2)
CUTTING = Cutting(slab_g=9_000, trim_mm=5, knife_mm=2)


def test_two_hundred_pieces_in_two_milliseconds() -> None:
    took = best_ms(lambda: cut_slab(SHEET, CountWish(pieces=200), CUTTING), 5)
    print(f"\nlayout of 200 pieces: {took:.2f} ms")
    assert took < 2


@pytest.mark.parametrize("side", [60, 40, 25, 20])
def test_a_round_grid_in_twenty_milliseconds(side: float) -> None:
    wish = SizeWish(length_mm=side, width_mm=side)
    took = best_ms(lambda: cut_slab(RoundSlab(diameter_mm=300), wish, CUTTING))
    print(f"\nround grid of {side} mm: {took:.2f} ms")
    assert took < 20


def test_a_polygon_grid_in_thirty_milliseconds() -> None:
    wish = SizeWish(length_mm=40, width_mm=30)
    took = best_ms(lambda: cut_slab(PolygonSlab(sides=8, across_flats_mm=300), wish, CUTTING))
    print(f"\npolygon grid, both ways round: {took:.2f} ms")
    assert took < 30


def test_a_drawing_costs_little_more() -> None:
    layout = cut_slab(SHEET, CountWish(pieces=200), CUTTING)
    took = best_ms(lambda: draw_cuts(layout))
    print(f"\ndrawing of 200 pieces: {took:.2f} ms")
    assert took < 20


def test_an_even_pattern_of_three_hundred() -> None:
    took = best_ms(lambda: set_pieces(SHEET, 300))
    print(f"\npattern of 300: {took:.2f} ms")
    assert took < 60
