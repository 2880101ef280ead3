"""Portion cuts, packings and lattice counts, compared with published figures.

No figure here was computed by this project. Figures quoted from memory are marked.
"""

import math

import pytest

from domain.cutting.cuts import cut_slab
from domain.cutting.layouts import Cutting
from domain.cutting.slabs import RectangleSlab, RoundSlab
from domain.cutting.tin_slabs import slab_of
from domain.cutting.wishes import CountWish, GridWish, SizeWish
from domain.pieces.patterns import set_pieces
from domain.tins.text import parse_tin
from tests.published.printed import printed

AFRS = "US Armed Forces Recipe Service, cakes in an 18 x 26 in sheet pan: cut 6 by 9, 54 portions; from memory"
SCHOOLS = "US school-meal recipes; from memory"
TRADE = "common practice; from memory"

PORTIONS = [  # tin, portions, rows by columns, size in inches, where
    ("rectangle 26 x 18 in", 54, (6, 9), ("2.89", "3"), AFRS),
    ("full-sheet", 54, (6, 9), ("2.89", "3"), AFRS),
    ("rectangle 26 x 18 in", 100, (10, 10), ("2.6", "1.8"), f"sheet pan, 10 x 10; {SCHOOLS}"),
    ("rectangle 26 x 18 in", 50, (5, 10), ("2.6", "3.6"), f"sheet pan, 5 x 10; {SCHOOLS}"),
    ("rectangle 20 x 12 in", 25, (5, 5), ("4", "2.4"), f"steam-table pan, 5 x 5; {SCHOOLS}"),
    ("rectangle 26 x 18 in", 48, (6, 8), ("3.25", "3"), f"sheet cake, 6 x 8; {TRADE}"),
    ("rectangle 26 x 18 in", 96, (8, 12), ("2.17", "2.25"), f"sheet cake, 8 x 12; {TRADE}"),
    ("rectangle 18 x 13 in", 24, (4, 6), ("3", "3.25"), f"half sheet, 4 x 6; {TRADE}"),
    ("rectangle 13 x 9 in", 24, (4, 6), ("2.17", "2.25"), f"9 x 13 in bars, 4 x 6; {TRADE}"),
    ("rectangle 13 x 9 in", 12, (3, 4), ("3.25", "3"), f"9 x 13 in cake, 3 x 4; {TRADE}"),
    ("rectangle 13 x 9 in", 15, (3, 5), ("2.6", "3"), f"9 x 13 in cake, 3 x 5; {TRADE}"),
    ("square 8 in", 16, (4, 4), ("2", "2"), f"8 in tin, 2 in squares; {TRADE}"),
    ("square 9 in", 9, (3, 3), ("3", "3"), f"9 in tin, 3 in squares; {TRADE}"),
]


@pytest.mark.parametrize(
    ("tin", "pieces", "grid", "size", "source"), PORTIONS, ids=[f"{p[0]}, {p[4]}" for p in PORTIONS]
)
def test_a_pan_is_cut_into_the_printed_grid_and_sizes(
    tin: str, pieces: int, grid: tuple[int, int], size: tuple[str, str], source: str
) -> None:
    slab, _ = slab_of(parse_tin(tin))
    layout = cut_slab(slab, CountWish(portions=pieces), Cutting())
    assert (layout.rows, layout.columns) == grid, source
    assert layout.piece.length_mm / 25.4 == printed(size[0])
    assert layout.piece.width_mm / 25.4 == printed(size[1])


# Online Encyclopedia of Integer Sequences, A001182, unit squares wholly inside a quarter of a disc of radius n about a
# lattice point, n = 1, 2, ...; quoted from memory, and confirmed by counting below.
QUARTER_SQUARES = [0, 1, 4, 8, 15, 22, 30, 41, 54, 69, 83]


@pytest.mark.parametrize(("n", "squares"), list(enumerate(QUARTER_SQUARES, start=1)))
def test_lattice_squares_in_a_disc(n: int, squares: int) -> None:
    counted = sum(max(k for k in range(n + 1) if k == 0 or k * k + row * row <= n * n) for row in range(1, n + 1))
    assert counted == squares
    if squares:
        slab = RoundSlab(diameter_mm=2 * n * 20.0)
        assert cut_slab(slab, GridWish(rows=2 * n, columns=2 * n), Cutting()).pieces == 4 * squares
        assert cut_slab(slab, SizeWish(length_mm=20, width_mm=20), Cutting()).pieces >= 4 * squares


# Densest packings of equal circles in a circle: radius of the large over radius of the small, from memory (the proven
# cases are rings: Graham 1968 for 2 to 7, Pirl 1969 for 8 and 9). Pieces d apart, d / 2 from the wall, are that.
CIRCLES_IN_CIRCLE = [
    (2, "2.000"),
    (3, "2.155"),
    (4, "2.414"),
    (5, "2.701"),
    (6, "3.000"),
    (7, "3.000"),
    (8, "3.305"),
    (9, "3.613"),
]


@pytest.mark.parametrize(("count", "ratio"), CIRCLES_IN_CIRCLE)
def test_few_pieces_in_a_round_tin_are_as_far_apart_as_possible(count: int, ratio: str) -> None:
    pattern = set_pieces(RoundSlab(diameter_mm=230), count)
    assert pattern.nearest_mm is not None
    assert pattern.wall_mm == pytest.approx(pattern.nearest_mm / 2, rel=1e-9)
    assert 115 / (pattern.nearest_mm / 2) == printed(ratio)


SQUARE_GRIDS = [4, 9, 16, 25]  # densest packings of circles in a square up to 36 but 49 are grids; from memory


@pytest.mark.parametrize("count", SQUARE_GRIDS)
def test_square_numbers_form_a_grid(count: int) -> None:
    pattern = set_pieces(RectangleSlab(length_mm=200, width_mm=200), count)
    assert pattern.nearest_mm == pytest.approx(200 / math.isqrt(count))
