"""The closed list of units, whose factors pint resolves at import from `units.txt`.

Request text never reaches pint: names are looked up in a dictionary, and conversions use exact fractions.
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType
from typing import Literal

from domain.errors import AmbiguousError, MismatchError, UnknownError
from domain.measures.unit_engine import resolve_factors
from domain.reference import rows, words
from domain.sources import Cited, cited

Dimension = Literal["mass", "volume", "length", "area", "temperature", "count"]
Measures = Literal["us", "uk", "metric", "au", "jp"]
MEASURES: tuple[Measures, ...] = ("us", "uk", "metric", "au", "jp")
BASE_UNIT: MappingProxyType[str, str] = MappingProxyType(
    {"mass": "g", "volume": "ml", "length": "mm", "area": "mm2", "temperature": "kelvin", "count": "each"}
)
_SEPARATORS = re.compile(r"[\s_-]+")


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)  # each entry of the table is one object
class Unit:
    """A unit, which is exactly `factor` base units (g, ml, mm, mm², K, each).

    `offset` is only for temperatures: base = value × factor + offset. `low` and `high` differ from
    `factor` only for `vague` words, which no standard defines.
    """

    id: str
    name: str
    dimension: Dimension
    factor: Fraction
    offset: Fraction
    low: Fraction
    high: Fraction
    vague: bool
    cited: Cited


def resolve_unit(word: str, measures: Measures | None = None) -> Unit:
    """The unit that a word names.

    Args:
        word: an id (`us_cup`), an everyday spelling (`grams`), or a bare kitchen word (`cup`).
        measures: the set of measures that kitchen words belong to; without it a bare kitchen word is rejected.
    Returns:
        The unit, from the closed list.
    Raises:
        AmbiguousError: a bare kitchen word without `measures`; candidates are the qualified ids.
        UnknownError: not a unit, or these measures have no such word.

    >>> resolve_unit("cups", "us").id
    'us_cup'
    """
    if unit := UNITS.get(word):
        return unit
    kitchen = KITCHEN_WORDS.get(word)
    if kitchen is None:
        plain = _normal(word)
        if unit := _SPELLINGS.get(plain) or _SPELLINGS.get(_singular(plain)):
            return unit
        kitchen = KITCHEN_WORDS.get(_singular(plain))
    if kitchen is None:
        raise UnknownError("This unit is unknown; GET /v1/units lists all units.", code="unknown_unit")
    if measures is not None and measures in kitchen.meanings:
        return UNITS[kitchen.meanings[measures]]
    candidates = tuple(dict.fromkeys(kitchen.meanings.values()))
    if measures is None:
        raise AmbiguousError(
            f"'{kitchen.word}' differs by country: give `measures` ({', '.join(kitchen.meanings)}) "
            f"or use one of {', '.join(candidates)}.",
            code="ambiguous_unit",
            candidates=candidates,
        )
    raise UnknownError(
        f"The {measures} measures have no '{kitchen.word}'; use one of {', '.join(candidates)}.",
        code="unknown_unit",
        candidates=candidates,
    )


def expect(unit: Unit, *dimensions: Dimension) -> Unit:
    """The same unit, if it has one of the expected dimensions.

    Args:
        unit: the unit to check.
        dimensions: the expected dimensions.
    Returns:
        The unit.
    Raises:
        MismatchError: it measures something else.
    """
    if unit.dimension not in dimensions:
        candidates = tuple(each.id for each in UNITS.values() if each.dimension in dimensions)
        raise MismatchError(
            f"Give a unit of {' or '.join(dimensions)}: {unit.id} is a unit of {unit.dimension}.",
            code="unit_mismatch",
            candidates=candidates,
        )
    return unit


@dataclass(frozen=True, slots=True, kw_only=True)
class KitchenWord:
    """A bare word and the unit id that each set of measures means by it."""

    word: str
    meanings: MappingProxyType[str, str]
    cited: Cited


def _normal(word: str) -> str:
    return _SEPARATORS.sub("_", word.replace(".", " ").strip().casefold())


def _singular(word: str) -> str:
    return word.removesuffix("s") if len(word) > 2 else word


def _load_units() -> MappingProxyType[str, Unit]:
    bases = {row["unit"]: BASE_UNIT[row["dimension"]] for row in rows("units") if row["unit"] != "gas_mark"}
    factors, units = resolve_factors(bases), {}  # gas marks have no factor: see `domain.measures.temperatures`
    for row in rows("units"):
        factor, offset = factors.get(row["unit"], (Fraction(1), Fraction(0)))
        units[row["unit"]] = Unit(
            id=row["unit"],
            name=row["name"],
            dimension=row["dimension"],  # type: ignore[arg-type]  # the table holds these only
            factor=factor,
            offset=offset,
            low=factor,
            high=factor,
            vague=False,
            cited=cited(row),
        )
    for row in rows("vague_measures"):
        units[row["unit"]] = Unit(
            id=row["unit"],
            name=row["unit"],
            dimension="volume",
            factor=Fraction(row["ml"]),
            offset=Fraction(0),
            low=Fraction(row["low_ml"]),
            high=Fraction(row["high_ml"]),
            vague=True,
            cited=cited(row),
        )
    return MappingProxyType(units)


def _load_spellings() -> MappingProxyType[str, Unit]:
    return MappingProxyType(
        {
            _normal(word): UNITS[row["unit"]]
            for row in (*rows("units"), *rows("vague_measures"))
            for word in (row["unit"], *words(row["spellings"]))
        }
    )


def _load_kitchen_words() -> MappingProxyType[str, KitchenWord]:
    table: dict[str, KitchenWord] = {}
    for row in rows("kitchen_words"):
        meanings = MappingProxyType({m: UNITS[row[m]].id for m in MEASURES if row[m]})
        entry = KitchenWord(word=row["word"], meanings=meanings, cited=cited(row))
        table |= dict.fromkeys((row["word"], *words(row["spellings"])), entry)
    return MappingProxyType(table)


UNITS = _load_units()
_SPELLINGS = _load_spellings()
KITCHEN_WORDS = _load_kitchen_words()
