"""Requests and answers of `/v1/cuts`."""

from typing import Annotated, Literal

from pydantic import Field, Tag

from api.v1.tins.schemas import TinIn, TinText
from api.wire.problems import Problem
from api.wire.schemas import (
    FIRST_THAT_FITS,
    OBJECT_TAG,
    TEXT_TAG,
    WHOLE,
    Answer,
    Label,
    Quantity,
    QuantityText,
    Query,
    Schema,
    Warned,
)
from domain.cutting.layouts import MAX_PIECES, MAX_RINGS, Reason

MAX_TINS = 50  # our own limit: more sizes than a shop has
MAX_GRAMS = 1_000_000  # our own limit, no source

RowCount = Annotated[int, Field(ge=1, le=MAX_PIECES, description="Rows, across the width."), WHOLE]
ColumnCount = Annotated[int, Field(ge=1, le=MAX_PIECES, description="Columns, along the length."), WHOLE]
PieceCount = Annotated[
    int,
    Field(ge=1, le=MAX_PIECES, description="So many pieces: the grid nearest `shape`; of a round or ring, wedges."),
    WHOLE,
]
WedgeCount = Annotated[int, Field(ge=1, le=MAX_PIECES, description="So many wedges of a round or ring slab."), WHOLE]
Grams = Annotated[float, Field(gt=0, le=MAX_GRAMS)]
PieceGrams = Annotated[float, Field(gt=0, le=MAX_GRAMS, description="Pieces as near as can be to this mass.")]
SlabGrams = Annotated[float, Field(gt=0, le=MAX_GRAMS, description="Mass of the whole slab, cooled, before trimming.")]
MixGrams = Annotated[float, Field(gt=0, le=MAX_GRAMS, description="Mass of the raw mix; needs `bake_loss_percent`.")]
BakeLoss = Annotated[float, Field(ge=0, lt=100, description="Mass lost in the oven and cooling, percent of the mix.")]
ShapeText = Annotated[
    str,
    Field(
        min_length=1,
        max_length=20,
        examples=["square", "3:2"],
        description="`square`, or the longer side to the shorter; pieces may lie either way.",
    ),
]
SizeText = Annotated[str, Field(min_length=1, max_length=80, examples=["30 x 20 cm"], description="Length x width.")]
RingsBy = Annotated[
    Literal["equal_rings", "equal_pieces", "width"],
    Field(description="Rings of equal area, pieces of equal area throughout, or rings of one width."),
]


class SizeIn(Schema):
    """A length and a width."""

    length: Quantity
    width: Quantity


type Size = Annotated[
    Annotated[SizeIn, Tag(OBJECT_TAG)] | Annotated[SizeText, Tag(TEXT_TAG)],
    FIRST_THAT_FITS,
    Field(description="A length and a width, as an object or as text: `30 x 20 cm`."),
]


class RingsIn(Schema):
    """Concentric rings of a round slab; `width` goes with `by: width` and leaves the middle the rest."""

    pieces: list[Annotated[int, Field(ge=1, le=MAX_PIECES), WHOLE]] = Field(
        min_length=1,
        max_length=MAX_RINGS,
        description="Pieces in each ring, from the middle outwards.",
        examples=[[1, 6, 12]],
    )
    by: RingsBy = "equal_rings"
    width: Quantity | None = None


class CutLimitIn(Schema):
    """What no piece may exceed."""

    longest_side: Quantity | None = None
    largest_mass: Quantity | None = None


class CutWishIn(Schema):
    """How to divide: one of `rows` and `columns`, `pieces`, `piece`, `piece_grams`, `wedges`, `rings`."""

    rows: RowCount | None = None
    columns: ColumnCount | None = None
    pieces: PieceCount | None = None
    shape: ShapeText | None = Field(default=None, description="With `pieces` or `piece_grams`; square if left out.")
    piece: Size | None = Field(default=None, description="Pieces of this size, as many whole ones as there are.")
    piece_grams: PieceGrams | None = None
    wedges: WedgeCount | None = None
    rings: RingsIn | None = None


class CutMethodIn(Schema):
    """How the slab is cut, whatever into."""

    trim: Quantity | None = Field(default=None, description="Cut off all round first, the knife's width included.")
    knife_width: Quantity | None = Field(default=None, description="Lost at each cut.")
    limit: CutLimitIn | None = None
    drawing: bool = Field(default=False, description="Add an SVG drawing to each layout.")


class CutSlabIn(CutWishIn):
    """One slab: a tin (or the slab's own length and width), its mass if known, and a wish."""

    tin: TinIn | None = None
    slab: Size | None = Field(default=None, description="Instead of a tin: length and width of the slab.")
    baked_depth: Quantity | None = Field(
        default=None, description="Height of the baked slab: where walls slope, the top face is taken there."
    )
    slab_grams: SlabGrams | None = None
    mix_grams: MixGrams | None = None
    bake_loss_percent: BakeLoss | None = None
    label: Label | None = None


