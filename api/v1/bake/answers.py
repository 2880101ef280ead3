"""From the domain's bake estimates to the dictionaries that are sent."""

from collections.abc import Iterable, Sequence
from functools import lru_cache
from typing import Any

import orjson

from api.drawings.doneness import draw_doneness
from api.drawings.heating import CHART_ALONE, ChartStyle, draw_heating
from api.drawings.language import ENGLISH, Language
from api.drawings.style import ALONE, SheetStyle
from api.wire.answers import as_json_fragment, source_refs, without_none
from domain.baking.cases import MODEL, Bake
from domain.baking.core_safety import HOLDS, Caution, Lethality
from domain.baking.doneness import Doneness
from domain.baking.oven import Oven, conventional_c, fahrenheit, nearest_half_mark, read_oven
from domain.baking.targets import TargetBake
from domain.baking.window import BakeEstimate, CurvePoint, RuleOfThumb, heating_curve
from domain.errors import NeededError
from domain.sources import Cited, FigureRange

_RULES = {
    0.75: "a shallower tin: a quarter less time",
    1.0: "the same depth: the same time",
    1.25: "a deeper tin: a quarter more time",
}


def bake_part(bake: TargetBake, own_cautions: Iterable[Caution], own_warnings: list[dict[str, Any]]) -> dict[str, Any]:
    """The `bake` of one target.

    Args:
        bake: of the target.
        own_cautions: those that are not said with the formula.
        own_warnings: its warnings.
    """
    return {
        "oven": _setting(bake.oven),
        "core_celsius": bake.core_c,
        **({} if bake.estimate is None else _window(bake.estimate)),
        "cautions": caution_answers(own_cautions),
        "warnings": own_warnings,
    }


def bake_details(bake: TargetBake, minutes: float, *, curve: bool, drawing: bool) -> dict[str, Any]:
    """What `/v1/bake` says of one target besides the window; nothing if there is no window."""
    estimate = bake.estimate
    if estimate is None:
        return {}
    points = heating_curve(estimate, minutes) if curve or drawing else ()
    return without_none(
        basis=estimate.basis,
        calibrated_on=estimate.references,
        scatter_percent=estimate.scatter_percent,
        contributions=[{"parameter": each.parameter, "percent": each.percent} for each in estimate.widest],
        minutes_without_pieces=estimate.without_pieces,
        reference_side=_side(estimate.reference, estimate),
        target_side=_side(estimate.target, estimate),
        rule_of_thumb=None if estimate.rule_of_thumb is None else _rule_of_thumb(estimate.rule_of_thumb),
        lethality=_lethality(estimate.lethality),
        diffusivity_mm2_per_minute=estimate.central.diffusivity,
        curve=[_point(point) for point in points] if curve else None,
        drawing=draw_heating(estimate, minutes, points) if drawing else None,
    )


def doneness_answer(
    doneness: Doneness, *, drawing: bool, title: str, style: SheetStyle = ALONE, language: Language = ENGLISH
) -> dict[str, Any]:
    """Doneness by place, with its plan if `drawing` is set."""
    return without_none(
        minutes=doneness.minutes,
        portions=[
            without_none(
                portion=piece.number,
                coldest_celsius=piece.coldest_c,
                mean_celsius=piece.mean_c,
                lethality_minutes=piece.lethality_minutes,
                crust_percent=piece.crust_percent,
                side_percent=piece.side_percent,
                top_loss_grams=piece.top_loss_g,
                side_loss_grams=piece.side_loss_g,
                base_loss_grams=piece.base_loss_g,
                band=piece.band,
            )
            for piece in doneness.pieces
        ],
        drawing=draw_doneness(doneness, title, style=style, language=language) if drawing else None,
    )


def model_answer(swept: Sequence[FigureRange], *, with_pieces: bool) -> dict[str, Any]:
    """What holds for every estimate: holding times, the model and the figures that it assumes."""
    return {
        "holds": _HOLDS,
        "model": list(MODEL) if with_pieces else list(MODEL[:-1]),
        "assumptions": [
            {
                "parameter": swept_range.parameter,
                "meaning": swept_range.meaning,
                "unit": swept_range.unit,
                "value_low": swept_range.low,
                "value": swept_range.central,
                "value_high": swept_range.high,
                "cited": source_refs((swept_range.cited,)),
            }
            for swept_range in swept
        ],
    }


def model_sources(bakes: Iterable[TargetBake], swept: Sequence[FigureRange]) -> set[Cited]:
    """Every source of `model_answer` and of the details of the bakes."""
    estimates = [bake.estimate for bake in bakes if bake.estimate is not None]
    return {
        *(swept_range.cited for swept_range in swept),
        *(hold.cited for hold in HOLDS),
        *(estimate.rule_of_thumb.cited for estimate in estimates if estimate.rule_of_thumb is not None),
        *(estimate.lethality.cited for estimate in estimates),
    }


def bake_drawing(
    bake: TargetBake, minutes: float, style: ChartStyle = CHART_ALONE, language: Language = ENGLISH
) -> str:
    """The curve of one target as an SVG drawing.

    Args:
        bake: of the target.
        minutes: of the bake that works.
        style: sizes of text.
        language: of the words.
    Raises:
        NeededError: there is no window to draw.
    """
    if bake.estimate is None:
        reasons = " ".join(notice.message for notice in bake.notices)
        raise NeededError(f"There is no window to draw. {reasons}", path=("targets",))
    curve = heating_curve(bake.estimate, minutes)
    return draw_heating(bake.estimate, minutes, curve, style=style, language=language)


def caution_answers(cautions: Iterable[Caution]) -> list[dict[str, Any]]:
    """Cautions with their sources."""
    return [{"id": caution.id, "text": caution.text, "cited": source_refs((caution.cited,))} for caution in cautions]


def _window(estimate: BakeEstimate) -> dict[str, Any]:
    return {
        "minutes": estimate.minutes,
        "minutes_low": estimate.minutes_low,
        "minutes_high": estimate.minutes_high,
        "level_percent": estimate.level_percent,
        "check_from_minutes": estimate.check_from_minutes,
    }


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
        celsius=conventional_c(bake.oven, estimate.central.case.heat.fan_offset_c),
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
        "cited": source_refs((rule.cited,)),
    }


def _lethality(lethality: Lethality) -> dict[str, Any]:
    return {
        "minutes": lethality.minutes,
        "at_minutes": lethality.at_minutes,
        "core_celsius": lethality.core_c,
        "reference_celsius": lethality.reference_c,
        "z_celsius": lethality.z_c,
        "text": "For a slow bake taken out at the window's start: compare bakes by it. It proves no bake safe.",
        "cited": source_refs((lethality.cited,)),
    }


def _point(point: CurvePoint) -> dict[str, float]:
    return {
        "minutes": point.minutes,
        "core_celsius": point.core_c,
        "slowest_celsius": point.slowest_c,
        "fastest_celsius": point.fastest_c,
        "reference_celsius": point.reference_c,
    }


_HOLDS = [
    {
        "agency": hold.agency,
        "applies_to": hold.applies_to,
        "celsius": hold.celsius,
        "seconds": hold.seconds,
        "cited": source_refs((hold.cited,)),
    }
    for hold in HOLDS
]
