"""Value objects of cutting: how a slab is to be divided, and the layout that results."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

from domain.cutting.marks import FITS, Axis, CutMarks
from domain.cutting.plane import Point
from domain.cutting.slabs import Slab
from domain.cutting.wishes import MIN_G, MassRule
from domain.errors import NeededError, OutOfRangeError, Path
from domain.notices import Notice

MAX_ALTERNATIVES = 5  # our own limit: a person reads no more

Place = Literal["corner", "edge", "centre", "part"]
PLACES: tuple[Place, ...] = ("corner", "edge", "centre", "part")
PLACE_BY_ENDS: tuple[Place, ...] = ("centre", "edge", "corner")  # by how many of row and column are at the slab's end
Figure = Literal["rectangle", "triangle", "diamond"]
Part = Literal["slab", "pieces", "knife", "trim", "offcut"]
Reason = Literal[
    "even_grid",
    "less_offcut",
    "more_pieces",
    "near_count",
    "near_mass",
    "other_shape",
    "rings",
    "round_grid",
    "turned",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutting:
    """How the slab is cut, whatever it is divided into.

    `trim_mm` is cut off all round first and includes the knife's width; `knife_mm` is lost at each cut. `slab_g` is
    the mass of the whole slab, if known. No piece may exceed `longest_side_mm` and `largest_g`. `figure` is what a
    rectangle is divided into.
    """

    trim_mm: float = 0.0
    knife_mm: float = 0.0
    slab_g: float | None = None
    longest_side_mm: float | None = None
    largest_g: float | None = None
    figure: Figure = "rectangle"

    def __post_init__(self) -> None:
        """Check the trim and the mass."""
        if 0 < self.trim_mm < self.knife_mm:
            raise OutOfRangeError(
                "The trim is cut with the same knife: it must be at least the knife's width.",
                path=("trim",),
                value=self.trim_mm,
                limit=self.knife_mm,
                unit="mm",
            )
        if self.slab_g is not None and self.slab_g < MIN_G:
            message = "The slab weighs at least a milligram."
            raise OutOfRangeError(message, path=("slab_grams",), value=self.slab_g, limit=MIN_G, unit="g")

    def broken_limit(self, length_mm: float, width_mm: float, grams: float | None) -> Path | None:
        """The path of the limit that a piece exceeds, or None if it keeps both.

        A piece that is exactly as long or as heavy as its limit keeps it, however its figures were rounded.
        """
        longest, largest = self.longest_side_mm, self.largest_g
        if longest is not None and max(length_mm, width_mm) > longest * (1 + FITS):
            return ("longest_side",)
        if largest is not None and grams is not None and grams > largest * (1 + FITS):
            return ("largest_mass",)
        return None

    def slab_grams(self) -> float:
        """The mass of the slab, for what cannot be worked out without it.

        Raises:
            NeededError: it is not known.
        """
        if self.slab_g is None:
            raise NeededError(
                "Give slab_grams, or mix_grams and bake_loss_percent: pieces are weighed as a share of the slab.",
                path=("slab_grams",),
                code="slab_grams_needed",
            )
        return self.slab_g


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One rectangular piece of a grid, in the slab's coordinates; a `part` lies partly outside the slab."""

    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class GridCells:
    """All pieces of a grid, row by row from the top left.

    A piece is worked out when it is used, because most layouts are not drawn.
    """

    columns: Axis
    rows: Axis

    def __len__(self) -> int:
        """The number of pieces."""
        return self.columns.count * self.rows.count

    def __iter__(self) -> Iterator[Cell]:
        """Each piece."""
        columns, rows = self.columns, self.rows
        starts = [(columns.start_mm(column), columns.at_end(column)) for column in range(columns.count)]
        length, width = columns.size_mm, rows.size_mm
        for row in range(rows.count):
            y, at_end = rows.start_mm(row), rows.at_end(row)
            for x, also in starts:
                yield Cell(x_mm=x, y_mm=y, length_mm=length, width_mm=width, place=PLACE_BY_ENDS[at_end + also])

    def count_of(self, place: Place) -> int:
        """The number of pieces in a place."""
        columns, rows = self.columns.ends, self.rows.ends
        corners = columns * rows
        edges = columns * self.rows.count + rows * self.columns.count - 2 * corners
        return {"corner": corners, "edge": edges, "centre": len(self) - corners - edges, "part": 0}[place]


