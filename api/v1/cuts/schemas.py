"""Requests and answers of `/v1/cuts`."""

from typing import Annotated, Literal

from pydantic import Field

from api.v1.tins.schemas import TinShape, TinText
from api.wire.problems import Problem
from api.wire.schemas import (
    WHOLE,
    Answer,
    Label,
    QuantityText,
    Query,
    Schema,
    Warned,
)
from domain.cutting.layouts import MAX_PIECES, MAX_RINGS, Reason

MAX_TINS = 50  # our own limit: no shop has more sizes
MAX_GRAMS = 1_000_000  # our own limit, no source

RowCount = Annotated[
    int, Field(ge=1, le=MAX_PIECES, description="Number of rows, counted along the width; needs `columns`."), WHOLE
]
ColumnCount = Annotated[
    int, Field(ge=1, le=MAX_PIECES, description="Number of columns, counted along the length; needs `rows`."), WHOLE
]
PieceCount = Annotated[
    int,
    Field(
        ge=1,
        le=MAX_PIECES,
        description="Number of pieces: the grid nearest to `shape`. A round or ring-shaped slab is cut into wedges.",
    ),
    WHOLE,
]
WedgeCount = Annotated[
    int, Field(ge=1, le=MAX_PIECES, description="Number of wedges of a round or ring-shaped slab."), WHOLE
]
Grams = Annotated[float, Field(gt=0, le=MAX_GRAMS)]
PieceGrams = Annotated[
    float, Field(gt=0, le=MAX_GRAMS, description="Mass of a piece in grams; the pieces come as near to it as possible.")
]
SlabGrams = Annotated[
    float, Field(gt=0, le=MAX_GRAMS, description="Mass of the whole cooled slab in grams, before trimming.")
]
MixGrams = Annotated[
    float, Field(gt=0, le=MAX_GRAMS, description="Mass of the raw mix in grams; needs `bake_loss_percent`.")
]
BakeLoss = Annotated[
    float, Field(ge=0, lt=100, description="Mass lost in the oven and in cooling, percent of the mix.")
]
ShapeText = Annotated[
    str,
    Field(
        min_length=1,
        max_length=20,
        examples=["square", "3:2"],
        description="Shape of a piece: `square`, or the longer side to the shorter. Pieces may lie either way.",
    ),
]
SizeText = Annotated[
    str,
    Field(min_length=1, max_length=80, examples=["30 x 20 cm"], description="A length and a width with their unit."),
]
RingsBy = Annotated[
    Literal["equal_rings", "equal_pieces", "width"],
    Field(description="How wide the rings are: rings of equal area, all pieces of equal area, or rings of one width."),
]


class RingsIn(Schema):
    """Concentric rings of a round slab. With `by: width`, each ring but the middle is `width` wide."""

    pieces: list[Annotated[int, Field(ge=1, le=MAX_PIECES), WHOLE]] = Field(
        min_length=1,
        max_length=MAX_RINGS,
        description="Number of pieces in each ring, from the middle outwards.",
        examples=[[1, 6, 12]],
    )
    by: RingsBy = "equal_rings"
    width: QuantityText | None = Field(default=None, description="Width of each ring but the middle, with `by: width`.")


class CutLimitIn(Schema):
    """Limits that no piece may exceed. A piece that is exactly as long or as heavy as a limit keeps it."""

    longest_side: QuantityText | None = Field(default=None, description="No side of a piece is longer.")
    largest_mass: QuantityText | None = Field(
        default=None, description="No piece is heavier; the mass of the slab must be known."
    )


class CutWishIn(Schema):
    """How to divide: give one of `rows` and `columns`, `pieces`, `piece`, `piece_grams`, `wedges`, `rings`."""

    rows: RowCount | None = None
    columns: ColumnCount | None = None
    pieces: PieceCount | None = None
    shape: ShapeText | None = Field(
        default=None, description="Shape of a piece, with `pieces` or `piece_grams`; square if it is left out."
    )
    piece: SizeText | None = Field(
        default=None, description="Size of a piece; the slab is cut into as many whole pieces as possible."
    )
    piece_grams: PieceGrams | None = None
    wedges: WedgeCount | None = None
    rings: RingsIn | None = Field(default=None, description="Concentric rings of a round slab.")


