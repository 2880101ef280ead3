"""Answers of `/v1/bake`, and the `bake` of each target of the main job."""

from pydantic import Field

from api.v1.job.schemas import BakeCautionAnswer, JobAnswer, TargetHeadAnswer
from api.wire.schemas import Answer, SourceRef, Warned


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
    tin_material: str
    piece_diameter_mm: float | None = None


class RuleOfThumbAnswer(Answer):
    """The trade's rule of thumb, without physics."""

    factor: float
    minutes: float
    text: str
    cited: list[SourceRef]


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
    cited: list[SourceRef]


class HoldAnswer(Answer):
    """A core temperature, and how long an agency requires it to be held."""

    agency: str
    applies_to: str
    celsius: float
    seconds: float = Field(description="0: no holding time.")
    cited: list[SourceRef]


class AssumptionAnswer(Answer):
    """A figure that is not known for this oven, and the range that the estimate covers."""

    parameter: str
    meaning: str
    unit: str
    low: float
    central: float
    high: float
    cited: list[SourceRef]


class CurvePointAnswer(Answer):
    """Core temperatures after some minutes."""

    minutes: float
    core_celsius: float = Field(description="Of the target, in the central case.")
    slowest_celsius: float
    fastest_celsius: float
    reference_celsius: float


class TargetBakeAnswer(Answer):
    """Oven and window for one target. A warning says why if there is no window."""

    oven: SettingAnswer
    minutes: float | None = Field(default=None, description="The central estimate, not rounded.")
    minutes_low: int | None = Field(
        default=None, description="The shortest time of all cases, rounded down to a whole minute."
    )
    minutes_high: int | None = Field(
        default=None, description="The longest time of all cases, rounded up to a whole minute."
    )
    check_from_minutes: int | None = Field(
        default=None, description="A tenth before the start of the window, because ovens differ."
    )
    core_celsius: float = Field(description="Of the core when done; with pieces, of the middle of a piece.")
    cautions: list[BakeCautionAnswer] = Field(description="Besides those in `written`.")
    warnings: list[Warned]


class BakeDetailsAnswer(TargetBakeAnswer):
    """A window of minutes, never one number. The temperature of the core decides."""

    minutes_without_pieces: float | None = Field(
        default=None, description="The central estimate for the batter without pieces."
    )
    reference_side: BakeSideAnswer | None = Field(default=None, description="The bake that works.")
    target_side: BakeSideAnswer | None = Field(default=None, description="The bake that is estimated.")
    rule_of_thumb: RuleOfThumbAnswer | None = None
    lethality: LethalityAnswer | None = None
    diffusivity_mm2_per_minute: float | None = Field(
        default=None,
        description="Thermal diffusivity of the batter, calibrated on the reference, in the central case.",
    )
    curve: list[CurvePointAnswer] | None = None
    drawing: str | None = Field(default=None, description="SVG.")


class BakeTargetAnswer(TargetHeadAnswer):
    """The bake of one target."""

    factor: float | None = None
    tins: int | None = None
    filled_depth_mm: float | None = None
    bake: BakeDetailsAnswer | None = Field(default=None, description="Left out if the formula names no oven.")
    warnings: list[Warned] | None = None


class BakeAnswer(JobAnswer):
    """The bake of each target, and what the model assumes for all of them."""

    targets: list[BakeTargetAnswer]
    holds: list[HoldAnswer] = Field(
        description="Holding times that agencies publish as equivalent. Local rules decide which applies."
    )
    model: list[str] = Field(description="What the model assumes in every case.")
    assumptions: list[AssumptionAnswer]
