"""Requests and answers of `/v1/bake`."""

from typing import Annotated, Literal

from pydantic import ConfigDict, Field, Tag, model_validator

from api.v1.oven.schemas import OvenRequest, SettingText
from api.v1.tins.schemas import TinIn
from api.wire.schemas import (
    FIRST_THAT_FITS,
    OBJECT_TAG,
    TEXT_TAG,
    WHOLE,
    Answer,
    Density,
    Quantity,
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
    Field(description="An oven's setting as text, or with its fan and offset; a word will not do here."),
]
SiblingFan = Annotated[
    bool | None, Field(description="Whether it is a fan oven; for a setting given as text.", examples=[True])
]
Temperature = Annotated[Quantity, Field(description="Degrees, such as `5 celsius`.")]
type MaterialName = Annotated[
    Literal["dull_metal", "bright_metal", "dark_metal", "glass", "ceramic", "silicone"],
    Field(description="What the tin is made of: only matters where reference and target differ."),
]
Minutes = Annotated[float, Field(gt=0, le=MAX_MINUTES, examples=[45])]


class PiecesInBatter(Schema):
    """Dough pieces set inside a batter, as balls of one size: give `diameter` or `grams_each`."""

    diameter: Quantity | None = None
    grams_each: float | None = Field(default=None, gt=0, le=5_000)
    g_per_ml: Density | None = Field(default=None, description="Of the dough; 1.2 if left out (our own assumption).")
    start_temperature: Temperature | None = Field(default=None, description="As the batter if left out.")
    count: Annotated[int, Field(ge=0, le=MAX_PIECES), WHOLE] | None = Field(
        default=None,
        description="In one tin: many cold pieces cool the batter. Left out, only one is counted; 0 is none.",
    )  # fmt: skip

    @model_validator(mode="after")
    def _one_size(self) -> "PiecesInBatter":
        if (self.diameter is None) == (self.grams_each is None):
            raise ValueError("give one of diameter and grams_each")
        return self


class ReferenceBakeIn(Schema):
    """A bake that works."""

    tin: TinIn
    filled_depth: Quantity = Field(description="Height of the raw batter in the tin.")
    oven: OvenIn
    fan: SiblingFan = None
    minutes: Minutes
    start_temperature: Temperature | None = Field(default=None, description="Of the batter; 20 °C if left out.")
    core_temperature: Temperature | None = Field(
        default=None, description="Of the middle when done, of a piece if there are pieces; 96 °C if left out."
    )
    tin_material: MaterialName | None = None
    pieces: PiecesInBatter | None = None


class TargetBakeIn(Schema):
    """The bake asked about; what is left out is as in the reference."""

    tin: TinIn
    filled_depth: Quantity | None = None
    oven: OvenIn | None = None
    fan: SiblingFan = None
    start_temperature: Temperature | None = None
    tin_material: MaterialName | None = None
    pieces: PiecesInBatter | None = None


class BakeRequest(Schema):
    """A bake that works and the one asked about."""

    reference: ReferenceBakeIn
    target: TargetBakeIn
    curve: bool = Field(default=False, description="Core temperatures against time as well.")
    drawing: bool = Field(default=False, description="The same as an SVG drawing, in a string.")


class FormulaBakeIn(Schema):
    """How a formula is baked where it works; fields of the caller's own are carried through unchanged.

    With `oven`, `minutes`, and the formula's `tin` and `filled_depth`, every target that is a tin gets its window.
    """

    model_config = ConfigDict(extra="allow")

    oven: OvenIn | None = None
    fan: SiblingFan = None
    minutes: Minutes | None = None
    start_temperature: Temperature | None = None
    core_temperature: Temperature | None = None
    tin_material: MaterialName | None = None
    piece_start_temperature: Temperature | None = Field(
        default=None, description="Of the pieces set inside the batter; as the batter if left out."
    )

    @model_validator(mode="after")
    def _few_of_their_own(self) -> "FormulaBakeIn":
        if len(self.model_extra or {}) > MAX_OWN_FIELDS:
            raise ValueError(f"at most {MAX_OWN_FIELDS} fields of your own")
        return self


class SettingAnswer(Answer):
    """An oven setting on every scale; ranges and sources are at `/v1/oven`."""

    celsius: float | None = Field(default=None, description="Without a fan.")
    fahrenheit: float | None = None
    fan_celsius: float | None = None
    fan_fahrenheit: float | None = None
    gas_mark: float | None = None
    gas_mark_nearest: float | None = Field(default=None, description="Rounded to a quarter, a half or half steps.")


class BakeSideAnswer(Answer):
    """A bake as it was understood."""

    celsius: float = Field(description="As a conventional oven is set.")
    filled_depth_mm: float
    start_celsius: float
    tin_material: MaterialName
    piece_diameter_mm: float | None = None


class RuleOfThumbAnswer(Answer):
    """What the trade says without physics."""

    factor: float
    minutes: float
    text: str
    sources: list[SourceRef]


class LethalityAnswer(Answer):
    """What the core has been through at the window's start, in the slowest case."""

    minutes: float = Field(description="At the reference temperature, doing as much as the heating so far.")
    at_minutes: float
    core_celsius: float
    reference_celsius: float
    z_celsius: float = Field(description="The rise in temperature that makes every minute ten.")
    text: str
    sources: list[SourceRef]


class HoldAnswer(Answer):
    """A core temperature and how long an agency asks it to be held."""

    agency: str
    applies_to: str
    celsius: float
    seconds: float = Field(description="0: at once.")
    sources: list[SourceRef]


class CautionAnswer(Answer):
    """One of the usual cautions."""

    id: str
    text: str
    sources: list[SourceRef]


class AssumptionAnswer(Answer):
    """A figure that nobody measured in this oven, and the range it was swept over."""

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
    core_celsius: float = Field(description="Of the target, central case.")
    slowest_celsius: float
    fastest_celsius: float
    reference_celsius: float


class BakeAnswer(Answer):
    """A window of minutes, never one number; the core's temperature decides."""

    minutes: float = Field(description="The central estimate, not rounded.")
    minutes_low: int = Field(description="The least of all cases, widened to a whole minute.")
    minutes_high: int = Field(description="The most of all cases, widened to a whole minute.")
    check_from_minutes: int = Field(description="A tenth before the window, for ovens differ.")
    minutes_without_pieces: float | None = Field(default=None, description="Central estimate of the batter alone.")
    core_celsius: float = Field(description="Of the middle when done; with pieces, of the middle of a piece.")
    reference: BakeSideAnswer
    target: BakeSideAnswer
    rule_of_thumb: RuleOfThumbAnswer
    lethality: LethalityAnswer
    holds: list[HoldAnswer] = Field(description="Equivalent holds by agency; which applies is for local rules to say.")
    cautions: list[CautionAnswer]
    model: list[str] = Field(description="What is taken for granted in every case.")
    assumptions: list[AssumptionAnswer]
    diffusivity_mm2_per_minute: float = Field(description="Of the batter, calibrated on the reference, central case.")
    curve: list[CurvePointAnswer] | None = None
    drawing: str | None = Field(default=None, description="SVG.")
    warnings: list[Warned]
    sources: list[SourceAnswer]


class TargetBakeAnswer(Answer):
    """Oven and window for one target of a formula; the window only where it can be known."""

    oven: SettingAnswer
    minutes: float | None = Field(default=None, description="The central estimate, not rounded.")
    minutes_low: int | None = None
    minutes_high: int | None = None
    check_from_minutes: int | None = None
    core_celsius: float
    cautions: list[CautionAnswer]
    warnings: list[Warned]
