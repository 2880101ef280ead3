"""Freezing and thawing: an independent finite-volume solution, analytic limits, handbook figures, laws."""

import math

import numpy as np
import pytest
from scipy.optimize import brentq

from domain.baking.frozen_pieces import PieceCell, piece_shares, thaw_factor, thaw_seconds
from domain.baking.thermal_properties import MassFractions
from domain.cooling.heat_grid import Grid, graded, solve_grid
from domain.cooling.substances import Substance, freezing_point_c, substance_of
from domain.errors import OutOfRangeError
from tests.domain.frozen_volumes import Mix, seconds_until

CRUMB = Substance(
    capacity=1.8e6, conductivity=0.18, frozen_capacity=1.25e6, frozen_conductivity=0.36, freezing_c=-3.0, fusion=7.6e7
)
PLAIN = Substance(capacity=2.6e6, conductivity=0.5)


def as_mix(made: Substance) -> Mix:
    return Mix(
        made.capacity, made.conductivity, made.frozen_capacity, made.frozen_conductivity, made.freezing_c, made.fusion
    )


def minutes(  # noqa: PLR0917 - one body
    radius: float, half: float, start: float, end: float, air: float, film: float, made: Substance
) -> float:
    least = min(radius, half)
    grid = Grid(radial=graded(radius, least), upright=graded(half, least))
    shape = len(grid.radial), len(grid.upright)
    solution = solve_grid(
        grid,
        [[made] * shape[1]] * shape[0],
        [[start] * shape[1]] * shape[0],
        film,
        air,
        (lambda c: c <= end) if start > air else (lambda c: c >= end),
        coldest=start < air,
    )
    assert solution.gained == pytest.approx(solution.passed, rel=1e-3)  # the balance of heat
    passed = solution.time_at(end)
    assert passed is not None
    return passed / 60


# Freezing points of solutions of 1 mol in 1 kg of water: tables of a handbook of chemistry, from memory.
@pytest.mark.parametrize(("sugar", "salt", "celsius", "within"), [(342.3, 0, -2.06, 0.25), (0, 58.44, -3.4, 0.4)])
def test_freezing_points_are_near_a_handbooks(sugar: float, salt: float, celsius: float, within: float) -> None:
    assert freezing_point_c(water_g=1000, sugar_g=sugar, salt_g=salt) == pytest.approx(celsius, abs=within)


def test_the_heat_of_a_mix_and_its_temperature_invert_each_other() -> None:
    for celsius in (-35.0, -18.0, -3.1, -3.0, -2.9, 0.0, 25.0, 95.0):
        assert CRUMB.temperature(CRUMB.enthalpy(celsius)) == pytest.approx(celsius, abs=1e-9)


def test_the_apparent_heat_capacity_is_the_slope_of_the_heat() -> None:
    for celsius in (-30.0, -10.0, -4.0, 10.0):
        slope = (CRUMB.enthalpy(celsius + 1e-4) - CRUMB.enthalpy(celsius - 1e-4)) / 2e-4
        assert CRUMB.apparent_capacity(celsius) == pytest.approx(slope, rel=1e-5)


def test_a_mix_of_water_alone_has_its_heat_of_fusion() -> None:
    """334 kJ/kg, handbook figure."""
    water = substance_of(MassFractions(water=1.0), freezing_c=-0.1, density=1000)
    jump = water.enthalpy(-0.1) - water.enthalpy(-40) - 39.9 * water.frozen_capacity
    assert jump / 1000 / (1 - 0.1 / 40) == pytest.approx(334e3, rel=0.01)


@pytest.mark.parametrize(
    ("radius", "half", "start", "end", "air", "film"),
    [
        (115, 15, 20, -15, -18, 10),
        (60, 30, 90, -15, -32, 30),
        (35, 40, 20, -10, -18, 8),
        (35, 20, -18, 15, 21, 9),
    ],
)
def test_a_round_freezes_and_thaws_as_in_independent_finite_volumes(  # noqa: PLR0917 - one body
    radius: float, half: float, start: float, end: float, air: float, film: float
) -> None:
    edges = [np.linspace(0, radius, 25) / 1000, np.linspace(0, half, 17) / 1000]
    expected = seconds_until(
        edges,
        True,
        [as_mix(CRUMB)],
        np.zeros((24, 16), int),
        start,
        [film, film],
        air,
        end,
        lambda t: float(t[0, 0]),
        1e6,
    )
    assert minutes(radius, half, start, end, air, film, CRUMB) == pytest.approx(expected / 60, rel=0.04)


