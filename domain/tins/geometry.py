"""The capacity of a tin, how deep it fills, and the factor from one tin to another."""

from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from domain.errors import MismatchError, NeededError
from domain.measures.definitions import MM2_PER_CM2, MM3_PER_ML
from domain.measures.units import UNITS
from domain.notices import Notice
from domain.reference import rows
from domain.tins.shapes import CavitiesTin, MeasuredTin, TaperedRoundTin, Tin, Walls, walls_of

SHALLOW_MM = 10.0  # thinner than this a batter dries before it bakes: common practice, our own threshold
STEPS = 100  # limit for Newton's method with bisection, which converges in a handful of steps


@dataclass(frozen=True, slots=True, kw_only=True)
class TinMeasure:
    """Inside sizes of one tin; None where the tin's description does not determine them."""

    base_area_mm2: float | None
    top_area_mm2: float | None
    depth_mm: float | None
    volume_ml: float | None
    filled_depth_mm: float | None
    filled_ml: float | None
    fill_percent: float | None
    notices: tuple[Notice, ...] = ()

    @property
    def base_area_cm2(self) -> float | None:
        """Area of the base in cm²."""
        return None if self.base_area_mm2 is None else self.base_area_mm2 / MM2_PER_CM2

    @property
    def top_area_cm2(self) -> float | None:
        """Area at the rim in cm²."""
        return None if self.top_area_mm2 is None else self.top_area_mm2 / MM2_PER_CM2


@dataclass(frozen=True, slots=True, kw_only=True)
class TinFactor:
    """The factor from one tin's formula to another's, and how deep each wanted tin is filled.

    `kept`: the filled depth, a depth given by the caller, or, where a tin has only a volume, the share of
    the capacity.
    """

    factor: float
    kept: Literal["depth", "given_depth", "capacity_share"]
    filled_depth_mm: float | None
    fill_percent: float | None
    notices: tuple[Notice, ...]


def measure_tin(tin: Tin, filled_depth_mm: float | None = None) -> TinMeasure:
    """Areas, capacity and fill of one tin.

    Args:
        tin: any shape.
        filled_depth_mm: height of the batter, if the fill is wanted.
    Returns:
        The sizes that the tin's description determines.
    Raises:
        MismatchError: a filled depth for a tin that is known only by its volume.
    """
    walls = walls_of(tin)
    if walls is None:
        if filled_depth_mm is not None:
            raise _no_depth("filled_depth")
        return TinMeasure(
            base_area_mm2=None,
            top_area_mm2=None,
            depth_mm=None,
            volume_ml=capacity_ml(tin),
            filled_depth_mm=None,
            filled_ml=None,
            fill_percent=None,
        )
    filled_ml = None if filled_depth_mm is None else volume_ml(walls, filled_depth_mm)
    percent, notices = (None, ()) if filled_ml is None else fill_of(tin, filled_ml, filled_depth_mm)
    return TinMeasure(
        base_area_mm2=walls.a0,
        top_area_mm2=walls.area_mm2(walls.depth_mm) if walls.depth_mm else walls.a0,
        depth_mm=walls.depth_mm,
        volume_ml=capacity_ml(tin),
        filled_depth_mm=filled_depth_mm,
        filled_ml=filled_ml,
        fill_percent=percent,
        notices=notices,
    )


def water_volume_ml(grams: Fraction) -> float:
    """The volume of weighed water, by which a tin is measured.

    Args:
        grams: mass of the water.
    Returns:
        Millilitres.
    Source:
        fao-dens2, in densities.csv: water at 20 °C.

    >>> water_volume_ml(Fraction(998))
    1000.0
    """
    return float(grams / _WATER_G_PER_ML)


def _load_water_g_per_ml() -> Fraction:
    (row,) = (row for row in rows("densities") if (row["ingredient"], row["source"]) == ("water", "fao-dens2"))
    return Fraction(row["grams"]) / (Fraction(row["amount"]) * UNITS[row["unit"]].factor)


_WATER_G_PER_ML = _load_water_g_per_ml()


def capacity_ml(tin: Tin) -> float | None:
    """Millilitres to the rim, or None if the tin's depth was not given."""
    if isinstance(tin, CavitiesTin):
        return tin.count * tin.volume_ml
    if isinstance(tin, MeasuredTin):
        return tin.volume_ml
    walls = walls_of(tin)
    return volume_ml(walls, walls.depth_mm) if walls and walls.depth_mm else None


