"""Where a bake cools, and the ranges of what is not known about it."""

from dataclasses import dataclass
from types import MappingProxyType

from domain.errors import UnknownError
from domain.reference import rows
from domain.sources import Cited, cited

INSULATED_BASES = frozenset({"bench"})  # on a solid surface; the others are taken to be wire shelves


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolingRange:
    """A figure that is not known for this kitchen, with the range that the window covers."""

    parameter: str
    meaning: str
    unit: str
    low: float
    central: float
    high: float
    cited: Cited


def range_of(parameter: str, place: str = "") -> CoolingRange:
    """The range of a figure, in a place if it depends on the place.

    Args:
        parameter: as the table names it.
        place: one of `PLACES`, for `surroundings` and `film_coefficient`.
    Returns:
        The range.
    """
    return _RANGES[parameter, place]


def own_range(parameter: str, value: float, spread: float) -> CoolingRange:
    """A range round the caller's own figure."""
    usual = next(each for (name, _), each in _RANGES.items() if name == parameter)
    return CoolingRange(
        parameter=parameter,
        meaning=usual.meaning,
        unit=usual.unit,
        low=value - spread,
        central=value,
        high=value + spread,
        cited=usual.cited,
    )


_RANGES = MappingProxyType(
    {
        (row["parameter"], row["place"]): CoolingRange(
            parameter=row["parameter"],
            meaning=row["meaning"],
            unit=row["unit"],
            low=float(row["low"]),
            central=float(row["central"]),
            high=float(row["high"]),
            cited=cited(row),
        )
        for row in rows("cooling_ranges")
    }
)
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
