"""How much longer a frozen dough piece takes inside a batter: its thaw and bake, on a grid with heat of fusion.

The piece and its share of the batter form a round cell. With several pieces the cell's rim is insulated, because the
neighbours are as cold. The factor compares this cell with the same cell and a piece at 0 °C that holds no ice, so that
the closed solution for chilled pieces keeps its calibration.
"""

import math
from dataclasses import dataclass
from functools import lru_cache

from domain.cooling.heat_grid import MM_PER_M, Grid, solve_grid
from domain.cooling.places import range_of
from domain.cooling.substances import Substance, freezing_point_c, mix_of, substance_of

UNFROZEN_C = 0.0  # the coldest piece that the closed solution takes
CELLS_IN_PIECE = 4  # across its radius
MOST_CELLS = 10  # of the first width across the least extent
GRADING = 1.5  # of a cell relative to its neighbour nearer to the piece
BATTER_J_M3_K = 2.6e6  # 0.9 g/ml of 2.9 kJ/(kg K): batter in composition tables, from memory
G_PER_KG = 1000  # definition
THAW_ERROR = 0.4  # our own judgement: error of the factor's logarithm, mostly from the dough's water


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceCell:
    """A piece in its share of the batter, and how it is heated.

    Lengths in mm; `conductivity` of the batter in W/(m K), `film` in W/(m² K), `slowness` the batter's diffusivity over
    the thawed dough's, `dough_kg_m3` the dough's density.
    """

    piece_radius_mm: float
    cell_radius_mm: float
    half_depth_mm: float
    rim_open: bool
    batter_c: float
    surroundings_c: float
    conductivity: float
    film: float
    slowness: float
    dough_kg_m3: float


@lru_cache(maxsize=128)  # the same pieces bear on every case of the window
def thaw_factor(cell: PieceCell, piece_c: float, core_c: float) -> float:
    """How much longer the middle of a frozen piece takes than that of one at 0 °C without ice.

    Args:
        cell: the piece in its batter.
        piece_c: temperature of the piece at the start, −40 to 0.
        core_c: of its coldest place when done, below the surroundings.
    Returns:
        At least 1.
    Raises:
        OutOfRangeError: the step budget of a solution is used up.
    """
    if piece_c >= UNFROZEN_C:
        return 1.0
    batter = Substance(capacity=BATTER_J_M3_K, conductivity=cell.conductivity)
    dough = _dough(cell)
    plain = Substance(capacity=dough.capacity, conductivity=dough.conductivity)
    frozen_s = thaw_seconds(cell, dough, batter, piece_c, core_c)
    return max(1.0, frozen_s / thaw_seconds(cell, plain, batter, UNFROZEN_C, core_c))


def thaw_seconds(cell: PieceCell, dough: Substance, batter: Substance, piece_c: float, core_c: float) -> float:
    """When the coldest place of the piece reaches a temperature.

    Args:
        cell: the piece in its batter.
        dough: substance of the piece.
        batter: substance around it.
        piece_c: temperature of the piece at the start.
        core_c: of its coldest place when done.
    Returns:
        Seconds.
    Raises:
        OutOfRangeError: the step budget is used up.
    """
    least = min(cell.cell_radius_mm, cell.half_depth_mm)
    first = max(cell.piece_radius_mm / CELLS_IN_PIECE, least / MOST_CELLS)
    grid = Grid(
        radial=_from_piece(cell.cell_radius_mm, cell.piece_radius_mm, first),
        upright=_from_piece(cell.half_depth_mm, cell.piece_radius_mm, first),
        rim_open=cell.rim_open,
    )
    shares = piece_shares(grid, cell.piece_radius_mm / MM_PER_M)
    solution = solve_grid(
        grid,
        [[_blended(dough, batter, share) for share in column] for column in shares],
        [[piece_c if share > 0.5 else cell.batter_c for share in column] for column in shares],
        cell.film,
        cell.surroundings_c,
        lambda celsius: celsius >= core_c,
        [(i, j) for i, column in enumerate(shares) for j, share in enumerate(column) if share > 0.5] or [(0, 0)],
        coldest=True,
    )
    seconds = solution.time_at(core_c)
    if seconds is None:
        raise AssertionError("the solution ends at this temperature")
    return seconds


def piece_shares(grid: Grid, radius_m: float) -> list[list[float]]:
    """The share of each cell that the piece fills: the nearest cells, until half a sphere's volume is used up.

    Args:
        grid: the upper half of the cell.
        radius_m: of the sphere, in metres.
    Returns:
        By radius, then height.
    """
    radii, heights = _middles(grid.radial), _middles(grid.upright)
    shares = [[0.0] * len(heights) for _ in radii]
    left = 2 / 3 * math.pi * radius_m**3
    nearest = sorted((r * r + z * z, i, j) for i, r in enumerate(radii) for j, z in enumerate(heights))
    for _, i, j in nearest:
        volume = 2 * math.pi * radii[i] * grid.radial[i] * grid.upright[j]
        shares[i][j] = min(1.0, left / volume)
        left -= shares[i][j] * volume
        if left <= 0:
            break
    return shares


def _middles(widths: tuple[float, ...]) -> list[float]:
    middles, edge = list[float](), 0.0
    for width in widths:
        middles.append(edge + width / 2)
        edge += width
    return middles


def _from_piece(extent_mm: float, radius_mm: float, first_mm: float) -> tuple[float, ...]:
    """Equal cells across the piece, then cells that grow towards the face."""
    widths, done, width = list[float](), 0.0, first_mm
    while extent_mm - done > 1.5 * width:
        widths.append(width)
        done += width
        if done >= radius_mm:
            width *= GRADING
    return tuple(each / MM_PER_M for each in (*widths, extent_mm - done))


def _blended(dough: Substance, batter: Substance, share: float) -> Substance:
    if share in {0.0, 1.0}:
        return dough if share else batter

    def mixed(of_dough: float, of_batter: float) -> float:
        return share * of_dough + (1 - share) * of_batter

    return Substance(
        capacity=mixed(dough.capacity, batter.capacity),
        conductivity=mixed(dough.conductivity, batter.conductivity),
        frozen_capacity=mixed(dough.frozen_capacity or dough.capacity, batter.capacity),
        frozen_conductivity=mixed(dough.frozen_conductivity or dough.conductivity, batter.conductivity),
        freezing_c=dough.freezing_c,
        fusion=share * dough.fusion,
    )


def _dough(cell: PieceCell) -> Substance:
    """The usual dough; its thawed conductivity is the batter's, as much slower as the case says."""
    water, fat, protein, sugar, salt = (
        range_of(f"dough_{name}_share").central for name in ("water", "fat", "protein", "sugar", "salt")
    )
    made = substance_of(
        mix_of(water=water, fat=fat, protein=protein, salt=salt),
        freezing_c=freezing_point_c(water_g=water, sugar_g=sugar, salt_g=salt),
        density=cell.dough_kg_m3,
    )
    # The bake's model moves heat with the vapour of a hot crumb, so the dough's own conductivity would be too low.
    thawed = made.capacity * cell.conductivity / BATTER_J_M3_K / cell.slowness
    return Substance(
        capacity=made.capacity,
        conductivity=thawed,
        frozen_capacity=made.frozen_capacity,
        frozen_conductivity=max(made.frozen_conductivity, thawed),
        freezing_c=made.freezing_c,
        fusion=made.fusion,
    )
