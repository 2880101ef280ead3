"""Heat properties from composition, compared with handbook figures; the handbook figures are from memory."""

import pytest

from domain.baking.thermal_properties import MassFractions, component_property, thermal_properties

STEAM = "steam tables, water at 1 bar (from memory)"
WATER = [  # °C, conductivity W/(m K), density kg/m³, heat capacity kJ/(kg K)
    (20, 0.598, 998.2, 4.182),
    (50, 0.644, 988.0, 4.181),
    (90, 0.675, 965.3, 4.205),
]


@pytest.mark.parametrize(("celsius", "conductivity", "density", "capacity"), WATER)
def test_water_as_in_the_steam_tables(celsius: float, conductivity: float, density: float, capacity: float) -> None:
    assert component_property("water", "conductivity", celsius) == pytest.approx(conductivity, rel=0.01), STEAM
    assert component_property("water", "density", celsius) == pytest.approx(density, rel=0.003), STEAM
    assert component_property("water", "heat_capacity", celsius) == pytest.approx(capacity, rel=0.005), STEAM


def test_ice_as_in_handbooks() -> None:
    # The component equations of the ASHRAE handbook, from memory; the table follows other sources.
    for celsius in (0, -10, -20, -30):
        conductivity = 2.2196 - 6.2489e-3 * celsius + 1.0154e-4 * celsius**2
        assert component_property("ice", "conductivity", celsius) == pytest.approx(conductivity, rel=0.02)
        assert component_property("ice", "density", celsius) == pytest.approx(916.89 - 0.13071 * celsius, rel=0.001)
        capacity = 2.0623 + 6.0769e-3 * celsius
        assert component_property("ice", "heat_capacity", celsius) == pytest.approx(capacity, rel=0.02)


ICE = [  # °C, kg/m³, kJ/(kg K): IAPWS R10-06(2009) at 101 325 Pa, as PyPI iapws 1.5.5 computes it
    (0, 916.7218, 2.09670),
    (-10, 918.1658, 2.02310),
    (-20, 919.5652, 1.94983),
    (-30, 920.9174, 1.87695),
    (-40, 922.2192, 1.80451),
]


@pytest.mark.parametrize(("celsius", "density", "capacity"), ICE)
def test_ice_as_in_its_equation_of_state(celsius: float, density: float, capacity: float) -> None:
    assert component_property("ice", "density", celsius) == pytest.approx(density, rel=5e-4)  # a straight line
    assert component_property("ice", "heat_capacity", celsius) == pytest.approx(capacity, rel=5e-4)  # a straight line


@pytest.mark.parametrize(("celsius", "conductivity"), [(0, 2.2), (-10, 2.3)])
def test_ice_conducts_as_in_a_table_of_materials(celsius: float, conductivity: float) -> None:
    # EN 12524:2000, as PyPI ht 1.2.0 repeats it.
    assert component_property("ice", "conductivity", celsius) == pytest.approx(conductivity)


def test_oil_and_sugar_have_their_density() -> None:
    # Vegetable oil 0.92 g/ml and sucrose crystals 1.59 g/ml at 20 °C, handbook figures from memory.
    assert component_property("fat", "density", 20) == pytest.approx(920, rel=0.01)
    assert component_property("carbohydrate", "density", 20) == pytest.approx(1590, rel=0.01)


def test_cake_batter_as_measured() -> None:
    # A yellow cake batter of 41.5 % moisture and 694 kg/m³: 0.223 W/(m K), 2.95 kJ/(kg K), 1.09e-7 m²/s, which is
    # 6.5 mm² a minute. Measured in 1973, as reviews of baked goods quote it; from memory. The dry part is our guess.
    batter = MassFractions(water=0.415, fat=0.14, protein=0.05, carbohydrate=0.38, ash=0.015)
    properties = thermal_properties(batter, 25, density=694)
    assert properties.conductivity.low < 0.223 < properties.conductivity.high
    assert properties.conductivity.central == pytest.approx(0.223, rel=0.15)
    assert properties.heat_capacity == pytest.approx(2.95, rel=0.1)
    assert properties.diffusivity.central == pytest.approx(6.5, rel=0.15)
