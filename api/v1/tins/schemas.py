"""Tins in requests, and the requests and answers of `/v1/tins`."""

from typing import Annotated, Literal

from pydantic import Field

from api.wire.schemas import WHOLE, Answer, LengthText, QuantityText, Query, Schema, SourceRef, TopicAnswer, Warned
from domain.tins.shapes import MAX_CAVITIES, MAX_SIDES

MAX_TINS = 1_000  # our own limit, no source
TinCount = Annotated[int, Field(ge=1, le=MAX_TINS, description="Number of tins of this kind.", examples=[2]), WHOLE]

Depth = Annotated[
    LengthText | None, Field(description="Inside depth; optional where it is not needed.", examples=["5 cm"])
]
CornerRadius = Annotated[
    LengthText | None, Field(description="Radius of the rounded upright corners.", examples=["15 mm"])
]


class SquareTinIn(Schema):
    """A square tin with upright walls, inside sizes."""

    shape: Literal["square"] = Field(description="The kind of tin.", examples=["square"])
    side: LengthText = Field(description="Inside length of a side.", examples=["20 cm"])
    depth: Depth = None
    corner_radius: CornerRadius = None


class RectangleTinIn(Schema):
    """A rectangular tin with upright walls, inside sizes."""

    shape: Literal["rectangle"] = Field(description="The kind of tin.", examples=["rectangle"])
    length: LengthText = Field(description="Inside length.", examples=["30 cm"])
    width: LengthText = Field(description="Inside width.", examples=["20 cm"])
    depth: Depth = None
    corner_radius: CornerRadius = None


class RoundTinIn(Schema):
    """A round tin with upright walls, inside sizes."""

    shape: Literal["round"] = Field(description="The kind of tin.", examples=["round"])
    diameter: LengthText = Field(description="Inside diameter.", examples=["23 cm"])
    depth: Depth = None


class RingTinIn(Schema):
    """A ring tin: the diameter inside the outer wall, and the diameter of the tube."""

    shape: Literal["ring"] = Field(description="The kind of tin.", examples=["ring"])
    diameter: LengthText = Field(description="Inside diameter.", examples=["23 cm"])
    hole: LengthText = Field(description="Diameter of the tube.", examples=["8 cm"])
    depth: Depth = None


class PolygonTinIn(Schema):
    """A regular polygon; `across_flats` is the diameter of the circle that fits inside."""

    shape: Literal["polygon"] = Field(description="The kind of tin.", examples=["polygon"])
    sides: Annotated[int, Field(ge=3, le=MAX_SIDES, description="Number of sides.", examples=[6]), WHOLE]
    across_flats: LengthText = Field(description="Inside distance between opposite sides.", examples=["20 cm"])
    depth: Depth = None
    corner_radius: CornerRadius = None


class TaperedRectangleTinIn(Schema):
    """A rectangular tin with sloping walls: inside sizes at the rim and at the base."""

    shape: Literal["tapered_rectangle"] = Field(description="The kind of tin.", examples=["tapered_rectangle"])
    top_length: LengthText = Field(description="Inside length at the rim.", examples=["30 cm"])
    top_width: LengthText = Field(description="Inside width at the rim.", examples=["20 cm"])
    base_length: LengthText = Field(description="Inside length at the base.", examples=["28 cm"])
    base_width: LengthText = Field(description="Inside width at the base.", examples=["18 cm"])
    depth: LengthText = Field(description="Inside depth.", examples=["5 cm"])
    corner_radius: CornerRadius = None


class TaperedRoundTinIn(Schema):
    """A round tin with a sloping wall: inside diameters at the rim and at the base."""

    shape: Literal["tapered_round"] = Field(description="The kind of tin.", examples=["tapered_round"])
    top_diameter: LengthText = Field(description="Inside diameter at the rim.", examples=["24 cm"])
    base_diameter: LengthText = Field(description="Inside diameter at the base.", examples=["20 cm"])
    depth: LengthText = Field(description="Inside depth.", examples=["5 cm"])


class CavitiesTinIn(Schema):
    """A tray of equal cavities: the `volume` of one, or its depth and diameters."""

    shape: Literal["cavities"] = Field(description="The kind of tin.", examples=["cavities"])
    count: Annotated[int, Field(ge=1, le=MAX_CAVITIES, description="Number of cavities.", examples=[12]), WHOLE]
    volume: QuantityText | None = Field(default=None, description="Capacity of one cavity.", examples=["80 ml"])
    depth: Depth = None
    top_diameter: LengthText | None = Field(
        default=None, description="Of one cavity at the rim, instead of `volume`.", examples=["70 mm"]
    )
    base_diameter: LengthText | None = Field(default=None, description="At its base.", examples=["50 mm"])


class MeasuredTinIn(Schema):
    """Any tin, by the water that fills it (a volume, or a mass of water), and the area of its base if known."""

    shape: Literal["measured"] = Field(description="The kind of tin.", examples=["measured"])
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
        examples=[{"shape": "round", "diameter": "23 cm", "depth": "7 cm"}],
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


FilledDepth = Annotated[LengthText, Field(description="Height of the batter in the tin.", examples=["4 cm"])]
HaveDepth = Annotated[
    LengthText,
    Field(description="Height of the batter in `have`; needed if the walls of a tin slope.", examples=["4 cm"]),
]
KeepOrDepth = Annotated[
    str,
    Field(
        min_length=1,
        max_length=80,
        examples=["keep", "5 cm"],
        description="`keep` for the same depth, or the height of the batter in `want`.",
    ),
]
Weighed = Annotated[float, Field(gt=0, le=10_000_000, examples=[1478])]
Square = Annotated[float, Field(examples=[415.5])]
Millimetres = Annotated[float, Field(examples=[70.0])]
Millilitres = Annotated[float, Field(examples=[2908.3])]
Percent = Annotated[float, Field(examples=[57.1])]


