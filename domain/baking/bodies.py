"""The shape that the model heats: a batter in a tin as a product of plane walls and cylinders."""

import math

from domain.baking.heating import Body, Extent
from domain.errors import MismatchError, NeededError
from domain.measures.definitions import MM3_PER_ML
from domain.notices import Notice
from domain.tins.geometry import volume_ml
from domain.tins.shapes import (
    CavitiesTin,
    RectangleTin,
    RingTin,
    RoundTin,
    SquareTin,
    TaperedRectangleTin,
    TaperedRoundTin,
    Tin,
    Walls,
    walls_of,
)

CUP_WIDTH_TO_DEPTH = 2.0  # our own assumption: common cavities are about twice as wide as deep
ROUNDING = 1e-9  # relative


def body_of(tin: Tin, filled_depth_mm: float) -> tuple[Body, tuple[Notice, ...]]:
    """The body of a batter, and what it leaves out of the tin's shape.

    Args:
        tin: of any shape except a measured tin without a base area.
        filled_depth_mm: depth of the batter.
    Returns:
        Rectangles as three plane walls, rounds as a cylinder and a plane wall, heated on every face. A ring is
        a plane wall as thick as the gap between wall and tube, times one as thick as the batter is deep. The two
        agree in the limit of a weak film (equal volume over surface) and of a fixed surface temperature (the
        first root times the gap is within 2.5 % of π for holes up to a quarter of the tin: Conduction of Heat in
        Solids, 1959, table of roots for two cylinders, from memory). A polygon counts as a round of the same area,
        sloping walls as upright walls at half the filled depth, a cavity as an upright round cup, twice as wide as
        deep if its depth is not known.
    Raises:
        NeededError: only the volume of the tin is known; `path` is `("tin", "base_area")`.
        MismatchError: the batter would be deeper than the cavity; `path` is `filled_depth`.

    >>> [e.half_mm for e in body_of(SquareTin(side_mm=200), 40)[0].extents]
    [100.0, 100.0, 20.0]
    """
    walls = walls_of(tin)
    notices = _past_rim(walls, filled_depth_mm)
    extents, simplification = _across(tin, walls, filled_depth_mm)
    if simplification:
        notices = (*notices, Notice(code="shape_approximated", message=simplification, path=("tin",)))
    if walls is None:
        volume = math.pi * extents[0].half_mm ** 2 * filled_depth_mm
    else:
        volume = volume_ml(walls, filled_depth_mm) * MM3_PER_ML
    return Body(extents=(*extents, _slab(filled_depth_mm)), volume_mm3=volume), notices


def _across(tin: Tin, walls: Walls | None, filled_depth_mm: float) -> tuple[tuple[Extent, ...], str]:
    """The extents seen from above, and how they simplify the shape."""
    match tin:
        case SquareTin(side_mm=side):
            return (_slab(side), _slab(side)), ""
        case RectangleTin(length_mm=length, width_mm=width):
            return (_slab(length), _slab(width)), ""
        case RoundTin(diameter_mm=diameter):
            return (_disc(diameter),), ""
        case RingTin(diameter_mm=diameter, hole_mm=hole):
            return (_slab((diameter - hole) / 2),), _BAR
        case TaperedRectangleTin() | TaperedRoundTin():
            return _half_way_up(tin, filled_depth_mm), _SLOPING
        case _:
            return _roundish(tin, walls, filled_depth_mm)


def _roundish(tin: Tin, walls: Walls | None, filled_depth_mm: float) -> tuple[tuple[Extent, ...], str]:
    if isinstance(tin, CavitiesTin):
        return (_cup(tin, filled_depth_mm),), _CUP if tin.depth_mm is None else _UPRIGHT_CUP
    if walls is not None:
        return (_disc(2 * math.sqrt(walls.a0 / math.pi)),), _ROUND
    raise NeededError(
        "Give the tin's shape or its base_area: a time cannot be estimated from a volume alone.",
        path=("tin", "base_area"),
        code="shape_needed",
    )


_BAR = "A ring: the time is that of a straight bar as thick as the gap between wall and tube."
_SLOPING = "Sloping walls: the time is for upright walls, as wide as the tin is at half the filled depth."
_CUP = (
    "How deep a cup is, is not known: the time is for a round cup twice as wide as deep. Give its depth, such as "
    "“12 x 100 ml x 38 mm”."
)
_UPRIGHT_CUP = "Cups: the time is for a round cup with upright walls, of this volume and depth."
_ROUND = "The time is for a round tin of the same area."


def _slab(thickness_mm: float) -> Extent:
    return Extent(shape="slab", half_mm=thickness_mm / 2)


def _disc(diameter_mm: float) -> Extent:
    return Extent(shape="cylinder", half_mm=diameter_mm / 2)


def _half_way_up(tin: TaperedRectangleTin | TaperedRoundTin, filled_depth_mm: float) -> tuple[Extent, ...]:
    up = min(filled_depth_mm / 2, tin.depth_mm) / tin.depth_mm

    def at(base: float, top: float) -> float:
        return base + up * (top - base)

    if isinstance(tin, TaperedRoundTin):
        return (_disc(at(tin.base_diameter_mm, tin.top_diameter_mm)),)
    length = at(tin.base_length_mm, tin.top_length_mm)
    return (_slab(length), _slab(at(tin.base_width_mm, tin.top_width_mm)))


def _cup(tin: CavitiesTin, filled_depth_mm: float) -> Extent:
    deep = cup_depth_mm(tin)
    if filled_depth_mm > deep * (1 + ROUNDING):
        how = "is assumed to be" if tin.depth_mm is None else "is"
        raise MismatchError(
            f"A cavity of {tin.volume_ml:g} ml {how} {deep:.0f} mm deep: fill it less, or give its depth.",
            path=("filled_depth",),
            code="too_deep_for_cavity",
        )
    return _disc(2 * math.sqrt(tin.volume_ml * MM3_PER_ML / deep / math.pi))


def cup_depth_mm(tin: CavitiesTin) -> float:
    """The inside depth of one cavity.

    Args:
        tin: the tray.
    Returns:
        Its own depth in mm; if that is not known, that of a cup twice as wide as deep.
    """
    if tin.depth_mm is not None:
        return tin.depth_mm
    return math.cbrt(4 * tin.volume_ml * MM3_PER_ML / (math.pi * CUP_WIDTH_TO_DEPTH**2))


def _past_rim(walls: Walls | None, filled_depth_mm: float) -> tuple[Notice, ...]:
    if walls is None or walls.depth_mm is None or filled_depth_mm <= walls.depth_mm:
        return ()
    message = f"The batter stands {filled_depth_mm:.4g} mm high in a tin {walls.depth_mm:.4g} mm deep."
    return (Notice("past_rim", message, ("filled_depth",), filled_depth_mm, walls.depth_mm, "mm"),)
