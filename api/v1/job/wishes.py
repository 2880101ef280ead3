"""How a bake is cut, and how a dough is divided: the wishes that formulas, targets and single slabs share."""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from api.wire.schemas import WHOLE, Density, LengthText, QuantityText, Schema
from domain.pieces.counts import USUAL_TOLERANCE_PERCENT

MAX_PORTIONS, MAX_RINGS = 1_000, 20  # our own limits
MAX_GRAMS = 10_000_000  # our own limit

Grams = Annotated[float, Field(gt=0, le=MAX_GRAMS, description="Grams.", examples=[1478])]
PieceCount = Annotated[int, Field(ge=1, le=100_000, description="How many dough pieces.", examples=[16]), WHOLE]
PortionCount = Annotated[int, Field(ge=1, le=MAX_PORTIONS, description="How many portions.", examples=[16]), WHOLE]
BakeLoss = Annotated[
    float,
    Field(
        ge=0, lt=95, description="Mass lost in the oven and while cooling, in percent of the raw mix.", examples=[11]
    ),
]
SizeText = Annotated[
    str, Field(min_length=1, max_length=80, description="Length x width with a unit.", examples=["60 x 40 mm"])
]
Degrees = Annotated[
    str, Field(min_length=1, max_length=80, description="A temperature with its unit.", examples=["20 celsius"])
]
RingsBy = Annotated[
    Literal["equal_pieces", "equal_rings", "width"],
    Field(description="Portions of equal area, rings of equal area, or rings of equal width."),
]
Keep = Annotated[
    Literal["mass", "count", "spacing"],
    Field(description="What a target keeps: the mass of a piece, the count in a tin, or the area for each piece."),
]
PortionRule = Annotated[
    Literal["nearest", "at_least", "at_most"],
    Field(description="Whether portions may be lighter or heavier than `portion_grams`."),
]
ShapeText = Annotated[
    str,
    Field(
        min_length=1,
        max_length=20,
        description="Shape of a portion: `square`, `finger`, `triangle`, `diamond`, or a ratio of sides.",
        examples=["3:2"],
    ),
]


class Pieces(Schema):
    """How a dough is divided into pieces: one of `count`, `grams_each`, `per_tin`, `per_cavity` and `per_portion`.

    A target may instead `keep` what the formula says. All of the dough is shared out, in whole pieces for each tin.
    """

    count: PieceCount | None = Field(default=None, description="In all tins of the formula or target together.")
    grams_each: Grams | None = Field(
        default=None, description="Mass of one raw piece; the nearest whole count shares the dough."
    )
    per_tin: PieceCount | None = Field(default=None, description="Pieces in each tin.")
    per_cavity: PieceCount | None = Field(default=None, description="Pieces in each cavity of the tin.")
    per_portion: PieceCount | None = Field(default=None, description="Pieces in each portion; needs `cuts`.")
    keep: Keep | None = None
    tolerance_percent: float = Field(
        default=USUAL_TOLERANCE_PERCENT,
        ge=0,
        le=100,
        description="A mass further from the written one has a warning.",
        examples=[5],
    )
    g_per_ml: Density | None = Field(default=None, description="Density of the dough.")
    start_temperature: Degrees | None = Field(default=None, description="Of the pieces when they go into the oven.")
    diameter: LengthText | None = Field(
        default=None, description="Of one piece; from its mass and density if left out."
    )
    drawing: bool = Field(default=False, description="Add an SVG drawing of the pieces in the tin.")


class CutFields(BaseModel):
    """What the cuts of a body and those of a query have in common."""

    model_config = ConfigDict(defer_build=True)

    rows: PortionCount | None = Field(default=None, description="Rows across the width; goes with `columns`.")
    columns: PortionCount | None = Field(default=None, description="Columns along the length; goes with `rows`.")
    portions: PortionCount | None = Field(default=None, description="A count; the grid whose portions fit best.")
    portion_size: SizeText | None = Field(default=None, description="As many whole portions of this size as fit.")
    portion_grams: Grams | None = Field(default=None, description="The grid whose portions come nearest to this mass.")
    portion_rule: PortionRule = "nearest"
    portion_shape: ShapeText | None = None
    wedges: PortionCount | None = Field(default=None, description="Wedges of a round or a ring.")
    rings_by: RingsBy = "equal_pieces"
    ring_width: LengthText | None = Field(default=None, description="Goes with `rings_by: width`.")
    trim: LengthText | None = Field(default=None, description="Cut off all round first.")
    knife_width: LengthText | None = Field(default=None, description="Lost at each cut.")
    longest_side: LengthText | None = Field(default=None, description="No side of a portion may be longer.")
    largest_mass: QuantityText | None = Field(default=None, description="No portion may be heavier.", examples=["70 g"])
    baked_depth: LengthText | None = Field(default=None, description="Height of the bake; matters where walls slope.")
    bake_loss_percent: BakeLoss | None = Field(
        default=None, description="Mass lost in the oven and in cooling, in percent of the raw mix."
    )
    slab_grams: Grams | None = Field(default=None, description="Mass of the whole cooled slab, instead of a bake loss.")
    drawing: bool = Field(default=False, description="Add an SVG drawing.")


class Cuts(CutFields, Schema):
    """How the bake is cut: `rows` and `columns`, `portions`, `portion_size`, `portion_grams`, `wedges` or `rings`."""

    rings: list[PortionCount] | None = Field(
        default=None,
        min_length=1,
        max_length=MAX_RINGS,
        description="Portions in each ring of a round, from the middle outwards.",
        examples=[[1, 6, 12]],
    )
