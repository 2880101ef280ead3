"""From the domain's cooling estimates to the answers of `/v1/cool`."""

from collections.abc import Iterable
from typing import Any

from api.v1.bake.answers import caution_answers
from api.wire.answers import source_refs, warnings, without_none
from domain.cooling.cooling import MODEL, CoolingEstimate
from domain.cooling.rules import Milestone, RuleCheck

_FIELDS = {"filled_depth": "depth"}  # the names of notices about a body; the others are about its tin
_WORDS = {"unmould": "Unmould", "cut": "Cut", "core": "Ready"}


def cool_answer(estimate: CoolingEstimate, fields: Iterable[str], tin: str, *, curve: bool) -> dict[str, Any]:
    """The windows of one body.

    Args:
        estimate: of the domain.
        fields: of the request, for each milestone.
        tin: the request's field that has the tin.
        curve: whether to send the curve.
    """
    return without_none(
        milestones=[
            _milestone(field.removesuffix("_temperature"), milestone)
            for field, milestone in zip(fields, estimate.milestones, strict=True)
        ],
        level_percent=estimate.level_percent,
        surroundings_celsius=estimate.surroundings_c,
        freezing_celsius=estimate.freezing_c,
        rules=[_rule(check) for check in estimate.rules],
        curve=[{"minutes": t, "core_celsius": c} for t, c in estimate.curve] if curve else None,
        cautions=caution_answers(estimate.cautions),
        model=list(MODEL),
        assumptions=[
            {
                "parameter": each.parameter,
                "meaning": each.meaning,
                "unit": each.unit,
                "value_low": each.low,
                "value": each.central,
                "value_high": each.high,
                "cited": source_refs((each.cited,)),
            }
            for each in estimate.ranges
        ],
        warnings=warnings(notice.at(_FIELDS.get(str(notice.path[0]), tin)) for notice in estimate.notices),
    )


def _milestone(step: str, milestone: Milestone) -> dict[str, Any]:
    low, high = milestone.minutes_low, milestone.minutes_high
    return {
        "step": step,
        "celsius": milestone.celsius,
        "minutes": milestone.minutes,
        "minutes_low": low,
        "minutes_high": high,
        "text": f"{_WORDS[step]} after {low} to {high} minutes, when the core is at {milestone.celsius:g} °C.",
    }


def _rule(check: RuleCheck) -> dict[str, Any]:
    rule = check.rule
    return without_none(
        id=rule.id,
        agency=rule.agency,
        text=rule.text,
        from_celsius=rule.from_celsius,
        to_celsius=rule.to_celsius,
        limit_minutes=rule.minutes,
        outcome=check.outcome,
        minutes_low=check.minutes_low,
        minutes_high=check.minutes_high,
        cited=source_refs((rule.cited,)),
    )
