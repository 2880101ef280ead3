"""Where to cut: distances from the edge, as read off a ruler in millimetres or inches.

Every mark is worked out from the edge, never from the mark before it, so rounding errors do not add up.
"""

import math
from dataclasses import dataclass
from typing import Literal

MM_PER_SIXTEENTH = 25.4 / 16  # definition of the inch
RULER_MM = 0.5  # a steel ruler is divided in half millimetres: common practice
FITS = 1e-9  # relative: lengths that differ by less are equal

MarkKind = Literal["trim", "cut", "offcut"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """The middle of one cut, `mm` from the edge where the ruler starts.

    `kind`: `trim` removes the slab's edge, `cut` separates pieces, `offcut` separates the last piece from the rest.
    """

    mm: float
    kind: MarkKind = "cut"

    @property
    def nearest_mm(self) -> float:
        """The nearest half millimetre, which is as fine as a ruler shows; quarters are rounded up."""
        return math.floor(self.mm / RULER_MM + 0.5) * RULER_MM

    @property
    def nearest_sixteenths(self) -> int:
        """The nearest sixteenth of an inch; halves are rounded up."""
        return math.floor(self.mm / MM_PER_SIXTEENTH + 0.5)

    @property
    def inches(self) -> str:
        """The nearest sixteenth, written as on a ruler."""
        return inches_text(self.nearest_sixteenths)


@dataclass(frozen=True, slots=True, kw_only=True)
class RimMark:
    """One radial cut: its direction, clockwise from the top, and where it meets the outer edge of its ring.

    `ring` counts from the middle, starting with 0. `rim_mm` is measured along that edge, after trimming, from the first
    cut; `chord_mm` is the straight distance from the first cut, for a ruler. `x_mm` and `y_mm` are measured from the
    left and the top of the square that just holds the slab.
    """

    ring: int
    degrees: float
    rim_mm: float
    chord_mm: float
    x_mm: float
    y_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class ObliqueMark:
    """One slanting cut, from one place to another, each measured from the left and the top of the slab."""

    from_x_mm: float
    from_y_mm: float
    to_x_mm: float
    to_y_mm: float


@dataclass(frozen=True, slots=True, kw_only=True)
class CutMarks:
    """All marks of a layout: along its length and width, outwards from its middle, around its rings, and slanting."""

    length: tuple[Mark, ...] = ()
    width: tuple[Mark, ...] = ()
    radius: tuple[Mark, ...] = ()
    rim: tuple[RimMark, ...] = ()
    oblique: tuple[ObliqueMark, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Axis:
    """One direction of a grid: after the trim, `count` pieces of `size_mm`, one knife width apart.

    `rest_mm` is the length beyond the last piece. The cut that separates it takes the knife's width from it.
    """

    side_mm: float
    trim_mm: float
    knife_mm: float
    count: int
    size_mm: float

    @property
    def inner_mm(self) -> float:
        """The side without its trim."""
        return self.side_mm - 2 * self.trim_mm

    @property
    def pitch_mm(self) -> float:
        """Distance from the start of one piece to the start of the next."""
        return self.size_mm + self.knife_mm

    @property
    def end_mm(self) -> float:
        """Where the last piece ends."""
        return self.trim_mm + self.count * self.pitch_mm - self.knife_mm

    @property
    def rest_mm(self) -> float:
        """The length beyond the last piece, 0 if the pieces fill the side."""
        rest = self.side_mm - self.trim_mm - self.end_mm
        return rest if rest > FITS * self.side_mm else 0.0

    @property
    def offcut_mm(self) -> float:
        """The length beyond the last cut."""
        return max(0.0, self.rest_mm - self.knife_mm)

    def start_mm(self, index: int) -> float:
        """The place where a piece starts."""
        return self.trim_mm + index * self.pitch_mm

    def at_end(self, index: int) -> bool:
        """Whether a piece lies at an end of the slab; an end with an offcut does not count."""
        return index == 0 or (index == self.count - 1 and not self.rest_mm)

    @property
    def ends(self) -> int:
        """The number of pieces at an end of the slab."""
        return 1 if self.count == 1 or self.rest_mm else 2

    def marks(self) -> tuple[Mark, ...]:
        """Every cut across this direction, in order."""
        half = self.knife_mm / 2
        marks = [Mark(mm=self.start_mm(i) - half) for i in range(1, self.count)]
        if self.rest_mm:
            # A rest that is narrower than the knife is lost completely; the mark is its middle.
            marks.append(Mark(mm=self.end_mm + min(self.knife_mm, self.rest_mm) / 2, kind="offcut"))
        if self.trim_mm:
            near, far = self.trim_mm - half, self.side_mm - self.trim_mm + half
            marks = [Mark(mm=near, kind="trim"), *marks, Mark(mm=far, kind="trim")]
        return tuple(marks)


def even_axis(side_mm: float, count: int, *, trim_mm: float, knife_mm: float) -> Axis:
    """A side divided into equal pieces."""
    size = (side_mm - 2 * trim_mm + knife_mm) / count - knife_mm
    return Axis(side_mm=side_mm, trim_mm=trim_mm, knife_mm=knife_mm, count=count, size_mm=size)


def sized_axis(side_mm: float, size_mm: float, *, trim_mm: float, knife_mm: float) -> Axis:
    """The largest number of pieces of one size that fit on a side; 0 if it is too short."""
    fitting = (side_mm - 2 * trim_mm + knife_mm) / (size_mm + knife_mm)
    count = math.floor(fitting * (1 + FITS))
    return Axis(side_mm=side_mm, trim_mm=trim_mm, knife_mm=knife_mm, count=count, size_mm=size_mm)


def inches_text(sixteenths: int) -> str:
    """Sixteenths of an inch in lowest terms.

    >>> inches_text(42), inches_text(32), inches_text(3)
    ('2 5/8', '2', '3/16')
    """
    whole, part = divmod(sixteenths, 16)
    if part == 0:
        return str(whole)
    common = math.gcd(part, 16)
    fraction = f"{part // common}/{16 // common}"
    return f"{whole} {fraction}" if whole else fraction