class CutMethodIn(Schema):
    """How the slab is cut, whatever it is divided into."""

    trim: QuantityText | None = Field(
        default=None, description="Width cut off all round first, the knife's width included."
    )
    knife_width: QuantityText | None = Field(default=None, description="Width lost at each cut.")
    limit: CutLimitIn | None = Field(default=None, description="Limits that no piece may exceed.")
    drawing: bool = Field(default=False, description="Whether to add an SVG drawing to each layout.")


class CutSlabIn(CutWishIn):
    """One slab: a tin, or the slab's own length and width, with its mass if it is known and how to divide it."""

    tin: TinText | None = Field(default=None, description="The tin that the slab was baked in.")
    tin_shape: TinShape | None = Field(default=None, description="The tin as data, instead of `tin`.")
    slab: SizeText | None = Field(default=None, description="Length and width of the slab, instead of `tin`.")
    baked_depth: QuantityText | None = Field(
        default=None,
        description="Baked height. For tins with sloping walls, the cut face is measured at this height.",
    )
    slab_grams: SlabGrams | None = None
    mix_grams: MixGrams | None = None
    bake_loss_percent: BakeLoss | None = None
    label: Label | None = None


class CutsRequest(CutSlabIn, CutMethodIn):
    """One slab, or several in `tins`. A tin without a way to divide it, or without a bake loss, uses the request's."""

    tins: list[CutSlabIn] | None = Field(
        default=None,
        min_length=1,
        max_length=MAX_TINS,
        description="Several slabs at once, instead of `tin` or `slab`.",
    )


class TargetCutsIn(CutWishIn, CutMethodIn):
    """How to cut the slab from each tin of a target of `/v1/rescale`."""

    bake_loss_percent: BakeLoss | None = Field(
        default=None,
        description="Mass lost in the oven and in cooling, percent of the mix. Without it, pieces have no mass.",
    )
    baked_depth: QuantityText | None = Field(
        default=None, description="Baked height. For tins with sloping walls, the cut face is measured at this height."
    )


class CutsQuery(Query):
    """One slab, as query parameters."""

    tin: TinText | None = Field(default=None, description="The tin that the slab was baked in.")
    slab: SizeText | None = Field(default=None, description="Length and width of the slab, instead of `tin`.")
    baked_depth: QuantityText | None = Field(
        default=None,
        description="Baked height. For tins with sloping walls, the cut face is measured at this height.",
        examples=["3 cm"],
    )
    rows: RowCount | None = None
    columns: ColumnCount | None = None
    pieces: PieceCount | None = None
    shape: ShapeText | None = None
    piece: SizeText | None = Field(
        default=None,
        description="Size of a piece; the slab is cut into as many whole pieces as possible.",
        examples=["50 x 40 mm"],
    )
    piece_grams: PieceGrams | None = None
    wedges: WedgeCount | None = None
    rings: Annotated[str, Field(max_length=120, pattern=r"^\s*[0-9]{1,4}(\s*,\s*[0-9]{1,4})*\s*$")] | None = Field(
        default=None, examples=["1, 6, 12"], description="Number of pieces in each ring, from the middle outwards."
    )
    rings_by: RingsBy = "equal_rings"
    ring_width: QuantityText | None = Field(
        default=None,
        description="Width of each ring but the middle, with `rings_by=width`.",
        examples=["3 cm"],
    )
    slab_grams: SlabGrams | None = None
    mix_grams: MixGrams | None = None
    bake_loss_percent: BakeLoss | None = None
    trim: QuantityText | None = Field(
        default=None, description="Width cut off all round first, the knife's width included.", examples=["5 mm"]
    )
    knife_width: QuantityText | None = Field(default=None, description="Width lost at each cut.", examples=["2 mm"])
    longest_side: QuantityText | None = Field(
        default=None, description="No side of a piece is longer.", examples=["60 mm"]
    )
    largest_mass: QuantityText | None = Field(
        default=None, description="No piece is heavier; the mass of the slab must be known.", examples=["70 g"]
    )
    label: Label | None = None
    drawing: bool = Field(default=False, description="Whether to add an SVG drawing.")


