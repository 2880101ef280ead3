"""Requests and answers of `/v1/pieces`."""

from typing import Annotated, Literal

from pydantic import BaseModel, ConfigDict, Field

from api.v1.job.schemas import (
    MAX_LINES,
    MAX_TARGETS,
    ComponentPiecesAnswer,
    Formula,
    Line,
    Target,
    TargetHeadAnswer,
    WrittenAnswer,
)
from api.v1.job.wishes import Cuts
from api.v1.shop.schemas import Shop
from api.v1.tins.schemas import TinShape, TinText
from api.wire.schemas import (
    WHOLE,
    Answer,
    Density,
    EggClassName,
    Label,
    MeasuresName,
    QuantityText,
    Query,
    Schema,
    SourceAnswer,
    SourceRef,
    TopicAnswer,
    Warned,
)
from domain.pieces.dividing import MAX_PORTIONS
from domain.pieces.scoops import MAX_SCOOP, MIN_SCOOP

MAX_MIX_GRAMS = 10_000_000  # our own limit, no source
MAX_PIECE_GRAMS = 100_000  # our own limit, no source

MixMass = Annotated[float, Field(gt=0, le=MAX_MIX_GRAMS, description="Mass of the whole mix in grams.")]
PieceMass = Annotated[float, Field(gt=0, le=MAX_PIECE_GRAMS, description="Mass of each piece in grams.")]
Portions = Annotated[int, Field(ge=1, le=MAX_PORTIONS, description="Number of equal pieces.", examples=[20]), WHOLE]
ScoopNumber = Annotated[
    int,
    Field(ge=MIN_SCOOP, le=MAX_SCOOP, examples=[30], description="Number of a scoop, filled level; needs `g_per_ml`."),
    WHOLE,
]


class PieceFields(BaseModel):
    """What a body and a query have in common."""

    model_config = ConfigDict(defer_build=True)

    grams_each: PieceMass | None = Field(default=None, examples=[45])
    count: Portions | None = None
    scoop: ScoopNumber | None = None
    g_per_ml: Density | None = None
    tray: TinText | None = Field(
        default=None,
        description="Inside of a rectangular tray to bake the pieces on.",
        examples=["rectangle 60 x 40 cm"],
    )
    spacing: QuantityText | None = Field(
        default=None, description="Distance between pieces on the tray.", examples=["3 cm"]
    )
    tray_margin: QuantityText | None = Field(
        default=None, description="Distance to keep from the tray's walls.", examples=["2 cm"]
    )
    diameter: QuantityText | None = Field(
        default=None,
        description="Diameter of a piece; that of a ball if left out.",
        examples=["4 cm"],
    )
    tin: TinText | None = Field(default=None, description="A tin of batter that the pieces are set into.")
    baked_depth: QuantityText | None = Field(
        default=None,
        description="Height of the batter; matters where walls slope.",
        examples=["3 cm"],
    )
    label: Label | None = None
    drawing: bool = Field(default=False, description="Add an SVG drawing of the pieces in the tin.")


class PiecesRequest(PieceFields, Schema):
    """A formula whose components have `pieces`, and targets; or a mix and one of `grams_each`, `count`, `scoop`.

    A mix is `grams` or `lines`, optionally with a tray and a tin of batter.
    """

    formula: Formula | None = None
    targets: list[Target] = Field(default=[], max_length=MAX_TARGETS, description="With a formula: what is wanted.")
    shop: Shop | None = None
    grams: MixMass | None = Field(default=None, examples=[900])
    lines: list[Line] | None = Field(
        default=None,
        min_length=1,
        max_length=MAX_LINES,
        description="The mix line by line, as in a formula, instead of `grams`.",
    )
    measures: MeasuresName | None = None
    egg_class: EggClassName | None = None
    tray_shape: TinShape | None = Field(default=None, description="The tin as data, instead of `tray`.")
    tin_shape: TinShape | None = Field(default=None, description="The tin as data, instead of `tin`.")
    cuts: Cuts | None = Field(default=None, description="How that tin is cut; the pieces are also placed by portion.")