class CutsRequest(CutSlabIn, CutMethodIn):
    """One slab, or `tins`; a tin without a wish or a bake loss of its own takes the request's."""

    tins: list[CutSlabIn] | None = Field(
        default=None,
        min_length=1,
        max_length=MAX_TINS,
        description="Several sizes at once, instead of one.",
    )


class TargetCutsIn(CutWishIn, CutMethodIn):
    """How to cut what a target of `/v1/rescale` bakes, in each of its tins."""

    bake_loss_percent: BakeLoss | None = Field(default=None, description="Without it, pieces have no mass.")
    baked_depth: Quantity | None = Field(default=None, description="Where walls slope: height of the baked slab.")


class CutsQuery(Query):
    """One slab, as query parameters."""

    tin: TinText | None = None
    slab: SizeText | None = None
    baked_depth: QuantityText | None = None
    rows: RowCount | None = None
    columns: ColumnCount | None = None
    pieces: PieceCount | None = None
    shape: ShapeText | None = None
    piece: SizeText | None = None
    piece_grams: PieceGrams | None = None
    wedges: WedgeCount | None = None
    rings: Annotated[str, Field(max_length=120, pattern=r"^\s*[0-9]{1,4}(\s*,\s*[0-9]{1,4})*\s*$")] | None = Field(
        default=None, examples=["1, 6, 12"], description="Pieces in each ring, from the middle outwards."
    )
    rings_by: RingsBy = "equal_rings"
    ring_width: QuantityText | None = None
    slab_grams: SlabGrams | None = None
    mix_grams: MixGrams | None = None
    bake_loss_percent: BakeLoss | None = None
    trim: QuantityText | None = None
    knife_width: QuantityText | None = None
    longest_side: QuantityText | None = None
    largest_mass: QuantityText | None = None
    label: Label | None = None
    drawing: bool = False


class CutPieceAnswer(Answer):
    """The mean of all whole pieces; its size if all have one (rings differ), mass if the slab's is known."""

    length_mm: float | None = None
    width_mm: float | None = None
    area_mm2: float
    grams: float | None = None


class CutKindAnswer(Answer):
    """Pieces that are alike, by place: `part` are those a round rim leaves incomplete."""

    place: Literal["corner", "edge", "centre", "part"]
    ring: int | None = Field(default=None, description="Of wedges and rings: 0 is the middle.")
    count: int
    length_mm: float = Field(description="Of a wedge: outwards.")
    width_mm: float = Field(description="Of a wedge: straight across its outer end.")
    area_mm2: float = Field(description="The mean.")
    grams: float | None = Field(default=None, description="The mean, as share of the slab.")


class CutMarkAnswer(Answer):
    """The middle of one cut, from the edge; each is worked out from the edge, so rounding never adds up."""

    mm: float
    nearest_mm: int
    nearest_sixteenths: int = Field(description="Of an inch.")
    inches: str = Field(description="The nearest sixteenth as a ruler shows it.", examples=["2 5/8"])
    kind: Literal["trim", "cut", "offcut"]


class CutRimMarkAnswer(Answer):
    """One radial cut: clockwise from the top, and where it meets its ring's outer edge."""

    ring: int = Field(description="0 is the middle.")
    degrees: float
    rim_mm: float = Field(description="Along the edge from the first cut.")
    x_mm: float = Field(description="From the left of the square that just holds the slab.")
    y_mm: float = Field(description="From its top.")


class CutMarksAnswer(Answer):
    """Where to put the knife: along the length, along the width, out from the middle, round the rings."""

    length: list[CutMarkAnswer]
    width: list[CutMarkAnswer]
    radius: list[CutMarkAnswer]
    rim: list[CutRimMarkAnswer]


class CutShareAnswer(Answer):
    """A part of the slab."""

    area_mm2: float
    grams: float | None = None
    percent: float


class CutAlternativeAnswer(Answer):
    """Another way, and why one might prefer it."""

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
    pieces: int = Field(description="Whole ones.")
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
    offcut: CutShareAnswer = Field(description="What is left over, part pieces included.")
    error_percent: float | None = Field(default=None, description="Of the mass, from `piece_grams`.")
    alternatives: list[CutAlternativeAnswer]
    drawing: str | None = Field(default=None, description="SVG: to scale, viewBox in millimetres.")
    warnings: list[Warned]


class CutsProblem(Answer):
    """A tin that could not be answered, in its place."""

    label: str | None = None
    problem: Problem


type CutsOfTin = CutsAnswer | CutsProblem


class CutsOfTinsAnswer(Answer):
    """One answer or problem a tin, in order."""

    tins: list[CutsOfTin]


type CutsResult = CutsAnswer | CutsOfTinsAnswer
