"""Request and answer models of `/v1/bake`, and the `bake` of `/v1/rescale`."""

from typing import Annotated, Literal

from pydantic import ConfigDict, Field, Tag, model_validator

from api.v1.oven.schemas import OvenRequest, SettingText
from api.v1.tins.schemas import TinShape, TinText
from api.wire.schemas import (
    FIRST_THAT_FITS,
    OBJECT_TAG,
    TEXT_TAG,
    WHOLE,
    Answer,
    Density,
    QuantityText,
    Schema,
    SourceAnswer,
    SourceRef,
    Warned,
)
from domain.baking.cases import MAX_PIECES
from domain.baking.window import MAX_MINUTES

MAX_OWN_FIELDS = 20  # our own limit, no source

type OvenIn = Annotated[
    Annotated[OvenRequest, Tag(OBJECT_TAG)] | Annotated[SettingText, Tag(TEXT_TAG)],
    FIRST_THAT_FITS,
    Field(description="An oven setting as text, or with its fan and offset. Oven words are not accepted here."),
]
SiblingFan = Annotated[
    bool | None,
    Field(description="Whether the setting is that of a fan oven. For a setting given as text.", examples=[True]),
]
Temperature = Annotated[QuantityText, Field(description="A temperature, such as `5 celsius`.")]
type MaterialName = Annotated[
    Literal["dull_metal", "bright_metal", "dark_metal", "glass", "ceramic", "silicone"],
    Field(description="What the tin is made of. It matters only if the reference and the target differ."),
]
Minutes = Annotated[float, Field(gt=0, le=MAX_MINUTES, examples=[45])]


class PiecesInBatter(Schema):
    """Dough pieces set inside a batter, as balls of one size. Give `diameter` or `grams_each`."""

    diameter: QuantityText | None = None
    grams_each: float | None = Field(default=None, gt=0, le=5_000)
    g_per_ml: Density | None = Field(
        default=None, description="Density of the dough. Default: 1.2, our own assumption."
    )
    start_temperature: Temperature | None = Field(
        default=None, description="Of the pieces. Default: that of the batter."
    )
    count: Annotated[int, Field(ge=0, le=MAX_PIECES), WHOLE] | None = Field(
        default=None,
        description="Pieces in one tin; many cold pieces cool the batter. Default: only one piece. 0: no pieces.",
    )

    @model_validator(mode="after")
    def _one_size(self) -> "PiecesInBatter":
        if (self.diameter is None) == (self.grams_each is None):
            raise ValueError("give one of diameter and grams_each")
        return self


class ReferenceBakeIn(Schema):
    """A bake that works: the reference for the estimate."""

    tin: TinText | None = None
    tin_shape: TinShape | None = Field(default=None, description="The tin as data, instead of `tin`.")
    filled_depth: QuantityText = Field(description="Height of the raw batter in the tin.")
    oven: OvenIn
    fan: SiblingFan = None
    minutes: Minutes
    start_temperature: Temperature | None = Field(
        default=None, description="Of the batter when it goes into the oven. Default: 20 °C."
    )
    core_temperature: Temperature | None = Field(
        default=None, description="Of the core when done; with pieces, of the middle of a piece. Default: 96 °C."
    )
    tin_material: MaterialName | None = None
    pieces: PiecesInBatter | None = None


class TargetBakeIn(Schema):
    """The bake to estimate. Fields that are left out are as in the reference."""

    tin: TinText | None = None
    tin_shape: TinShape | None = Field(default=None, description="The tin as data, instead of `tin`.")
    filled_depth: QuantityText | None = None
    oven: OvenIn | None = None
    fan: SiblingFan = None
    start_temperature: Temperature | None = None
    tin_material: MaterialName | None = None
    pieces: PiecesInBatter | None = None


class BakeRequest(Schema):
    """A bake that works and the bake to estimate."""

    reference: ReferenceBakeIn
    target: TargetBakeIn
    curve: bool = Field(default=False, description="Whether to add the core temperature against time.")
    drawing: bool = Field(default=False, description="Whether to add an SVG drawing of the curve, as a string.")


