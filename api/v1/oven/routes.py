"""`/v1/oven`: a setting in degrees, as a gas mark or in words, on every scale, with a fan and without."""

from typing import Annotated, Any

from fastapi import APIRouter
from fastapi import Query as QueryParameters
from pydantic import Field, Tag

from api.wire.answers import source_refs, warnings, without_none
from api.wire.formats import response_formats
from api.wire.problems import RESPONSES
from api.wire.reading import read_quantity
from api.wire.routing import PureRoute
from api.wire.schemas import (
    FIRST_THAT_FITS,
    OBJECT_TAG,
    TEXT_TAG,
    Answer,
    QuantityObject,
    Query,
    Schema,
    SourceRef,
    Warned,
)
from domain.baking.oven import (
    MAX_FAN_OFFSET_C,
    Oven,
    OvenReading,
    OvenScale,
    fahrenheit,
    nearest_half_mark,
    parse_oven,
    read_oven,
)
from domain.errors import at_path
from domain.measures.quantities import parse_amount

SettingText = Annotated[
    str,
    Field(
        min_length=1, max_length=40, examples=["170 celsius", "350 F", "gas mark 4", "moderate"],
        description="Degrees, a gas mark (halves and quarters too), or an oven word, which is only ever a range.",
    ),
]  # fmt: skip
type OvenSetting = Annotated[
    Annotated[QuantityObject, Tag(OBJECT_TAG)] | Annotated[SettingText, Tag(TEXT_TAG)],
    FIRST_THAT_FITS,
    Field(description="A setting as text, or as an amount of `celsius`, `fahrenheit` or `gas_mark`."),
]
Fan = Annotated[bool, Field(description="Whether the setting is that of a fan oven.")]
FanOffset = Annotated[
    float | None,
    Field(
        ge=0, le=MAX_FAN_OFFSET_C, examples=[20],
        description="°C by which a fan oven is set lower; left out, 20 (common practice), the sources having 20 to 28.",
    ),
]  # fmt: skip


class OvenQuery(Query):
    """A setting, as query parameters."""

    setting: SettingText
    fan: Fan = False
    fan_offset_celsius: FanOffset = None


class OvenRequest(Schema):
    """A setting."""

    setting: OvenSetting
    fan: Fan = False
    fan_offset_celsius: FanOffset = None


class OvenWordAnswer(Answer):
    """One source's range for an oven word, without a fan: sources disagree."""

    word: str
    celsius_low: float
    celsius_high: float
    sources: list[SourceRef]


class OvenAnswer(Answer):
    """The setting on every scale, as a conventional oven is set and as a fan oven is; words have only ranges."""

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
    gas_mark: float | None = Field(default=None, description="Between marks by interpolation; none past the table.")
    gas_mark_low: float | None = None
    gas_mark_high: float | None = None
    gas_mark_nearest: float | None = Field(default=None, description="Rounded to a quarter, a half or half steps.")
    fan_offset_celsius: float
    fan_offset_celsius_low: float
    fan_offset_celsius_high: float
    words: list[OvenWordAnswer]
    sources: list[SourceRef]
    warnings: list[Warned]


router = APIRouter(prefix="/v1/oven", tags=["oven"], responses=RESPONSES, route_class=PureRoute)


@router.get("", operation_id="oven", summary="An oven setting on every scale", response_model=OvenAnswer)
@response_formats(figure=("celsius", "celsius_low"), rows="")
async def get_oven(query: Annotated[OvenQuery, QueryParameters()]) -> dict[str, Any]:
    """Celsius, Fahrenheit and gas mark, with a fan and without."""
    return oven_answer(read_oven(read_setting(query)), in_query=True)


@router.post("", operation_id="oven_object", summary="An oven setting on every scale", response_model=OvenAnswer)
async def post_oven(body: OvenRequest) -> dict[str, Any]:
    """A calculation; nothing is stored, and repeating it is safe. POST only because the setting may be an object."""
    return oven_answer(read_oven(read_setting(body)), in_query=False)


def read_setting(asked: OvenQuery | OvenRequest) -> Oven:
    """The domain's oven."""
    offset = None if asked.fan_offset_celsius is None else parse_amount(asked.fan_offset_celsius)
    if isinstance(asked.setting, str):
        return parse_oven(asked.setting, fan=asked.fan, fan_offset_c=offset)
    with at_path("setting"):
        quantity = read_quantity(asked.setting)
    return Oven(quantity=quantity, fan=asked.fan, fan_offset_c=offset)


def oven_answer(reading: OvenReading, *, in_query: bool) -> dict[str, Any]:
    """A reading as it goes out."""
    mark = reading.gas_mark
    return without_none(
        **_scale("celsius", reading.celsius),
        **_scale("fahrenheit", fahrenheit(reading.celsius)),
        **_scale("fan_celsius", reading.fan_celsius),
        **_scale("fan_fahrenheit", fahrenheit(reading.fan_celsius)),
        **({} if mark is None else _scale("gas_mark", mark)),
        gas_mark_nearest=None if mark is None or mark.amount is None else float(nearest_half_mark(mark.amount)),
        **_scale("fan_offset_celsius", reading.fan_offset),
        words=[
            {
                "word": word.word,
                "celsius_low": float(word.celsius_low),
                "celsius_high": float(word.celsius_high),
                "sources": source_refs((word.cited,)),
            }
            for word in reading.words
        ],
        sources=source_refs(reading.cited),
        warnings=warnings(reading.notices, in_query=in_query),
    )


def _scale(name: str, scale: OvenScale) -> dict[str, float | None]:
    return {
        name: None if scale.amount is None else float(scale.amount),
        f"{name}_low": float(scale.low),
        f"{name}_high": float(scale.high),
    }