class CutPieceAnswer(Answer):
    """The mean of all whole pieces: its size if all pieces have the same, and its mass if the slab's is known."""

    length_mm: float | None = None
    width_mm: float | None = None
    area_mm2: float
    grams: float | None = None


class CutKindAnswer(Answer):
    """Pieces of the same kind, by place; `part` pieces are incomplete, because the rim cuts through them."""

    place: Literal["corner", "edge", "centre", "part"]
    ring: int | None = Field(default=None, description="Number of the ring, for wedges and rings; 0 is the middle.")
    count: int
    length_mm: float = Field(description="Length; of a wedge, measured outwards.")
    width_mm: float = Field(description="Width; of a wedge, measured straight across its outer end.")
    area_mm2: float = Field(description="Mean area.")
    grams: float | None = Field(default=None, description="Mean mass, in proportion to the area.")


class CutMarkAnswer(Answer):
    """The middle of one cut, measured from the edge. Rounding errors do not add up from mark to mark."""

    mm: float
    nearest_mm: int
    nearest_sixteenths: int = Field(description="Nearest sixteenths of an inch.")
    inches: str = Field(description="Inches to the nearest sixteenth, as on a ruler.", examples=["2 5/8"])
    kind: Literal["trim", "cut", "offcut"]


class CutRimMarkAnswer(Answer):
    """One radial cut: its direction, clockwise from the top, and where it meets the outer edge of its ring."""

    ring: int = Field(description="Number of the ring; 0 is the middle.")
    degrees: float = Field(description="Direction of the cut, clockwise from the top.")
    rim_mm: float = Field(description="Distance along the edge from the first cut.")
    x_mm: float = Field(description="Distance from the left of the square that just holds the slab.")
    y_mm: float = Field(description="Distance from the top of that square.")


class CutMarksAnswer(Answer):
    """Where to cut: marks along the length, along the width, outwards from the middle, and around the rings."""

    length: list[CutMarkAnswer]
    width: list[CutMarkAnswer]
    radius: list[CutMarkAnswer]
    rim: list[CutRimMarkAnswer]


class CutShareAnswer(Answer):
    """A part of the slab, and its share of the slab's area in percent."""

    area_mm2: float
    grams: float | None = None
    percent: float


class CutAlternativeAnswer(Answer):
    """Another way to divide the slab, and the reason why it may be better."""

    pieces: int
    rows: int | None = None
    columns: int | None = None
    length_mm: float
    width_mm: float
    grams: float | None = None
    reason: Reason
    message: str


class CutsAnswer(Answer):
    """How one slab is divided. Pieces, knife, trim and offcut add up to the slab."""

    label: str | None = None
    layout: Literal["grid", "wedges", "rings"]
    pieces: int = Field(description="Number of whole pieces.")
    rows: int | None = None
    columns: int | None = None
    corner: int
    edge: int
    centre: int
    piece: CutPieceAnswer
    kinds: list[CutKindAnswer]
    marks: CutMarksAnswer
    cuts_to_make: int
    slab: CutShareAnswer
    knife: CutShareAnswer
    trim: CutShareAnswer
    offcut: CutShareAnswer = Field(description="The rest of the slab, part pieces included.")
    error_percent: float | None = Field(
        default=None, description="Difference of the mass from `piece_grams`, in percent."
    )
    alternatives: list[CutAlternativeAnswer]
    drawing: str | None = Field(default=None, description="SVG drawing to scale; its viewBox is in millimetres.")
    warnings: list[Warned]


class CutsProblem(Answer):
    """The problem of a tin that cannot be cut, in the tin's place."""

    label: str | None = None
    problem: Problem


type CutsOfTin = CutsAnswer | CutsProblem


class CutsOfTinsAnswer(Answer):
    """One answer or problem for each tin, in order."""

    tins: list[CutsOfTin]


type CutsResult = CutsAnswer | CutsOfTinsAnswer
