"""Requests and answers of `/v1/oven`."""

from typing import Annotated

from pydantic import Field

from api.wire.schemas import Answer, Query, Schema, SourceRef, TopicAnswer, Warned
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
Fan = Annotated[bool, Field(description="Whether the setting is for a fan oven.", examples=[True])]
FanOffset = Annotated[
    float | None,
    Field(
        ge=0,
        le=MAX_FAN_OFFSET_C,
        examples=[20],
        description="How many °C lower a fan oven is set. The default is 20 (common practice); sources give 20 to 28.",
    ),
]
Celsius = Annotated[float, Field(examples=[190.0])]
Fahrenheit = Annotated[float, Field(examples=[374.0])]
FanCelsius = Annotated[float, Field(examples=[170.0])]
FanFahrenheit = Annotated[float, Field(examples=[338.0])]
GasMark = Annotated[float, Field(examples=[5.0])]
Offset = Annotated[float, Field(examples=[20.0])]


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

    word: str = Field(description="The oven word.", examples=["moderate"])
    celsius_low: Celsius = Field(description="The least setting that the word stands for.")
    celsius_high: Celsius = Field(description="The highest setting that the word stands for.")
    cited: list[SourceRef] = Field(description="Where the range was published.")


class OvenAnswer(TopicAnswer):
    """The setting on every scale, for a conventional oven and for a fan oven; oven words have only ranges."""

    celsius: Celsius | None = Field(default=None, description="Without a fan.")
    celsius_low: Celsius = Field(description="Least setting without a fan.")
    celsius_high: Celsius = Field(description="Highest setting without a fan.")
    fahrenheit: Fahrenheit | None = Field(default=None, description="Without a fan.")
    fahrenheit_low: Fahrenheit = Field(description="Least setting without a fan.")
    fahrenheit_high: Fahrenheit = Field(description="Highest setting without a fan.")
    fan_celsius: FanCelsius | None = Field(default=None, description="With a fan.")
    fan_celsius_low: FanCelsius = Field(description="Least setting with a fan.")
    fan_celsius_high: FanCelsius = Field(description="Highest setting with a fan.")
    fan_fahrenheit: FanFahrenheit | None = Field(default=None, description="With a fan.")
    fan_fahrenheit_low: FanFahrenheit = Field(description="Least setting with a fan.")
    fan_fahrenheit_high: FanFahrenheit = Field(description="Highest setting with a fan.")
    gas_mark: GasMark | None = Field(default=None, description="Interpolated between marks; left out beyond the table.")
    gas_mark_low: GasMark | None = Field(default=None, description="Least mark; left out beyond the table.")
    gas_mark_high: GasMark | None = Field(default=None, description="Highest mark; left out beyond the table.")
    gas_mark_nearest: GasMark | None = Field(
        default=None, description="The nearest mark of a gas oven: a quarter, a half, or a multiple of a half."
    )
    fan_offset_celsius: Offset = Field(description="How many °C lower a fan oven is set.")
    fan_offset_celsius_low: Offset = Field(description="The least offset of any source.")
    fan_offset_celsius_high: Offset = Field(description="The largest offset of any source.")
    words: list[OvenWordAnswer] = Field(description="Oven words whose range contains the setting.")
    cited: list[SourceRef] = Field(description="Where the scales and the offset were published.")
    warnings: list[Warned] = Field(description="What to know before using the setting.")
