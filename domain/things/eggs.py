"""Eggs by weight class: grams of whole egg, yolk and white, and how many of another class."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from types import MappingProxyType
from typing import Literal, NamedTuple

from domain.errors import AmbiguousError, OutOfRangeError, UnknownError
from domain.measures.units import UNITS
from domain.notices import Notice
from domain.reference import rows
from domain.sources import Cited, cite, cited

EggPart = Literal["whole", "yolk", "white"]
PARTS: tuple[EggPart, ...] = ("whole", "yolk", "white")
CLASS_ENDINGS = {  # how ids of classes end for a size word: the labels of egg_classes.csv
    "small": ("s", "small"),
    "medium": ("m", "medium"),
    "large": ("l", "large"),
    "extra large": ("xl", "extra_large"),
}
MEAN_EGG_G = 55.64  # the study's mean egg, where its shares hold: ijps-2007-6-3, abstract
MAX_EGGS = 100_000  # our own limit, no source
NEARLY_WHOLE = 1e-9  # relative; a count this close to a whole number differs from it only by rounding of doubles


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)  # each entry of the table is one object
class EggClass:
    """A weight class of a region; `min_g`, `max_g` and `typical_g` are with the shell.

    `edible_g` is a published mass without shell, None if there is none. A class with an `open_end` has no
    legal bound on that side; its bound is assumed, so that it is as wide as the next class.
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
    """Grams of egg, yolk or white; `low` to `high` is the range of any eggs of the class."""

    grams: float
    low: float
    high: float


class EggCount(NamedTuple):
    """A mass of egg in eggs of one class; a tuple, because a formula for many tins has hundreds of them.

    `exact` is a fraction of eggs and `nearest` the nearest whole number, whose excess over the mass is
    `surplus_grams` and `error_percent`; `whole_eggs` and `beaten_grams` together are exact.
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
    """Dried egg and the water that together replace liquid egg."""

    part: EggPart
    grams: float
    water_grams: float
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class EggPortion:
    """A number of eggs, yolks or whites of one class, and their mass, volume and dried form."""

    part: EggPart
    count: float
    mass: EggMass
    liquid_ml: float
    dried: DriedEgg


def find_egg_class(name: str) -> EggClass:
    """The egg class of an id.

    Args:
        name: an id such as `eu_m` or `us_large`.
    Returns:
        The class.
    Raises:
        AmbiguousError: a bare size word, which differs by country.
        UnknownError: not an id either.
    """
    if egg_class := EGG_CLASSES.get(name):
        return egg_class
    word = "_".join(name.casefold().replace("-", " ").split())
    candidates = tuple(key for key in EGG_CLASSES if key.split("_", 1)[1] == word)
    if candidates:
        raise AmbiguousError(
            f"Egg sizes differ by country; give one of {', '.join(candidates)}.",
            code="ambiguous_egg_class",
            candidates=candidates,
        )
    raise UnknownError(
        "This egg class is unknown; GET /v1/eggs/classes lists all classes.",
        code="unknown_egg_class",
        candidates=tuple(EGG_CLASSES),
    )


@cache  # there are few classes, and powers are slow
def egg_mass(part: EggPart, egg_class: EggClass) -> EggMass:
    """Grams of one whole egg (no shell), yolk or white of a class.

    Args:
        part: `whole`, `yolk` or `white`.
        egg_class: whose.
    Returns:
        The mass; yolk and white add up to the whole. Yolk's share falls as eggs grow.
    Source:
        mass = a × W^b for white, yolk and shell (ijps-2007-6-3), scaled to add up to W; the whole egg's
        published edible mass is kept where one was read (usda-sr28). Low and high: the class's bounds
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


def check_egg_count(count: float) -> float:
    """The same number of eggs, if it is plausible.

    Args:
        count: a number of eggs.
    Returns:
        The number.
    Raises:
        OutOfRangeError: not above 0, or above 100,000.
    """
    if not 0 < count <= MAX_EGGS:
        raise OutOfRangeError(
            f"A number of eggs must be above 0 and at most {MAX_EGGS:,}.",
            value=float(count),
            limit=0 if count <= 0 else MAX_EGGS,
        )
    return count


def egg_portion(part: EggPart, count: float, egg_class: EggClass) -> EggPortion:
    """Eggs, yolks or whites by number.

    Args:
        part: `whole`, `yolk` or `white`.
        count: how many.
        egg_class: their class.
    Returns:
        Their mass, and the same as liquid and as dried egg.
    Raises:
        OutOfRangeError: see `check_egg_count`.
    """
    single = egg_mass(part, egg_class)
    number = check_egg_count(count)
    mass = EggMass(grams=single.grams * number, low=single.low * number, high=single.high * number)
    return EggPortion(
        part=part,
        count=number,
        mass=mass,
        liquid_ml=liquid_egg_ml(mass.grams, part),
        dried=dried_egg(mass.grams, part),
    )


def total_mass(portions: Iterable[EggPortion]) -> EggMass:
    """The mass of several portions together.

    Args:
        portions: eggs, yolks and whites.
    Returns:
        The sums of the masses, of the lows and of the highs.
    """
    masses = [portion.mass for portion in portions]
    return EggMass(
        grams=sum(mass.grams for mass in masses),
        low=sum(mass.low for mass in masses),
        high=sum(mass.high for mass in masses),
    )


def count_eggs(grams: float, part: EggPart, egg_class: EggClass) -> EggCount:
    """The number of eggs of a class that have *grams* of whole egg, yolk or white.

    Args:
        grams: mass of the part, above 0.
        part: the part of the egg.
        egg_class: the class of the eggs.
    Returns:
        The exact and the nearest whole count, and whole eggs with the rest as beaten egg.
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
        Balance of solids, from usda-sr28's water figures for the liquid and the dried product.
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
        usda-sr28, one cup of each.
    """
    return grams / _PRODUCTS[part].g_per_ml


def egg_sources(egg_class: EggClass) -> tuple[Cited, ...]:
    """The sources of a mass of this class."""
    return (*egg_class.cited, *_SHARE_CITED)


def classes_of_size(size: str) -> tuple[str, ...]:
    """Ids of the classes that a size word means, by country: a large egg is eu_l in Europe, us_large in the USA.

    >>> classes_of_size("large")[:2]
    ('eu_l', 'us_large')
    """
    endings = CLASS_ENDINGS.get(size, ())
    return tuple(key for key in EGG_CLASSES if key.partition("_")[2] in endings)


def class_notices(egg_class: EggClass) -> tuple[Notice, ...]:
    """Warnings about a class without a legal upper or lower bound."""
    if not egg_class.open_end:
        return ()
    message = (
        f"{egg_class.id} has no legal bound {egg_class.open_end}; {egg_class.min_g:g} to {egg_class.max_g:g} g is"
        f" assumed, {egg_class.typical_g:g} g typical, with the shell. Weigh a few."
    )
    return (Notice("assumed_class_weight", message, value=float(egg_class.typical_g), unit="g"),)


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
    }  # the rows go from heavy to light: reversed, the heaviest class with both bounds wins
    for row in all_rows:
        low = float(row["min_g"]) if row["min_g"] else float(row["max_g"]) - width[row["region"]]
        high = float(row["max_g"]) if row["max_g"] else low + width[row["region"]]
        citations = [cited(row)]
        if row["edible_g"]:
            citations.append(cite("usda-sr28", "NDB 01123 WEIGHT"))
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