class PiecesQuery(PieceFields, Query):
    """The same as query parameters; the mix is given by its mass."""

    grams: MixMass


class ScoopAnswer(Answer):
    """A numbered scoop filled level: its measure by the rule, and the range of printed measures."""

    number: int = Field(description="Number of the scoop: portions in a US quart.", examples=[24])
    ml: float = Field(description="Volume, filled level.", examples=[39.4])
    ml_low: float = Field(description="Least volume that a source gives.", examples=[36])
    ml_high: float = Field(description="Largest volume that a source gives.", examples=[40.7])
    grams: float | None = Field(default=None, description="Mass of a level scoop of this mix.", examples=[43.3])
    grams_low: float | None = Field(
        default=None, description="The least it may be, by the published figures.", examples=[1409.47]
    )
    grams_high: float | None = Field(
        default=None, description="The most it may be, by the published figures.", examples=[1581.87]
    )
    error_percent: float | None = Field(
        default=None, description="Difference from the requested mass, in percent.", examples=[2.1]
    )
    cited: list[SourceRef] = Field(description="Where the figure comes from.")


class TrayPatternAnswer(Answer):
    """One way to arrange pieces on trays."""

    arrangement: Literal["square", "staggered"] = Field(description="How the rows stand.", examples=["staggered"])
    along: Literal["length", "width"] = Field(description="The side of the tray that the rows run along.")
    row_counts: list[int] = Field(
        description="Number of pieces in each row. In staggered rows, every other row starts half a pitch further in.",
        examples=[[6, 5, 6]],
    )
    per_tray: int = Field(description="Pieces on a full tray.", examples=[17])
    trays: int = Field(description="Number of trays.", examples=[2])
    on_last_tray: int = Field(description="Pieces on the last tray.", examples=[7])
    pitch_mm: float = Field(description="Distance from middle to middle in a row.", examples=[60])
    row_pitch_mm: float = Field(description="Distance from row to row.", examples=[52])


class TrayAnswer(Answer):
    """How many pieces fit on the tray, in two arrangements."""

    length_mm: float = Field(description="Length of the tray.", examples=[600])
    width_mm: float = Field(description="Width of the tray.", examples=[400])
    diameter_mm: float = Field(description="Diameter of a piece.", examples=[41])
    square: TrayPatternAnswer
    staggered: TrayPatternAnswer


class PieceRowAnswer(Answer):
    """A straight row: its distance from the first side, its first piece, and the distance to the next piece."""

    count: int = Field(description="Pieces in the row.", examples=[4])
    at_mm: float = Field(description="Distance of the row from the wall.", examples=[28.8])
    first_mm: float = Field(description="Distance of the first piece from the wall.", examples=[28.8])
    pitch_mm: float = Field(description="Distance from middle to middle.", examples=[57.5])


class PieceRingAnswer(Answer):
    """A ring around the middle: its first piece, clockwise from the top, and the angle to the next piece."""

    count: int = Field(description="Pieces on the ring.", examples=[8])
    radius_mm: float = Field(description="Radius of the ring.", examples=[80])
    first_degrees: float = Field(description="Direction of the first piece, clockwise from the top.", examples=[0])
    step_degrees: float = Field(description="Angle from piece to piece.", examples=[45])


class PiecePositionAnswer(Answer):
    """The middle of one piece, measured from the left and the top of the tin."""

    x_mm: float = Field(description="Distance from the left.", examples=[28.8])
    y_mm: float = Field(description="Distance from the top.", examples=[28.8])


class PiecePatternAnswer(Answer):
    """An even pattern: rows in a rectangle, rings in a round tin."""

    along: Literal["length", "width"] | None = Field(
        default=None, description="The side of the tin that the rows run along.", examples=["length"]
    )
    piece_rows: list[PieceRowAnswer] = Field(description="Rows of pieces; none in a round tin.")
    piece_rings: list[PieceRingAnswer] = Field(description="Rings of pieces; none in a rectangular tin.")
    positions: list[PiecePositionAnswer] = Field(description="The middle of each piece.")
    nearest_mm: float | None = Field(
        default=None, description="Least distance between the middles of two pieces.", examples=[57.5]
    )
    wall_mm: float = Field(description="Least distance between the middle of a piece and a wall.", examples=[28.8])


