"""What converting from one unit of a thing to another takes, worked out once: a column asks for few different ones."""

from functools import lru_cache
from typing import Any, NamedTuple

import orjson

from api.answers import source_refs, warnings
from api.reading import read_egg_class, read_thing
from domain.conversion import Rate, Thing, convert, rate_between
from domain.errors import under
from domain.temperatures import scale_sources
from domain.units import Measures, Unit, resolve_unit


class Plan(NamedTuple):
    """From a unit *to* another; `rate` is None where a temperature is read off a scale instead."""

    unit: Unit
    to: Unit
    thing: Thing
    rate: Rate | None
    sources: orjson.Fragment
    warnings: list[dict[str, Any]]  # shared between answers, so nobody may change it

    def warnings_at(self, place: str) -> list[dict[str, Any]]:
        """The plan's warnings about what stands at a place of the request."""
        return [{**one, "pointer": place} for one in self.warnings] if place else self.warnings


@lru_cache(maxsize=1024)
def plan_of(  # noqa: PLR0917 - a cache is asked by position, which costs half
    unit: str,
    to: str,
    ingredient: str | None,
    packing: str | None,
    g_per_ml: float | None,
    egg_class: str | None,
    measures: Measures | None,
) -> Plan:
    """The plan of a conversion.

    Args:
        unit: of the amounts, as written.
        to: the unit wanted, as written.
        ingredient: its name, where mass meets volume or count.
        packing: how the measure was filled.
        g_per_ml: the caller's own density.
        egg_class: of eggs that are counted.
        measures: whose kitchen words are meant.
    Returns:
        The plan, shared between requests.
    Raises:
        DomainError: what cannot be read or known, under the field's name.
    """
    with under("unit"):
        given = resolve_unit(unit, measures)
    with under("to"):
        wanted = resolve_unit(to, measures)
    thing = read_thing(ingredient, packing, g_per_ml, read_egg_class(egg_class, "egg_class"))
    if "temperature" in (given.dimension, wanted.dimension):
        return Plan(given, wanted, thing, None, source_refs(scale_sources(given, wanted)), [])
    rate = rate_between(given, wanted, thing)
    return Plan(given, wanted, thing, rate, source_refs(rate.cited), warnings(rate.notices))


def converted(amount: tuple[int, int], plan: Plan) -> tuple[tuple[float, float, float], orjson.Fragment]:
    """An amount by its plan: the amount, low and high, and the sources.

    Raises:
        DomainError: it is out of range.
    """
    if plan.rate is not None:
        return plan.rate.of(*amount), plan.sources
    reading = convert(amount, plan.unit, plan.to, plan.thing)
    return (reading.amount, reading.low, reading.high), source_refs(reading.cited)
