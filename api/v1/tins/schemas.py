"""Tins in requests: one model a shape, or the short form as text."""

from typing import Annotated, Literal

from pydantic import Field, Tag

from api.wire.schemas import FIRST_THAT_FITS, OBJECT_TAG, TEXT_TAG, WHOLE, Quantity, Schema
from domain.tins.shapes import MAX_CAVITIES, MAX_SIDES

Length = Annotated[Quantity, Field(description="A length inside the tin, such as `20 cm`.")]
Depth = Annotated[Quantity | None, Field(description="Inner depth; may be left out where it is not needed.")]
CornerRadius = Annotated[Quantity | None, Field(description="Radius of the rounded upright corners.")]


class SquareTinIn(Schema):
    """A square tin, upright walls, inner sizes."""

    shape: Literal["square"]
    side: Length
    depth: Depth = None
    corner_radius: CornerRadius = None


class RectangleTinIn(Schema):
    """A rectangular tin, upright walls, inner sizes."""

    shape: Literal["rectangle"]
    length: Length
    width: Length
    depth: Depth = None
    corner_radius: CornerRadius = None


class RoundTinIn(Schema):
    """A round tin, upright walls, inner sizes."""

    shape: Literal["round"]
    diameter: Length
    depth: Depth = None


class RingTinIn(Schema):
    """A ring tin: outer diameter inside the wall, and the tube's diameter."""

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
    """A rectangular tin whose walls slope: inner sizes at the rim and at the base."""

    shape: Literal["tapered_rectangle"]
    top_length: Length
    top_width: Length
    base_length: Length
    base_width: Length
    depth: Length
    corner_radius: CornerRadius = None


class TaperedRoundTinIn(Schema):
    """A round tin whose wall slopes: inner diameters at the rim and at the base."""

    shape: Literal["tapered_round"]
    top_diameter: Length
    base_diameter: Length
    depth: Length


class CavitiesTinIn(Schema):
    """A tray of equal cavities; `volume` is what one holds."""

    shape: Literal["cavities"]
    count: Annotated[int, Field(ge=1, le=MAX_CAVITIES), WHOLE]
    volume: Quantity


class MeasuredTinIn(Schema):
    """Any tin, by the water it holds: a volume, or the water's mass; and the base's area if known."""

    shape: Literal["measured"]
    volume: Quantity
    base_area: Quantity | None = Field(default=None, description="An area, such as `314 cm2`.")


type TinObject = Annotated[
    SquareTinIn
    | RectangleTinIn
    | RoundTinIn
    | RingTinIn
    | PolygonTinIn
    | TaperedRectangleTinIn
    | TaperedRoundTinIn
    | CavitiesTinIn
    | MeasuredTinIn,
    # The type is said once more since a validator that goes by the discriminator passes text otherwise.
    Field(discriminator="shape", json_schema_extra={"type": "object"}),
]
TinText = Annotated[
    str,
    Field(
        min_length=1,
        max_length=80,
        examples=["square 20 cm", "rectangle 20 x 30 x 5 cm", "gn-1-1 x 65 mm"],
        description="Shape and inner sizes, depth last; or a nominal tin of `/v1/tins`.",
    ),
]
type TinIn = Annotated[
    Annotated[TinObject, Tag(OBJECT_TAG)] | Annotated[TinText, Tag(TEXT_TAG)],
    FIRST_THAT_FITS,
    Field(description="A tin as an object with `shape`, or in its short form."),
]
