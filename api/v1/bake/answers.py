"""From the domain's bake estimates to the dictionaries that are sent."""

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Any

import orjson

from api.drawings.heating import draw_heating
from api.v1.bake.reading import BakeQuestion
from api.wire.answers import as_json_fragment, source_refs, sources, warnings, without_none
from domain.baking.cases import MODEL, RANGES, Bake
from domain.baking.core_safety import HOLDS, Caution, Lethality
from domain.baking.oven import Oven, conventional_c, fahrenheit, nearest_half_mark, read_oven
from domain.baking.targets import TargetBake
from domain.baking.window import BakeEstimate, CurvePoint, RuleOfThumb, heating_curve
from domain.notices import Notice
from domain.sources import Cited

_WITHOUT_PIECES = tuple(swept for name, swept in RANGES.items() if name != "piece_slowness")
_RULES = {
    0.75: "a shallower tin: a quarter less time",
    1.0: "the same depth: the same time",
    1.25: "a deeper tin: a quarter more time",
}


def bake_answer(question: BakeQuestion, estimate: BakeEstimate, *, curve: bool, drawing: bool) -> dict[str, Any]:
    """The answer of `/v1/bake`."""
    with_pieces = question.reference.has_pieces or question.target.has_pieces
    swept = tuple(RANGES.values()) if with_pieces else _WITHOUT_PIECES
    points = heating_curve(estimate, question.minutes) if curve or drawing else ()
    return without_none(
        **_window(estimate),
        minutes_without_pieces=estimate.without_pieces,
        core_celsius=estimate.core_c,
        reference=_side(question.reference, estimate),
        target=_side(question.target, estimate),
        rule_of_thumb=_rule_of_thumb(estimate.rule_of_thumb),
        lethality=_lethality(estimate.lethality),
        holds=_HOLDS,
        cautions=_cautions(estimate.cautions),
        model=list(MODEL) if with_pieces else list(MODEL[:-1]),
        assumptions=[
            {
                "parameter": swept_range.parameter,
                "meaning": swept_range.meaning,
                "unit": swept_range.unit,
                "low": swept_range.low,
                "central": swept_range.central,
                "high": swept_range.high,
                "sources": source_refs((swept_range.cited,)),
            }
            for swept_range in swept
        ],
        diffusivity_mm2_per_minute=estimate.central.diffusivity,
        warnings=warnings((*question.notices, *estimate.notices)),
        sources=sources(_cited(estimate, (swept_range.cited for swept_range in swept))),
        curve=[_point(point) for point in points] if curve else None,
        drawing=draw_heating(estimate, question.minutes, points) if drawing else None,
    )


def bake_drawing(question: BakeQuestion, estimate: BakeEstimate) -> str:
    """The answer of `/v1/bake` as an SVG drawing."""
    return draw_heating(estimate, question.minutes, heating_curve(estimate, question.minutes))


def target_bake_answers(
    oven: Oven, bakes: Sequence[TargetBake], assumed: Iterable[Notice]
) -> list[dict[str, Any] | None]:
    """The `bake` of each target of `/v1/rescale`.

    Args:
        oven: which all of them are baked in.
        bakes: one for each target.
        assumed: warnings about usual figures; they go with every window.
    """
    setting, assumed_warnings = _setting(oven), warnings(assumed)
    return [
        {
            "oven": setting,
            "core_celsius": bake.core_c,
            **({} if bake.estimate is None else _window(bake.estimate)),
            "cautions": _cautions(bake.cautions),
            "warnings": [*([] if bake.estimate is None else assumed_warnings), *warnings(bake.notices)],
        }
        for bake in bakes
    ]


def _window(estimate: BakeEstimate) -> dict[str, Any]:
    return {
        "minutes": estimate.minutes,
        "minutes_low": estimate.minutes_low,
        "minutes_high": estimate.minutes_high,
        "check_from_minutes": estimate.check_from_minutes,
    }


def _cautions(cautions: Iterable[Caution]) -> list[dict[str, Any]]:
    return [{"id": caution.id, "text": caution.text, "sources": source_refs((caution.cited,))} for caution in cautions]


@lru_cache(maxsize=256)
def _setting(oven: Oven) -> orjson.Fragment:
    reading = read_oven(oven)
    mark = None if reading.gas_mark is None else reading.gas_mark.amount
    amounts = {
        "celsius": reading.celsius.amount,
        "fahrenheit": fahrenheit(reading.celsius).amount,
        "fan_celsius": reading.fan_celsius.amount,
        "fan_fahrenheit": fahrenheit(reading.fan_celsius).amount,
        "gas_mark": mark,
        "gas_mark_nearest": None if mark is None else nearest_half_mark(mark),
    }
    return as_json_fragment({name: float(amount) for name, amount in amounts.items() if amount is not None})


def _side(bake: Bake, estimate: BakeEstimate) -> dict[str, Any]:
    return without_none(
        celsius=conventional_c(bake.oven, estimate.central.case.fan_offset_c),
        filled_depth_mm=bake.filled_depth_mm,
        start_celsius=bake.start_c,
        tin_material=bake.material.id,
        piece_diameter_mm=bake.pieces.diameter_mm if bake.pieces is not None and bake.has_pieces else None,
    )


def _rule_of_thumb(rule: RuleOfThumb) -> dict[str, Any]:
    return {
        "factor": rule.factor,
        "minutes": rule.minutes,
        "text": f"Common practice: {_RULES[rule.factor]}.",
        "sources": source_refs((rule.cited,)),
    }


def _lethality(lethality: Lethality) -> dict[str, Any]:
    return {
        "minutes": lethality.minutes,
        "at_minutes": lethality.at_minutes,
        "core_celsius": lethality.core_c,
        "reference_celsius": lethality.reference_c,
        "z_celsius": lethality.z_c,
        "text": "In the slowest case, if taken out at the window's start: a figure to compare, no proof of safety.",
        "sources": source_refs((lethality.cited,)),
    }


def _point(point: CurvePoint) -> dict[str, float]:
    return {
        "minutes": point.minutes,
        "core_celsius": point.core_c,
        "slowest_celsius": point.slowest_c,
        "fastest_celsius": point.fastest_c,
        "reference_celsius": point.reference_c,
    }


def _cited(estimate: BakeEstimate, swept: Iterable[Cited]) -> set[Cited]:
    return {
        *swept,
        *(caution.cited for caution in estimate.cautions),
        *(hold.cited for hold in HOLDS),
        estimate.rule_of_thumb.cited,
        estimate.lethality.cited,
    }


_HOLDS = [
    {
        "agency": hold.agency,
        "applies_to": hold.applies_to,
        "celsius": hold.celsius,
        "seconds": hold.seconds,
        "sources": source_refs((hold.cited,)),
    }
    for hold in HOLDS
]
