"""The course of a core through the temperatures that matter, and the published limits on it."""

import math
from collections.abc import Callable
from dataclasses import dataclass

from domain.reference import rows
from domain.sources import Cited, cited


@dataclass(frozen=True, slots=True, kw_only=True)
class Milestone:
    """A core temperature and the window of minutes in which it is reached."""

    celsius: float
    minutes: float
    minutes_low: int
    minutes_high: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CoolingRule:
    """A published limit on cooling; minutes count from `from_celsius` to `to_celsius`."""

    id: str
    agency: str
    from_celsius: float
    to_celsius: float
    minutes: float
    text: str
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class RuleCheck:
    """A rule against the window: `within`, `unsure`, `not_within`, or `not_reached` if the place is not cold enough.

    `minutes`, `minutes_low` and `minutes_high` are None if the core does not get there.
    """

    rule: CoolingRule
    outcome: str
    minutes: float | None = None
    minutes_low: int | None = None
    minutes_high: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Course:
    """How the core moves: minutes at a temperature with the central figures, and the ends of its window."""

    minutes_at: Callable[[float], float]
    ends: Callable[[float], tuple[float, float]]
    core_c: Callable[[float], float]

    def milestone(self, celsius: float) -> Milestone:
        """The window of one temperature, which the core reaches."""
        minutes = self.minutes_at(celsius)
        low, high = self.ends(celsius)
        low_whole = math.floor(minutes * low)
        return Milestone(
            celsius=celsius,
            minutes=minutes,
            minutes_low=low_whole,
            minutes_high=max(low_whole + 1, math.ceil(minutes * high)),
        )


def check_rule(rule: CoolingRule, course: Course, start_c: float, nearest_c: float) -> RuleCheck:
    """Compare a rule with the course of a core.

    Args:
        rule: the limit; its minutes count from the start if that is already cooler than `from_celsius`.
        course: of the core.
        start_c: of the body.
        nearest_c: what the core certainly reaches in this place.
    Returns:
        The outcome, with the window of the minutes that count.
    """
    if rule.to_celsius < nearest_c or start_c <= rule.to_celsius:
        outcome = "not_reached" if rule.to_celsius < nearest_c else "within"
        return RuleCheck(rule=rule, outcome=outcome)
    passed = course.minutes_at(rule.to_celsius)
    low, high = course.ends(rule.to_celsius)
    before = course.minutes_at(rule.from_celsius) if start_c > rule.from_celsius else 0.0
    between = passed - before
    ends = math.floor(between * low), math.ceil(between * high)
    outcome = "within" if ends[1] <= rule.minutes else "not_within" if ends[0] > rule.minutes else "unsure"
    return RuleCheck(rule=rule, outcome=outcome, minutes=between, minutes_low=ends[0], minutes_high=ends[1])


RULES = tuple(
    CoolingRule(
        id=row["id"],
        agency=row["agency"],
        from_celsius=float(row["from_celsius"]),
        to_celsius=float(row["to_celsius"]),
        minutes=float(row["minutes"]),
        text=row["text"],
        cited=cited(row),
    )
    for row in rows("cooling_rules")
)
