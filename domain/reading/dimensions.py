"""Quantities of a field that takes lengths, masses, volumes or areas only, and what is asked if one has no unit."""

from domain.errors import DomainError, UnknownError, UnreadableError
from domain.measures.quantities import (
    HOW_TO_WRITE_A_QUANTITY,
    HOW_TO_WRITE_AN_AMOUNT,
    MAX_AMOUNT,
    Quantity,
    positive,
)
from domain.measures.units import Dimension, Measures
from domain.reading.drafts import quantity_text
from domain.reading.quantities import read_number, read_quantity

# The units in which such a field is usually written, and an example of each kind.
_USUAL: dict[Dimension, tuple[str, ...]] = {
    "length": ("cm", "mm", "in"),
    "mass": ("g", "kg"),
    "volume": ("ml", "l"),
    "area": ("cm2", "in2"),
    "count": ("each",),
}
_EXAMPLES: dict[Dimension, str] = {
    "length": "20 cm",
    "mass": "200 g",
    "volume": "80 ml",
    "area": "400 cm2",
    "count": "4 each",
}
_MOST = {"cm": 200, "mm": 2_000, "in": 40, "kg": 500, "l": 500}  # our own limits: what a bakery writes


def read_dimension(written: str, *dimensions: Dimension, measures: Measures | None = None) -> Quantity:
    """A quantity above 0 of one of the dimensions that a field takes.

    Args:
        written: an amount and its unit, in any form that `read_quantity` takes.
        dimensions: one or more of length, mass, volume, area and count.
        measures: the set of measures that kitchen words belong to, and whose decimal sign is meant.
    Returns:
        The exact quantity.
    Raises:
        UnreadableError: not an amount and a unit; candidates have the field's units if only the unit is missing.
        UnknownError: an unknown unit; without nearer candidates, the field's units.
        MismatchError, OutOfRangeError: another dimension, or not above 0.
        AmbiguousError: as `read_quantity`.

    >>> float(read_dimension("2 Zoll", "length").base)
    50.8
    """
    try:
        return positive(read_quantity(written, measures), *dimensions)
    except UnreadableError as error:
        if error.candidates:
            raise
        candidates = _with_units(written, dimensions)
        if candidates:
            message = f"Give the unit: write {' or '.join(candidates)}."
            raise UnreadableError(message, candidates=candidates) from None
        if error.detail != HOW_TO_WRITE_A_QUANTITY:
            raise
        examples = " or ".join(_EXAMPLES[dimension] for dimension in dimensions)
        message = f"Write a {' or '.join(dimensions)} with its unit, such as {examples}. {HOW_TO_WRITE_AN_AMOUNT}"
        raise UnreadableError(message) from None
    except UnknownError as error:
        if error.candidates:
            raise
        units = _units(dimensions)
        message = f"This unit is unknown; usual here: {', '.join(units)}. GET /v1/units lists all units."
        raise UnknownError(message, code="unknown_unit", candidates=units) from None


def _units(dimensions: tuple[Dimension, ...]) -> tuple[str, ...]:
    return tuple(unit for dimension in dimensions for unit in _USUAL[dimension])


def _with_units(written: str, dimensions: tuple[Dimension, ...]) -> tuple[str, ...]:
    """A number above 0 without a unit, in the units that the field usually has; empty for any other text."""
    try:
        number = read_number(written)
    except DomainError:
        return ()
    if number <= 0:
        return ()
    # Candidates are plausible or absent.
    return tuple(quantity_text(number, unit) for unit in _units(dimensions) if number <= _MOST.get(unit, MAX_AMOUNT))
