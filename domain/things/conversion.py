"""One quantity of a thing in another unit: through density when mass meets volume, by count for pieces."""

from collections.abc import Iterable
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from typing import NamedTuple

from domain.errors import MismatchError, NeededError, OutOfRangeError, UnknownError
from domain.measures.quantities import MAX_AMOUNT, Quantity
from domain.measures.temperatures import convert_temperature
from domain.measures.units import Unit
from domain.notices import Notice
from domain.sources import Cited
from domain.things.eggs import EggClass, EggPart, class_notices, egg_mass, egg_sources
from domain.things.ingredients import Ingredient, density_of

EGG_PARTS: dict[str, EggPart] = {"egg": "whole", "egg-yolk": "yolk", "egg-white": "white"}
WIDE_RANGE = Fraction(1, 4)  # a range wider than a quarter either way earns a warning; our own choice


@dataclass(frozen=True, slots=True, kw_only=True)
class Rate:
    """How much one of a unit is in another: exact, with the range, what it rests on and what to know."""

    factor: Fraction
    low: Fraction
    high: Fraction
    cited: tuple[Cited, ...] = ()
    notices: tuple[Notice, ...] = ()
    ratios: tuple[int, int, int, int, int, int] = field(init=False, repr=False)

    def __post_init__(self) -> None:
        """Take the fractions apart once, since `of` is asked thousands of times."""
        parts = (part for one in (self.factor, self.low, self.high) for part in one.as_integer_ratio())
        object.__setattr__(self, "ratios", tuple(parts))

    def of(self, top: int, bottom: int) -> tuple[float, float, float]:
        """An amount at this rate.

        Args:
            top: the amount's upper integer.
            bottom: its lower integer, above 0.
        Returns:
            The amount, low and high: the doubles nearest to the exact results, since each is one division of integers,
            which Python rounds correctly.
        Raises:
            OutOfRangeError: below zero or above a million.
        """
        if not 0 <= top <= MAX_AMOUNT * bottom:
            raise _out_of_range()
        factor_top, factor_bottom, low_top, low_bottom, high_top, high_bottom = self.ratios
        return (
            (top * factor_top) / (bottom * factor_bottom),
            (top * low_top) / (bottom * low_bottom),
            (top * high_top) / (bottom * high_bottom),
        )

    @property
    def inverse(self) -> "Rate":
        """The way back."""
        return Rate(
            factor=1 / self.factor, low=1 / self.high, high=1 / self.low, cited=self.cited, notices=self.notices
        )


def at_rates(amounts: Iterable[tuple[int, int]], rates: Iterable[Rate]) -> tuple[list[float], list[float], list[float]]:
    """A column of amounts, each at its rate: as `Rate.of`, in half the time.

    Args:
        amounts: each as its upper and lower integer.
        rates: one for each.
    Returns:
        The amounts, the lows and the highs.
    Raises:
        OutOfRangeError: one of them is below zero or above a million.
    """
    found, low, high = list[float](), list[float](), list[float]()
    for (top, bottom), rate in zip(amounts, rates, strict=False):
        if not 0 <= top <= MAX_AMOUNT * bottom:
            raise _out_of_range()
        factor_top, factor_bottom, low_top, low_bottom, high_top, high_bottom = rate.ratios
        found.append(top * factor_top / (bottom * factor_bottom))
        low.append(top * low_top / (bottom * low_bottom))
        high.append(top * high_top / (bottom * high_bottom))
    return found, low, high


def _out_of_range() -> OutOfRangeError:
    return OutOfRangeError(f"The amount must be from 0 to {MAX_AMOUNT:,}.", path=("amount",))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)  # the key of caches: identity is the fastest
class Thing:
    """What is measured: an ingredient in a packing, or a density the caller brought, or neither."""

    ingredient: Ingredient | None = None
    packing: str | None = None
    g_per_ml: Fraction | None = None
    egg_class: EggClass | None = None

    def __post_init__(self) -> None:
        """Refuse what no food is."""
        if self.g_per_ml is not None and self.g_per_ml <= 0:
            raise OutOfRangeError("g_per_ml must be above 0.", path=("g_per_ml",))


class Converted(NamedTuple):
    """An amount in the unit asked for; a tuple, since a batch makes a thousand of them."""

    amount: float
    low: float
    high: float
    unit: Unit
    cited: tuple[Cited, ...]
    notices: tuple[Notice, ...]


