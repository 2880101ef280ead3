"""Freezing and thawing: an independent finite-volume solution, analytic limits, handbook figures, laws."""

import math
from collections.abc import Callable
from itertools import pairwise

import numpy as np
import pytest
from scipy.optimize import brentq

from domain.baking.bodies import body_of
from domain.baking.frozen_pieces import DOUGH, with_ice_c, without_ice_c
from domain.baking.heating import Body, ColdPiece, Extent, heating
from domain.baking.thermal_properties import MassFractions
from domain.cooling import heat_grid
from domain.cooling.cooling import ROUND_MISFIT
from domain.cooling.heat_grid import MIN_CELLS, Grid, graded, solve_grid
from domain.cooling.round_bodies import round_extents
from domain.cooling.substances import Substance, freezing_point_c, substance_of
from domain.errors import OutOfRangeError
from domain.tins.text import parse_tin
from tests.domain.frozen_volumes import CellBody, Mix, seconds_until

CRUMB = Substance(
    capacity=1.8e6, conductivity=0.18, frozen_capacity=1.25e6, frozen_conductivity=0.36, freezing_c=-3.0, fusion=7.6e7
)
PLAIN = Substance(capacity=2.6e6, conductivity=0.5)


def as_mix(made: Substance) -> Mix:
    return Mix(
        made.capacity, made.conductivity, made.frozen_capacity, made.frozen_conductivity, made.freezing_c, made.fusion
    )


def solved(grid: Grid, start: float, end: float, air: float, film: float, made: Substance = CRUMB) -> float:  # noqa: PLR0917
    """Minutes until the middle of a grid passes a temperature."""
    until: Callable[[float], bool] = (lambda c: c <= end) if start > air else (lambda c: c >= end)
    solution = solve_grid(grid, made, start, film, air, until)
    assert solution.gained == pytest.approx(solution.passed, rel=1e-3)  # the balance of heat
    passed = solution.time_at(end)
    assert passed is not None
    return passed / 60


def disc(radius: float, half: float, cells: int = MIN_CELLS) -> Grid:
    least = min(radius, half)
    return Grid(radial=graded(radius, least, cells), upright=graded(half, least, cells))


# Freezing points of solutions of 1 mol in 1 kg of water: tables of a handbook of chemistry, from memory.
@pytest.mark.parametrize(("sugar", "salt", "celsius", "within"), [(342.3, 0, -2.06, 0.25), (0, 58.44, -3.4, 0.4)])
def test_freezing_points_are_near_a_handbooks(sugar: float, salt: float, celsius: float, within: float) -> None:
    assert freezing_point_c(water_g=1000, sugar_g=sugar, salt_g=salt) == pytest.approx(celsius, abs=within)


def test_the_heat_of_a_mix_and_its_temperature_invert_each_other() -> None:
    for celsius in (-35.0, -18.0, -3.1, -3.0, -2.9, 0.0, 25.0, 95.0):
        assert CRUMB.temperature(CRUMB.enthalpy(celsius)) == pytest.approx(celsius, abs=1e-9)


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
        (300, 10, -18, 10, 21, 9),
    ],
)
def test_a_round_freezes_and_thaws_as_in_independent_finite_volumes(  # noqa: PLR0917 - one body
    radius: float, half: float, start: float, end: float, air: float, film: float
) -> None:
    edges = [np.linspace(0, radius, 25) / 1000, np.linspace(0, half, 17) / 1000]
    body = CellBody(edges=edges, form="disc", mixes=[as_mix(CRUMB)], of=np.zeros((24, 16), int))
    expected = seconds_until(end, body, start, air_c=air, film=[film, film])
    assert solved(disc(radius, half), start, end, air, film) == pytest.approx(expected / 60, rel=0.04)


@pytest.mark.parametrize(("diameter", "start", "end", "air", "film"), [(30, 20, -12, -18, 8), (60, -18, 10, 21, 9)])
def test_a_ball_freezes_and_thaws_as_in_independent_finite_volumes(
    diameter: float, start: float, end: float, air: float, film: float
) -> None:
    edges = [np.linspace(0, diameter / 2000, 41)]
    body = CellBody(edges=edges, form="ball", mixes=[as_mix(CRUMB)], of=np.zeros(40, int))
    expected = seconds_until(end, body, start, air_c=air, film=[film])
    grid = Grid(radial=graded(diameter / 2, diameter / 2))
    assert solved(grid, start, end, air, film) == pytest.approx(expected / 60, rel=0.04)


