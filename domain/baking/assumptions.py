"""What a bake's estimate assumes: figures that are not known for an oven and a batter, with their ranges.

Each range is taken to hold 8 of 10 ovens and batters. A sweep moves one figure from its central value to both ends.
"""

from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Any

from domain.baking.oven import FAN_OFFSETS
from domain.reference import rows
from domain.sources import FigureRange, figure_range

RANGES = {row["parameter"]: figure_range(row) for row in rows("bake_ranges")}
STRETCHES = ("breadth_exponent", "load_per_litre", "shelf_share", "opening_share", "colour_share")
ERRORS = ("oven_repeatability", "start_repeatability")
HEAT_FIELDS = {  # parameters that `HeatFigures` calls otherwise
    "film_coefficient": "film",
    "piece_slowness": "slowness",
    "oven_repeatability": "oven_error_c",
    "start_repeatability": "start_error_c",
}
USUAL_FAN_OFFSET_C, LARGEST_FAN_OFFSET_C = float(FAN_OFFSETS[0].amount), float(FAN_OFFSETS[-1].amount)


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
class BatterFigures:
    """How a batter rises and takes up heat; by default the ranges of all batters.

    `rise` is the height while it bakes over the filled depth, `conductivity` is in W/(m K), and `heat_content` in
    MJ/(m³ K) of the raw batter's volume.
    """

    rise: FigureRange = RANGES["rise"]
    conductivity: FigureRange = RANGES["conductivity"]
    heat_content: FigureRange = RANGES["heat_content"]


ANY_BATTER = BatterFigures()


@dataclass(frozen=True, slots=True, kw_only=True)
class Swept:
    """What an estimate sweeps, and the ranges of the batter."""

    fan_offset: bool = False
    material: bool = False
    pieces: bool = False
    batter: BatterFigures = ANY_BATTER


def central_case(swept: Swept) -> Case:
    """The case of the central values.

    Args:
        swept: gives the ranges of the batter.
    Returns:
        The case.
    """
    return _cases(swept).central


def sweeps(swept: Swept) -> tuple[Sweep, ...]:
    """Both ends of each figure that bears on reference and target alike.

    Args:
        swept: figures to sweep besides those that are always swept.
    Returns:
        One sweep for each figure; the repeatabilities, which act on each bake for itself, are in `errors_of_a_bake`.
    """
    return _cases(swept).sweeps


def errors_of_a_bake(swept: Swept) -> tuple[Sweep, ...]:
    """Both ends of the figures by which two equal bakes differ, except the plain one of time."""
    return _cases(swept).errors


@dataclass(frozen=True, slots=True, kw_only=True)
class _Cases:
    central: Case
    sweeps: tuple[Sweep, ...]
    errors: tuple[Sweep, ...]


@lru_cache(maxsize=64)
def _cases(swept: Swept) -> _Cases:
    heat_ranges = _heat_ranges(swept)
    central = _central(heat_ranges)
    both = [_heat_sweep(central, each) for each in heat_ranges]
    both += [
        Sweep(
            parameter=name,
            low=_stretched(central, name, RANGES[name].low),
            high=_stretched(central, name, RANGES[name].high),
        )
        for name in STRETCHES
    ]
    if swept.fan_offset:
        both.append(_fan_sweep(central))
    return _Cases(
        central=central, sweeps=tuple(both), errors=tuple([_heat_sweep(central, RANGES[name]) for name in ERRORS])
    )


def _heat_ranges(swept: Swept) -> list[FigureRange]:
    ranges = [
        RANGES["film_coefficient"],
        swept.batter.conductivity,
        RANGES["surface_share"],
        swept.batter.rise,
        RANGES["radiation_share"],
    ]
    if swept.material:
        ranges.append(RANGES["material_exponent"])
    if swept.pieces:
        ranges.append(RANGES["piece_slowness"])
    return ranges


def _central(heat_ranges: list[FigureRange]) -> Case:
    heat = {_heat_field(each.parameter): each.central for each in heat_ranges}
    case = Case(heat=HeatFigures(**heat, fan_offset_c=USUAL_FAN_OFFSET_C))
    for name in STRETCHES:
        case = _stretched(case, name, RANGES[name].central)
    return case


def _heat_sweep(central: Case, swept: FigureRange) -> Sweep:
    low, high = (
        replace(central, heat=replace(central.heat, **{_heat_field(swept.parameter): end}))
        for end in (swept.low, swept.high)
    )
    return Sweep(parameter=swept.parameter, low=low, high=high)


def _fan_sweep(central: Case) -> Sweep:
    """The usual offset is the least: the sweep goes one way, so its lower end is as far on the other side."""
    apart = LARGEST_FAN_OFFSET_C - USUAL_FAN_OFFSET_C
    low, high = (
        replace(central, heat=replace(central.heat, fan_offset_c=USUAL_FAN_OFFSET_C + change))
        for change in (-apart, apart)
    )
    return Sweep(parameter="fan_offset", low=low, high=high)


def _heat_field(parameter: str) -> str:
    return HEAT_FIELDS.get(parameter, parameter)


def _stretched(case: Case, name: str, value: float) -> Case:
    changed: dict[str, Any] = {name: value}  # the names of `STRETCHES` are fields of `Case`
    return replace(case, **changed)
