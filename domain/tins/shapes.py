"""Baking tins by shape: inside sizes, and the area at each height.

Every shape whose walls are straight (upright or sloping) has, at height z above the base, the area
a0 + a1·z + a2·z², so one polynomial describes them all: see `Walls`.
"""

import math
from dataclasses import dataclass
from functools import lru_cache

from domain.errors import OutOfRangeError
from domain.measures.definitions import MM3_PER_ML

MAX_SIDE_MM = 2_000.0  # our own limit, no source: larger than any oven's tray
MIN_SIDE_MM = 1.0  # our own limit, no source
MAX_VOLUME_ML = 1_000_000.0  # our own limit, no source
MAX_AREA_MM2 = MAX_SIDE_MM**2
MAX_SIDES = 20  # our own limit: a polygon with more sides is almost round
MAX_CAVITIES = 1_000  # our own limit, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Walls:
    """Area a0 + a1·z + a2·z² in mm² at height z in mm; `depth_mm` is the height of the rim, None if unknown."""

    a0: float
    a1: float = 0.0
    a2: float = 0.0
    depth_mm: float | None = None

    @property
    def sloping(self) -> bool:
        """Whether the area changes with height."""
        return self.a1 != 0 or self.a2 != 0

    def area_mm2(self, height_mm: float) -> float:
        """Area at a height within the tin."""
        return self.a0 + height_mm * (self.a1 + height_mm * self.a2)