class MeasureQuery(Query):
    """One tin, as text."""

    tin: TinText
    filled_depth: FilledDepth | None = None
    grams: Weighed | None = Field(default=None, description="Mix that fills it to the depth, or to the rim.")
    raw_grams: Weighed | None = Field(default=None, description="A mix before the oven; goes with `baked_grams`.")
    baked_grams: Weighed | None = Field(default=None, description="The same baked and cooled.")
    trimmed_grams: Weighed | None = Field(default=None, description="The same without its trim.")


class MeasureRequest(Schema):
    """One tin, as `tin` or `tin_shape`, and optionally the height of the batter in it."""

    tin: TinText | None = None
    tin_shape: TinShape | None = Field(default=None, description="The tin as data, instead of `tin`.")
    filled_depth: FilledDepth | None = None
    grams: Weighed | None = Field(default=None, description="Mix that fills it to the depth, or to the rim.")
    raw_grams: Weighed | None = Field(default=None, description="A mix before the oven; goes with `baked_grams`.")
    baked_grams: Weighed | None = Field(default=None, description="The same baked and cooled.")
    trimmed_grams: Weighed | None = Field(default=None, description="The same without its trim.")


class MeasureAnswer(TopicAnswer):
    """Inner sizes. Values that the tin's description does not determine are left out."""

    tin: TinText | None = Field(default=None, description="As in the request.")
    tin_shape: TinShape | None = Field(default=None, description="As in the request.")
    area_cm2: Square | None = Field(default=None, description="Area of the base.")
    top_area_cm2: Square | None = Field(default=None, description="Area at the rim.")
    depth_mm: Millimetres | None = Field(default=None, description="Inside depth.")
    volume_ml: Millilitres | None = Field(default=None, description="Capacity to the rim.")
    filled_depth_mm: Millimetres | None = Field(default=None, description="Height of the batter.")
    filled_ml: Millilitres | None = Field(default=None, description="Volume of the batter.")
    fill_percent: Percent | None = Field(default=None, description="The batter in percent of the capacity.")
    g_per_ml: float | None = Field(default=None, description="Density of the weighed mix.", examples=[0.92])
    bake_loss_percent: Percent | None = Field(default=None, description="Lost from the raw mix to the cooled bake.")
    trim_percent: Percent | None = Field(default=None, description="Lost from the cooled bake by trimming.")
    warnings: list[Warned] = Field(description="What to know before using the sizes.")


class FactorQuery(Query):
    """Two tins, as text."""

    have: TinText = Field(description="The tin that the formula is for.")
    want: TinText = Field(description="The tin to fill.")
    have_tins: TinCount = 1
    want_tins: TinCount = 1
    filled_depth: HaveDepth | None = None
    depth: KeepOrDepth = "keep"


class FactorRequest(Schema):
    """Two tins. The depth of the batter in the first is kept in the second, unless `depth` gives another."""

    have: TinText | None = Field(default=None, description="The tin that the formula is for.")
    have_shape: TinShape | None = Field(default=None, description="The tin as data, instead of `have`.")
    want: TinText | None = Field(default=None, description="The tin to fill.")
    want_shape: TinShape | None = Field(default=None, description="The tin as data, instead of `want`.")
    have_tins: TinCount = 1
    want_tins: TinCount = 1
    filled_depth: HaveDepth | None = None
    depth: KeepOrDepth = "keep"


class FactorAnswer(TopicAnswer):
    """Multiply every line by `factor`."""

    have: TinText | None = Field(default=None, description="As in the request.")
    have_shape: TinShape | None = Field(default=None, description="As in the request.")
    want: TinText | None = Field(default=None, description="As in the request.")
    want_shape: TinShape | None = Field(default=None, description="As in the request.")
    factor: float = Field(description="How much more mix `want` takes than `have`.", examples=[1.5])
    kept: Literal["depth", "given_depth", "capacity_share"] = Field(
        description="What the factor keeps: the same depth, the depth in the request, or the same share of the capacity"
        " if a tin has only a volume.",
        examples=["depth"],
    )
    filled_depth_mm: Millimetres | None = Field(default=None, description="Height of the batter in `want`.")
    fill_percent: Percent | None = Field(default=None, description="The batter in percent of the capacity of `want`.")
    warnings: list[Warned] = Field(description="What to know before using the factor.")


class NominalTin(Answer):
    """A standard tin by its trade name."""

    name: str = Field(description="The name to use as a tin.", examples=["gn-1-1"])
    other_names: list[str] = Field(description="Other names of it.", examples=[["full sheet pan"]])
    size: Literal["outer", "inside"] = Field(
        description="What the sizes measure: the outside, or the opening.", examples=["outer"]
    )
    length_mm: float = Field(description="Length.", examples=[530])
    width_mm: float = Field(description="Width.", examples=[325])
    depths_mm: list[float] = Field(description="Standard depths, if there are any.", examples=[[20, 40, 65]])
    cited: list[SourceRef] = Field(description="Where the sizes were published.")


class ShapeForm(Answer):
    """A shape and an example of its text form."""

    shape: str = Field(description="The shape.", examples=["round"])
    example: str = Field(description="A tin of this shape as text.", examples=["round 23 x 7 cm"])


class TinsAnswer(TopicAnswer):
    """The text forms of tins, and the nominal tins."""

    shapes: list[ShapeForm] = Field(description="The shapes that text can describe.")
    nominal: list[NominalTin] = Field(description="Tins with a trade name.")