@dataclass(frozen=True, slots=True, kw_only=True)
class Sector:
    """One wedge or piece of a ring, before the knife's width is lost; angles run clockwise from the top."""

    inner_mm: float
    outer_mm: float
    start_degrees: float
    end_degrees: float
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Facet:
    """One piece between slanting cuts, in the slab's coordinates: its corners, in positive order."""

    points: tuple[Point, ...]
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceKind:
    """Pieces of the same kind: how many there are, their size, and their mean area and mass.

    `grams_low` and `grams_high` are the lightest and the heaviest piece, which differ where walls slope.

    A wedge's `length_mm` is measured outwards and its `width_mm` straight across its outer end. `ring` counts from
    the middle; 0 is the middle.
    """

    place: Place
    count: int
    length_mm: float
    width_mm: float
    area_mm2: float
    grams: float | None
    ring: int | None = None
    grams_low: float | None = None
    grams_high: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class CutAreas:
    """How the slab's area is used; the four parts add up to `slab_mm2`. Part pieces count as offcut."""

    slab_mm2: float
    pieces_mm2: float
    knife_mm2: float
    trim_mm2: float
    offcut_mm2: float

    def of(self, part: Part) -> float:
        """The area of a part."""
        match part:
            case "slab":
                return self.slab_mm2
            case "pieces":
                return self.pieces_mm2
            case "knife":
                return self.knife_mm2
            case "trim":
                return self.trim_mm2
        return self.offcut_mm2


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """Another way to divide the slab, and a reason to prefer it."""

    pieces: int
    rows: int | None
    columns: int | None
    length_mm: float
    width_mm: float
    grams: float | None
    reason: Reason
    message: str
    rings: tuple[int, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CutLayout:
    """How one slab is divided.

    `pieces` counts whole pieces only, and the counts of whole pieces by place add up to it. `piece` is the mean of
    all whole pieces. `error_percent` is the difference between its mass and the mass that was requested.
    `rule` is that of a mass that was wished.

    `mean_areas` are the areas averaged over the height of a slab whose walls slope; masses are in proportion to them.
    """

    slab: Slab
    layout: Literal["grid", "wedges", "rings"]
    rows: int | None
    columns: int | None
    pieces: int
    piece: PieceKind
    kinds: tuple[PieceKind, ...]
    shapes: GridCells | tuple[Cell, ...] | tuple[Sector, ...] | tuple[Facet, ...]
    marks: CutMarks
    cuts_to_make: int
    areas: CutAreas
    cutting: Cutting
    figure: Figure = "rectangle"
    mean_areas: CutAreas | None = None
    rule: MassRule | None = None
    error_percent: float | None = None
    alternatives: tuple[Alternative, ...] = ()
    notices: tuple[Notice, ...] = ()

    @property
    def has_one_size(self) -> bool:
        """Whether all pieces have the same length and width."""
        return len({(kind.length_mm, kind.width_mm) for kind in self.kinds}) == 1

    def count_of(self, place: Place) -> int:
        """The number of pieces in a place."""
        return sum(kind.count for kind in self.kinds if kind.place == place)

    @property
    def lightest_g(self) -> float | None:
        """Mass of the lightest whole piece, if the slab's mass is known."""
        masses = (
            kind.grams if kind.grams_low is None else kind.grams_low for kind in self.kinds if kind.place != "part"
        )
        return min((grams for grams in masses if grams is not None), default=None)

    def grams_of(self, *parts: Part) -> float | None:
        """Mass of parts of the slab together, if the slab's mass is known."""
        areas = self.areas if self.mean_areas is None else self.mean_areas
        return grams_of(self.cutting, sum(areas.of(part) for part in parts), areas.slab_mm2)

    def percent_of(self, *parts: Part) -> float:
        """Parts together as a percentage of the slab's mass."""
        areas = self.areas if self.mean_areas is None else self.mean_areas
        return sum(areas.of(part) for part in parts) / areas.slab_mm2 * 100


def grams_of(cutting: Cutting, area_mm2: float, slab_mm2: float) -> float | None:
    """Mass of a part of the slab, in proportion to its area.

    Args:
        cutting: holds the slab's mass, if it is known.
        area_mm2: area of the part.
        slab_mm2: area of the slab.
    Returns:
        Grams, or None if the slab's mass is not known.
    """
    return None if cutting.slab_g is None else cutting.slab_g * area_mm2 / slab_mm2
