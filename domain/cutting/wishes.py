"""What a slab is to be divided into: a grid, a count, a size, a mass, wedges or rings."""

from dataclasses import dataclass
from typing import ClassVar, Literal

from domain.cutting.marks import FITS
from domain.errors import MismatchError, NeededError, OutOfRangeError, Path, at_path, broken_limit

MAX_PIECES = 1_000  # our own limit, no source
MIN_G = 0.001  # our own limit, no source: ratios of smaller masses may overflow
MIN_PIECE_MM = 5.0  # our own limit, no source: smaller pieces are crumbs
MAX_ASPECT = 20.0  # our own limit, no source: longer pieces are ribbons
MAX_RINGS = 20  # our own limit, no source

MassRule = Literal["nearest", "at_least", "at_most"]
RingsBy = Literal["equal_rings", "equal_pieces", "width"]


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
                raise OutOfRangeError(f"{name} must be 1 or more.", path=(name,), value=count, limit=1)
        check_count(self.rows * self.columns, self.argument)


@dataclass(frozen=True, slots=True, kw_only=True)
class CountWish:
    """A number of pieces whose shape is as near as possible to `aspect` (longer side over shorter, 1 is square)."""

    argument: ClassVar[Path] = ("portions",)
    portions: int
    aspect: float = 1.0

    def __post_init__(self) -> None:
        """Check the count and the shape."""
        check_count(self.portions, self.argument)
        check_aspect(self.aspect)


@dataclass(frozen=True, slots=True, kw_only=True)
class SizeWish:
    """Pieces of one size, as many whole ones as possible. Its own checks name `length` and `width`."""

    argument: ClassVar[Path] = ("portion_size",)
    length_mm: float
    width_mm: float

    def __post_init__(self) -> None:
        """Check the size."""
        for name, size in (("length", self.length_mm), ("width", self.width_mm)):
            if size < MIN_PIECE_MM:
                message = f"A piece is at least {MIN_PIECE_MM:g} mm each way."
                raise OutOfRangeError(message, path=(name,), value=size, limit=MIN_PIECE_MM, unit="mm")


@dataclass(frozen=True, slots=True, kw_only=True)
class MassWish:
    """Pieces as near as possible to one mass, or no lighter or no heavier, and near to the shape `aspect`."""

    argument: ClassVar[Path] = ("portion_grams",)
    portion_g: float
    aspect: float = 1.0
    rule: MassRule = "nearest"

    def __post_init__(self) -> None:
        """Check the mass and the shape."""
        if self.portion_g < MIN_G:
            message = "A piece weighs at least a milligram."
            raise OutOfRangeError(message, path=self.argument, value=self.portion_g, limit=MIN_G, unit="g")
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
    """Concentric rings with so many portions in each, from the middle outwards; the portions of one ring are equal.

    `by`: the rings have equal areas, or all portions have, or every ring but the middle is `width_mm` wide. Its own
    checks name `rings` and `ring_width`.
    """

    argument: ClassVar[Path] = ("rings",)
    rings: tuple[int, ...]
    by: RingsBy = "equal_pieces"
    width_mm: float | None = None

    def __post_init__(self) -> None:
        """Check the counts and the width."""
        with at_path("rings"):
            check_rings(self.rings)
        with at_path("ring_width"):
            check_ring_width(self.by, self.width_mm)


Wish = GridWish | CountWish | SizeWish | MassWish | WedgesWish | RingsWish


def keeps_rule(wish: MassWish, lightest_g: float, heaviest_g: float) -> bool:
    """Whether pieces keep the rule of a mass.

    Args:
        wish: the mass and its rule.
        lightest_g: mass of the lightest piece.
        heaviest_g: mass of the heaviest piece.
    Returns:
        True for `nearest`; otherwise whether every piece is heavy enough, or light enough, but for rounding errors.
    """
    if wish.rule == "at_least":
        return lightest_g >= wish.portion_g * (1 - FITS)
    return wish.rule == "nearest" or heaviest_g <= wish.portion_g * (1 + FITS)


