"""Tins in requests, and the requests and answers of `/v1/tins`."""

from typing import Annotated, Literal

from pydantic import Field

from api.wire.schemas import WHOLE, Answer, LengthText, QuantityText, Query, Schema, SourceRef, Warned
from domain.tins.shapes import MAX_CAVITIES, MAX_SIDES

MAX_TINS = 1_000  # our own limit, no source
TinCount = Annotated[int, Field(ge=1, le=MAX_TINS, description="Number of tins of this kind."), WHOLE]

Length = Annotated[LengthText, Field(description="Inside length.")]
Depth = Annotated[LengthText | None, Field(description="Inside depth; optional where it is not needed.")]
CornerRadius = Annotated[LengthText | None, Field(description="Radius of the rounded upright corners.")]


class SquareTinIn(Schema):
    """A square tin with upright walls, inside sizes."""

    shape: Literal["square"]
    side: Length
    depth: Depth = None
    corner_radius: CornerRadius = None


class RectangleTinIn(Schema):
    """A rectangular tin with upright walls, inside sizes."""

    shape: Literal["rectangle"]
    length: Length
    width: Length
    depth: Depth = None
    corner_radius: CornerRadius = None


class RoundTinIn(Schema):
    """A round tin with upright walls, inside sizes."""

    shape: Literal["round"]
    diameter: Length
    depth: Depth = None


class RingTinIn(Schema):
    """A ring tin: the diameter inside the outer wall, and the diameter of the tube."""

    shape: Literal["ring"]
    diameter: Length
    hole: Length
    depth: Depth = None


class PolygonTinIn(Schema):
    """A regular polygon; `across_flats` is the diameter of the circle that fits inside."""

    shape: Literal["polygon"]
    sides: Annotated[int, Field(ge=3, le=MAX_SIDES), WHOLE]
    across_flats: Length
    depth: Depth = None
    corner_radius: CornerRadius = None


class TaperedRectangleTinIn(Schema):
    """A rectangular tin with sloping walls: inside sizes at the rim and at the base."""

    shape: Literal["tapered_rectangle"]
    top_length: Length
    top_width: Length
    base_length: Length
    base_width: Length
    depth: Length
    corner_radius: CornerRadius = None


class TaperedRoundTinIn(Schema):
    """A round tin with a sloping wall: inside diameters at the rim and at the base."""

    shape: Literal["tapered_round"]
    top_diameter: Length
    base_diameter: Length
    depth: Length


class CavitiesTinIn(Schema):
    """A tray of equal cavities; `volume` is the capacity of one cavity."""

    shape: Literal["cavities"]
    count: Annotated[int, Field(ge=1, le=MAX_CAVITIES), WHOLE]
    volume: QuantityText = Field(description="Capacity of one cavity.", examples=["80 ml"])


class MeasuredTinIn(Schema):
    """Any tin, by the water that fills it (a volume, or a mass of water), and the area of its base if known."""

    shape: Literal["measured"]
    volume: QuantityText = Field(
        description="What fills the tin: a volume, or a mass of water.", examples=["1.4 l", "1400 g"]
    )
    base_area: QuantityText | None = Field(default=None, description="Area of the base.", examples=["314 cm2"])


type TinShape = Annotated[
    SquareTinIn
    | RectangleTinIn
    | RoundTinIn
    | RingTinIn
    | PolygonTinIn
    | TaperedRectangleTinIn
    | TaperedRoundTinIn
    | CavitiesTinIn
    | MeasuredTinIn,
    # Repeat `type: object`: validators that only look at the discriminator would accept text here.
    Field(
        discriminator="shape",
        description="A tin as data: its `shape` and inside sizes, each a length as text.",
        json_schema_extra={"type": "object"},
    ),
]
TinText = Annotated[
    str,
    Field(
        min_length=1,
        max_length=80,
        examples=["square 20 cm", "rectangle 20 x 30 x 5 cm", "gn-1-1 x 65 mm"],
        description="Shape and inside sizes, depth last; or a nominal tin of `/v1/tins`.",
    ),
]


class MeasureQuery(Query):
    """One tin, as text."""

    tin: TinText
    filled_depth: LengthText | None = Field(default=None, description="Height of the batter in the tin.")


class MeasureRequest(Schema):
    """One tin, as `tin` or `tin_shape`, and optionally the height of the batter in it."""

    tin: TinText | None = None
    tin_shape: TinShape | None = None
    filled_depth: LengthText | None = Field(default=None, description="Height of the batter in the tin.")


class MeasureAnswer(Answer):
    """Inner sizes. Values that the tin's description does not determine are left out."""

    area_cm2: float | None = Field(default=None, description="Area of the base.")
    top_area_cm2: float | None = Field(default=None, description="Area at the rim.")
    depth_mm: float | None = None
    volume_ml: float | None = Field(default=None, description="Capacity to the rim.")
    filled_depth_mm: float | None = None
    filled_ml: float | None = None
    fill_percent: float | None = None
    warnings: list[Warned]


FilledDepth = Annotated[
    LengthText, Field(description="Height of the batter in `have`; needed if the walls of a tin slope.")
]
KeepOrDepth = Annotated[
    str,
    Field(
        min_length=1,
        max_length=80,
        examples=["keep", "5 cm"],
        description="`keep` for the same depth, or the height of the batter in `want`, such as `5 cm`.",
    ),
]


class FactorQuery(Query):
    """Two tins, as text."""

    have: TinText
    want: TinText
    have_tins: TinCount = 1
    want_tins: TinCount = 1
    filled_depth: FilledDepth | None = None
    depth: KeepOrDepth = "keep"


class FactorRequest(Schema):
    """Two tins. The depth of the batter in the first is kept in the second, unless `depth` gives another."""

    have: TinText | None = None
    have_shape: TinShape | None = None
    want: TinText | None = None
    want_shape: TinShape | None = None
    have_tins: TinCount = 1
    want_tins: TinCount = 1
    filled_depth: FilledDepth | None = None
    depth: KeepOrDepth = "keep"


class FactorAnswer(Answer):
    """Multiply every line by `factor`."""

    factor: float
    kept: Literal["depth", "given_depth", "capacity_share"] = Field(
        description="What the factor keeps: the same depth, the depth in the request, or the same share of the capacity"
        " if a tin has only a volume."
    )
    filled_depth_mm: float | None = None
    fill_percent: float | None = None
    warnings: list[Warned]


class NominalTin(Answer):
    """A standard tin by its trade name, with outer sizes; the inside is smaller."""

    name: str
    other_names: list[str]
    length_mm: float
    width_mm: float
    depths_mm: list[float] = Field(description="Standard depths, if there are any.")
    sources: list[SourceRef]


class ShapeForm(Answer):
    """A shape and an example of its text form."""

    shape: str
    example: str


class TinsAnswer(Answer):
    """The text forms of tins, and the nominal tins."""

    shapes: list[ShapeForm]
    nominal: list[NominalTin]
