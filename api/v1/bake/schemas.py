"""Answers of `/v1/bake`, and the `bake` of each target of the main job."""

from pydantic import Field

from api.v1.job.schemas import BakeCautionAnswer, JobAnswer, TargetHeadAnswer
from api.wire.schemas import Answer, SourceRef, Warned


class SettingAnswer(Answer):
    """An oven setting on every scale. `/v1/oven` gives ranges and sources."""

    celsius: float | None = Field(default=None, description="Without a fan.", examples=[170])
    fahrenheit: float | None = Field(default=None, description="Degrees Fahrenheit, without a fan.", examples=[338])
    fan_celsius: float | None = Field(default=None, description="With a fan.", examples=[150])
    fan_fahrenheit: float | None = Field(default=None, description="Degrees Fahrenheit, with a fan.", examples=[302])
    gas_mark: float | None = Field(default=None, description="The gas mark, not rounded.", examples=[3.52])
    gas_mark_nearest: float | None = Field(
        default=None, description="Rounded to 1/4, 1/2 or a multiple of 1/2.", examples=[3.5]
    )


class BakeSideAnswer(Answer):
    """A bake as the model uses it."""

    celsius: float = Field(description="Setting of a conventional oven.", examples=[170])
    filled_depth_mm: float = Field(description="Depth of the raw batter in the tin.", examples=[26])
    start_celsius: float = Field(description="Temperature of the raw batter.", examples=[20])
    tin_material: str = Field(description="Material of the tin.", examples=["dull_metal"])
    piece_diameter_mm: float | None = Field(
        default=None, description="Diameter of a piece of dough as a ball.", examples=[27.6]
    )


class RuleOfThumbAnswer(Answer):
    """The trade's rule of thumb, without physics."""

    factor: float = Field(description="Minutes of this bake over those of the one that works.", examples=[1.2])
    minutes: float = Field(description="Minutes in the oven.", examples=[48])
    text: str = Field(description="The rule in words.", examples=["Time goes with the square of the depth."])
    cited: list[SourceRef] = Field(description="Where the figure comes from.")


class LethalityAnswer(Answer):
    """The heat that the core has had at the start of the window, in the slowest case."""

    minutes: float = Field(
        description="Minutes at the reference temperature with the same effect as the heating so far.", examples=[2.4]
    )
    at_minutes: float = Field(description="When the heating is judged: the end of the window.", examples=[48])
    core_celsius: float = Field(description="Temperature of the core.", examples=[96])
    reference_celsius: float = Field(description="Reference temperature.", examples=[70])
    z_celsius: float = Field(description="The rise in temperature that makes a minute count ten times.", examples=[7])
    text: str = Field(
        description="In words, with the usual hold.",
        examples=["2.4 minutes at 70 °C in the slowest case; the usual hold is 2 minutes."],
    )
    cited: list[SourceRef] = Field(description="Where the figure comes from.")


class HoldAnswer(Answer):
    """A core temperature, and how long an agency requires it to be held."""

    agency: str = Field(description="The authority that publishes it.", examples=["UK Food Standards Agency"])
    applies_to: str = Field(description="The food that it applies to.", examples=["all food"])
    celsius: float = Field(description="Core temperature required.", examples=[70])
    seconds: float = Field(description="0: no holding time.", examples=[120])
    cited: list[SourceRef] = Field(description="Where the figure comes from.")


class AssumptionAnswer(Answer):
    """A figure that is not known for this oven, and the range that the estimate covers."""

    parameter: str = Field(description="Name of the quantity that is varied.", examples=["film_coefficient"])
    meaning: str = Field(description="What it is, in words.", examples=["heat transfer from the oven to the batter"])
    unit: str = Field(description="Unit of the figures.", examples=["g"])
    value_low: float = Field(description="Least value that is tried.", examples=[10])
    value: float = Field(description="Value of the central estimate.", examples=[20])
    value_high: float = Field(description="Largest value that is tried.", examples=[30])
    cited: list[SourceRef] = Field(description="Where the figure comes from.")


class CurvePointAnswer(Answer):
    """Core temperatures after some minutes."""

    minutes: float = Field(description="Minutes since the start of the bake.", examples=[20])
    core_celsius: float = Field(description="Of the target, in the central case.", examples=[68.4])
    slowest_celsius: float = Field(description="Temperature of the core in the slowest case.", examples=[61.2])
    fastest_celsius: float = Field(description="Temperature of the core in the fastest case.", examples=[74.9])
    reference_celsius: float = Field(description="Temperature of the core of the bake that works.", examples=[70.1])


class ContributionAnswer(Answer):
    """How much one assumption alone would widen the window."""

    parameter: str = Field(description="Name in `assumptions`.", examples=["conductivity"])
    percent: float = Field(description="Of the minutes, to each side.", examples=[9.4])