@pytest.mark.parametrize(
    ("tin", "depth", "start", "end", "air", "film"),
    [
        ("rectangle 40 x 10 cm", 40, 20, -15, -18, 8),
        ("square 10 cm", 100, 20, -15, -32, 30),
        ("rectangle 21 x 7 cm", 70, 20, -15, -32, 30),
        ("rectangle 30 x 20 cm", 40, 20, -15, -18, 8),
    ],
)
def test_a_rectangle_freezes_nearly_as_the_round_that_stands_for_it(  # noqa: PLR0917 - one body
    tin: str, depth: float, start: float, end: float, air: float, film: float
) -> None:
    """A block in three dimensions by finite volumes; the window allows `ROUND_MISFIT` for the difference."""
    extents = body_of(parse_tin(tin), depth)[0].extents
    edges = [extent.half_mm * (1 - (1 - np.linspace(0, 1, 10)) ** 1.6) / 1000 for extent in extents]
    body = CellBody(edges=edges, form="block", mixes=[as_mix(CRUMB)], of=np.zeros((9, 9, 9), int))
    expected = seconds_until(end, body, start, air_c=air, film=[film] * 3)
    made = solved(disc(*round_extents(extents)), start, end, air, film)
    assert made == pytest.approx(expected / 60, rel=ROUND_MISFIT)


def test_a_wide_slab_freezes_as_neumann_says(monkeypatch: pytest.MonkeyPatch) -> None:
    """Water that freezes in a half-space from a fixed surface; Conduction of Heat in Solids, 1959, 11.2.

    The front stands at 2λ√(at).

    λ exp(λ²) erf(λ) = c·ΔT/(L√π) at a start at the freezing point. Here the slab is frozen when its fronts meet.
    A sharp front lies inside a cell, so the error falls with the width of the cells; a mix freezes over a range of
    temperatures, without such a front.
    """
    monkeypatch.setattr(heat_grid, "MAX_STEPS", 4000)
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
    errors = []
    for cells in (MIN_CELLS, 2 * MIN_CELLS, 4 * MIN_CELLS, 8 * MIN_CELLS):
        monkeypatch.setattr(heat_grid, "STEP_SHARE", MIN_CELLS / 75 / cells)
        slab = Grid(radial=(2.0,), upright=graded(20, 20, cells))
        errors.append(abs(solved(slab, -0.02, -1.0, -20.0, 1e5, made) / expected - 1))
    assert all(finer < 0.6 * coarser for coarser, finer in pairwise(errors)), errors
    assert errors[2] < 0.06
    assert errors[3] < 0.02


def test_weak_films_freeze_a_slab_as_plank_says() -> None:
    """Plank, 1913, for a plate: t = fusion/ΔT · (D/2h + D²/8k). The core passes a little below the freezing point."""
    made = Substance(
        capacity=1e5, conductivity=0.6, frozen_capacity=1e5, frozen_conductivity=2.2, freezing_c=-0.02, fusion=3.06e8
    )
    plank = 3.06e8 / 20 * (0.04 / (2 * 10) + 0.04**2 / (8 * 2.2)) / 60
    assert solved(disc(2000, 20), -0.02, -1.0, -20.02, 10, made) == pytest.approx(plank, rel=0.05)


def piece_minutes(  # noqa: PLR0917 - one piece in its share of a broad batter
    radius: float, plan_radius: float, half: float, piece_c: float, film: float, slowness: float
) -> float:
    wide = Extent(shape="slab", half_mm=1000)
    piece = ColdPiece(
        radius_mm=radius,
        colder_by_c=20 - without_ice_c(piece_c),
        count=1000,
        plan_mm2=math.pi * plan_radius**2,
    )
    body = Body(extents=(wide, wide, Extent(shape="slab", half_mm=half)), volume_mm3=1.0)
    hot = heating(body, film_per_mm=film / PLAIN.conductivity / 1000, surroundings_c=145, start_c=20.0, piece=piece)
    return hot.catching_up(hot.s_at(96), slowness) / (PLAIN.conductivity / PLAIN.capacity * 1e6) / 60