class FormulaBakeIn(Schema):
    """How a formula is baked in its own tin. Your own fields are returned unchanged.

    Every target that is a tin gets a window if `oven`, `minutes`, and the formula's `tin` and `filled_depth` are given.
    """

    model_config = ConfigDict(extra="allow")

    oven: OvenIn | None = None
    fan: SiblingFan = None
    minutes: Minutes | None = None
    start_temperature: Temperature | None = None
    core_temperature: Temperature | None = None
    tin_material: MaterialName | None = None
    piece_start_temperature: Temperature | None = Field(
        default=None, description="Of the pieces set inside the batter. Default: that of the batter."
    )

    @model_validator(mode="after")
    def _few_of_their_own(self) -> "FormulaBakeIn":
        if len(self.model_extra or {}) > MAX_OWN_FIELDS:
            raise ValueError(f"at most {MAX_OWN_FIELDS} fields of your own")
        return self


class SettingAnswer(Answer):
    """An oven setting on every scale. `/v1/oven` gives ranges and sources."""

    celsius: float | None = Field(default=None, description="Without a fan.")
    fahrenheit: float | None = None
    fan_celsius: float | None = None
    fan_fahrenheit: float | None = None
    gas_mark: float | None = None
    gas_mark_nearest: float | None = Field(default=None, description="Rounded to 1/4, 1/2 or a multiple of 1/2.")


class BakeSideAnswer(Answer):
    """A bake as the model uses it."""

    celsius: float = Field(description="Setting of a conventional oven.")
    filled_depth_mm: float
    start_celsius: float
    tin_material: MaterialName
    piece_diameter_mm: float | None = None


class RuleOfThumbAnswer(Answer):
    """The trade's rule of thumb, without physics."""

    factor: float
    minutes: float
    text: str
    sources: list[SourceRef]


class LethalityAnswer(Answer):
    """The heat that the core has had at the start of the window, in the slowest case."""

    minutes: float = Field(
        description="Minutes at the reference temperature with the same effect as the heating so far."
    )
    at_minutes: float
    core_celsius: float
    reference_celsius: float
    z_celsius: float = Field(description="The rise in temperature that makes a minute count ten times.")
    text: str
    sources: list[SourceRef]


class HoldAnswer(Answer):
    """A core temperature, and how long an agency requires it to be held."""

    agency: str
    applies_to: str
    celsius: float
    seconds: float = Field(description="0: no holding time.")
    sources: list[SourceRef]


class CautionAnswer(Answer):
    """One of the usual cautions."""

    id: str
    text: str
    sources: list[SourceRef]


class AssumptionAnswer(Answer):
    """A figure that is not known for this oven, and the range that the estimate covers."""

    parameter: str
    meaning: str
    unit: str
    low: float
    central: float
    high: float
    sources: list[SourceRef]


class CurvePointAnswer(Answer):
    """Core temperatures after some minutes."""

    minutes: float
    core_celsius: float = Field(description="Of the target, in the central case.")
    slowest_celsius: float
    fastest_celsius: float
    reference_celsius: float


class BakeAnswer(Answer):
    """A window of minutes, never one number. The temperature of the core decides."""

    minutes: float = Field(description="The central estimate, not rounded.")
    minutes_low: int = Field(description="The shortest time of all cases, rounded down to a whole minute.")
    minutes_high: int = Field(description="The longest time of all cases, rounded up to a whole minute.")
    check_from_minutes: int = Field(description="A tenth before the start of the window, because ovens differ.")
    minutes_without_pieces: float | None = Field(
        default=None, description="The central estimate for the batter without pieces."
    )
    core_celsius: float = Field(description="Of the core when done; with pieces, of the middle of a piece.")
    reference: BakeSideAnswer
    target: BakeSideAnswer
    rule_of_thumb: RuleOfThumbAnswer
    lethality: LethalityAnswer
    holds: list[HoldAnswer] = Field(
        description="Holding times that agencies publish as equivalent. Local rules decide which applies."
    )
    cautions: list[CautionAnswer]
    model: list[str] = Field(description="What the model assumes in every case.")
    assumptions: list[AssumptionAnswer]
    diffusivity_mm2_per_minute: float = Field(
        description="Thermal diffusivity of the batter, calibrated on the reference, in the central case."
    )
    curve: list[CurvePointAnswer] | None = None
    drawing: str | None = Field(default=None, description="SVG.")
    warnings: list[Warned]
    sources: list[SourceAnswer]


class TargetBakeAnswer(Answer):
    """Oven and window for one target of a formula. A warning says why if there is no window."""

    oven: SettingAnswer
    minutes: float | None = Field(default=None, description="The central estimate, not rounded.")
    minutes_low: int | None = None
    minutes_high: int | None = None
    check_from_minutes: int | None = None
    core_celsius: float
    cautions: list[CautionAnswer]
    warnings: list[Warned]