@dataclass(frozen=True, slots=True, kw_only=True)
class SquareTin:
    """A square tin with upright walls."""

    side_mm: float
    depth_mm: float | None = None
    corner_radius_mm: float = 0.0

    def __post_init__(self) -> None:
        """Check the sizes."""
        _check(side=self.side_mm, depth=self.depth_mm)
        _check_corner(self.corner_radius_mm, self.side_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class RectangleTin:
    """A rectangular tin with upright walls; `nominal` is its trade name if only the name was given."""

    length_mm: float
    width_mm: float
    depth_mm: float | None = None
    corner_radius_mm: float = 0.0
    nominal: str = ""

    def __post_init__(self) -> None:
        """Check the sizes."""
        _check(length=self.length_mm, width=self.width_mm, depth=self.depth_mm)
        _check_corner(self.corner_radius_mm, min(self.length_mm, self.width_mm))


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundTin:
    """A round tin with upright walls."""

    diameter_mm: float
    depth_mm: float | None = None

    def __post_init__(self) -> None:
        """Check the sizes."""
        _check(diameter=self.diameter_mm, depth=self.depth_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class RingTin:
    """A round tin with an upright tube of diameter `hole_mm` in the middle."""

    diameter_mm: float
    hole_mm: float
    depth_mm: float | None = None

    def __post_init__(self) -> None:
        """Check the sizes."""
        _check(diameter=self.diameter_mm, hole=self.hole_mm, depth=self.depth_mm)
        if self.hole_mm >= self.diameter_mm:
            raise OutOfRangeError(
                "The hole must be narrower than the tin.",
                path=("hole",),
                value=self.hole_mm,
                limit=self.diameter_mm,
                unit="mm",
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class PolygonTin:
    """A regular polygon with upright walls; across flats is the diameter of the circle inside it."""

    sides: int
    across_flats_mm: float
    depth_mm: float | None = None
    corner_radius_mm: float = 0.0

    def __post_init__(self) -> None:
        """Check the sizes."""
        if not 3 <= self.sides <= MAX_SIDES:
            raise OutOfRangeError(
                f"A polygon has 3 to {MAX_SIDES} sides.",
                path=("sides",),
                value=self.sides,
                limit=3 if self.sides < 3 else MAX_SIDES,
            )
        _check(across_flats=self.across_flats_mm, depth=self.depth_mm)
        _check_corner(self.corner_radius_mm, self.across_flats_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class TaperedRectangleTin:
    """A rectangular tin with sloping walls, measured inside at the rim (top) and the base."""

    top_length_mm: float
    top_width_mm: float
    base_length_mm: float
    base_width_mm: float
    depth_mm: float
    corner_radius_mm: float = 0.0

    def __post_init__(self) -> None:
        """Check the sizes."""
        _check(
            top_length=self.top_length_mm,
            top_width=self.top_width_mm,
            base_length=self.base_length_mm,
            base_width=self.base_width_mm,
            depth=self.depth_mm,
        )
        _check_corner(
            self.corner_radius_mm,
            min(self.top_length_mm, self.top_width_mm, self.base_length_mm, self.base_width_mm),
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class TaperedRoundTin:
    """A round tin with sloping walls, measured inside at the rim (top) and the base."""

    top_diameter_mm: float
    base_diameter_mm: float
    depth_mm: float

    def __post_init__(self) -> None:
        """Check the sizes."""
        _check(top_diameter=self.top_diameter_mm, base_diameter=self.base_diameter_mm, depth=self.depth_mm)


@dataclass(frozen=True, slots=True, kw_only=True)
class CavitiesTin:
    """A tray of equal cavities (muffins, tartlets) of `volume_ml` each, `depth_mm` deep if that is known."""

    count: int
    volume_ml: float
    depth_mm: float | None = None

    def __post_init__(self) -> None:
        """Check the sizes."""
        if not 1 <= self.count <= MAX_CAVITIES:
            raise OutOfRangeError(
                f"A tray has 1 to {MAX_CAVITIES:,} cavities.",
                path=("count",),
                value=self.count,
                limit=1 if self.count < 1 else MAX_CAVITIES,
            )
        _check_volume(self.volume_ml)
        _check(depth=self.depth_mm)
        if self.depth_mm is not None and self.volume_ml * MM3_PER_ML > MAX_AREA_MM2 * self.depth_mm:
            raise OutOfRangeError(
                "The cavity would be too wide: it holds too much for its depth.",
                path=("volume",),
                value=self.volume_ml,
                limit=MAX_AREA_MM2 * self.depth_mm / MM3_PER_ML,
                unit="ml",
            )


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasuredTin:
    """A tin of any shape, known by its volume to the rim and, if given, its base area."""

    volume_ml: float
    base_area_mm2: float | None = None

    def __post_init__(self) -> None:
        """Check the sizes."""
        _check_volume(self.volume_ml)
        if self.base_area_mm2 is not None and not MIN_SIDE_MM <= self.base_area_mm2 <= MAX_AREA_MM2:
            raise OutOfRangeError(
                f"The base area must be from {MIN_SIDE_MM:g} mm² to {MAX_AREA_MM2:,g} mm².",
                path=("base_area",),
                value=self.base_area_mm2,
                limit=MIN_SIDE_MM if self.base_area_mm2 < MIN_SIDE_MM else MAX_AREA_MM2,
                unit="mm2",
            )
        if self.base_area_mm2 is not None and self.volume_ml * MM3_PER_ML > self.base_area_mm2 * MAX_SIDE_MM:
            raise OutOfRangeError(
                "The volume is too large for this base area: the tin would be too deep.",
                path=("base_area",),
                value=self.base_area_mm2,
                limit=self.volume_ml * MM3_PER_ML / MAX_SIDE_MM,
                unit="mm2",
            )


Tin = (
    SquareTin
    | RectangleTin
    | RoundTin
    | RingTin
    | PolygonTin
    | TaperedRectangleTin
    | TaperedRoundTin
    | CavitiesTin
    | MeasuredTin
)


@lru_cache(maxsize=1024)  # called a dozen times for each tin of a request
def walls_of(tin: Tin) -> Walls | None:  # noqa: PLR0911 - one return a shape
    """The tin's area by height, or None if only its volume is known.

    Args:
        tin: any shape. A measured tin with a base area counts as upright.
    Returns:
        The polynomial and the rim's height.
    Source:
        Plane geometry: rounded corners take r²·(n·tan(π/n) − π) off an n-sided base; the sections of a
        frustum change linearly in each direction, so their area is a quadratic in height.
    """
    match tin:
        case SquareTin(side_mm=side):
            return Walls(a0=side * side - _corners(4, tin.corner_radius_mm), depth_mm=tin.depth_mm)
        case RectangleTin(length_mm=length, width_mm=width):
            return Walls(a0=length * width - _corners(4, tin.corner_radius_mm), depth_mm=tin.depth_mm)
        case RoundTin(diameter_mm=diameter):
            return Walls(a0=_disc(diameter), depth_mm=tin.depth_mm)
        case RingTin(diameter_mm=diameter, hole_mm=hole):
            return Walls(a0=_disc(diameter) - _disc(hole), depth_mm=tin.depth_mm)
        case PolygonTin(sides=sides, across_flats_mm=flats):
            area = sides * (flats / 2) ** 2 * math.tan(math.pi / sides)
            return Walls(a0=area - _corners(sides, tin.corner_radius_mm), depth_mm=tin.depth_mm)
        case TaperedRectangleTin():
            return _tapered_rectangle(tin)
        case TaperedRoundTin(top_diameter_mm=top, base_diameter_mm=base, depth_mm=depth):
            slope = (top - base) / depth
            quarter = math.pi / 4
            return Walls(a0=quarter * base**2, a1=quarter * 2 * base * slope, a2=quarter * slope**2, depth_mm=depth)
        case MeasuredTin(base_area_mm2=area) if area is not None:
            return Walls(a0=area, depth_mm=tin.volume_ml * MM3_PER_ML / area)
        case _:
            return None


def longest_side_mm(tin: Tin) -> float | None:
    """The longest inside length of a tin at its widest height; None for a tin that is known by its volume.

    Args:
        tin: any shape.
    """
    sides: tuple[float, ...] = ()
    match tin:
        case SquareTin(side_mm=side) | RoundTin(diameter_mm=side) | RingTin(diameter_mm=side):
            sides = (side,)
        case PolygonTin(across_flats_mm=side):
            sides = (side,)
        case RectangleTin():
            sides = (tin.length_mm, tin.width_mm)
        case TaperedRectangleTin():
            sides = (tin.top_length_mm, tin.top_width_mm, tin.base_length_mm, tin.base_width_mm)
        case TaperedRoundTin():
            sides = (tin.top_diameter_mm, tin.base_diameter_mm)
    return max(sides, default=None)


def _tapered_rectangle(tin: TaperedRectangleTin) -> Walls:
    lengthwise = (tin.top_length_mm - tin.base_length_mm) / tin.depth_mm
    widthwise = (tin.top_width_mm - tin.base_width_mm) / tin.depth_mm
    return Walls(
        a0=tin.base_length_mm * tin.base_width_mm - _corners(4, tin.corner_radius_mm),
        a1=tin.base_length_mm * widthwise + tin.base_width_mm * lengthwise,
        a2=lengthwise * widthwise,
        depth_mm=tin.depth_mm,
    )


def _disc(diameter: float) -> float:
    return math.pi / 4 * diameter**2


def _corners(sides: int, radius: float) -> float:
    if radius == 0:
        return 0.0
    # tan(π/4) is 1 by definition; its double is not, and square tins should come out exact.
    tangents = 4.0 if sides == 4 else sides * math.tan(math.pi / sides)
    return radius**2 * (tangents - math.pi)


def _check(**sizes: float | None) -> None:
    for name, value in sizes.items():
        if value is not None and not MIN_SIDE_MM <= value <= MAX_SIDE_MM:
            raise OutOfRangeError(
                f"{name} must be from {MIN_SIDE_MM:g} mm to {MAX_SIDE_MM:,g} mm, measured inside.",
                path=(name,),
                value=value,
                limit=MIN_SIDE_MM if value < MIN_SIDE_MM else MAX_SIDE_MM,
                unit="mm",
            )


def _check_corner(radius: float, narrowest: float) -> None:
    if not 0 <= radius <= narrowest / 2:
        raise OutOfRangeError(
            "The corner radius is at most half the narrowest side.",
            path=("corner_radius",),
            value=radius,
            limit=narrowest / 2,
            unit="mm",
        )


def _check_volume(volume_ml: float) -> None:
    if not 0 < volume_ml <= MAX_VOLUME_ML:
        raise OutOfRangeError(
            f"A volume must be above 0 and at most {MAX_VOLUME_ML:,g} ml.",
            path=("volume",),
            value=volume_ml,
            limit=0 if volume_ml <= 0 else MAX_VOLUME_ML,
            unit="ml",
        )
