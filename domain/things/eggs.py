"""Eggs by weight class: grams of whole egg, yolk and white, and how many of another class."""

import math
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from types import MappingProxyType
from typing import Literal, NamedTuple

from domain.errors import AmbiguousError, UnknownError
from domain.measures.units import UNITS
from domain.notices import Notice
from domain.reference import rows
from domain.sources import Cited, cite, cited

EggPart = Literal["whole", "yolk", "white"]
PARTS: tuple[EggPart, ...] = ("whole", "yolk", "white")
MEAN_EGG_G = 55.64  # the study's mean egg, where its shares hold: ijps-2007-6-3, abstract
NEARLY_WHOLE = 1e-9  # relative; a count this near a whole number is one, and the rest is rounding of doubles


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)  # one object an entry: identity will do
class EggClass:
    """A weight class of a region; `min_g`, `max_g` and `typical_g` are with the shell.

    `edible_g` is a published mass without shell, None where none was read. `open_end` says that the class
    has no bound on that side; the bound given is then assumed, as wide as the class beside it.
    """

    id: str
    region: str
    label: str
    min_g: float
    max_g: float
    typical_g: float
    edible_g: float | None
    open_end: Literal["", "above", "below"]
    cited: tuple[Cited, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EggMass:
    """Grams of one egg, yolk or white; `low` to `high` is where any single one of the class may lie."""

    grams: float
    low: float
    high: float


class EggCount(NamedTuple):
    """So much egg in eggs of one class; a tuple, since a formula for many tins makes hundreds.

    `exact` is a fraction of eggs; `nearest` the nearest whole number, `surplus_grams` and `error_percent`
    what that is over (below zero: under); `whole_eggs` and `beaten_grams` together are exact.
    """

    part: EggPart
    egg_class: str
    exact: float
    nearest: int
    grams: float
    surplus_grams: float
    error_percent: float
    whole_eggs: int
    beaten_grams: float


@dataclass(frozen=True, slots=True, kw_only=True)
class DriedEgg:
    """The same egg from dried product: `grams` of it and `water_grams` make up the liquid."""

    part: EggPart
    grams: float
    water_grams: float
    cited: Cited


def find_egg_class(name: str) -> EggClass:
    """The class of an id.

    Args:
        name: an id such as `eu_m` or `us_large`.
    Returns:
        The class.
    Raises:
        AmbiguousError: a bare size word, which differs by country.
        UnknownError: neither.
    """
    if known := EGG_CLASSES.get(name):
        return known
    word = "_".join(name.casefold().replace("-", " ").split())
    meant = tuple(key for key in EGG_CLASSES if key.split("_", 1)[1] == word)
    if meant:
        raise AmbiguousError(
            f"An egg size differs by country; say which: {', '.join(meant)}.",
            code="ambiguous-egg-class",
            candidates=meant,
        )
    raise UnknownError("Not an egg class we know.", code="unknown-egg-class", candidates=tuple(EGG_CLASSES))


@cache
def egg_mass(part: EggPart, egg_class: EggClass) -> EggMass:
    """Grams of one whole egg (no shell), yolk or white of a class.

    Args:
        part: `whole`, `yolk` or `white`.
        egg_class: whose.
    Returns:
        The mass; yolk and white add up to the whole. Yolk's share falls as eggs grow.
    Source:
        mass = a × W^b for white, yolk and shell (ijps-2007-6-3), scaled to add up to W; the whole egg's
        published edible mass is kept where one was read (usda-sr26). Low and high: the class's bounds
        times the least and largest share in any study read.
    """
    shares = _shares(egg_class.typical_g)
    edible = shares["white"] + shares["yolk"]
    whole_g = egg_class.edible_g or egg_class.typical_g * edible
    if part == "whole":
        low, high = 1 - _SHARE_RANGE["shell"][1], 1 - _SHARE_RANGE["shell"][0]
        grams = whole_g
    else:
        low, high = _SHARE_RANGE[part]
        grams = whole_g * shares[part] / edible
    return EggMass(grams=grams, low=min(grams, egg_class.min_g * low), high=max(grams, egg_class.max_g * high))


def count_eggs(grams: float, part: EggPart, egg_class: EggClass) -> EggCount:
    """How many eggs of a class make up *grams* of whole egg, yolk or white.

    Args:
        grams: above 0.
        part: what is wanted of the egg.
        egg_class: what is in the box.
    Returns:
        The exact and the nearest whole count, and whole eggs with the rest beaten and weighed.
    """
    each_g = egg_mass(part, egg_class).grams
    exact = grams / each_g
    count = round(exact)
    if abs(exact - count) < NEARLY_WHOLE * max(1.0, exact):
        return EggCount(part, egg_class.id, float(count), count, grams, 0.0, 0.0, count, 0.0)
    whole_eggs = math.floor(exact)
    counted_g, error = count * each_g, (count - exact) / exact * 100
    return EggCount(
        part, egg_class.id, exact, count, counted_g, counted_g - grams, error, whole_eggs, grams - whole_eggs * each_g
    )


def dried_egg(grams: float, part: EggPart) -> DriedEgg:
    """Dried egg and water that make up *grams* of liquid egg.

    Source:
        Solids balance of usda-sr26's water figures for the liquid and the dried product.
    """
    dried_g = grams * _PRODUCTS[part].dried_share
    return DriedEgg(part=part, grams=dried_g, water_grams=grams - dried_g, cited=_PRODUCTS[part].cited)


def liquid_egg_ml(grams: float, part: EggPart) -> float:
    """Millilitres of liquid egg.

    Args:
        grams: of it, without shell.
        part: whole, yolk or white.
    Returns:
        Millilitres.
    Source:
        usda-sr26, one cup of each.
    """
    return grams / _PRODUCTS[part].g_per_ml


def egg_sources(egg_class: EggClass) -> tuple[Cited, ...]:
    """What a mass of this class rests on."""
    return (*egg_class.cited, *_SHARE_CITED)


def class_notices(egg_class: EggClass) -> tuple[Notice, ...]:
    """What is assumed of a class that is open above or below."""
    if not egg_class.open_end:
        return ()
    message = (
        f"{egg_class.id} has no bound {egg_class.open_end}; taken as {egg_class.min_g:g} to {egg_class.max_g:g} g,"
        f" {egg_class.typical_g:g} g typical, with the shell. Weigh a few."
    )
    return (Notice(code="assumed_class_weight", message=message),)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Product:
    dried_share: float
    g_per_ml: float
    cited: Cited


def _shares(shell_on_g: float) -> dict[str, float]:
    raw = {part: share * (shell_on_g / MEAN_EGG_G) ** (b - 1) for part, (share, b) in _ALLOMETRY.items()}
    return {part: value / sum(raw.values()) for part, value in raw.items()}


def _load_classes() -> MappingProxyType[str, EggClass]:
    table, all_rows = {}, rows("egg_classes")
    width = {
        row["region"]: float(row["max_g"]) - float(row["min_g"])
        for row in reversed(all_rows)
        if row["min_g"] and row["max_g"]
    }  # of the region's topmost closed class, the neighbour of an open one above
    for row in all_rows:
        low = float(row["min_g"]) if row["min_g"] else float(row["max_g"]) - width[row["region"]]
        high = float(row["max_g"]) if row["max_g"] else low + width[row["region"]]
        citations = [cited(row)]
        if row["edible_g"]:
            citations.append(cite("usda-sr26", "NDB 01123 WEIGHT"))
        table[row["class"]] = EggClass(
            id=row["class"],
            region=row["region"],
            label=row["label"],
            min_g=low,
            max_g=high,
            typical_g=low if row["typical"] == "least" else (low + high) / 2,
            edible_g=float(row["edible_g"]) if row["edible_g"] else None,
            open_end="above" if not row["max_g"] else "below" if not row["min_g"] else "",
            cited=tuple(citations),
        )
    return MappingProxyType(table)


def _load_products() -> MappingProxyType[str, _Product]:
    return MappingProxyType(
        {
            row["part"]: _Product(
                dried_share=float(row["liquid_solids_percent"]) / float(row["dried_solids_percent"]),
                g_per_ml=float(Fraction(row["cup_g"]) / UNITS["us_cup"].factor),
                cited=cited(row),
            )
            for row in rows("egg_products")
        }
    )


_SHARE_ROWS = rows("egg_shares")
_ALLOMETRY = {
    row["part"]: (float(row["share"]), float(row["exponent"])) for row in _SHARE_ROWS if row["use"] == "figure"
}
_SHARE_RANGE = {
    part: (
        min(float(row["share"]) for row in _SHARE_ROWS if row["part"] == part),
        max(float(row["share"]) for row in _SHARE_ROWS if row["part"] == part),
    )
    for part in _ALLOMETRY
}
_SHARE_CITED = tuple(dict.fromkeys(cited(row) for row in _SHARE_ROWS if row["use"] == "figure"))
EGG_CLASSES = _load_classes()
_PRODUCTS = _load_products()
