"""Where a bake cools, and the ranges of what is not known about it."""

from dataclasses import replace
from types import MappingProxyType

from domain.errors import UnknownError
from domain.reference import rows
from domain.sources import FigureRange, figure_range

INSULATED_BASES = frozenset({"bench"})  # on a solid surface; the others are taken to be wire shelves


def range_of(parameter: str, place: str = "") -> FigureRange:
    """The range of a figure, in a place if it depends on the place.

    Args:
        parameter: as the table names it.
        place: one of `PLACES`, for `surroundings` and `film_coefficient`.
    Returns:
        The range.
    """
    return _RANGES[parameter, place]


def own_range(parameter: str, value: float, spread: float) -> FigureRange:
    """A range round the caller's own figure."""
    usual = next(each for (name, _), each in _RANGES.items() if name == parameter)
    return replace(usual, low=value - spread, central=value, high=value + spread)


_RANGES = MappingProxyType({(row["parameter"], row["place"]): figure_range(row) for row in rows("cooling_ranges")})
PLACES = tuple(place for parameter, place in _RANGES if parameter == "surroundings")


def check_place(place: str) -> None:
    """Check the name of a place.

    Args:
        place: its name.
    Raises:
        UnknownError: it is none of `PLACES`.
    """
    if place not in PLACES:
        raise UnknownError(f"A place is one of {', '.join(PLACES)}.", candidates=PLACES, code="unknown_place")
