"""What is asked of a slab, and how it is divided: the value objects of cutting."""

from dataclasses import dataclass
from typing import Literal

from domain.cutting.marks import CutMarks
from domain.cutting.slabs import Slab
from domain.errors import OutOfRangeError
from domain.notices import Notice

MAX_PIECES = 1_000  # our own limit, no source
MIN_G = 0.001  # our own limit, no source: below it ratios of masses may leave what a double holds
MIN_PIECE_MM = 5.0  # our own limit, no source: smaller is crumbs
MAX_ALTERNATIVES = 5  # as many as a person reads
MAX_ASPECT = 20.0  # our own limit, no source: longer is a ribbon
MAX_RINGS = 20  # our own limit, no source

Place = Literal["corner", "edge", "centre", "part"]
PLACES: tuple[Place, ...] = ("corner", "edge", "centre", "part")
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
    """So many rows (along the width) and columns (along the length)."""

    rows: int
    columns: int

    def __post_init__(self) -> None:
        """Check the counts."""
        for name, count in (("rows", self.rows), ("columns", self.columns)):
            if count < 1:
                raise OutOfRangeError(f"{name} must be 1 or more.", path=(name,))
        check_count(self.rows * self.columns, "rows")


@dataclass(frozen=True, slots=True, kw_only=True)
class CountWish:
    """So many pieces, as near as can be to `aspect` (longer side over shorter); 1 is square."""

    pieces: int
    aspect: float = 1.0

    def __post_init__(self) -> None:
        """Check the count and the shape."""
        check_count(self.pieces, "pieces")
        check_aspect(self.aspect)


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeWish:
    """Pieces of one size, as many whole ones as there are."""

    length_mm: float
    width_mm: float

    def __post_init__(self) -> None:
        """Check the size."""
        for name, size in (("length", self.length_mm), ("width", self.width_mm)):
            if size < MIN_PIECE_MM:
                raise OutOfRangeError(f"A piece is at least {MIN_PIECE_MM:g} mm each way.", path=("piece", name))


@dataclass(frozen=True, slots=True, kw_only=True)
class MassWish:
    """Pieces as near as can be to one mass, and to `aspect`."""

    piece_g: float
    aspect: float = 1.0

    def __post_init__(self) -> None:
        """Check the mass and the shape."""
        if self.piece_g < MIN_G:
            raise OutOfRangeError("The mass of a piece is at least a milligram.", path=("piece_grams",))
        check_aspect(self.aspect)


@dataclass(frozen=True, slots=True, kw_only=True)
class WedgesWish:
    """So many equal wedges of a round or ring slab."""

    wedges: int

    def __post_init__(self) -> None:
        """Check the count."""
        check_count(self.wedges, "wedges")


@dataclass(frozen=True, slots=True, kw_only=True)
class RingsWish:
    """Concentric rings, `pieces` in each from the middle outwards, equal within a ring.

    `by`: the rings have equal areas, or all pieces do, or every ring but the middle is `width_mm` wide.
    """

    pieces: tuple[int, ...]
    by: Literal["equal_rings", "equal_pieces", "width"] = "equal_rings"
    width_mm: float | None = None

    def __post_init__(self) -> None:
        """Check the counts and that a width is there if it is needed."""
        if not 1 <= len(self.pieces) <= MAX_RINGS:
            raise OutOfRangeError(f"From 1 to {MAX_RINGS} rings.", path=("rings", "pieces"))
        for i, count in enumerate(self.pieces):
            if count < 1:
                raise OutOfRangeError("A ring has at least 1 piece.", path=("rings", "pieces", i))
        check_count(sum(self.pieces), "rings")
        if (self.by == "width") != (self.width_mm is not None):
            raise OutOfRangeError("Rings by width need a width, others have none.", path=("rings", "width"))
        if self.width_mm is not None and self.width_mm < MIN_PIECE_MM:
            raise OutOfRangeError(f"A ring is at least {MIN_PIECE_MM:g} mm wide.", path=("rings", "width"))


