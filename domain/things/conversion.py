"""Conversion of a quantity to another unit: by density between mass and volume, by weight for counted pieces."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from domain.errors import MismatchError, NeededError, OutOfRangeError, UnknownError, broken_limit
from domain.measures.quantities import MAX_AMOUNT, Quantity
from domain.measures.temperatures import convert_temperature
from domain.measures.units import Unit
from domain.notices import Notice
from domain.sources import Cited
from domain.things.eggs import EggClass, EggPart, class_notices, classes_of_size, egg_mass, egg_sources
from domain.things.ingredients import UNSTATED, Ingredient, density_of

EGG_PARTS: dict[str, EggPart] = {"egg": "whole", "egg-yolk": "yolk", "egg-white": "white"}
MIN_DENSITY, MAX_DENSITY = Fraction(1, 100), 25  # our own limits: icing sugar has 0.5 g/ml, gold 19.3
WIDE_RANGE = Fraction(1, 4)  # a range wider than a quarter either way earns a warning; our own choice


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """The exact factor from one unit to another, with its range, its sources and its warnings."""

    factor: Fraction
    low: Fraction
    high: Fraction
    cited: tuple[Cited, ...] = ()
    notices: tuple[Notice, ...] = ()
    ratios: tuple[int, int, int, int, int, int] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Store the fractions as integers, because a table has thousands of amounts."""
        parts = (part for factor in (self.factor, self.low, self.high) for part in factor.as_integer_ratio())
        object.__setattr__(self, "ratios", tuple(parts))

    def of(self, top: int, bottom: int) -> tuple[float, float, float]:
        """An amount at this rate.

        Args:
            top: the amount's numerator.
            bottom: its denominator, above 0.
        Returns:
            The amount, low and high: the doubles nearest to the exact results.
        Raises:
            OutOfRangeError: below zero or above a million.
        """
        return self.of_all(((top, bottom),))[0]

    def of_all(self, amounts: Iterable[tuple[int, int]]) -> list[tuple[float, float, float]]:
        """Several amounts at this rate.

        Args:
            amounts: the numerator and denominator of each.
        Returns:
            Amount, low and high for each. Each is one division of integers, which Python rounds correctly, so it is the
            double nearest to the exact result.
        Raises:
            OutOfRangeError: one is below zero or above a million.
        """
        factor_top, factor_bottom, low_top, low_bottom, high_top, high_bottom = self.ratios
        results = []
        for top, bottom in amounts:
            if not 0 <= top <= MAX_AMOUNT * bottom:
                raise OutOfRangeError(
                    f"The amount must be from 0 to {MAX_AMOUNT:,}.",
                    path=("amount",),
                    value=top / bottom,
                    limit=0 if top < 0 else MAX_AMOUNT,
                )
            results.append(
                (
                    top * factor_top / (bottom * factor_bottom),
                    top * low_top / (bottom * low_bottom),
                    top * high_top / (bottom * high_bottom),
                )
            )
        return results

    @property
    def inverse(self) -> "Rate":
        """The rate of the opposite conversion."""
        return Rate(
            factor=1 / self.factor, low=1 / self.high, high=1 / self.low, cited=self.cited, notices=self.notices
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Thing:
    """What is measured: an ingredient in a packing or in pieces of a size, or the caller's own density, or neither."""

    ingredient: Ingredient | None = None
    packing: str | None = None
    g_per_ml: Fraction | None = None
    egg_class: EggClass | None = None
    size: str | None = None

    def __post_init__(self) -> None:
        """Reject a density that no food has."""
        if self.g_per_ml is not None and self.g_per_ml <= 0:
            density = float(self.g_per_ml)
            raise OutOfRangeError(
                "g_per_ml must be above 0.", path=("g_per_ml",), value=density, limit=0, unit="g_per_ml"
            )


class Converted(NamedTuple):
    """An amount in the requested unit; a tuple, because a table has thousands of them."""

    amount: float
    low: float
    high: float
    unit: Unit
    cited: tuple[Cited, ...]
    notices: tuple[Notice, ...]


def check_density(density: Fraction) -> Fraction:
    """The same density, if a food can have it.

    Args:
        density: grams per millilitre.
    Returns:
        The density.
    Raises:
        OutOfRangeError: no food has this density.

    >>> check_density(Fraction(11, 20))
    Fraction(11, 20)
    """
    if not MIN_DENSITY < density <= MAX_DENSITY:
        raise OutOfRangeError(
            f"A density is above {float(MIN_DENSITY)} and at most {MAX_DENSITY} grams per millilitre.",
            value=float(density),
            limit=broken_limit(float(density), float(MIN_DENSITY), float(MAX_DENSITY)),
            unit="g_per_ml",
        )
    return density


def convert(amount: tuple[int, int], unit: Unit, to: Unit, thing: Thing) -> Converted:
    """The same amount of a thing in another unit.

    Args:
        amount: numerator and denominator (`quantities.amount_ratio`); not below zero unless it is a temperature.
        unit: the amount's unit.
        to: the requested unit.
        thing: what is converted.
    Returns:
        The amount with low and high: the doubles nearest to the exact results.
    Raises:
        MismatchError: one unit cannot be converted to the other.
        NeededError: the conversion needs a density or an egg class that was not given.
        OutOfRangeError: below zero, above a million, or not a kitchen's temperature.
        UnknownError: there is no figure for this thing.

    >>> from domain.measures.units import UNITS
    >>> convert((3, 2), UNITS["us_cup"], UNITS["ml"], Thing()).amount
    354.88235475
    """
    top, bottom = amount
    rate = constant_rate(unit, to, thing)
    if rate is None:
        return _read_off(top, bottom, unit, to)
    return Converted(*rate.of(top, bottom), to, rate.cited, rate.notices)


@lru_cache(maxsize=1024)  # exact fractions are slow, and ovens have few settings
def _read_off(top: int, bottom: int, unit: Unit, to: Unit) -> Converted:
    try:
        reading = convert_temperature(Quantity(amount=Fraction(top, bottom), unit=unit), to)
    except OutOfRangeError as error:
        error.path = ("amount",)
        raise
    return Converted(float(reading.amount), float(reading.low), float(reading.high), to, reading.cited, ())


def constant_rate(unit: Unit, to: Unit, thing: Thing) -> Rate | None:
    """The rate between two units, if it is the same for every amount.

    Args:
        unit: the unit of the amounts.
        to: the requested unit.
        thing: what is converted.
    Returns:
        The exact rate; None for two temperatures, whose scales have different zeros or go by a table.
    Raises:
        MismatchError, NeededError, UnknownError: see `convert`.
    """
    if "temperature" not in {unit.dimension, to.dimension}:
        return rate_between(unit, to, thing)
    if unit.dimension != to.dimension:
        raise _cannot_become(unit, to)
    return None


def rate_between(unit: Unit, to: Unit, thing: Thing) -> Rate:
    """The rate from one unit to another.

    Args:
        unit: a unit of mass, volume, length, area or count.
        to: the requested unit.
        thing: what is converted; its density or weight joins mass, volume and count.
    Returns:
        The exact rate.
    Raises:
        MismatchError, NeededError, UnknownError: see `convert`.
    """
    if unit is to:
        return Rate(factor=Fraction(1), low=Fraction(1), high=Fraction(1))
    if unit.dimension == to.dimension:
        rate = Rate(factor=unit.factor / to.factor, low=unit.low / to.high, high=unit.high / to.low)
        notices = _vague(unit) + _vague(to)
        return rate if not notices else Rate(factor=rate.factor, low=rate.low, high=rate.high, notices=notices)
    measurable = ("mass", "volume", "count")
    if unit.dimension not in measurable or to.dimension not in measurable:
        raise _cannot_become(unit, to)
    there, back = grams_per(unit, thing), grams_per(to, thing).inverse
    return Rate(
        factor=there.factor * back.factor,
        low=there.low * back.low,
        high=there.high * back.high,
        cited=tuple(dict.fromkeys(there.cited + back.cited)),
        notices=tuple(dict.fromkeys(there.notices + back.notices)),
    )


def grams_per(unit: Unit, thing: Thing) -> Rate:
    """Grams in one *unit* of a thing.

    Args:
        unit: a unit of mass, volume or count.
        thing: what is weighed.
    Returns:
        The rate to grams.
    Raises:
        MismatchError: the unit measures something else.
        NeededError, UnknownError: see `convert`.
    """
    if unit.dimension == "mass":
        return Rate(factor=unit.factor, low=unit.low, high=unit.high)
    if unit.dimension == "volume":
        return _grams_per_volume(unit, thing)
    if unit.dimension == "count":
        return _grams_per_piece(thing)
    raise MismatchError(
        f"An ingredient is measured by mass, volume or count, and {unit.id} is a {unit.dimension}.",
        code="unit_mismatch",
    )


def _cannot_become(unit: Unit, to: Unit) -> MismatchError:
    message = f"{unit.id} measures {unit.dimension}, and {to.id} {to.dimension}: one cannot become the other."
    return MismatchError(message, path=("to",), code="unit_mismatch")


def _grams_per_volume(unit: Unit, thing: Thing) -> Rate:
    if thing.g_per_ml is not None:
        g_per_ml = thing.g_per_ml
        return Rate(
            factor=unit.factor * g_per_ml, low=unit.low * g_per_ml, high=unit.high * g_per_ml, notices=_vague(unit)
        )
    if thing.ingredient is None:
        raise NeededError(
            "Give the ingredient (or g_per_ml): volume is converted to mass by density.",
            path=("ingredient",),
            code="ingredient_needed",
        )
    density, assumed = density_of(thing.ingredient, thing.packing)
    notices = list(_vague(unit))
    if assumed:
        message = (
            _packing_taken(density.packing, thing.ingredient.densities)
            if thing.packing is None
            else "The only source does not say how the measure was filled; its figure is used."
        )
        notices.append(Notice(code="packing_assumed", message=message))
    if density.basis == "analogy":
        notices.append(
            Notice(
                code="analogy",
                message=(
                    f"There is no own figure for {thing.ingredient.british} in this packing: it is taken "
                    f"{density.note}, with a wider range."
                ),
            )
        )
    if (spread := float((density.high - density.low) / 2 / density.g_per_ml)) > WIDE_RANGE:
        message = f"Published figures for {thing.ingredient.british} differ by ±{spread:.0%}; weigh it where you can."
        notices.append(Notice("wide_range", message, (), 100 * spread, float(100 * WIDE_RANGE), "percent"))
    return Rate(
        factor=unit.factor * density.g_per_ml,
        low=unit.low * density.low,
        high=unit.high * density.high,
        cited=density.cited,
        notices=tuple(notices),
    )


def _packing_taken(taken: str, packings: Iterable[str]) -> str:
    """What is said of a measure whose filling is not: how it is taken, and what the range covers.

    >>> _packing_taken("spooned", ["spooned", "dipped", "unstated"])
    'How the measure was filled is not said: it is taken as spooned, and the range covers dipped too.'
    >>> _packing_taken("unstated", ["unstated"])
    'How the measure was filled is not said, in its source either.'
    """
    others = [packing for packing in packings if packing not in {taken, UNSTATED}]
    covered = f", and the range covers {' and '.join(others)} too" if others else ""
    if taken == UNSTATED:
        return f"How the measure was filled is not said, in its source either{covered}."
    return f"How the measure was filled is not said: it is taken as {taken}{covered}."


def _grams_per_piece(thing: Thing) -> Rate:
    if thing.ingredient is None:
        raise NeededError("Give the ingredient that is counted.", path=("ingredient",), code="ingredient_needed")
    if part := EGG_PARTS.get(thing.ingredient.id):
        return _grams_per_egg(part, thing.egg_class, thing.size)
    pieces = thing.ingredient.pieces
    if not pieces:
        raise UnknownError(
            f"There is no published weight of one {thing.ingredient.british}: weigh it.", code="no_piece_weight"
        )
    piece = pieces.get(thing.size or "")
    if piece is None:
        sizes = tuple(size for size in pieces if size)
        raise NeededError(
            f"Pieces of {thing.ingredient.british} differ; say which before the name: {', '.join(sizes)}.",
            path=("ingredient",),
            code="piece_size_needed",
            candidates=sizes,
        )
    name = f"{piece.size} {thing.ingredient.british}".strip()
    message = f"One {name}: {piece.part}, {float(piece.grams):.3g} g. Pieces differ: weigh them."
    notice = Notice("wide_range", message, value=float(piece.grams), unit="g")
    return Rate(factor=piece.grams, low=piece.low, high=piece.high, cited=(piece.cited,), notices=(notice,))


def _grams_per_egg(part: EggPart, egg_class: EggClass | None, size: str | None) -> Rate:
    classes = classes_of_size(size) if size else ()
    if egg_class is None:
        such_as = f"one of {', '.join(classes)}, by country" if classes else "such as eu_m or us_large"
        raise NeededError(
            f"Eggs are counted by weight class: give egg_class, {such_as}.",
            path=("egg_class",),
            code="egg_class_needed",
            candidates=classes,
        )
    if classes and egg_class.id not in classes:
        raise MismatchError(
            f"The name says {size} eggs, and egg_class is {egg_class.id}: leave the size out, or give one of"
            f" {', '.join(classes)}.",
            path=("egg_class",),
            code="egg_size_mismatch",
            candidates=classes,
        )
    mass = egg_mass(part, egg_class)
    return Rate(
        factor=Fraction(mass.grams),
        low=Fraction(mass.low),
        high=Fraction(mass.high),
        cited=egg_sources(egg_class),
        notices=class_notices(egg_class),
    )


def _vague(unit: Unit) -> tuple[Notice, ...]:
    if not unit.vague:
        return ()
    return (Notice(code="vague_measure", message=f"No standard fixes a {unit.id}; the range is what kitchens use."),)
