"""What converting from one unit of a thing to another takes, worked out once: a column asks for few different ones."""

from collections.abc import Hashable, Iterable
from functools import lru_cache
from itertools import repeat
from typing import NamedTuple, TypeVar

import orjson

from api.wire.answers import as_json_fragment, source_refs, warnings, without_none
from api.wire.reading import read_egg_class, read_thing
from domain.errors import DomainError, OutOfRangeError, at_path
from domain.measures.temperatures import scale_sources
from domain.measures.units import Measures, Unit, expect, resolve_unit
from domain.notices import Notice
from domain.sources import Cited
from domain.things.conversion import Rate, Thing, at_rates, convert, rate_between

_HERE, _HERE_WRITTEN = "\0", rb"\u0000"  # where the place of a warning goes; no message has one
Asked = TypeVar("Asked", bound=Hashable)
Ratio = tuple[int, int]  # of an amount, as `amount_ratio` gives it


class Rows(NamedTuple):
    """Rows of a column: where they stand, and their amounts."""

    positions: list[int]
    amounts: list[Ratio]


class RowsByPlan(dict[Asked, Rows]):
    """The rows of a column by what they ask for, in the order in which it is first asked for."""

    def __missing__(self, asked: Asked) -> Rows:
        """None of these yet."""
        rows = self[asked] = Rows([], [])
        return rows


class Plan(NamedTuple):
    """From a unit *to* another; `rate` is None where a temperature is read off a scale instead."""

    unit: Unit
    to: Unit
    thing: Thing
    rate: Rate | None
    sources: orjson.Fragment
    warned: list[bytes]  # the warnings as JSON, cut where their place goes: a column has a place for each row
    said: orjson.Fragment  # all that rows which go by it have in common


def warned_at(place: bytes, warned: list[bytes]) -> orjson.Fragment:
    """A plan's warnings about what stands at a place of the request, as JSON pointer or parameter."""
    return orjson.Fragment(place.join(warned))


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
    with at_path("unit"):
        given = resolve_unit(unit, measures)
    with at_path("to"):
        wanted = resolve_unit(to, measures)
    thing = read_thing(ingredient, packing, g_per_ml, read_egg_class(egg_class, "egg_class"))
    if "temperature" in (given.dimension, wanted.dimension):
        with at_path("unit"):
            expect(given, "temperature")
        with at_path("to"):
            expect(wanted, "temperature")
        return _plan(given, wanted, thing, None, cited=scale_sources(given, wanted), notices=())
    rate = rate_between(given, wanted, thing)
    return _plan(given, wanted, thing, rate, cited=rate.cited, notices=rate.notices)


def _plan(
    unit: Unit, to: Unit, thing: Thing, rate: Rate | None, *, cited: tuple[Cited, ...], notices: tuple[Notice, ...]
) -> Plan:
    sources = source_refs(cited)
    warned = orjson.dumps([{**one, "pointer": _HERE} for one in warnings(notices)]).split(_HERE_WRITTEN)
    said = without_none(
        unit=unit.id,
        to=to.id,
        ingredient_id=None if thing.ingredient is None else thing.ingredient.id,
        factor=None if rate is None else float(rate.factor),
        low=None if rate is None else float(rate.low),
        high=None if rate is None else float(rate.high),
        sources=sources,
        warnings=warned_at(b"", warned),
    )
    return Plan(unit, to, thing, rate, sources, warned, as_json_fragment(said))


def converted_together(
    plan: Plan, rows: Rows, refused: dict[int, DomainError]
) -> Iterable[tuple[int, float, float, float, orjson.Fragment]]:
    """Rows of a column that ask the same, which takes half as long as one by one.

    Args:
        plan: what they ask.
        rows: their positions and amounts.
        refused: takes what is out of range.
    Returns:
        Position, amount, low, high and sources of each that is answered.
    """
    if plan.rate is not None:
        try:
            return zip(rows.positions, *at_rates(rows.amounts, repeat(plan.rate)), repeat(plan.sources))
        except OutOfRangeError:
            pass  # which one is found out by converting them singly
    found = []
    for row, amount in zip(*rows, strict=True):
        try:
            figures, sources = converted(amount, plan)
        except DomainError as error:
            error.path = error.path or ("amount",)
            refused[row] = error
        else:
            found.append((row, *figures, sources))
    return found


def converted(amount: Ratio, plan: Plan) -> tuple[tuple[float, float, float], orjson.Fragment]:
    """An amount by its plan: the amount, low and high, and the sources.

    Raises:
        DomainError: it is out of range.
    """
    if plan.rate is not None:
        return plan.rate.of(*amount), plan.sources
    reading = convert(amount, plan.unit, plan.to, plan.thing)
    return (reading.amount, reading.low, reading.high), source_refs(reading.cited)
