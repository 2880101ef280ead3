"""The bake in requests: how it is done, what calibrates it, and what to say of its doneness."""

from typing import Annotated, Literal

from pydantic import Field

from api.v1.job.wishes import Degrees
from api.v1.tins.schemas import TinShape, TinText
from api.wire.schemas import WHOLE, Label, LengthText, Schema

MAX_MINUTES = 1_440  # our own limit

Minutes = Annotated[float, Field(gt=0, le=MAX_MINUTES, description="Minutes.", examples=[48])]
OvenText = Annotated[
    str,
    Field(min_length=1, max_length=80, description="An oven setting.", examples=["150 celsius", "gas mark 4"]),
]
TinMaterial = Annotated[
    Literal["dull_metal", "bright_metal", "dark_metal", "glass", "ceramic", "silicone"],
    Field(description="What the tin is made of."),
]


class OvenLoad(Schema):
    """What is in one oven at the same time. A deck with its own heat counts as its own oven."""

    tins: Annotated[int, Field(ge=1, le=200, description="Tins of this kind.", examples=[4]), WHOLE] = 1
    shelves: Annotated[int, Field(ge=1, le=20, description="Shelves they stand on.", examples=[2]), WHOLE] = 1
    openings: Annotated[int, Field(ge=0, le=20, description="How often the door is opened.", examples=[1]), WHOLE] = 0


class BakeReference(Schema):
    """A further bake of the formula that works, such as a line of the shop's log."""

    tin: TinText | None = None
    tin_shape: TinShape | None = Field(default=None, description="The tin as data, instead of `tin`.")
    filled_depth: LengthText = Field(description="Height of the raw mix in the tin.")
    minutes: Minutes = Field(description="How long it took.")
    oven: OvenText | None = Field(default=None, description="As the formula's if left out, with its `fan`.")
    fan: bool | None = Field(default=None, description="Whether `oven` is the setting of a fan oven.")
    start_temperature: Degrees | None = Field(default=None, description="As the formula's if left out.")
    tin_material: TinMaterial | None = Field(default=None, examples=["glass"])
    load: OvenLoad | None = None


class DonenessBand(Schema):
    """A word of the shop's for portions by their coldest point."""

    name: Label
    up_to: float | None = Field(
        default=None, gt=0, le=100, description="Highest temperature, °C; left out for the last band.", examples=[93]
    )


class DonenessWish(Schema):
    """Ask for the doneness of every portion; the target needs cuts."""

    bands: list[DonenessBand] = Field(
        default=[],
        max_length=12,
        description="From the coldest up.",
        examples=[[{"name": "soft", "up_to": 93}, {"name": "set"}]],
    )
    drawing: bool = Field(default=False, description="Add an SVG plan with isotherms.")


class Bake(Schema):
    """How the bake is done. With a formula it is the bake that works; with a target it is what changes."""

    oven: OvenText | None = None
    fan: bool | None = Field(default=None, description="Whether `oven` is the setting of a fan oven.")
    minutes: Minutes | None = Field(default=None, description="How long the bake takes that works.")
    start_temperature: Degrees | None = Field(default=None, description="Of the batter; 20 °C if left out.")
    core_temperature: Degrees | None = Field(
        default=None, description="Of the middle when done; if left out 96 °C, custard 75 °C."
    )
    tin_material: TinMaterial | None = None
    load: OvenLoad | None = None
    rise_factor: float | None = Field(
        default=None, ge=1, le=4, description="Height while it bakes over `filled_depth`.", examples=[1.5]
    )
    conductivity: float | None = Field(
        default=None, ge=0.05, le=5, description="Of the batter while it bakes, W/(m K).", examples=[0.5]
    )
    references: list[BakeReference] = Field(
        default=[],
        max_length=29,
        description="Further bakes of the formula that work; they narrow the window.",
        examples=[[{"tin": "round 20 cm", "filled_depth": "35 mm", "minutes": 46}]],
    )
    doneness: DonenessWish | None = None
    note: str | None = Field(
        default=None,
        max_length=500,
        description="The caller's own words, returned unchanged.",
        examples=["in the deck oven, door vent open"],
    )
    curve: bool = Field(default=False, description="Add core temperatures over time.")
    drawing: bool = Field(default=False, description="Add the curve as an SVG drawing.")