@pytest.mark.parametrize("piece_c", [-25.0, -18.0, 4.0, 20.0])
@pytest.mark.parametrize(
    ("radius", "plan_radius", "half", "film", "slowness", "within"),
    [
        (8, 20, 17.5, 24, 1.5, 0.02),
        (14, 26, 17.5, 24, 1.5, 0.02),
        (14, 26, 17.5, 24, 1.0, 0.02),
        (14, 26, 17.5, 48, 2.0, 0.025),
        (20, 40, 40, 24, 1.5, 0.02),
        (25, 30, 30, 12, 1.5, 0.04),  # pieces that nearly fill the batter
    ],
)
def test_pieces_in_batter_thaw_and_bake_as_in_independent_finite_volumes(  # noqa: PLR0917 - one piece
    radius: float, plan_radius: float, half: float, film: float, slowness: float, within: float, piece_c: float
) -> None:
    """Radius and height with heat of fusion on a cell with an insulated rim, as in a lattice of equal pieces."""
    k = DOUGH.capacity * PLAIN.conductivity / PLAIN.capacity / slowness
    dough = Mix(DOUGH.capacity, k, DOUGH.frozen_capacity, 2 * k, DOUGH.freezing_c, DOUGH.fusion)
    edges = [np.linspace(0, plan_radius, 37) / 1000, np.linspace(0, half, 25) / 1000]
    middles = [(e[1:] + e[:-1]) / 2 for e in edges]
    inside = np.hypot(*np.meshgrid(*middles, indexing="ij")) < radius / 1000
    body = CellBody(edges=edges, form="disc", mixes=[as_mix(PLAIN), dough], of=inside.astype(int))
    expected = seconds_until(
        96,
        body,
        np.where(inside, piece_c, 20.0),
        air_c=145,
        film=[0.0, film],
        probe=lambda celsius: float(celsius[inside].min()),
    )
    assert piece_minutes(radius, plan_radius, half, piece_c, film, slowness) == pytest.approx(expected / 60, rel=within)


def test_a_colder_or_larger_piece_never_bakes_faster() -> None:
    times = [piece_minutes(14, 26, 17.5, celsius, 24, 1.5) for celsius in (20, 4, 0, -2, -8, -12, -18, -25, -30)]
    assert times == sorted(times)
    times = [piece_minutes(radius, 26, 17.5, -18, 24, 1.5) for radius in (6, 9, 12, 15, 17)]
    assert times == sorted(times)


def test_neighbours_count_fully_once_they_are_near() -> None:
    """The mean over a lattice of its point sources is 1/plan each: πs·4/plan times one source in the open plane."""
    piece = ColdPiece(radius_mm=10, colder_by_c=1.0, count=1000, plan_mm2=2000.0)
    assert piece.neighbours(1.0) == pytest.approx(1.0)
    assert piece.neighbours(5000.0) == pytest.approx(4 * math.pi * 5000 / 2000, rel=1e-6)
    rows = [(i, j) for i in range(-30, 31) for j in range(-30, 31)]
    for s in (150.0, 159.0, 160.0, 400.0):  # on both sides of the change of form
        direct = sum(math.exp(-(i * i + j * j) * 2000.0 / (4 * s)) for i, j in rows)
        assert piece.neighbours(s) == pytest.approx(direct, rel=1e-4)
    assert ColdPiece(radius_mm=10, colder_by_c=1.0, count=4, plan_mm2=2000.0).neighbours(5000.0) == 4


@pytest.mark.parametrize("celsius", [-30.0, -18.0, -8.0, -5.0, 0.0, 4.0, 60.0])
def test_the_temperature_of_a_piece_without_its_ice_is_one_to_one(celsius: float) -> None:
    assert with_ice_c(without_ice_c(celsius)) == pytest.approx(celsius, abs=1e-9)
    assert without_ice_c(celsius) <= celsius + 1e-9


@pytest.mark.parametrize("half", [10, 15, 20, 40])
def test_a_deeper_body_freezes_later(half: float) -> None:
    assert solved(disc(115, half), 20, -15, -18, 10) < solved(disc(115, half * 1.1), 20, -15, -18, 10)


def test_a_thawing_core_never_falls() -> None:
    solution = solve_grid(disc(130, 7.5), CRUMB, -40.0, 8, 4, lambda core: core >= 0)
    falls = [after - before for before, after in zip(solution.middle_c, solution.middle_c[1:], strict=False)]
    assert min(falls) > -1e-6


def test_a_core_as_cold_as_its_surroundings_uses_up_the_budget() -> None:
    with pytest.raises(OutOfRangeError) as refused:
        solve_grid(disc(30, 30), CRUMB, 20.0, 10, -18, lambda _: False)
    assert refused.value.code == "too_much_work"
