"""The ranges of a cooling time, compared with cakes of the USDA and with the equations of heat transfer."""

import csv
from pathlib import Path
from statistics import quantiles

import pytest
from scipy import constants

from domain.reference import rows

CAKES = Path(__file__).with_name("usda_cakes.csv")
RANGES = {(row["parameter"], row["place"]): row for row in rows("cooling_ranges")}
NUTRIENTS = [
    ("water_share", "water_g", 0.01),
    ("fat_share", "fat_g", 0.01),
    ("protein_share", "protein_g", 0.01),
    ("sugar_share", "sugars_g", 0.01),
    ("salt_share", "sodium_mg", 2.5 / 100_000),  # salt is sodium times 2.5
]


@pytest.mark.parametrize(("parameter", "column", "share"), NUTRIENTS)
def test_shares_of_a_bake_are_deciles_of_usda_cakes(parameter: str, column: str, share: float) -> None:
    lines = [line for line in CAKES.read_text("utf-8").splitlines() if not line.startswith("#")]
    shares = [float(row[column]) * share for row in csv.DictReader(lines) if row[column]]
    deciles = quantiles(shares, n=10, method="inclusive")
    row = RANGES[parameter, ""]
    printed = [float(row[name]) for name in ("low", "central", "high")]
    assert printed == pytest.approx([deciles[0], deciles[4], deciles[8]], rel=0.02, abs=0.0006)


# Properties of air, textbook equations: Sutherland's viscosity, density of an ideal gas at 1 atm, Prandtl number 0.71;
# conductivity 0.0241 W/(m K) at 0 °C, rising with T to the 0.81.
PRANDTL = 0.71
EMISSIVITY = 0.9
GRAVITY: float = constants.g
STEFAN_BOLTZMANN: float = constants.Stefan_Boltzmann


def _air(kelvin: float) -> tuple[float, float]:
    """Kinematic viscosity in m²/s and conductivity in W/(m K)."""
    viscosity = 1.458e-6 * kelvin**1.5 / (kelvin + 110.4)
    return viscosity * kelvin / 353, 0.0241 * (kelvin / 273.15) ** 0.81


def _radiation(surface_c: float, air_c: float) -> float:
    hot, cold = surface_c + 273.15, air_c + 273.15
    return EMISSIVITY * STEFAN_BOLTZMANN * (hot**2 + cold**2) * (hot + cold)


def _still(surface_c: float, air_c: float, length_m: float) -> float:
    """Still air at an upright plate, with radiation.

    Correlating equations for laminar and turbulent free convection from a vertical plate, 1975, laminar equation.
    """
    film = (surface_c + air_c) / 2 + 273.15
    viscosity, conductivity = _air(film)
    rayleigh = GRAVITY / film * (surface_c - air_c) * length_m**3 / viscosity**2 * PRANDTL
    nusselt: float = 0.68 + 0.670 * rayleigh**0.25 / (1 + (0.492 / PRANDTL) ** (9 / 16)) ** (4 / 9)
    return conductivity / length_m * nusselt + _radiation(surface_c, air_c)


def _moved(speed: float, length_m: float, air_c: float, surface_c: float) -> tuple[float, float]:
    """Laminar and turbulent air along a flat plate, with radiation; textbook equations."""
    viscosity, conductivity = _air(air_c + 273.15)
    reynolds = speed * length_m / viscosity
    laminar, turbulent = 0.664 * reynolds**0.5 * PRANDTL ** (1 / 3), 0.037 * reynolds**0.8 * PRANDTL ** (1 / 3)
    radiation = _radiation(surface_c, air_c)
    return conductivity / length_m * laminar + radiation, conductivity / length_m * turbulent + radiation


def _range(place: str) -> tuple[float, float]:
    row = RANGES["film_coefficient", place]
    return float(row["low"]), float(row["high"])


# Surfaces of a bake from hot to nearly cold.
STILL = [
    ("bench", 21, (60, 40, 25)),
    ("rack", 21, (60, 40, 25)),
    ("fridge", 4, (50, 20, 6)),
    ("freezer", -18, (40, 10, -15)),
]


@pytest.mark.parametrize(("place", "air_c", "surfaces_c"), STILL, ids=[row[0] for row in STILL])
def test_still_air_lies_within_the_range(place: str, air_c: float, surfaces_c: tuple[float, ...]) -> None:
    low, high = _range(place)
    for length_m in (0.08, 0.15, 0.23):
        for surface_c in surfaces_c:
            assert low <= _still(surface_c, air_c, length_m) <= high, (length_m, surface_c)


MOVED = [("fridge", 4, 20, (0.3, 0.5)), ("blast_chiller", -1, 30, (2, 5)), ("blast_freezer", -32, 10, (3, 6))]


@pytest.mark.parametrize(("place", "air_c", "surface_c", "speeds"), MOVED, ids=[row[0] for row in MOVED])
def test_moved_air_lies_within_the_range(
    place: str, air_c: float, surface_c: float, speeds: tuple[float, float]
) -> None:
    low, high = _range(place)
    for length_m in (0.1, 0.15, 0.23):
        coefficients = [each for speed in speeds for each in _moved(speed, length_m, air_c, surface_c)]
        assert low * 0.8 <= min(coefficients), "the range holds 8 of 10 kitchens"
        assert max(coefficients) <= high * 1.2
