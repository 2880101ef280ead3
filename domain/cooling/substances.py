"""Heat properties of a mix that freezes over a range of temperatures, from its composition.

Sugar and salt lower the freezing point; as ice forms, the rest becomes stronger and freezes later. The heat
of fusion is spread over that range, so a mix has an apparent heat capacity at every temperature.
"""

import math
from dataclasses import dataclass

from domain.baking.thermal_properties import MassFractions, heat_capacity, thermal_properties
from domain.errors import OutOfRangeError
from domain.measures.definitions import J_PER_KJ

FUSION_KJ_KG = 334.0  # heat of fusion of water at 0 °C: handbook figure, from memory
CRYOSCOPIC_K_KG_MOL = 1.86  # of water: handbook figure, from memory
SUCROSE_G_MOL, SALT_G_MOL = 342.3, 58.44  # molar masses of sucrose and sodium chloride
SALT_PARTICLES = 2  # sodium and chloride
BOUND_PER_PROTEIN = 0.4  # grams of water that never freeze for each gram of protein: handbook figure, from memory
FROZEN_AT_C, THAWED_AT_C = -18.0, 20.0  # where the properties of both states are taken
WARMEST_FREEZING_C, COLDEST_FREEZING_C = -0.1, -25.0  # our own limits of the model


@dataclass(frozen=True, slots=True, kw_only=True)
class Substance:
    """A mix for the heat equation, per cubic metre.

    `capacity` and `frozen_capacity` in J/(m³ K) without the heat of fusion; `fusion` in J/m³, of the water that can
    freeze; `conductivity` and `frozen_conductivity` in W/(m K). A mix that never freezes has `fusion` 0.
    """

    capacity: float
    conductivity: float
    frozen_capacity: float = 0.0
    frozen_conductivity: float = 0.0
    freezing_c: float = -1.0
    fusion: float = 0.0

    def ice_share(self, celsius: float) -> float:
        """Frozen share of the water that can freeze: 1 − freezing point over temperature.

        Source:
            Chen, 1985, in the form that handbooks give for foods (from memory).
        """
        return 1 - self.freezing_c / celsius if self.fusion and celsius < self.freezing_c else 0.0

    def enthalpy(self, celsius: float) -> float:
        """Heat content in J/m³; 0 at the freezing point."""
        over = celsius - self.freezing_c
        if over >= 0 or not self.fusion:
            return self.capacity * over
        return self.frozen_capacity * over - self.fusion * (1 - self.freezing_c / celsius)

    def temperature(self, enthalpy: float) -> float:
        """The temperature of a heat content: the inverse of `enthalpy`."""
        if enthalpy >= 0 or not self.fusion:
            return self.freezing_c + enthalpy / self.capacity
        # c (T − F) − A (1 − F/T) = H is a quadratic in T; its lower root is the frozen one.
        c, f = self.frozen_capacity, self.freezing_c
        middle = c * f + self.fusion + enthalpy
        return (middle - math.sqrt(middle * middle - 4 * c * self.fusion * f)) / (2 * c)


def freezing_point_c(*, water_g: float, sugar_g: float = 0.0, salt_g: float = 0.0) -> float:
    """Where the first ice forms in a mix.

    Args:
        water_g: water of the mix, above 0.
        sugar_g: sugars, counted as sucrose.
        salt_g: salt.
    Returns:
        °C, by the cryoscopic constant of water, from −25 to −0.1. Strong solutions freeze at a few degrees less.
    Raises:
        OutOfRangeError: no water.
    Source:
        Raoult's law for dilute solutions: textbooks of physical chemistry, from memory.

    >>> round(freezing_point_c(water_g=1000, sugar_g=342.3), 2)
    -1.86
    """
    if water_g <= 0:
        message = "A mix freezes only if it has water."
        raise OutOfRangeError(message, path=("water",), value=water_g, limit=0, unit="g")
    mol = sugar_g / SUCROSE_G_MOL + SALT_PARTICLES * salt_g / SALT_G_MOL
    lowered = CRYOSCOPIC_K_KG_MOL * mol / (water_g / 1000)
    return max(COLDEST_FREEZING_C, min(WARMEST_FREEZING_C, -lowered))


def mass_fractions_of(*, water: float, fat: float, protein: float, salt: float) -> MassFractions:
    """The mass fractions of a mix: the rest counts as carbohydrate; shares above the whole are scaled down to it."""
    whole = max(1.0, water + fat + protein + salt)
    water, fat, protein, salt = (share / whole for share in (water, fat, protein, salt))
    return MassFractions(
        water=water,
        fat=fat,
        protein=protein,
        ash=salt,
        carbohydrate=max(0.0, 1 - water - fat - protein - salt),
    )


def substance_of(
    mix: MassFractions, *, freezing_c: float, density: float, conductivity_factor: float = 1.0
) -> Substance:
    """A mix that can freeze, from its composition.

    Args:
        mix: shares of mass, without ice.
        freezing_c: where the first ice forms, below 0.
        density: with its air, in kg/m³.
        conductivity_factor: on both conductivities, for the ends of their range.
    Returns:
        The substance. Water bound to protein never freezes; density stays as it is.
    Raises:
        OutOfRangeError: properties outside their range.
    """
    ice = max(0.0, mix.water - BOUND_PER_PROTEIN * mix.protein)
    frozen = MassFractions(
        water=mix.water - ice,
        ice=ice,
        fat=mix.fat,
        protein=mix.protein,
        carbohydrate=mix.carbohydrate,
        ash=mix.ash,
    )
    thawed_properties = thermal_properties(mix, THAWED_AT_C, density)
    frozen_properties = thermal_properties(frozen, FROZEN_AT_C, density)
    solid = thawed_properties.density
    return Substance(
        capacity=solid * J_PER_KJ * heat_capacity(mix, THAWED_AT_C),
        conductivity=conductivity_factor * thawed_properties.conductivity.central,
        frozen_capacity=solid * J_PER_KJ * heat_capacity(frozen, FROZEN_AT_C),
        frozen_conductivity=conductivity_factor * frozen_properties.conductivity.central,
        freezing_c=freezing_c,
        fusion=solid * J_PER_KJ * FUSION_KJ_KG * ice,
    )