def cavities_of(count: int, cup: TaperedRoundTin) -> CavitiesTin:
    """A tray of equal cavities from the sizes of one.

    Args:
        count: how many.
        cup: one cavity: its diameters at the rim and the base, and its depth.
    Returns:
        The tray.

    >>> round(cavities_of(12, TaperedRoundTin(top_diameter_mm=70, base_diameter_mm=50, depth_mm=35)).volume_ml)
    100
    """
    return CavitiesTin(count=count, volume_ml=capacity_ml(cup) or 0.0, depth_mm=cup.depth_mm)


def volume_ml(walls: Walls, depth_mm: float) -> float:
    """Millilitres below a height; above the rim the walls are taken to go on upright.

    Args:
        walls: the area by height.
        depth_mm: the height, not below 0.
    Returns:
        Millilitres.
    Source:
        The integral of the area: a0·h + a1·h²/2 + a2·h³/3, the prismatoid formula, exact for frusta.
    """
    inside = depth_mm if walls.depth_mm is None else min(depth_mm, walls.depth_mm)
    volume = inside * (walls.a0 + inside * (walls.a1 / 2 + inside * walls.a2 / 3))
    return (volume + (depth_mm - inside) * walls.area_mm2(inside)) / MM3_PER_ML


def depth_mm(walls: Walls, volume: float) -> float:
    """The height of a volume in a tin: the inverse of `volume_ml`.

    Args:
        walls: the area by height.
        volume: millilitres, not below 0.
    Returns:
        Millimetres.
    """
    if not walls.sloping or walls.depth_mm is None:
        return volume * MM3_PER_ML / walls.a0
    rim = volume_ml(walls, walls.depth_mm)
    if volume >= rim:
        return walls.depth_mm + (volume - rim) * MM3_PER_ML / walls.area_mm2(walls.depth_mm)
    low, high, height = 0.0, walls.depth_mm, walls.depth_mm * volume / rim
    for _ in range(STEPS):
        miss = volume_ml(walls, height) - volume
        low, high = (low, height) if miss > 0 else (height, high)
        better = height - miss * MM3_PER_ML / walls.area_mm2(height)
        better = better if low < better < high else (low + high) / 2
        if better == height or high <= low:
            break
        height = better
    return height


def tin_factor(
    have: Tin,
    want: Tin,
    *,
    have_tins: int = 1,
    want_tins: int = 1,
    filled_depth_mm: float | None = None,
    want_depth_mm: float | None = None,
) -> TinFactor:
    """The factor for every line so that *want* is filled as *have* was.

    Args:
        have: the tin that the formula was written for.
        want: the tin to use.
        have_tins: number of tins *have* that the formula fills.
        want_tins: number of tins *want* to fill.
        filled_depth_mm: height of the batter in *have*, or in one of its cavities if their depth is known; needed if
            the walls of a tin slope.
        want_depth_mm: another height in *want*, or in one of its cavities if their depth is known.
    Returns:
        The factor (1 if both are the same), and the fill of the wanted tin if it is known.
    Raises:
        NeededError: the answer would be a guess without a depth.
        MismatchError: a depth was given for a tin that is known only by its volume, or it is past a cavity's rim.
    """
    have_walls, want_walls = walls_of(have), walls_of(want)
    tins = want_tins / have_tins
    if filled_depth_mm is not None and have_walls is None:
        _check_cup(have, filled_depth_mm, "filled_depth")
    if want_depth_mm is not None and want_walls is None:
        _check_cup(want, want_depth_mm, "depth")
    if want_depth_mm is not None and (have_walls is None or want_walls is None):
        return _by_depths(have, want, tins, filled_depth_mm, want_depth_mm)
    if have_walls is None or want_walls is None:
        return _by_capacity(have, want, tins, filled_depth_mm)
    if filled_depth_mm is None:
        if want_depth_mm is not None:
            raise _needed("the wanted depth is compared with it")
        if have_walls.sloping or want_walls.sloping:
            raise _needed("the walls of a tin slope, so the factor depends on it")
        return TinFactor(
            factor=tins * want_walls.a0 / have_walls.a0,
            kept="depth",
            filled_depth_mm=None,
            fill_percent=None,
            notices=(),
        )
    height = filled_depth_mm if want_depth_mm is None else want_depth_mm
    factor = tins * volume_ml(want_walls, height) / volume_ml(have_walls, filled_depth_mm)
    percent, notices = fill_of(want, volume_ml(want_walls, height), height)
    return TinFactor(
        factor=factor,
        kept="depth" if want_depth_mm is None else "given_depth",
        filled_depth_mm=height,
        fill_percent=percent,
        notices=notices,
    )


