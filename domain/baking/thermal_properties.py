"""Conductivity, heat capacity, density and diffusivity of a mix, from its composition and its air.

The mix is its components side by side: mass fractions give the heat capacity, volume fractions the conductivity.
Air enters through the density of the whole mix, which a filled depth gives.
"""

import math
from dataclasses import dataclass, fields

from domain.errors import DomainError, DomainErrors, OutOfRangeError, broken_limit
from domain.measures.definitions import G_PER_KG, MM2_PER_M2, SECONDS_PER_MINUTE
from domain.reference import rows
from domain.sources import Cited, cite, cited

COLDEST_C, WARMEST_C = -40.0, 150.0  # the range of the component equations
BAKING_C = 60.0  # halfway between a raw batter and a done core
AIR_CONDUCTIVITY = 0.025  # W/(m K), of the source below
AIR_KG_M3 = 1.23  # of the source below
AIR_CITED = cite("en-12524-2nd", "gases, air", "quoted")
SUM_TOLERANCE = 1e-6  # rounding of fractions that add up to 1
MAX_AIR = 0.95  # our own limit: a lighter mix is a weighing error


@dataclass(frozen=True, slots=True, kw_only=True)
class MassFractions:
    """What a mix consists of, as shares of its mass that add up to at most 1. Fibre counts as carbohydrate.

    `ice` is the frozen part of the water; `water` is then only what is liquid.
    """

    water: float
    fat: float = 0.0
    protein: float = 0.0
    carbohydrate: float = 0.0
    ash: float = 0.0
    ice: float = 0.0

    def __post_init__(self) -> None:
        """Check the shares.

        Raises:
            DomainErrors: one error for each share outside 0 to 1, or one if their sum is not 1.
        """
        errors = list[DomainError]()
        for name, share in self.items():
            if not 0 <= share <= 1:
                message, limit = f"A share of {name} is from 0 to 1, not {share:g}.", broken_limit(share, 0, 1)
                errors.append(OutOfRangeError(message, path=(name,), value=share, limit=limit))
        total = sum(share for _, share in self.items())
        if not errors and not math.isclose(total, 1, abs_tol=SUM_TOLERANCE):
            message = f"The shares of the components add up to {total:g}, not to 1."
            errors.append(OutOfRangeError(message, value=total, limit=1))
        if errors:
            raise DomainErrors(errors)

    def items(self) -> list[tuple[str, float]]:
        """Name and share of each component."""
        return [(field.name, getattr(self, field.name)) for field in fields(self)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Estimated:
    """A figure with the range that the models of a mixture allow."""

    low: float
    central: float
    high: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ThermalProperties:
    """Heat properties of a mix at one temperature.

    Conductivity in W/(m K), heat capacity in kJ/(kg K), density in kg/m³, diffusivity in mm²/min. `air_share` is the
    share of air in the volume.
    """

    celsius: float
    conductivity: Estimated
    heat_capacity: float
    density: float
    diffusivity: Estimated
    air_share: float
    cited: tuple[Cited, ...]


def fractions_of(
    *, water_g: float, fat_g: float, protein_g: float, carbohydrate_g: float, total_g: float
) -> MassFractions:
    """Shares of mass from grams.

    Args:
        water_g: water of the mix.
        fat_g: fat.
        protein_g: protein.
        carbohydrate_g: carbohydrate, fibre included.
        total_g: the whole mix, above 0; what the others leave of it counts as ash.
    Returns:
        The shares. Components that exceed the mix a little, by rounding, are scaled down to it.
    Raises:
        DomainErrors: a component below 0, or no mass.
    """
    if total_g <= 0:
        raise DomainErrors(
            [OutOfRangeError("A mix weighs more than 0 g.", path=("total",), value=total_g, limit=0, unit="g")]
        )
    whole = max(total_g, water_g + fat_g + protein_g + carbohydrate_g)
    water, fat, protein, carbohydrate = (g / whole for g in (water_g, fat_g, protein_g, carbohydrate_g))
    ash = max(0.0, 1 - water - fat - protein - carbohydrate)
    return MassFractions(water=water, fat=fat, protein=protein, carbohydrate=carbohydrate, ash=ash)


def component_property(component: str, name: str, celsius: float) -> float:
    """A heat property of one component.

    Args:
        component: `water`, `ice`, `protein`, `fat`, `carbohydrate` or `ash`.
        name: `conductivity` (W/(m K)), `density` (kg/m³) or `heat_capacity` (kJ/(kg K)).
        celsius: from −40 to 150.
    Returns:
        The property in its unit.
    Raises:
        OutOfRangeError: the equations do not cover this temperature.
    Source:
        Effects of temperature and composition on the thermal properties of foods, 1986; quadratic equations.

    >>> round(component_property("water", "heat_capacity", 25.0), 2)
    4.18
    """
    if not COLDEST_C <= celsius <= WARMEST_C:
        message = f"Heat properties are known from {COLDEST_C:g} to {WARMEST_C:g} °C, not at {celsius:g} °C."
        limit = broken_limit(celsius, COLDEST_C, WARMEST_C)
        raise OutOfRangeError(message, path=("celsius",), value=celsius, limit=limit, unit="celsius")
    a, b, c = _COEFFICIENTS[component, name]
    return a + celsius * (b + celsius * c)


def solid_density(mix: MassFractions, celsius: float) -> float:
    """Density of the mix without air, in kg/m³: the components keep their volumes.

    Args:
        mix: shares of mass.
        celsius: from −40 to 150.
    Returns:
        kg/m³.
    """
    return 1 / sum(share / component_property(name, "density", celsius) for name, share in mix.items() if share)


def heat_capacity(mix: MassFractions, celsius: float) -> float:
    """Specific heat of the mix without latent heat, in kJ/(kg K).

    Args:
        mix: shares of mass.
        celsius: from −40 to 150.
    Returns:
        The mean of the components, weighted by mass. Air weighs nothing worth counting.
    """
    return sum(share * component_property(name, "heat_capacity", celsius) for name, share in mix.items() if share)


def thermal_properties(mix: MassFractions, celsius: float, density: float | None = None) -> ThermalProperties:
    """Heat properties of a mix at one temperature.

    Args:
        mix: shares of mass.
        celsius: from −40 to 150.
        density: of the whole mix with its air, in kg/m³; None for a mix without air.
    Returns:
        The properties. Of the conductivity, `high` has the components and the air side by side along the flow of
        heat, `low` has them one behind the other, and `central` has air bubbles inside the mix.
    Raises:
        OutOfRangeError: a temperature or a density outside its range.
    Source:
        Bounds of Wiener for layers; Maxwell's and Eucken's equation for bubbles; handbook chapters on the thermal
        properties of foods describe both.

    >>> batter = MassFractions(water=0.42, fat=0.14, protein=0.05, carbohydrate=0.38, ash=0.01)
    >>> round(thermal_properties(batter, 25.0, density=700).conductivity.central, 2)
    0.19
    """
    without_air = solid_density(mix, celsius)
    whole = without_air if density is None else min(density, without_air)
    air = (without_air - whole) / (without_air - AIR_KG_M3)
    if air > MAX_AIR:
        message = f"A mix of {whole:.0f} kg/m³ would be nearly all air: check its mass and its filled depth."
        raise OutOfRangeError(message, path=("density",), value=100 * air, limit=100 * MAX_AIR, unit="percent")
    side_by_side, behind = _layers(mix, celsius, without_air)
    mixed = (side_by_side + behind) / 2  # our own choice between the two bounds
    low = 1 / (air / AIR_CONDUCTIVITY + (1 - air) / behind)
    high = air * AIR_CONDUCTIVITY + (1 - air) * side_by_side
    conductivity = Estimated(low=low, central=_with_bubbles(mixed, air), high=high)
    capacity = heat_capacity(mix, celsius)
    per_minute = SECONDS_PER_MINUTE * MM2_PER_M2 / (whole * capacity * G_PER_KG)
    return ThermalProperties(
        celsius=celsius,
        conductivity=conductivity,
        heat_capacity=capacity,
        density=whole,
        diffusivity=Estimated(
            low=conductivity.low * per_minute,
            central=conductivity.central * per_minute,
            high=conductivity.high * per_minute,
        ),
        air_share=air,
        cited=SOURCES if air else SOURCES[:1],
    )


def baking_conductivity(mix: MassFractions, density: float, pores: Estimated) -> Estimated:
    """Conductivity of a batter while it bakes, with the vapour in its pores.

    Args:
        mix: shares of mass, raw.
        density: with its air, as it has risen, in kg/m³, above 0.
        pores: conductivity of the pores, vapour included, in W/(m K).
    Returns:
        W/(m K). The ends take the pores' ends, and components halfway between layers across and along the heat.
    Source:
        As `thermal_properties`, at `BAKING_C`.

    >>> batter = MassFractions(water=0.35, fat=0.15, protein=0.06, carbohydrate=0.43, ash=0.01)
    >>> round(baking_conductivity(batter, 650, Estimated(low=0.2, central=0.8, high=2.5)).central, 2)
    0.52
    """
    without_air = solid_density(mix, BAKING_C)
    air = (without_air - min(density, without_air)) / (without_air - AIR_KG_M3)
    along, behind = _layers(mix, BAKING_C, without_air)
    mixed = (along + behind) / 2
    return Estimated(
        low=_with_bubbles((mixed + behind) / 2, air, pores.low),
        central=_with_bubbles(mixed, air, pores.central),
        high=_with_bubbles((mixed + along) / 2, air, pores.high),
    )


def _layers(mix: MassFractions, celsius: float, without_air: float) -> tuple[float, float]:
    """Conductivity with the components side by side, and one behind the other."""
    along = across = 0.0
    for name, share in mix.items():
        if share:
            volume = share * without_air / component_property(name, "density", celsius)
            conductivity = component_property(name, "conductivity", celsius)
            along += volume * conductivity
            across += volume / conductivity
    return along, 1 / across


def _with_bubbles(solid: float, air: float, inside: float = AIR_CONDUCTIVITY) -> float:
    rest = 2 * solid + inside
    step = air * (solid - inside)
    return solid * (rest - 2 * step) / (rest + step)


_ROWS = rows("component_properties")
_COEFFICIENTS = {
    (row["component"], row["property"]): (float(row["a"]), float(row["b"]), float(row["c"])) for row in _ROWS
}
SOURCES = (cited(_ROWS[0]), AIR_CITED)