def convert(amount: tuple[int, int], unit: Unit, to: Unit, thing: Thing) -> Converted:
    """The same amount of a thing in another unit.

    Args:
        amount: upper over lower integer (`quantities.amount_ratio`); not below zero unless it is a temperature.
        unit: of the amount.
        to: the unit wanted.
        thing: of what.
    Returns:
        The amount with low and high: the doubles nearest to the exact results.
    Raises:
        MismatchError: no way leads from one unit to the other.
        NeededError: the way leads through a density or an egg class that was not given.
        OutOfRangeError: below zero, above a million, or no kitchen's temperature.
        UnknownError: no figure was read for this thing.

    >>> from domain.measures.units import UNITS
    >>> convert((3, 2), UNITS["us_cup"], UNITS["ml"], Thing()).amount
    354.88235475
    """
    top, bottom = amount
    if "temperature" in (unit.dimension, to.dimension):
        return _read_off(top, bottom, unit, to)
    rate = rate_between(unit, to, thing)
    return Converted(*rate.of(top, bottom), to, rate.cited, rate.notices)


@lru_cache(maxsize=1024)  # ovens have few settings
def _read_off(top: int, bottom: int, unit: Unit, to: Unit) -> Converted:
    reading = convert_temperature(Quantity(amount=Fraction(top, bottom), unit=unit), to)
    return Converted(float(reading.amount), float(reading.low), float(reading.high), to, reading.cited, ())


@lru_cache(maxsize=1024)
def rate_between(unit: Unit, to: Unit, thing: Thing) -> Rate:
    """How much of one unit another is.

    Args:
        unit: of mass, volume, length, area or count.
        to: the unit wanted.
        thing: of what, where mass meets volume or count.
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
        message = f"{unit.id} measures {unit.dimension}, and {to.id} {to.dimension}: one cannot become the other."
        raise MismatchError(message, path=("to",), code="unit-mismatch")
    there, back = grams_per(unit, thing), grams_per(to, thing).inverse
    return Rate(
        factor=there.factor * back.factor,
        low=there.low * back.low,
        high=there.high * back.high,
        cited=tuple(dict.fromkeys(there.cited + back.cited)),
        notices=tuple(dict.fromkeys(there.notices + back.notices)),
    )


@lru_cache(maxsize=1024)
def grams_per(unit: Unit, thing: Thing) -> Rate:
    """Grams in one *unit* of a thing.

    Args:
        unit: of mass, volume or count.
        thing: of what.
    Returns:
        The rate to grams.
    Raises:
        MismatchError: the unit is none of the three.
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
        code="unit-mismatch",
    )


def _grams_per_volume(unit: Unit, thing: Thing) -> Rate:
    if thing.g_per_ml is not None:
        density = thing.g_per_ml
        return Rate(
            factor=unit.factor * density, low=unit.low * density, high=unit.high * density, notices=_vague(unit)
        )
    if thing.ingredient is None:
        raise NeededError(
            "Say which ingredient (or give g_per_ml): volume becomes mass through its density.",
            path=("ingredient",),
            code="ingredient-needed",
        )
    density_, assumed = density_of(thing.ingredient, thing.packing)
    notices = list(_vague(unit))
    if assumed:
        known = ", ".join(thing.ingredient.densities)
        message = (
            f"No packing said: {density_.packing} assumed, the range spans {known}."
            if thing.packing is None
            else "The only source does not state how the measure was filled; its figure is used."
        )
        notices.append(Notice(code="packing_assumed", message=message))
    if density_.basis == "analogy":
        notices.append(
            Notice(
                code="analogy",
                message=(
                    f"{thing.ingredient.id} has no figure of its own in this packing: taken {density_.note}, "
                    "with a wider range."
                ),
            )
        )
    if density_.high - density_.low > 2 * WIDE_RANGE * density_.g_per_ml:
        message = f"Published figures for {thing.ingredient.id} lie far apart; weigh it where you can."
        notices.append(Notice(code="wide_range", message=message))
    return Rate(
        factor=unit.factor * density_.g_per_ml,
        low=unit.low * density_.low,
        high=unit.high * density_.high,
        cited=density_.cited,
        notices=tuple(notices),
    )


def _grams_per_piece(thing: Thing) -> Rate:
    if thing.ingredient is None:
        raise NeededError("Say which ingredient is counted.", path=("ingredient",), code="ingredient-needed")
    if part := EGG_PARTS.get(thing.ingredient.id):
        return _grams_per_egg(part, thing.egg_class)
    piece = thing.ingredient.piece
    if piece is None:
        raise UnknownError(f"No weight of one {thing.ingredient.british} was read: weigh it.", code="no-piece-weight")
    notice = Notice(code="wide_range", message=f"One {thing.ingredient.british}: {piece.part}. Sizes differ: weigh it.")
    return Rate(factor=piece.grams, low=piece.low, high=piece.high, cited=(piece.cited,), notices=(notice,))


def _grams_per_egg(part: EggPart, egg_class: EggClass | None) -> Rate:
    if egg_class is None:
        raise NeededError(
            "Eggs are counted by weight class: say which (egg_class), such as eu_m or us_large.",
            path=("egg_class",),
            code="egg-class-needed",
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