class MixAnswer(Answer):
    """The mix that is divided. A mix in lines has a range and sources."""

    grams: float = Field(description="Mass of the mix.", examples=[208.4])
    grams_low: float = Field(description="The least it may be, by the published figures.", examples=[208.2])
    grams_high: float = Field(description="The most it may be, by the published figures.", examples=[208.8])
    cited: list[SourceRef] = Field(description="Where the figure comes from.")


class DoughPiecesAnswer(ComponentPiecesAnswer):
    """The pieces of one component for a target, and where they sit in one of its tins."""

    component: str = Field(description="Name of the component.", examples=["oat-and-treacle nuggets"])
    pattern: PiecePatternAnswer | None = None
    on_cuts: PiecePatternAnswer | None = Field(
        default=None, description="The same number in every portion, if the tin is cut and the portions share them."
    )
    pieces_under_knife: int | None = Field(
        default=None, description="Pieces of `pattern` that a cut goes through, if the tin is cut.", examples=[6]
    )
    drawing: str | None = Field(
        default=None, description="SVG drawing to scale; its viewBox is in millimetres.", examples=["<svg>…</svg>"]
    )


class PiecesTargetAnswer(TargetHeadAnswer):
    """The dough pieces of one target, or its problem."""

    factor: float | None = Field(
        default=None, description="What every line of the formula is multiplied by.", examples=[1.1342]
    )
    tins: int | None = Field(default=None, description="Number of tins.", examples=[2])
    pieces: list[DoughPiecesAnswer] | None = Field(default=None, description="The pieces of each dough.")
    warnings: list[Warned] | None = Field(default=None, description="What to know before using these figures.")


class PiecesResult(TopicAnswer):
    """The pieces of a mix, or of a formula's doughs for each target.

    `grams_low` and `grams_high`, of one piece of a mix, differ where a scoop has a range.
    """

    label: str | None = Field(
        default=None, description="The caller's own name for it, returned unchanged.", examples=["tray"]
    )
    count: int | None = Field(default=None, description="How many.", examples=[16])
    count_low: int | None = Field(default=None, description="The least count, by the published figures.", examples=[23])
    count_high: int | None = Field(
        default=None, description="The largest count, by the published figures.", examples=[25]
    )
    grams_each: float | None = Field(default=None, description="Mass of one piece.", examples=[13.02])
    grams_low: float | None = Field(default=None, description="The least mass of a piece.", examples=[12.9])
    grams_high: float | None = Field(default=None, description="The largest mass of a piece.", examples=[13.1])
    leftover_grams: float | None = Field(
        default=None, description="Left after whole pieces of exactly that mass.", examples=[0]
    )
    division: ComponentPiecesAnswer | None = Field(
        default=None, description="With `grams_each`: the nearest count against that mass, and its neighbours."
    )
    mix: MixAnswer | None = None
    ball_diameter_mm: float | None = Field(default=None, description="Diameter of a piece as a ball.", examples=[27.6])
    scoop: ScoopAnswer | None = None
    nearest_scoops: list[ScoopAnswer] | None = Field(
        default=None, description="The numbered scoops nearest to a piece."
    )
    tray: TrayAnswer | None = None
    pattern: PiecePatternAnswer | None = None
    on_cuts: PiecePatternAnswer | None = Field(
        default=None, description="The same number in every portion, if the tin is cut and the portions share them."
    )
    pieces_under_knife: int | None = Field(
        default=None, description="Pieces of `pattern` that a cut goes through, if the tin is cut.", examples=[6]
    )
    drawing: str | None = Field(
        default=None, description="SVG drawing to scale; its viewBox is in millimetres.", examples=["<svg>…</svg>"]
    )
    warnings: list[Warned] | None = Field(default=None, description="What to know before using these figures.")
    formula: Formula | None = Field(default=None, description="As sent.")
    written: WrittenAnswer | None = None
    targets: list[PiecesTargetAnswer] | None = Field(default=None, description="One for each target, in order.")
    sources: list[SourceAnswer] = Field(description="Every source that is cited.")