Wish = GridWish | CountWish | SizeWish | MassWish | WedgesWish | RingsWish


@dataclass(frozen=True, slots=True, kw_only=True)
class Cutting:
    """How the slab is cut: `trim_mm` off all round first (the knife's width included), `knife_mm` lost at
    each cut; the whole slab's mass if it is known; and what no piece may exceed.
    """  # noqa: D205 - one sentence

    trim_mm: float = 0.0
    knife_mm: float = 0.0
    slab_g: float | None = None
    longest_side_mm: float | None = None
    largest_g: float | None = None

    def __post_init__(self) -> None:
        """Check that the trim can be cut and the mass be known."""
        if 0 < self.trim_mm < self.knife_mm:
            raise OutOfRangeError(
                "The trim is cut with the same knife: it must be at least the knife's width.", path=("trim",)
            )
        if self.slab_g is not None and self.slab_g < MIN_G:
            raise OutOfRangeError("The slab's mass is at least a milligram.", path=("slab_grams",))


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One rectangular piece of a grid in the slab's own coordinates; a part lies partly outside the slab."""

    x_mm: float
    y_mm: float
    length_mm: float
    width_mm: float
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Sector:
    """One piece of a ring or a wedge, angles clockwise from the top; before the knife takes its width."""

    inner_mm: float
    outer_mm: float
    start_degrees: float
    end_degrees: float
    place: Place


@dataclass(frozen=True, slots=True, kw_only=True)
class PieceKind:
    """Pieces that are alike: how many, their size and their mean area and mass.

    A wedge's `length_mm` runs outwards and its `width_mm` straight across its outer end; `ring` counts
    from the middle, 0 first.
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
    """Where the slab's area goes; the four parts add up to the whole. Part pieces count as offcut."""

    slab_mm2: float
    pieces_mm2: float
    knife_mm2: float
    trim_mm2: float
    offcut_mm2: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Alternative:
    """Another way to divide the slab, and why one might prefer it."""

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
    """How one slab is divided. `pieces` counts whole ones; the places of whole pieces add up to it.

    `piece` is the mean of all whole pieces. `error_percent`: how far its mass is from the one asked for.
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

    def count_of(self, place: Place) -> int:
        """How many pieces lie in a place."""
        return sum(kind.count for kind in self.kinds if kind.place == place)

    def grams_of(self, area_mm2: float) -> float | None:
        """Mass of so much of the slab, if the slab's is known."""
        return grams_of(self.cutting, area_mm2, self.areas.slab_mm2)


def grams_of(cutting: Cutting, area_mm2: float, slab_mm2: float) -> float | None:
    """Mass of an area, as its share of the slab's.

    Args:
        cutting: holds the slab's mass, if it is known.
        area_mm2: of the part.
        slab_mm2: of the slab.
    Returns:
        Grams, or None.
    """
    return None if cutting.slab_g is None else cutting.slab_g * area_mm2 / slab_mm2


def check_count(count: int, field: str) -> None:
    """Refuse more or fewer pieces than anybody cuts.

    Args:
        count: of pieces.
        field: of the request, to blame.
    Raises:
        OutOfRangeError: too many, or none.
    """
    if not 1 <= count <= MAX_PIECES:
        raise OutOfRangeError(f"A slab is cut into 1 to {MAX_PIECES:,} pieces.", path=(field,))


def check_aspect(aspect: float) -> None:
    """Refuse a shape that is no shape.

    Args:
        aspect: longer side over shorter.
    Raises:
        OutOfRangeError: below 1, or a ribbon.
    """
    if not 1 <= aspect <= MAX_ASPECT:
        raise OutOfRangeError(
            f"A shape is its longer side over its shorter, 1 to {MAX_ASPECT:g}; square is 1.", path=("shape",)
        )
