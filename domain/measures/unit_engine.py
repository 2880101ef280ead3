"""Factors of units, resolved by pint from `units.txt`. The only module that imports pint."""

from collections.abc import Mapping
from fractions import Fraction
from importlib.resources import as_file, files
from typing import Any

import pint

Affine = tuple[Fraction, Fraction]  # factor and offset: base = value × factor + offset


def registry() -> "pint.UnitRegistry[Any]":
    """A registry of our own definitions only, with exact fractions."""
    with as_file(files("domain.reference") / "units.txt") as path:
        return pint.UnitRegistry(str(path), non_int_type=Fraction)


def resolve_factors(base_of: Mapping[str, str]) -> dict[str, Affine]:
    """The exact factor and offset of each unit.

    Args:
        base_of: each unit's id, and the base unit of its dimension (g, ml, mm, mm2, kelvin, each).
    Returns:
        Factor and offset by the unit's id; only temperatures have an offset other than 0.
    """
    units = registry()

    def in_base(unit: str, amount: int) -> Fraction:
        return Fraction(units.Quantity(Fraction(amount), unit).to(base_of[unit]).magnitude)

    offsets = {unit: in_base(unit, 0) if base == "kelvin" else Fraction(0) for unit, base in base_of.items()}
    return {unit: (in_base(unit, 1) - offset, offset) for unit, offset in offsets.items()}
