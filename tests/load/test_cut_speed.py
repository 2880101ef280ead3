"""Speed of cutting, as ratios of processor time within one run, the best of many rounds."""

import pytest

from api.drawings.cuts import draw_cuts
from domain.cutting.cuts import cut_slab
from domain.cutting.layouts import Cutting
from domain.cutting.slabs import PolygonSlab, RectangleSlab, RoundSlab
from domain.cutting.wishes import CountWish, SizeWish
from domain.pieces.patterns import set_pieces
from tests.load.clock import best_ms
from tests.load.worst.asking import yardstick_ms

pytestmark = pytest.mark.benchmark
SHEET = RectangleSlab(length_mm=660.4, width_mm=457.2)
CUTTING = Cutting(slab_g=9_000, trim_mm=5, knife_mm=2)


def test_a_layout_of_200_pieces() -> None:
    ratio = best_ms(lambda: cut_slab(SHEET, CountWish(portions=200), CUTTING), 5) / yardstick_ms()
    print(f"\nlayout of 200 pieces: {ratio:.2f} times the yardstick")
    assert ratio < 0.2


@pytest.mark.parametrize("side", [60, 40, 25, 20])
def test_a_grid_over_a_round_slab(side: float) -> None:
    wish = SizeWish(length_mm=side, width_mm=side)
    ratio = best_ms(lambda: cut_slab(RoundSlab(diameter_mm=300), wish, CUTTING)) / yardstick_ms()
    print(f"\nround grid of {side} mm: {ratio:.2f} times the yardstick")
    assert ratio < 2


def test_a_grid_over_a_polygon() -> None:
    wish = SizeWish(length_mm=40, width_mm=30)
    slab = PolygonSlab(sides=8, across_flats_mm=300)
    ratio = best_ms(lambda: cut_slab(slab, wish, CUTTING)) / yardstick_ms()
    print(f"\npolygon grid in both directions: {ratio:.2f} times the yardstick")
    assert ratio < 1


def test_a_drawing_of_200_pieces() -> None:
    layout = cut_slab(SHEET, CountWish(portions=200), CUTTING)
    ratio = best_ms(lambda: draw_cuts(layout)) / yardstick_ms()
    print(f"\ndrawing of 200 pieces: {ratio:.2f} times the yardstick")
    assert ratio < 2


def test_a_pattern_of_300_pieces() -> None:
    ratio = best_ms(lambda: set_pieces(SHEET, 300)) / yardstick_ms()
    print(f"\npattern of 300 pieces: {ratio:.2f} times the yardstick")
    assert ratio < 2.5