def check_count(count: int, path: Path) -> None:
    """Refuse a number of pieces that nobody cuts.

    Args:
        count: number of pieces.
        path: the argument that the error names.
    Raises:
        OutOfRangeError: too many pieces, or none.
    """
    if not 1 <= count <= MAX_PIECES:
        limit = broken_limit(count, 1, MAX_PIECES)
        raise OutOfRangeError(f"A slab is cut into 1 to {MAX_PIECES:,} pieces.", path=path, value=count, limit=limit)


def check_aspect(aspect: float) -> None:
    """Refuse a shape that no piece has.

    Args:
        aspect: longer side over shorter.
    Raises:
        OutOfRangeError: below 1, or longer than a ribbon.
    """
    if not 1 <= aspect <= MAX_ASPECT:
        raise OutOfRangeError(
            f"A shape is its longer side over its shorter, from 1 (square) to {MAX_ASPECT:g}.",
            path=("portion_shape",),
            value=aspect,
            limit=broken_limit(aspect, 1, MAX_ASPECT),
        )


def check_rings(pieces: tuple[int, ...]) -> None:
    """Check how many pieces each ring has.

    Args:
        pieces: the number of pieces in each ring, the middle first.
    Raises:
        OutOfRangeError: too many rings or pieces, or a ring without a piece, with its index as path.
    """
    if not 1 <= len(pieces) <= MAX_RINGS:
        limit = broken_limit(len(pieces), 1, MAX_RINGS)
        raise OutOfRangeError(f"A slab is cut into 1 to {MAX_RINGS} rings.", value=len(pieces), limit=limit)
    for i, count in enumerate(pieces):
        if count < 1:
            raise OutOfRangeError("A ring has at least 1 piece.", path=(i,), value=count, limit=1)
    check_count(sum(pieces), ())


def check_ring_width(by: RingsBy, width_mm: float | None) -> None:
    """Check that a width of rings is given exactly when it is used.

    Args:
        by: how the rings are divided.
        width_mm: width of each ring but the middle.
    Raises:
        NeededError: the width is missing.
        MismatchError: it is not used.
        OutOfRangeError: it is too small.
    """
    if by == "width" and width_mm is None:
        raise NeededError("Rings by width need a width.", code="needed")
    if by != "width" and width_mm is not None:
        raise MismatchError(
            'A width of rings is only used with "width" as the way to divide them.', code="field_not_used"
        )
    if width_mm is not None and width_mm < MIN_PIECE_MM:
        message = f"A ring is at least {MIN_PIECE_MM:g} mm wide."
        raise OutOfRangeError(message, value=width_mm, limit=MIN_PIECE_MM, unit="mm")


def crumbs(size_mm: float, path: Path) -> OutOfRangeError:
    """The refusal of pieces that would be too small.

    Args:
        size_mm: their smaller side.
        path: the argument that the error names.
    """
    message = f"Pieces would be {max(0.0, size_mm):.3g} mm across, under {MIN_PIECE_MM:g} mm: ask for fewer."
    return OutOfRangeError(message, path=path, value=size_mm, limit=MIN_PIECE_MM, unit="mm")


def too_many(count: float, path: Path) -> OutOfRangeError:
    """The refusal of more pieces than are cut.

    Args:
        count: of the pieces.
        path: the argument that the error names.
    """
    message = f"There would be {count:,.0f} pieces; at most {MAX_PIECES:,} are cut."
    return OutOfRangeError(message, path=path, value=count, limit=MAX_PIECES)


def too_long(piece_mm: float, slab_mm: float, path: Path) -> OutOfRangeError:
    """The refusal of a piece that does not fit into the slab.

    Args:
        piece_mm: a side or the diagonal of the piece.
        slab_mm: what the trimmed slab has for it.
        path: the argument that the error names.
    """
    message = f"A piece of {piece_mm:.4g} mm does not fit into the trimmed slab, which has {slab_mm:.4g} mm for it."
    return OutOfRangeError(message, path=path, code="piece_too_large", value=piece_mm, limit=slab_mm, unit="mm")
