"""The batter in a tin as a body whose heating is known: plane walls and cylinders, multiplied."""

import math

from domain.baking.heating import Body, Extent
from domain.errors import MismatchError, NeededError
from domain.notices import Notice
from domain.tins.geometry import volume_ml
from domain.tins.shapes import (
    MM3_PER_ML,
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

CUP_WIDTH_TO_DEPTH = 2.0  # a cavity is about twice as wide as deep: common practice, our own judgement
ROUNDING = 1e-9  # relative


def body_of(tin: Tin, filled_depth_mm: float) -> tuple[Body, tuple[Notice, ...]]:
    """The batter's body, and what its shape leaves out.

    Args:
        tin: any shape but a measured one without a base area.
        filled_depth_mm: how high the batter stands.
    Returns:
        Rectangles as three plane walls, rounds as a cylinder and a plane wall, heated on every face. A ring is
        a plane wall as thick as from wall to tube, times one as thick as the batter is deep: both as their
        film limits (volume over surface is the same) and their fixed-surface limits agree (the first root
        times the gap is within 2.5 % of π up to a hole a quarter of the tin: Carslaw and Jaeger, table of
        roots for two cylinders, from memory). Polygons count as round with the same area; sloping walls as
        upright at half the filled depth; a cavity as a round cup twice as wide as deep.
    Raises:
        NeededError: the shape is not known at all.
        MismatchError: the batter would stand higher than a cavity is deep.

    >>> [e.half_mm for e in body_of(SquareTin(side_mm=200), 40)[0].extents]
    [100.0, 100.0, 20.0]
    """
    walls = walls_of(tin)
    notices = _past_rim(walls, filled_depth_mm)
    extents, told = _across(tin, walls, filled_depth_mm)
    if told:
        notices = (*notices, Notice(code="shape_approximated", message=told, path=("tin",)))
    if walls is None:
        volume = math.pi * extents[0].half_mm ** 2 * filled_depth_mm
    else:
        volume = volume_ml(walls, filled_depth_mm) * MM3_PER_ML
    return Body(extents=(*extents, _slab(filled_depth_mm)), volume_mm3=volume), notices


def same_depth(tin: Tin, reference_depth_mm: float) -> float:
    """How high the batter stands in a target tin of which nothing was said.

    Args:
        tin: the target's.
        reference_depth_mm: in the reference.
    Returns:
        As high as before, in mm, but no higher than a cavity is taken to be deep.
    """
    return min(reference_depth_mm, _cup_depth_mm(tin)) if isinstance(tin, CavitiesTin) else reference_depth_mm


def _across(tin: Tin, walls: Walls | None, filled_depth_mm: float) -> tuple[tuple[Extent, ...], str]:
    """The extents seen from above, and what was simplified."""
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
        return (_cup(tin, filled_depth_mm),), _CUP
    if walls is not None:
        return (_disc(2 * math.sqrt(walls.a0 / math.pi)),), _ROUND
    raise NeededError(
        "Give the tin's shape, or its base_area: from a volume alone no time can be worked out.",
        path=("tin", "base_area"), code="shape-needed",
    )  # fmt: skip


_BAR = "The ring is counted as a straight bar as thick as from the wall to the tube."
_SLOPING = "The walls slope: they are counted as upright, at their place halfway up the batter."
_CUP = "A cavity's shape is not known: it is counted as a round cup twice as wide as deep."
_ROUND = "The tin is counted as round, with the same area."


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
    deep = _cup_depth_mm(tin)
    if filled_depth_mm > deep * (1 + ROUNDING):
        raise MismatchError(
            f"A cavity of {tin.volume_ml:g} ml is taken to be {deep:.0f} mm deep: fill it less, or describe it as a "
            "round tin.",
            path=("filled_depth",), code="too-deep-for-cavity",
        )  # fmt: skip
    return _disc(CUP_WIDTH_TO_DEPTH * deep)


def _cup_depth_mm(tin: CavitiesTin) -> float:
    return math.cbrt(4 * tin.volume_ml * MM3_PER_ML / (math.pi * CUP_WIDTH_TO_DEPTH**2))


def _past_rim(walls: Walls | None, filled_depth_mm: float) -> tuple[Notice, ...]:
    if walls is None or walls.depth_mm is None or filled_depth_mm <= walls.depth_mm:
        return ()
    return (Notice(code="past_rim", message="The batter stands higher than the tin.", path=("filled_depth",)),)
