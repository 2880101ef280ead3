"""The nearest batches of a formula that take a whole number of eggs."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from domain.formulas.formula import WeighedFormula
from domain.formulas.targets import Target
from domain.things.eggs import NEARLY_WHOLE, EggClass, EggCount, count_eggs, egg_mass
from domain.tins.geometry import capacity_ml, depth_mm
from domain.tins.shapes import Walls, walls_of


@dataclass(frozen=True, slots=True, kw_only=True)
class WholeEggBatch:
    """The nearest batch with a whole number of eggs of one class.

    If the parts of the egg are in proportions that cannot all be whole, the heaviest part is, and the counts of
    the other parts have an error.
    """

    egg_class: str
    factor: float
    grams: float
    filled_depth_mm: float | None
    fill_percent: float | None
    eggs: tuple[EggCount, ...]


def whole_egg_batches(
    weighed: WeighedFormula, target: Target, factor: float, egg_classes: Sequence[EggClass]
) -> tuple[WholeEggBatch, ...]:
    """The whole-egg batches next to a target.

    Args:
        weighed: the formula.
        target: what it is rescaled to.
        factor: of the target.
        egg_classes: the classes available.
    Returns:
        For each class the batch below and the batch above, or one if the target takes whole eggs; none without eggs.
    """
    if not weighed.eggs:
        return ()
    batches = list[WholeEggBatch]()
    walls = None if target.tin is None else walls_of(target.tin)
    capacity = None if target.tin is None else capacity_ml(target.tin)
    for egg_class in egg_classes:
        per_batch = _eggs_at_factor_one(weighed, egg_class)
        wanted = factor * per_batch
        nearest = round(wanted)
        if nearest and abs(wanted - nearest) < NEARLY_WHOLE * max(1.0, wanted):
            numbers = [nearest]
        else:
            numbers = [number for number in (math.floor(wanted), math.ceil(wanted)) if number]
        batches += [
            _batch(weighed, target, number / per_batch, egg_class, walls=walls, capacity=capacity) for number in numbers
        ]
    return tuple(batches)


def _eggs_at_factor_one(weighed: WeighedFormula, egg_class: EggClass) -> float:
    """The number n of equal steps in the formula: at every multiple of 1/n all eggs that are counted are whole."""
    counts = [eggs.count for eggs in weighed.eggs]
    if weighed.formula.egg_class is egg_class and all(count is not None for count in counts):
        exact = [count for count in counts if count is not None]
        bottom = math.lcm(*(count.denominator for count in exact))
        return math.gcd(*(count.numerator * (bottom // count.denominator) for count in exact)) / bottom
    heaviest = max(weighed.eggs, key=lambda eggs: eggs.mass.grams)
    return heaviest.mass.grams / egg_mass(heaviest.part, egg_class).grams


def _batch(
    weighed: WeighedFormula,
    target: Target,
    factor: float,
    egg_class: EggClass,
    *,
    walls: Walls | None,
    capacity: float | None,
) -> WholeEggBatch:
    height, percent = None, None
    if walls is not None and weighed.batter_ml is not None:
        batter_ml = weighed.batter_ml * weighed.formula.tins * factor / target.tins
        height = depth_mm(walls, batter_ml)
        percent = batter_ml / capacity * 100 if capacity else None
    return WholeEggBatch(
        egg_class=egg_class.id,
        factor=factor,
        grams=weighed.mass.grams * factor,
        filled_depth_mm=height,
        fill_percent=percent,
        eggs=tuple([count_eggs(eggs.mass.grams * factor, eggs.part, egg_class) for eggs in weighed.eggs]),
    )
