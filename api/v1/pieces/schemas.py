"""Requests and answers of `/v1/pieces`."""

from typing import Annotated, Literal

from pydantic import Field

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
    Warned,
)
from domain.pieces.dividing import MAX_PORTIONS
from domain.pieces.scoops import MAX_SCOOP, MIN_SCOOP

MAX_MIX_GRAMS = 10_000_000  # our own limit, no source
MAX_PIECE_GRAMS = 100_000  # our own limit, no source

MixMass = Annotated[float, Field(gt=0, le=MAX_MIX_GRAMS, description="Mass of the whole mix in grams.")]
PieceMass = Annotated[float, Field(gt=0, le=MAX_PIECE_GRAMS, description="Mass of each piece in grams.")]
Portions = Annotated[int, Field(ge=1, le=MAX_PORTIONS, description="Number of equal pieces."), WHOLE]
ScoopNumber = Annotated[
    int,
    Field(ge=MIN_SCOOP, le=MAX_SCOOP, examples=[30], description="Number of a scoop, filled level; needs `g_per_ml`."),
    WHOLE,
]


class PiecesRequest(Schema):
    """A formula whose components have `pieces`, and targets; or a mix and one of `grams_each`, `count`, `scoop`.

    A mix is `grams` or `lines`, optionally with a tray and a tin of batter.
    """

    formula: Formula | None = None
    targets: list[Target] = Field(default=[], max_length=MAX_TARGETS, description="With a formula: what is wanted.")
    shop: Shop | None = None
    grams: MixMass | None = None
    lines: list[Line] | None = Field(
        default=None,
        min_length=1,
        max_length=MAX_LINES,
        description="The mix line by line, as in a formula, instead of `grams`.",
    )
    measures: MeasuresName | None = None
    egg_class: EggClassName | None = None
    grams_each: PieceMass | None = None
    count: Portions | None = None
    scoop: ScoopNumber | None = None
    g_per_ml: Density | None = None
    tray: TinText | None = Field(default=None, description="Inside of a rectangular tray to bake the pieces on.")
    tray_shape: TinShape | None = Field(default=None, description="The tin as data, instead of `tray`.")
    spacing: QuantityText | None = Field(default=None, description="Distance between pieces on the tray.")
    tray_margin: QuantityText | None = Field(default=None, description="Distance to keep from the tray's walls.")
    diameter: QuantityText | None = Field(
        default=None, description="Diameter of a piece. If it is left out, that of a ball of its mass and density."
    )
    tin: TinText | None = Field(default=None, description="A tin of batter that the pieces are set into.")
    tin_shape: TinShape | None = Field(default=None, description="The tin as data, instead of `tin`.")
    baked_depth: QuantityText | None = Field(
        default=None,
        description="Height of the batter. For tins with sloping walls, the pieces are placed at this height.",
    )
    label: Label | None = None
    drawing: bool = Field(default=False, description="Whether to add an SVG drawing of the pieces in the tin.")


class PiecesQuery(Query):
    """The same as query parameters; the mix is given by its mass."""

    grams: MixMass
    grams_each: PieceMass | None = None
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
        description="Diameter of a piece. If it is left out, that of a ball of its mass and density.",
        examples=["4 cm"],
    )
    tin: TinText | None = Field(default=None, description="A tin of batter that the pieces are set into.")
    baked_depth: QuantityText | None = Field(
        default=None,
        description="Height of the batter. For tins with sloping walls, the pieces are placed at this height.",
        examples=["3 cm"],
    )
    label: Label | None = None
    drawing: bool = Field(default=False, description="Whether to add an SVG drawing of the pieces in the tin.")


class ScoopAnswer(Answer):
    """A numbered scoop filled level: its measure by the rule, and the range of printed measures."""

    number: int
    ml: float
    ml_low: float
    ml_high: float
    grams: float | None = None
    grams_low: float | None = None
    grams_high: float | None = None
    error_percent: float | None = Field(default=None, description="Difference from the requested mass, in percent.")
    cited: list[SourceRef]