def fill_of(tin: Tin, batter_ml: float, height_mm: float | None) -> tuple[float | None, tuple[Notice, ...]]:
    """The fill of one tin, with warnings.

    Args:
        tin: any shape.
        batter_ml: volume of the batter in it.
        height_mm: height of the batter, if known.
    Returns:
        Percent of the capacity (None if the capacity is not known), and warnings.
    """
    capacity = capacity_ml(tin)
    percent = batter_ml / capacity * 100 if capacity else None
    notices = []
    if percent is not None and percent > 100 * (1 + 1e-12):
        message = f"The batter is {percent:.0f} % of the tin's capacity."
        notices.append(Notice("past_rim", message, (), percent, 100.0, "percent"))
    if height_mm is not None and height_mm < SHALLOW_MM:
        message = f"The batter is only {height_mm:.1f} mm deep: it may dry out before it is baked."
        notices.append(Notice("shallow_fill", message, (), height_mm, SHALLOW_MM, "mm"))
    return percent, tuple(notices)


def _by_depths(have: Tin, want: Tin, tins: float, filled_depth_mm: float | None, want_depth_mm: float) -> TinFactor:
    """Compare what two tins hold at their depths, where one of them is a tray of cavities or has no walls."""
    if filled_depth_mm is None:
        raise _no_depth("have") if isinstance(have, MeasuredTin) else _needed("the wanted depth is compared with it")
    have_ml, want_ml = _held_ml(have, filled_depth_mm), _held_ml(want, want_depth_mm)
    height = want_depth_mm if walls_of(want) is not None else None
    percent, notices = fill_of(want, want_ml, height)
    return TinFactor(
        factor=tins * want_ml / have_ml,
        kept="given_depth",
        filled_depth_mm=height,
        fill_percent=percent,
        notices=(Notice(code="shape_approximated", message="The cups of a tray count as upright."), *notices),
    )


def _held_ml(tin: Tin, height_mm: float) -> float:
    """What a tin, or all cavities of a tray of known depth, hold up to a height."""
    walls = walls_of(tin)
    if walls is not None:
        return volume_ml(walls, height_mm)
    deep = tin.depth_mm if isinstance(tin, CavitiesTin) else None
    if deep is None:
        raise AssertionError("only a cavity of known depth passes the check")
    return (capacity_ml(tin) or 0.0) * height_mm / deep


def _by_capacity(have: Tin, want: Tin, tins: float, filled_depth_mm: float | None) -> TinFactor:
    have_ml, want_ml = capacity_ml(have), capacity_ml(want)
    if have_ml is None or want_ml is None:
        side = "have" if have_ml is None else "want"
        raise NeededError(
            "Give this tin's depth: the other is known only by its volume, so capacities are compared.",
            path=(side, "depth"),
            code="depth_needed",
        )
    share = None
    have_walls, want_walls = walls_of(have), walls_of(want)
    message = "A tin is known only by its volume: the share of the capacity was kept, not the depth."
    if filled_depth_mm is not None and have_walls is not None:
        share = volume_ml(have_walls, filled_depth_mm) / have_ml
    elif filled_depth_mm is not None:
        share = _held_ml(have, filled_depth_mm) / have_ml
        message += " The cups of the formula's tray count as upright."
    height = depth_mm(want_walls, share * want_ml) if share is not None and want_walls is not None else None
    percent, notices = (None, ()) if share is None else fill_of(want, share * want_ml, height)
    return TinFactor(
        factor=tins * want_ml / have_ml,
        kept="capacity_share",
        filled_depth_mm=height,
        fill_percent=percent,
        notices=(Notice(code="depth_not_kept", message=message), *notices),
    )


def _check_cup(tin: Tin, filled_depth_mm: float, field: str) -> None:
    """Check that a depth of batter means something in a tin without walls: only in a cavity of known depth."""
    if not isinstance(tin, CavitiesTin):
        raise _no_depth(field)
    if tin.depth_mm is None:
        raise MismatchError(
            "Say how deep a cup of this tray is, such as “cavities 12 x 100 ml x 38 mm”: then it is known how full a "
            "depth of batter makes it.",
            path=(field,),
            code="no_depth",
        )
    if filled_depth_mm > tin.depth_mm:
        raise MismatchError(
            f"The batter stands {filled_depth_mm:.4g} mm high in a cup {tin.depth_mm:.4g} mm deep.",
            path=(field,),
            code="too_deep_for_cavity",
        )


def _no_depth(field: str) -> MismatchError:
    return MismatchError(
        "This tin is known only by its volume, so it has no depth; give its base_area or shape.",
        path=(field,),
        code="no_depth",
    )


def _needed(why: str) -> NeededError:
    return NeededError(
        f"Give filled_depth, the height of the batter in the formula's tin: {why}.",
        path=("filled_depth",),
        code="filled_depth_needed",
    )
