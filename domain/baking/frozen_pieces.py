"""Dough pieces that thaw inside a batter: their heat of fusion as a greater difference of temperature.

A piece reaches its core temperature long after it has thawed, and by then only the heat that it had to take up matters.
So a frozen piece counts as an unfrozen one, as much colder as its heat content is lower. Its true temperature follows
from its heat content. Against finite volumes with heat of fusion, the minutes are within 2 %, and within 4 % where the
pieces nearly fill the batter.
"""

from domain.cooling.places import range_of
from domain.cooling.substances import Substance, freezing_point_c, mass_fractions_of, substance_of
from domain.measures.definitions import KG_M3_PER_G_ML
from domain.pieces.displacement import DOUGH_G_PER_ML

UNFROZEN_C = 0.0  # a dough with sugar and salt has no ice at this temperature
THAW_ERROR = 0.4  # our own judgement: error of the longer time's logarithm, mostly from the dough's water


def without_ice_c(piece_c: float) -> float:
    """The temperature at which a dough without ice would hold as little heat as this piece.

    Args:
        piece_c: the piece's temperature, −40 °C or more.
    Returns:
        The same temperature if nothing is frozen, otherwise a lower one.

    >>> without_ice_c(4.0)
    4.0
    >>> round(without_ice_c(-18.0))
    -31
    """
    frozen = piece_c < DOUGH.freezing_c
    return DOUGH.freezing_c + DOUGH.enthalpy(piece_c) / DOUGH.capacity if frozen else piece_c


def with_ice_c(celsius: float) -> float:
    """The inverse of `without_ice_c`: the true temperature of a piece.

    Args:
        celsius: the temperature that a dough without ice would have.
    Returns:
        The same temperature if nothing is frozen, otherwise a higher one.

    >>> round(with_ice_c(without_ice_c(-18.0)), 6)
    -18.0
    """
    frozen = celsius < DOUGH.freezing_c
    return DOUGH.temperature(DOUGH.capacity * (celsius - DOUGH.freezing_c)) if frozen else celsius


def _usual_dough() -> Substance:
    water, fat, protein, sugar, salt = (
        range_of(f"dough_{name}_share").central for name in ("water", "fat", "protein", "sugar", "salt")
    )
    return substance_of(
        mass_fractions_of(water=water, fat=fat, protein=protein, salt=salt),
        freezing_c=freezing_point_c(water_g=water, sugar_g=sugar, salt_g=salt),
        density=DOUGH_G_PER_ML * KG_M3_PER_G_ML,
    )


DOUGH = _usual_dough()