class TrayPatternAnswer(Answer):
    """One way to arrange pieces on trays."""

    pattern: Literal["square", "staggered"]
    along: Literal["length", "width"] = Field(description="The side of the tray that the rows run along.")
    rows: list[int] = Field(
        description="Number of pieces in each row. In staggered rows, every other row starts half a pitch further in."
    )
    per_tray: int
    trays: int
    on_last_tray: int
    pitch_mm: float = Field(description="Distance from middle to middle in a row.")
    row_pitch_mm: float = Field(description="Distance from row to row.")


class TrayAnswer(Answer):
    """How many pieces fit on the tray, in two arrangements."""

    length_mm: float
    width_mm: float
    diameter_mm: float
    square: TrayPatternAnswer
    staggered: TrayPatternAnswer


class PieceRowAnswer(Answer):
    """A straight row: its distance from the first side, its first piece, and the distance to the next piece."""

    count: int
    at_mm: float
    first_mm: float
    pitch_mm: float


class PieceRingAnswer(Answer):
    """A ring around the middle: its first piece, clockwise from the top, and the angle to the next piece."""

    count: int
    radius_mm: float
    first_degrees: float
    step_degrees: float


class PiecePositionAnswer(Answer):
    """The middle of one piece, measured from the left and the top of the tin."""

    x_mm: float
    y_mm: float


class PiecePatternAnswer(Answer):
    """An even pattern: rows in a rectangle, rings in a round tin."""

    along: Literal["length", "width"] | None = None
    rows: list[PieceRowAnswer]
    rings: list[PieceRingAnswer]
    positions: list[PiecePositionAnswer]
    nearest_mm: float | None = Field(default=None, description="Least distance between the middles of two pieces.")
    wall_mm: float = Field(description="Least distance between the middle of a piece and a wall.")


class MixAnswer(Answer):
    """The mix that is divided. A mix in lines has a range and sources."""

    grams: float
    grams_low: float
    grams_high: float
    cited: list[SourceRef]


class PiecesAnswer(Answer):
    """The whole pieces of a mix; `grams_low` and `grams_high`, of one piece, differ where a scoop has a range."""

    label: str | None = None
    count: int
    count_low: int
    count_high: int
    grams_each: float
    grams_low: float
    grams_high: float
    leftover_grams: float
    mix: MixAnswer
    ball_diameter_mm: float | None = None
    scoop: ScoopAnswer | None = None
    nearest_scoops: list[ScoopAnswer]
    tray: TrayAnswer | None = None
    pattern: PiecePatternAnswer | None = None
    drawing: str | None = Field(default=None, description="SVG drawing to scale; its viewBox is in millimetres.")
    warnings: list[Warned]
    sources: list[SourceAnswer] = Field(description="Every source that is cited.")


class DoughPiecesAnswer(ComponentPiecesAnswer):
    """The pieces of one component for a target, and where they sit in one of its tins."""

    component: str
    per_tin: int | None = Field(default=None, description="In the fullest tin.")
    pattern: PiecePatternAnswer | None = None
    drawing: str | None = Field(default=None, description="SVG drawing to scale; its viewBox is in millimetres.")


class PiecesTargetAnswer(TargetHeadAnswer):
    """The dough pieces of one target, or its problem."""

    factor: float | None = None
    tins: int | None = None
    pieces: list[DoughPiecesAnswer] | None = None
    warnings: list[Warned] | None = None


class PiecesResult(Answer):
    """The pieces of a mix, or of a formula's doughs for each target."""

    label: str | None = None
    count: int | None = None
    count_low: int | None = None
    count_high: int | None = None
    grams_each: float | None = None
    grams_low: float | None = None
    grams_high: float | None = None
    leftover_grams: float | None = None
    mix: MixAnswer | None = None
    ball_diameter_mm: float | None = None
    scoop: ScoopAnswer | None = None
    nearest_scoops: list[ScoopAnswer] | None = None
    tray: TrayAnswer | None = None
    pattern: PiecePatternAnswer | None = None
    drawing: str | None = Field(default=None, description="SVG drawing to scale; its viewBox is in millimetres.")
    warnings: list[Warned] | None = None
    formula: Formula | None = Field(default=None, description="As sent.")
    written: WrittenAnswer | None = None
    targets: list[PiecesTargetAnswer] | None = Field(default=None, description="One for each target, in order.")
    sources: list[SourceAnswer] = Field(description="Every source that is cited.")
