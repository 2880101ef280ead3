"""`POST /v1/bake`: a window of minutes for a new tin, oven or depth, from a bake that works."""

from collections.abc import Iterable
from typing import Any

from fastapi import APIRouter

from api.drawings.heating import draw_heating
from api.v1.bake.reading import AskedBake, read_bake
from api.v1.bake.schemas import BakeAnswer, BakeRequest
from api.wire.answers import source_refs, sources, warnings, without_none
from api.wire.formats import CustomFormat, response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.baking.cases import MODEL, RANGES, Bake
from domain.baking.core_safety import HOLDS, Caution, Lethality
from domain.baking.oven import conventional_c
from domain.baking.window import BakeEstimate, CurvePoint, RuleOfThumb, estimate_bake, heating_curve
from domain.sources import Cited

_WITHOUT_PIECES = tuple(swept for name, swept in RANGES.items() if name != "piece_slowness")
_RULES = {
    0.75: "a shallower tin: a quarter less time",
    1.0: "the same depth: the same time",
    1.25: "a deeper tin: a quarter more time",
}

router = APIRouter(prefix="/v1/bake", tags=["bake"], responses=RESPONSES, route_class=PureRoute)


def draw_bake(body: BakeRequest) -> str:
    """The drawing alone, for `format=svg`."""
    asked, found = _estimate(body)
    return draw_heating(found, asked.minutes, heating_curve(found, asked.minutes))


@router.post("", operation_id="bake", summary="A window of minutes for a new tin", response_model=BakeAnswer)
@response_formats(figure=("minutes",), rows="", svg=CustomFormat("image/svg+xml", draw_bake))
async def post_bake(body: BakeRequest) -> dict[str, Any]:
    """When a bake is likely to be done, from one that works, by transient heat conduction.

    An estimate with its window and the usual cautions: it computes, it does not certify; the core's
    temperature decides. A calculation; nothing is stored, and repeating it is safe. POST only because the
    question is structured.
    """
    asked, found = _estimate(body)
    curve = heating_curve(found, asked.minutes) if body.curve or body.drawing else ()
    return bake_answer(asked, found) | without_none(
        curve=[_point(point) for point in curve] if body.curve else None,
        drawing=draw_heating(found, asked.minutes, curve) if body.drawing else None,
    )


def _estimate(body: BakeRequest) -> tuple[AskedBake, BakeEstimate]:
    asked = read_bake(body)
    return asked, estimate_bake(asked.reference, asked.minutes, asked.target, asked.core_c)


def bake_answer(asked: AskedBake, found: BakeEstimate) -> dict[str, Any]:
    """The window and all that belongs to it."""
    with_pieces = asked.reference.has_pieces or asked.target.has_pieces
    swept = tuple(RANGES.values()) if with_pieces else _WITHOUT_PIECES
    return without_none(
        **window_answer(found),
        minutes_without_pieces=found.without_pieces,
        core_celsius=found.core_c,
        reference=_side(asked.reference, found),
        target=_side(asked.target, found),
        rule_of_thumb=_rule_of_thumb(found.rule_of_thumb),
        lethality=_lethality(found.lethality),
        holds=_HOLDS,
        cautions=cautions_answer(found.cautions),
        model=list(MODEL) if with_pieces else list(MODEL[:-1]),
        assumptions=[
            {
                "parameter": one.parameter,
                "meaning": one.meaning,
                "unit": one.unit,
                "low": one.low,
                "central": one.central,
                "high": one.high,
                "sources": source_refs((one.cited,)),
            }
            for one in swept
        ],
        diffusivity_mm2_per_minute=found.central.diffusivity,
        warnings=warnings((*asked.notices, *found.notices)),
        sources=sources(_cited(found, (one.cited for one in swept))),
    )


def window_answer(found: BakeEstimate) -> dict[str, Any]:
    """The window alone."""
    return {
        "minutes": found.minutes,
        "minutes_low": found.minutes_low,
        "minutes_high": found.minutes_high,
        "check_from_minutes": found.check_from_minutes,
    }


def cautions_answer(cautions: Iterable[Caution]) -> list[dict[str, Any]]:
    """The cautions as they go out."""
    return [{"id": one.id, "text": one.text, "sources": source_refs((one.cited,))} for one in cautions]


def _side(bake: Bake, found: BakeEstimate) -> dict[str, Any]:
    return without_none(
        celsius=conventional_c(bake.oven, found.central.case.fan_offset_c),
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


def _lethality(found: Lethality) -> dict[str, Any]:
    return {
        "minutes": found.minutes,
        "at_minutes": found.at_minutes,
        "core_celsius": found.core_c,
        "reference_celsius": found.reference_c,
        "z_celsius": found.z_c,
        "text": "In the slowest case, if taken out at the window's start: a figure to compare, no proof of safety.",
        "sources": source_refs((found.cited,)),
    }


def _point(point: CurvePoint) -> dict[str, float]:
    return {
        "minutes": point.minutes,
        "core_celsius": point.core_c,
        "slowest_celsius": point.slowest_c,
        "fastest_celsius": point.fastest_c,
        "reference_celsius": point.reference_c,
    }


def _cited(found: BakeEstimate, swept: Iterable[Cited]) -> set[Cited]:
    return {
        *swept,
        *(caution.cited for caution in found.cautions),
        *(hold.cited for hold in HOLDS),
        found.rule_of_thumb.cited,
        found.lethality.cited,
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
