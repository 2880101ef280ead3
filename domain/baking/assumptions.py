"""What a bake's estimate assumes: figures that are not known for an oven and a batter, with their ranges.

Each range is taken to hold 8 of 10 ovens and batters. A sweep moves one figure from its central value to both ends.
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from domain.baking.oven import FAN_OFFSETS
from domain.reference import rows
from domain.sources import figure_range


@dataclass(frozen=True, slots=True, kw_only=True)
class HeatFigures:
    """The assumptions that conduction needs; `fan_offset_c` applies if the caller gives none.

    `oven_error_c` and `start_error_c` are the target's differences from what is stated.
    """

    film: float
    conductivity: float
    surface_share: float
    fan_offset_c: float
    rise: float = 1.0
    radiation_share: float = 0.0
    material_exponent: float = 1.0
    slowness: float = 1.0
    oven_error_c: float = 0.0
    start_error_c: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """One set of assumptions: those about heat, and what lengthens a bake besides conduction."""

    heat: HeatFigures
    breadth_exponent: float = 0.0
    load_per_litre: float = 0.0
    shelf_share: float = 0.0
    opening_share: float = 0.0
    colour_share: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Sweep:
    """One figure at both ends of its range, the others at their central values."""

    parameter: str
    low: Case
    high: Case


@dataclass(frozen=True, slots=True, kw_only=True)
class Swept:
    """What an estimate sweeps, and the formula's own ranges where they are known.

    `conductivity`, `rise` and `heat_content` are low, central and high; None for the range of all batters.
    """

    fan_offset: bool = False
    material: bool = False
    pieces: bool = False
    conductivity: tuple[float, float, float] | None = None
    rise: tuple[float, float, float] | None = None
    heat_content: tuple[float, float, float] | None = None


def central_case(swept: Swept) -> Case:
    """The case of the central values.

    Args:
        swept: gives the formula's own ranges.
    Returns:
        The case.
    """
    return _cases(swept)[0]


def sweeps(swept: Swept) -> tuple[Sweep, ...]:
    """Both ends of each figure that bears on reference and target alike.

    Args:
        swept: figures to sweep besides those that are always swept.
    Returns:
        One sweep for each figure; the repeatabilities, which act on each bake for itself, are in `errors_of_a_bake`.
    """
    return _cases(swept)[1]


def errors_of_a_bake(swept: Swept) -> tuple[Sweep, ...]:
    """Both ends of the figures by which two equal bakes differ, except the plain one of time."""
    return _cases(swept)[2]


def heat_content_of(swept: Swept) -> tuple[float, float, float]:
    """The heat that the raw batter takes up, low, central and high.

    Args:
        swept: gives the formula's own range.
    Returns:
        MJ/(m³ K) of the raw batter's volume.
    """
    return _range("heat_content", swept.heat_content)


def _range(parameter: str, own: tuple[float, float, float] | None = None) -> tuple[float, float, float]:
    swept = RANGES[parameter]
    return own or (swept.low, swept.central, swept.high)


@lru_cache(maxsize=64)
def _cases(swept: Swept) -> tuple[Case, tuple[Sweep, ...], tuple[Sweep, ...]]:
    film, surface = _range("film_coefficient"), _range("surface_share")
    heat_ranges: dict[str, tuple[str, tuple[float, float, float]]] = {
        "film_coefficient": ("film", film),
        "conductivity": ("conductivity", _range("conductivity", swept.conductivity)),
        "surface_share": ("surface_share", surface),
        "rise": ("rise", _range("rise", swept.rise)),
        "radiation_share": ("radiation_share", _range("radiation_share")),
    }
    if swept.material:
        heat_ranges["material_exponent"] = ("material_exponent", _range("material_exponent"))
    if swept.pieces:
        heat_ranges["piece_slowness"] = ("slowness", _range("piece_slowness"))
    offsets = float(FAN_OFFSETS[0].amount), float(FAN_OFFSETS[-1].amount)
    heat = HeatFigures(**{name: middle for name, (_, middle, _) in heat_ranges.values()}, fan_offset_c=offsets[0])
    central = Case(heat=heat)
    for name in STRETCHES:
        central = _stretched(central, name, RANGES[name].central)
    both = [
        Sweep(
            parameter=parameter,
            low=replace(central, heat=replace(heat, **{name: low})),
            high=replace(central, heat=replace(heat, **{name: high})),
        )
        for parameter, (name, (low, _, high)) in heat_ranges.items()
    ]
    both += [
        Sweep(
            parameter=name,
            low=_stretched(central, name, RANGES[name].low),
            high=_stretched(central, name, RANGES[name].high),
        )
        for name in STRETCHES
    ]
    if swept.fan_offset:
        # The usual offset is the least: the sweep goes one way, so its lower end is as far on the other side.
        apart = offsets[1] - offsets[0]
        low, high = (replace(central, heat=replace(heat, fan_offset_c=offsets[0] + d)) for d in (-apart, apart))
        both.append(Sweep(parameter="fan_offset", low=low, high=high))
    errors = [
        Sweep(
            parameter=parameter,
            low=replace(central, heat=replace(heat, **{name: RANGES[parameter].low})),
            high=replace(central, heat=replace(heat, **{name: RANGES[parameter].high})),
        )
        for parameter, name in ERRORS.items()
    ]
    return central, tuple(both), tuple(errors)


def _stretched(case: Case, name: str, value: float) -> Case:
    changed: dict[str, Any] = {name: value}  # the names of `STRETCHES` are fields of `Case`
    return replace(case, **changed)


STRETCHES = ("breadth_exponent", "load_per_litre", "shelf_share", "opening_share", "colour_share")
ERRORS = {"oven_repeatability": "oven_error_c", "start_repeatability": "start_error_c"}
RANGES = {row["parameter"]: figure_range(row) for row in rows("bake_ranges")}
