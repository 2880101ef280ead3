"""Requests and answers of `/v1/pieces`."""

from typing import Annotated, Literal

from pydantic import Field

from api.v1.rescale.schemas import MAX_LINES, LineIn
from api.v1.tins.schemas import TinIn, TinText
from api.wire.schemas import (
    WHOLE,
    Answer,
    Density,
    EggClassName,
    Label,
    MeasuresName,
    Quantity,
    QuantityText,
    Query,
    Schema,
    SourceRef,
    Warned,
)
from domain.pieces.dividing import MAX_PORTIONS
from domain.pieces.scoops import MAX_SCOOP, MIN_SCOOP

MAX_MIX_GRAMS = 10_000_000  # our own limit, no source
MAX_PIECE_GRAMS = 100_000  # our own limit, no source

MixMass = Annotated[float, Field(gt=0, le=MAX_MIX_GRAMS, description="The whole mix.")]
PieceMass = Annotated[float, Field(gt=0, le=MAX_PIECE_GRAMS)]
Portions = Annotated[int, Field(ge=1, le=MAX_PORTIONS, description="So many equal pieces."), WHOLE]
ScoopNumber = Annotated[
    int,
    Field(ge=MIN_SCOOP, le=MAX_SCOOP, examples=[30], description="A numbered scoop, level; needs `g_per_ml`."),
    WHOLE,
]


class PiecesRequest(Schema):
    """A mix (`grams` or `lines`) and one of `grams_each`, `count`, `scoop`; a tray to sit on, a tin to be set into."""

    grams: MixMass | None = None
    lines: list[LineIn] | None = Field(
        default=None, min_length=1, max_length=MAX_LINES, description="The mix as in a formula, instead of `grams`."
    )
    measures: MeasuresName | None = None
    egg_class: EggClassName | None = None
    grams_each: PieceMass | None = None
    count: Portions | None = None
    scoop: ScoopNumber | None = None
    g_per_ml: Density | None = None
    tray: TinIn | None = Field(default=None, description="A rectangular tray, inside, to bake the pieces on.")
    spacing: Quantity | None = Field(default=None, description="Between pieces on the tray.")
    edge: Quantity | None = Field(default=None, description="Left free along the tray's walls.")
    diameter: Quantity | None = Field(
        default=None, description="Of a piece on the tray or in the tin; a ball of its mass and density if left out."
    )
    tin: TinIn | None = Field(default=None, description="A tin of batter that the pieces are set into.")
    baked_depth: Quantity | None = Field(default=None, description="Where walls slope: height of the face they lie in.")
    label: Label | None = None
    drawing: bool = Field(default=False, description="Add an SVG drawing of the pieces in the tin.")


class PiecesQuery(Query):
    """The same as query parameters, the mix by its mass."""

    grams: MixMass
    grams_each: PieceMass | None = None
    count: Portions | None = None
    scoop: ScoopNumber | None = None
    g_per_ml: Density | None = None
    tray: TinText | None = None
    spacing: QuantityText | None = None
    edge: QuantityText | None = None
    diameter: QuantityText | None = None
    tin: TinText | None = None
    baked_depth: QuantityText | None = None
    label: Label | None = None
    drawing: bool = False


class ScoopAnswer(Answer):
    """A numbered scoop, level: by the rule, and the range of printed measures."""

    number: int
    ml: float
    low_ml: float
    high_ml: float
    grams: float | None = None
    low: float | None = None
    high: float | None = None
    error_percent: float | None = Field(default=None, description="From the mass wanted.")
    sources: list[SourceRef]


class TrayPatternAnswer(Answer):
    """One way to sit pieces on trays."""

    pattern: Literal["square", "staggered"]
    along: Literal["length", "width"] = Field(description="Which side of the tray the rows run along.")
    rows: list[int] = Field(description="Pieces in each row; every other staggered one half a pitch further in.")
    per_tray: int
    trays: int
    on_last_tray: int
    pitch_mm: float = Field(description="From middle to middle in a row.")
    row_pitch_mm: float


class TrayAnswer(Answer):
    """How many pieces sit on the tray."""

    length_mm: float
    width_mm: float
    diameter_mm: float
    square: TrayPatternAnswer
    staggered: TrayPatternAnswer


class PieceRowAnswer(Answer):
    """A straight row: its distance from the first side, its first piece, and how far to the next."""

    count: int
    at_mm: float
    first_mm: float
    pitch_mm: float


class PieceRingAnswer(Answer):
    """A ring round the middle: its first piece, clockwise from the top, and how far to the next."""

    count: int
    radius_mm: float
    first_degrees: float
    step_degrees: float


class PiecePositionAnswer(Answer):
    """The middle of one piece, from the left and the top of the tin."""

    x_mm: float
    y_mm: float


class PiecePatternAnswer(Answer):
    """An even pattern: rows in a rectangle, rings in a round tin."""

    along: Literal["length", "width"] | None = None
    rows: list[PieceRowAnswer]
    rings: list[PieceRingAnswer]
    positions: list[PiecePositionAnswer]
    nearest_mm: float | None = Field(default=None, description="Least distance between two middles.")
    wall_mm: float = Field(description="Least distance of a middle from a wall.")


class MixAnswer(Answer):
    """The mix that is divided; a range and sources where it was weighed line by line."""

    grams: float
    low: float
    high: float
    sources: list[SourceRef]


class PiecesAnswer(Answer):
    """Whole pieces of a mix; low and high where a scoop's measure is not one figure."""

    label: str | None = None
    count: int
    count_low: int
    count_high: int
    grams_each: float
    low: float
    high: float
    leftover_grams: float
    mix: MixAnswer
    ball_diameter_mm: float | None = None
    scoop: ScoopAnswer | None = None
    nearest_scoops: list[ScoopAnswer]
    tray: TrayAnswer | None = None
    pattern: PiecePatternAnswer | None = None
    drawing: str | None = Field(default=None, description="SVG: to scale, viewBox in millimetres.")
    warnings: list[Warned]