def test_a_wide_slab_freezes_as_neumann_says() -> None:
    """Water that freezes in a half-space from a fixed surface; Conduction of Heat in Solids, 1959, 11.2.

    The front stands at 2λ√(at).

    λ exp(λ²) erf(λ) = c·ΔT/(L√π) at a start at the freezing point. Here the slab is frozen when its fronts meet.
    """
    made = Substance(
        capacity=4.2e6,
        conductivity=0.6,
        frozen_capacity=1.9e6,
        frozen_conductivity=2.2,
        freezing_c=-0.02,
        fusion=3.06e8,
    )
    below = 20.0
    root = brentq(lambda x: x * math.exp(x * x) * math.erf(x) - 1.9e6 * below / 3.06e8 / math.sqrt(math.pi), 1e-6, 2)
    expected = (0.02 / (2 * root)) ** 2 / (2.2 / 1.9e6) / 60
    assert minutes(2000, 20, -0.02, -1.0, -20.0, 1e5, made) == pytest.approx(
        expected, rel=0.12
    )  # a sharp front lies inside a cell; a mix freezes over a range


def test_weak_films_freeze_a_slab_as_plank_says() -> None:
    """Plank, 1913, for a plate: t = fusion/ΔT · (D/2h + D²/8k). The core passes a little below the freezing point."""
    made = Substance(
        capacity=1e5, conductivity=0.6, frozen_capacity=1e5, frozen_conductivity=2.2, freezing_c=-0.02, fusion=3.06e8
    )
    plank = 3.06e8 / 20 * (0.04 / (2 * 10) + 0.04**2 / (8 * 2.2)) / 60
    assert minutes(2000, 20, -0.02, -1.0, -20.02, 10, made) == pytest.approx(plank, rel=0.05)


def cell(**changes: float) -> PieceCell:
    figures: dict[str, float] = {
        "piece_radius_mm": 14,
        "cell_radius_mm": 26,
        "half_depth_mm": 17.5,
        "batter_c": 20,
        "surroundings_c": 145,
        "conductivity": 0.5,
        "film": 24,
        "slowness": 1.5,
        "dough_kg_m3": 1200,
        **changes,
    }
    return PieceCell(rim_open=False, **figures)


@pytest.mark.parametrize("piece_c", [-18.0, 4.0])
def test_a_piece_in_batter_bakes_as_in_independent_finite_volumes(piece_c: float) -> None:
    dough = Substance(
        capacity=2.9e6, conductivity=0.35, frozen_capacity=2.2e6, frozen_conductivity=0.6, freezing_c=-5, fusion=7e7
    )
    edges = [np.linspace(0, 0.026, 40), np.linspace(0, 0.0175, 27)]
    middles = [(e[1:] + e[:-1]) / 2 for e in edges]
    inside = np.hypot(*np.meshgrid(*middles, indexing="ij")) < 0.014
    expected = seconds_until(
        edges,
        True,
        [as_mix(PLAIN), as_mix(dough)],
        inside.astype(int),
        np.where(inside, piece_c, 20.0),
        [0.0, 24.0],
        145,
        96,
        lambda t: float(t[inside].min()),
        1e5,
    )
    assert thaw_seconds(cell(), dough, PLAIN, piece_c, 96) == pytest.approx(expected, rel=0.03)


def test_a_piece_keeps_its_volume_on_the_grid() -> None:
    grid = Grid(radial=(0.003,) * 8, upright=(0.0025,) * 7)
    shares = piece_shares(grid, 0.012)
    edges = np.cumsum([0, *grid.radial])
    volume = sum(
        share * math.pi * (edges[i + 1] ** 2 - edges[i] ** 2) * grid.upright[j]
        for i, column in enumerate(shares)
        for j, share in enumerate(column)
    )
    assert volume == pytest.approx(2 / 3 * math.pi * 0.012**3, rel=1e-9)


def test_a_colder_or_larger_piece_never_bakes_faster() -> None:
    factors = [thaw_factor(cell(), celsius, 96) for celsius in (0, -2, -8, -12, -18, -25, -30)]
    assert factors[0] == 1
    assert factors == sorted(factors)
    dough = CRUMB
    times = [thaw_seconds(cell(piece_radius_mm=r), dough, PLAIN, -18, 96) for r in (6, 9, 12, 15, 17)]
    assert times == sorted(times)


@pytest.mark.parametrize("half", [10, 15, 20, 40])
def test_a_deeper_body_freezes_later(half: float) -> None:
    assert minutes(115, half, 20, -15, -18, 10, CRUMB) < minutes(115, half * 1.1, 20, -15, -18, 10, CRUMB)


def test_a_thawing_core_never_falls() -> None:
    grid = Grid(radial=graded(130, 7.5), upright=graded(7.5, 7.5))
    shape = len(grid.radial), len(grid.upright)
    body, start = [[CRUMB] * shape[1]] * shape[0], [[-40.0] * shape[1]] * shape[0]
    solution = solve_grid(grid, body, start, 8, 4, lambda core: core >= 0, coldest=True)
    falls = [after - before for before, after in zip(solution.probed_c, solution.probed_c[1:], strict=False)]
    assert min(falls) > -1e-6


def test_a_core_as_cold_as_its_surroundings_uses_up_the_budget() -> None:
    grid = Grid(radial=(0.01,) * 3, upright=(0.01,) * 3)
    with pytest.raises(OutOfRangeError) as refused:
        solve_grid(grid, [[CRUMB] * 3] * 3, [[20.0] * 3] * 3, 10, -18, lambda _: False)
    assert refused.value.code == "too_much_work"
