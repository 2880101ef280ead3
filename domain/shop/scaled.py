"""A formula in grams at a factor, for the cost, the label and the balance of a target."""

from dataclasses import replace
from fractions import Fraction

from domain.formulas.formula import (
    EggTotal,
    WeighedComponent,
    WeighedFormula,
    WeighedLine,
    above_zero,
    total,
)
from domain.measures.quantities import Quantity
from domain.pieces.counts import pieces_of


def scaled(weighed: WeighedFormula, factor: float) -> WeighedFormula:
    """A formula in grams with every line multiplied by a factor.

    Args:
        weighed: the formula as written, in grams.
        factor: of a target, above 0.
    Returns:
        The formula for the target. Masses and their bounds are those of `domain.formulas.rescaling.rescale`; the
        formula itself at factor 1. Pieces keep their mass, and their count scales. What belongs to the tins (number,
        depth, fill) and the notices stay as written.
    Raises:
        OutOfRangeError: the factor is not above 0.
    """
    above_zero(factor=factor)
    if factor == 1:
        return weighed
    components = tuple(_component(component, factor) for component in weighed.components)
    return replace(
        weighed,
        components=components,
        mass=total(component.mass for component in components),
        eggs=tuple(_eggs(eggs, factor) for eggs in weighed.eggs),
    )


def _component(component: WeighedComponent, factor: float) -> WeighedComponent:
    lines = tuple(_line(line, factor) for line in component.lines)
    mass = total(line.mass for line in lines)
    pieces = (
        None
        if component.pieces is None
        else pieces_of(mass.grams, component.pieces.written_grams, component.pieces.division)
    )
    return replace(component, lines=lines, mass=mass, pieces=pieces)


def _line(line: WeighedLine, factor: float) -> WeighedLine:
    quantity = Quantity(amount=line.quantity.amount * Fraction(factor), unit=line.quantity.unit)
    return line._replace(quantity=quantity, amount=line.amount * factor, mass=line.mass.times(factor))


def _eggs(eggs: EggTotal, factor: float) -> EggTotal:
    count = None if eggs.count is None else eggs.count * Fraction(factor)
    return replace(eggs, mass=eggs.mass.times(factor), count=count)
