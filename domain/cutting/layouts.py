"""Value objects of cutting: how a slab is to be divided, and the layout that results."""

from dataclasses import dataclass
from typing import ClassVar, Literal

from domain.cutting.marks import FITS, CutMarks
from domain.cutting.slabs import Slab
from domain.errors import NeededError, OutOfRangeError, Path, at_path
from domain.notices import Notice

MAX_PIECES = 1_000  # our own limit, no source
MIN_G = 0.001  # our own limit, no source: ratios of smaller masses may overflow
MIN_PIECE_MM = 5.0  # our own limit, no source: smaller pieces are crumbs
MAX_ALTERNATIVES = 5  # our own limit: a person reads no more
MAX_ASPECT = 20.0  # our own limit, no source: longer pieces are ribbons
MAX_RINGS = 20  # our own limit, no source

Place = Literal["corner", "edge", "centre", "part"]
PLACES: tuple[Place, ...] = ("corner", "edge", "centre", "part")
RingsBy = Literal["equal_rings", "equal_pieces", "width"]
Reason = Literal[
    "even_grid",
    "less_offcut",
    "more_pieces",
    "near_count",
    "near_mass",
    "other_shape",
    "turned",
]


@dataclass(frozen=True, slots=True, kw_only=True)
class GridWish:
    """A number of rows (counted along the width) and of columns (counted along the length)."""

    argument: ClassVar[Path] = ("rows",)  # the argument that errors about the whole wish name
    rows: int
    columns: int

    def __post_init__(self) -> None:
        """Check the counts."""
        for name, count in (("rows", self.rows), ("columns", self.columns)):
            if count < 1:
                raise OutOfRangeError(f"{name} must be 1 or more.", path=(name,))
        check_count(self.rows * self.columns, self.argument)


@dataclass(frozen=True, slots=True, kw_only=True)
class CountWish:
    """A number of pieces whose shape is as near as possible to `aspect` (longer side over shorter, 1 is square)."""

    argument: ClassVar[Path] = ("pieces",)
    pieces: int
    aspect: float = 1.0

    def __post_init__(self) -> None:
        """Check the count and the shape."""
        check_count(self.pieces, self.argument)
        check_aspect(self.aspect)


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeWish:
    """Pieces of one size, as many whole ones as possible. Its own checks name `length` and `width`."""

    argument: ClassVar[Path] = ("piece",)
    length_mm: float
    width_mm: float

    def __post_init__(self) -> None:
        """Check the size."""
        for name, size in (("length", self.length_mm), ("width", self.width_mm)):
            if size < MIN_PIECE_MM:
                raise OutOfRangeError(f"A piece is at least {MIN_PIECE_MM:g} mm each way.", path=(name,))


@dataclass(frozen=True, slots=True, kw_only=True)
class MassWish:
    """Pieces as near as possible to one mass, and to the shape `aspect`."""

    argument: ClassVar[Path] = ("piece_grams",)
    piece_g: float
    aspect: float = 1.0

    def __post_init__(self) -> None:
        """Check the mass and the shape."""
        if self.piece_g < MIN_G:
            raise OutOfRangeError("A piece weighs at least a milligram.", path=self.argument)
        check_aspect(self.aspect)


@dataclass(frozen=True, slots=True, kw_only=True)
class WedgesWish:
    """A number of equal wedges of a round or ring-shaped slab."""

    argument: ClassVar[Path] = ("wedges",)
    wedges: int

    def __post_init__(self) -> None:
        """Check the count."""
        check_count(self.wedges, self.argument)


@dataclass(frozen=True, slots=True, kw_only=True)
class RingsWish:
    """Concentric rings with `pieces` in each, from the middle outwards; the pieces of one ring are equal.

    `by`: the rings have equal areas, or all pieces have, or every ring but the middle is `width_mm` wide. Its own
    checks name `pieces` and `width`.
    """

    argument: ClassVar[Path] = ("rings",)
    pieces: tuple[int, ...]
    by: RingsBy = "equal_rings"
    width_mm: float | None = None

    def __post_init__(self) -> None:
        """Check the counts and the width."""
        with at_path("pieces"):
            check_rings(self.pieces)
        with at_path("width"):
            check_ring_width(self.by, self.width_mm)


