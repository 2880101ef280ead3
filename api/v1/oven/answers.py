"""From readings of an oven to the answers of `/v1/oven`."""

from typing import Any

from api.wire.answers import source_refs, warnings, without_none
from domain.baking.oven import OvenReading, OvenScale, fahrenheit, nearest_half_mark


def oven_answer(reading: OvenReading, *, in_query: bool) -> dict[str, Any]:
    """A setting on every scale."""
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
                "cited": source_refs((word.cited,)),
            }
            for word in reading.words
        ],
        cited=source_refs(reading.cited),
        warnings=warnings(reading.notices, in_query=in_query),
    )


def _scale(name: str, scale: OvenScale) -> dict[str, float | None]:
    return {
        name: None if scale.amount is None else float(scale.amount),
        f"{name}_low": float(scale.low),
        f"{name}_high": float(scale.high),
    }
