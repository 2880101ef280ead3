"""Requests and answers of `/v1/oven`."""

from typing import Annotated

from pydantic import Field

from api.wire.schemas import Answer, Query, Schema, SourceRef, Warned
from domain.baking.oven import MAX_FAN_OFFSET_C

SettingText = Annotated[
    str,
    Field(
        min_length=1,
        max_length=40,
        examples=["170 celsius", "350 F", "gas mark 4", "moderate"],
        description="Degrees, a gas mark (also halves and quarters), or an oven word, which stands for a range.",
    ),
]
Fan = Annotated[bool, Field(description="Whether the setting is for a fan oven.")]
FanOffset = Annotated[
    float | None,
    Field(
        ge=0,
        le=MAX_FAN_OFFSET_C,
        examples=[20],
        description="How many °C lower a fan oven is set. The default is 20 (common practice); sources give 20 to 28.",
    ),
]


class OvenQuery(Query):
    """An oven setting, as query parameters."""

    setting: SettingText
    fan: Fan = False
    fan_offset_celsius: FanOffset = None


class OvenRequest(Schema):
    """An oven setting."""

    setting: SettingText
    fan: Fan = False
    fan_offset_celsius: FanOffset = None


class OvenWordAnswer(Answer):
    """The range that one source gives for an oven word, without a fan; sources differ."""

    word: str
    celsius_low: float
    celsius_high: float
    sources: list[SourceRef]


class OvenAnswer(Answer):
    """The setting on every scale, for a conventional oven and for a fan oven; oven words have only ranges."""

    celsius: float | None = Field(default=None, description="Without a fan.")
    celsius_low: float
    celsius_high: float
    fahrenheit: float | None = Field(default=None, description="Without a fan.")
    fahrenheit_low: float
    fahrenheit_high: float
    fan_celsius: float | None = None
    fan_celsius_low: float
    fan_celsius_high: float
    fan_fahrenheit: float | None = None
    fan_fahrenheit_low: float
    fan_fahrenheit_high: float
    gas_mark: float | None = Field(default=None, description="Interpolated between marks; left out beyond the table.")
    gas_mark_low: float | None = None
    gas_mark_high: float | None = None
    gas_mark_nearest: float | None = Field(
        default=None, description="The nearest mark of a gas oven: a quarter, a half, or a multiple of a half."
    )
    fan_offset_celsius: float
    fan_offset_celsius_low: float
    fan_offset_celsius_high: float
    words: list[OvenWordAnswer]
    sources: list[SourceRef]
    warnings: list[Warned]
