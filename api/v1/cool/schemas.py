"""Requests and answers of `/v1/cool`."""

from typing import Annotated

from pydantic import Field

from api.v1.bake.schemas import AssumptionAnswer
from api.v1.job.schemas import BakeCautionAnswer
from api.v1.job.wishes import Degrees, Grams
from api.v1.tins.schemas import TinShape, TinText
from api.wire.schemas import Answer, LengthText, Schema, SourceRef, TopicAnswer, Warned

Place = Annotated[
    str,
    Field(
        min_length=1,
        max_length=40,
        description="`bench` (a solid surface), `rack`, `fridge`, `blast_chiller`, `freezer` or `blast_freezer`.",
        examples=["rack"],
    ),
]
Percent = Annotated[float, Field(ge=0, le=100, description="Percent of the mass.", examples=[25])]


class Composition(Schema):
    """What the bake or dough consists of, after baking; what is left out has its usual range for a cake."""

    water_percent: Percent | None = Field(default=None, examples=[28])
    fat_percent: Percent | None = Field(default=None, examples=[15])
    protein_percent: Percent | None = Field(default=None, examples=[5])
    sugar_percent: Percent | None = Field(default=None, description="All sugars.", examples=[30])
    salt_percent: Percent | None = Field(default=None, examples=[0.6])


class CoolRequest(Schema):
    """A bake or dough that cools, chills, freezes or thaws. Give at least one temperature to wait for."""

    tin: TinText | None = None
    tin_shape: TinShape | None = Field(default=None, description="The tin as data, instead of `tin`.")
    depth: LengthText | None = Field(default=None, description="Height of the bake or dough in it.")
    ball_diameter: LengthText | None = Field(
        default=None, description="Of a ball of dough, instead of `tin` and `depth`.", examples=["28 mm"]
    )
    grams: Grams | None = Field(default=None, description="Mass of the bake; narrows the window.", examples=[1400])
    start_temperature: Degrees = Field(description="Of the core at the start.", examples=["96 celsius"])
    place: Place
    surroundings: Degrees | None = Field(
        default=None, description="Of the air, if it is known.", examples=["18 celsius"]
    )
    in_tin: bool = Field(default=True, description="Whether it stays in its tin.")
    covered: bool = Field(default=False, description="Whether it is wrapped or covered.")
    composition: Composition | None = None
    core_temperature: Degrees | None = Field(default=None, description="Wait for this core.", examples=["5 celsius"])
    unmould_temperature: Degrees | None = Field(
        default=None, description="The shop's core for unmoulding.", examples=["50 celsius"]
    )
    cut_temperature: Degrees | None = Field(
        default=None, description="The shop's core for cutting.", examples=["28 celsius"]
    )
    curve: bool = Field(default=False, description="Add the core's temperature over time.")


class MilestoneAnswer(Answer):
    """When the core reaches a temperature: a window, never one number."""

    step: str = Field(
        description="What the temperature is for.",
        examples=["cut"],
        json_schema_extra={"x-extensible-enum": ["unmould", "cut", "core"]},
    )
    celsius: float = Field(description="Of the core.", examples=[28])
    minutes: float = Field(description="The median, not rounded.", examples=[118])
    minutes_low: int = Field(description="The window's start, a whole minute.", examples=[84])
    minutes_high: int = Field(description="The window's end, a whole minute.", examples=[165])
    text: str = Field(description="In words.", examples=["Cut after 84 to 165 minutes, when the core is at 28 °C."])


class CoolingRuleAnswer(Answer):
    """A published limit, and whether this cooling keeps it. Local rules decide."""

    id: str = Field(description="Name of the limit.", examples=["us_first_stage"])
    agency: str = Field(description="The authority.", examples=["US Food Code"])
    text: str = Field(description="The limit in words.", examples=["from 57 °C to 21 °C within 2 hours"])
    from_celsius: float = Field(description="Minutes count from here, or from a cooler start.", examples=[57])
    to_celsius: float = Field(description="To here.", examples=[21])
    limit_minutes: float = Field(description="The limit.", examples=[120])
    outcome: str = Field(
        description="`unsure`: the window lies on both sides of the limit.",
        examples=["within"],
        json_schema_extra={"x-extensible-enum": ["within", "unsure", "not_within", "not_reached"]},
    )
    minutes_low: int | None = Field(default=None, description="The window's start.", examples=[40])
    minutes_high: int | None = Field(default=None, description="The window's end.", examples=[75])
    cited: list[SourceRef] = Field(description="Where it was published.")


class CoolingPointAnswer(Answer):
    """The core after some minutes, in the central case."""

    minutes: float = Field(description="Minutes since the start.", examples=[30])
    core_celsius: float = Field(description="Of the warmest place, or of the coldest while thawing.", examples=[61.5])


class CoolAnswer(TopicAnswer):
    """Windows of minutes for each temperature; a probe decides."""

    milestones: list[MilestoneAnswer] = Field(description="In the order: unmould, cut, core.")
    level_percent: int = Field(description="Batches of a hundred that should fall inside.", examples=[80])
    surroundings_celsius: float = Field(description="The air that is assumed.", examples=[21])
    freezing_celsius: float | None = Field(
        default=None, description="Where ice begins; left out if nothing freezes or thaws.", examples=[-5.8]
    )
    rules: list[CoolingRuleAnswer] = Field(description="Published limits; empty while thawing.")
    curve: list[CoolingPointAnswer] | None = Field(default=None, description="The core over time.")
    cautions: list[BakeCautionAnswer] = Field(description="Read these first.")
    model: list[str] = Field(description="What the model assumes.", examples=[["The bake starts at one temperature."]])
    assumptions: list[AssumptionAnswer] = Field(description="What is varied, with its range and source.")
    warnings: list[Warned] = Field(description="What to know before using these figures.")