class PortionDonenessAnswer(Answer):
    """One whole portion at the end of the bake."""

    portion: int = Field(description="Its number on the plan.", examples=[1])
    coldest_celsius: float = Field(description="Its coldest point.", examples=[93.1])
    mean_celsius: float = Field(description="Its mean.", examples=[97.6])
    lethality_minutes: float = Field(description="As minutes at 70 °C.", examples=[640])
    crust_percent: float = Field(description="Top and wall of its surface.", examples=[33.3])
    side_percent: float = Field(description="Its share of the wall.", examples=[6.25])
    top_loss_grams: float | None = Field(default=None, description="Lost through its top.", examples=[4.1])
    side_loss_grams: float | None = Field(default=None, description="Lost through its wall.", examples=[1.2])
    base_loss_grams: float | None = Field(default=None, description="Lost through its base.", examples=[1.2])
    band: str | None = Field(default=None, description="The shop's word.", examples=["soft"])


class DonenessAnswer(Answer):
    """Doneness by place, in a bake that takes the median. Computed: a probe decides."""

    minutes: float = Field(description="When the temperatures are read.", examples=[48])
    portions: list[PortionDonenessAnswer] = Field(description="Every portion.")
    drawing: str | None = Field(default=None, description="SVG plan with isotherms.", examples=["<svg>…</svg>"])


class TargetBakeAnswer(Answer):
    """Oven and window for one target. A warning says why if there is no window."""

    oven: SettingAnswer
    minutes: float | None = Field(default=None, description="The median, not rounded.", examples=[48])
    minutes_low: int | None = Field(
        default=None, description="The window's start, rounded down to a whole minute.", examples=[44]
    )
    minutes_high: int | None = Field(
        default=None, description="The window's end, rounded up to a whole minute.", examples=[53]
    )
    level_percent: int | None = Field(
        default=None, description="How many of a hundred bakes should fall inside the window.", examples=[80]
    )
    check_from_minutes: int | None = Field(
        default=None, description="A tenth before the start of the window, because ovens differ.", examples=[40]
    )
    core_celsius: float = Field(
        description="Of the core when done; with pieces, of the middle of a piece.", examples=[96]
    )
    doneness: DonenessAnswer | None = Field(default=None, description="If the bake asks for it.")
    cautions: list[BakeCautionAnswer] = Field(description="Besides those in `written`.")
    warnings: list[Warned] = Field(description="What to know before using these figures.")


class BakeDetailsAnswer(TargetBakeAnswer):
    """A window of minutes, never one number. The temperature of the core decides."""

    basis: str | None = Field(
        default=None, description="On what the window rests.", examples=["Worked out from one bake that works."]
    )
    calibrated_on: int | None = Field(default=None, description="Bakes that calibrate it.", examples=[3])
    scatter_percent: float | None = Field(
        default=None, description="How far three or more bakes lie from the model.", examples=[6.1]
    )
    contributions: list[ContributionAnswer] | None = Field(
        default=None, description="What widens the window most, before a log of bakes narrows it."
    )
    minutes_without_pieces: float | None = Field(
        default=None, description="The central estimate for the batter without pieces.", examples=[44.5]
    )
    reference_side: BakeSideAnswer | None = Field(default=None, description="The bake that works.")
    target_side: BakeSideAnswer | None = Field(default=None, description="The bake that is estimated.")
    rule_of_thumb: RuleOfThumbAnswer | None = None
    lethality: LethalityAnswer | None = None
    diffusivity_mm2_per_minute: float | None = Field(
        default=None,
        description="Thermal diffusivity of the batter, calibrated on the reference, in the central case.",
        examples=[8.2],
    )
    curve: list[CurvePointAnswer] | None = Field(default=None, description="Temperatures of the core over time.")
    drawing: str | None = Field(default=None, description="SVG.", examples=["<svg>…</svg>"])


class BakeTargetAnswer(TargetHeadAnswer):
    """The bake of one target."""

    factor: float | None = Field(
        default=None, description="What every line of the formula is multiplied by.", examples=[1.1342]
    )
    tins: int | None = Field(default=None, description="Number of tins.", examples=[2])
    filled_depth_mm: float | None = Field(
        default=None, description="Depth of the raw batter in the tin.", examples=[26]
    )
    bake: BakeDetailsAnswer | None = Field(default=None, description="Left out if the formula names no oven.")
    warnings: list[Warned] | None = Field(default=None, description="What to know before using these figures.")


class BakeAnswer(JobAnswer):
    """The bake of each target, and what the model assumes for all of them."""

    targets: list[BakeTargetAnswer] = Field(description="In the order of the request.")
    holds: list[HoldAnswer] = Field(
        description="Holding times that agencies publish as equivalent. Local rules decide which applies."
    )
    model: list[str] = Field(
        description="What the model assumes in every case.", examples=[["Heat moves by conduction only."]]
    )
    assumptions: list[AssumptionAnswer] = Field(
        description="What is varied to find the window, with its range and source."
    )
