"""Laws of heat properties from composition, and the compositions that are refused."""

from itertools import pairwise

import pytest

from domain.baking.thermal_properties import (
    MassFractions,
    component_property,
    fractions_of,
    heat_capacity,
    solid_density,
    thermal_properties,
)
from domain.errors import DomainErrors, OutOfRangeError


def test_diffusivity_is_conductivity_over_density_and_heat_capacity() -> None:
    mix = MassFractions(water=0.3, fat=0.3, carbohydrate=0.4)
    at = thermal_properties(mix, 60, density=900)
    by_definition = at.conductivity.central / (at.density * at.heat_capacity * 1000) * 1e6 * 60
    assert at.diffusivity.central == pytest.approx(by_definition)


def test_a_pure_component_keeps_its_own_figures() -> None:
    water = MassFractions(water=1)
    properties = thermal_properties(water, 20)
    assert properties.air_share == 0
    assert properties.conductivity.low == pytest.approx(properties.conductivity.high)
    assert solid_density(water, 20) == pytest.approx(component_property("water", "density", 20))
    assert heat_capacity(water, 20) == pytest.approx(component_property("water", "heat_capacity", 20))


def test_more_air_conducts_less() -> None:
    mix = MassFractions(water=0.4, fat=0.2, carbohydrate=0.4)
    conducted = [thermal_properties(mix, 25, density=d).conductivity for d in (1100, 900, 600, 300)]
    for dense, light in pairwise(conducted):
        assert light.low < dense.low
        assert light.central < dense.central
        assert light.high < dense.high
    assert all(c.low <= c.central <= c.high for c in conducted)


def test_the_rest_of_the_mass_is_ash() -> None:
    assert fractions_of(water_g=40, fat_g=20, protein_g=5, carbohydrate_g=33, total_g=100).ash == pytest.approx(0.02)


def test_impossible_fractions_densities_and_temperatures_are_refused() -> None:
    with pytest.raises(DomainErrors) as refused:
        MassFractions(water=1.2, fat=-0.2)
    assert [error.path for error in refused.value.errors] == [("water",), ("fat",)]
    with pytest.raises(DomainErrors) as refused:
        MassFractions(water=0.5)
    assert "add up to 0.5" in refused.value.errors[0].detail
    mix = MassFractions(water=0.4, fat=0.2, carbohydrate=0.4)
    with pytest.raises(OutOfRangeError, match="all air"):
        thermal_properties(mix, 25, density=20)
    with pytest.raises(OutOfRangeError, match="-40 to 150"):
        thermal_properties(mix, 200)