Wish = GridWish | CountWish | SizeWish | MassWish | WedgesWish | RingsWish


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutting:
    """How the slab is cut, whatever it is divided into.

    `trim_mm` is cut off all round first and includes the knife's width; `knife_mm` is lost at each cut. `slab_g` is
    the mass of the whole slab, if known. No piece may exceed `longest_side_mm` and `largest_g`; errors about these two
    limits are placed under `limit_path`.
    """

    trim_mm: float = 0.0
    knife_mm: float = 0.0
    slab_g: float | None = None
    longest_side_mm: float | None = None
    largest_g: float | None = None
    limit_path: Path = ("limit",)

    def __post_init__(self) -> None:
        """Check the trim and the mass."""
        if 0 < self.trim_mm < self.knife_mm:
            raise OutOfRangeError(
                "The trim is cut with the same knife: it must be at least the knife's width.", path=("trim",)
            )
        if self.slab_g is not None and self.slab_g < MIN_G:
            raise OutOfRangeError("The slab weighs at least a milligram.", path=("slab_grams",))

    @property
    def has_limit(self) -> bool:
        """Whether pieces are limited at all."""
        return self.longest_side_mm is not None or self.largest_g is not None

    def broken_limit(self, length_mm: float, width_mm: float, grams: float | None) -> Path | None:
        """The path of the limit that a piece exceeds, or None if it keeps both.

        A piece that is exactly as long or as heavy as its limit keeps it, however its figures were rounded.
        """
        longest, largest = self.longest_side_mm, self.largest_g
        if longest is not None and max(length_mm, width_mm) > longest * (1 + FITS):
            return (*self.limit_path, "longest_side")
        if largest is not None and grams is not None and grams > largest * (1 + FITS):
            return (*self.limit_path, "largest_mass")
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
class Sector:
    """One wedge or piece of a ring, before the knife's width is lost; angles run clockwise from the top."""

    inner_mm: float
    outer_mm: float
    start_degrees: float
    end_degrees: float
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceKind:
    """Pieces of the same kind: how many there are, their size, and their mean area and mass.

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


@dataclass(frozen=True, slots=True, kw_only=True)
class CutAreas:
    """How the slab's area is used; the four parts add up to `slab_mm2`. Part pieces count as offcut."""

    slab_mm2: float
    pieces_mm2: float
    knife_mm2: float
    trim_mm2: float
    offcut_mm2: float


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


@dataclass(frozen=True, slots=True, kw_only=True)
class CutLayout:
    """How one slab is divided.

    `pieces` counts whole pieces only, and the counts of whole pieces by place add up to it. `piece` is the mean of
    all whole pieces. `error_percent` is the difference between its mass and the mass that was requested.
    """

    slab: Slab
    layout: Literal["grid", "wedges", "rings"]
    rows: int | None
    columns: int | None
    pieces: int
    piece: PieceKind
    kinds: tuple[PieceKind, ...]
    shapes: tuple[Cell, ...] | tuple[Sector, ...]
    marks: CutMarks
    cuts_to_make: int
    areas: CutAreas
    cutting: Cutting
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

    def grams_of(self, area_mm2: float) -> float | None:
        """Mass of an area of the slab, if the slab's mass is known."""
        return grams_of(self.cutting, area_mm2, self.areas.slab_mm2)

    def percent_of(self, area_mm2: float) -> float:
        """An area as a percentage of the slab's."""
        return area_mm2 / self.areas.slab_mm2 * 100


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


def check_count(count: int, path: Path) -> None:
    """Refuse a number of pieces that nobody cuts.

    Args:
        count: number of pieces.
        path: the argument that the error names.
    Raises:
        OutOfRangeError: too many pieces, or none.
    """
    if not 1 <= count <= MAX_PIECES:
        raise OutOfRangeError(f"A slab is cut into 1 to {MAX_PIECES:,} pieces.", path=path)


def check_aspect(aspect: float) -> None:
    """Refuse a shape that no piece has.

    Args:
        aspect: longer side over shorter.
    Raises:
        OutOfRangeError: below 1, or longer than a ribbon.
    """
    if not 1 <= aspect <= MAX_ASPECT:
        raise OutOfRangeError(
            f"A shape is its longer side over its shorter, from 1 (square) to {MAX_ASPECT:g}.", path=("shape",)
        )


def check_rings(pieces: tuple[int, ...]) -> None:
    """Check how many pieces each ring has.

    Args:
        pieces: the number of pieces in each ring, the middle first.
    Raises:
        OutOfRangeError: too many rings or pieces, or a ring without a piece, with its index as path.
    """
    if not 1 <= len(pieces) <= MAX_RINGS:
        raise OutOfRangeError(f"A slab is cut into 1 to {MAX_RINGS} rings.")
    for i, count in enumerate(pieces):
        if count < 1:
            raise OutOfRangeError("A ring has at least 1 piece.", path=(i,))
    check_count(sum(pieces), ())


def check_ring_width(by: RingsBy, width_mm: float | None) -> None:
    """Check that a width of rings is given exactly when it is used.

    Args:
        by: how the rings are divided.
        width_mm: width of each ring but the middle.
    Raises:
        OutOfRangeError: the width is missing, is not used, or is too small.
    """
    if by == "width" and width_mm is None:
        raise OutOfRangeError("Rings by width need a width.")
    if by != "width" and width_mm is not None:
        raise OutOfRangeError('A width of rings is only used with "width" as the way to divide them.')
    if width_mm is not None and width_mm < MIN_PIECE_MM:
        raise OutOfRangeError(f"A ring is at least {MIN_PIECE_MM:g} mm wide.")
