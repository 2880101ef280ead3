"""One line of a recipe in grams."""

from dataclasses import dataclass

from domain.errors import DomainError
from domain.formulas.formula import Line
from domain.measures.quantities import parse_quantity
from domain.reading.lines import read_line
from domain.reading.values import LineReading, Question, ReadingOptions
from domain.things.conversion import Thing
from domain.things.eggs import EGG_CLASSES
from domain.things.ingredients import find_ingredient, size_in


@dataclass(frozen=True, slots=True, kw_only=True)
class WeighedReading:
    """A line with its grams; low and high hold the range of its words and of the published figures."""

    reading: LineReading
    grams: float
    grams_low: float
    grams_high: float


def weigh_line(text: str, options: ReadingOptions) -> WeighedReading | Question:
    """Read a line and weigh it.

    Args:
        text: one line.
        options: language, measures and so on.
    Returns:
        The line in grams, or the first question about it.
    Raises:
        DomainError: the line cannot be weighed, for example because an egg class is needed.
    """
    readings = read_line(text, options)
    first = readings[0]
    for question in (question for each in readings for question in each.questions):
        return question
    if len(readings) > 1 or first.kind != "line":
        message = "Give one ingredient with its amount."
        return Question(code="line_unclear", message=message)
    egg_class = first.egg_class or options.egg_class or ""
    masses = [
        _mass(first, quantity, options, egg_class)
        for quantity in (first.quantity, first.low or first.quantity, first.high or first.quantity)
    ]
    return WeighedReading(reading=first, grams=masses[0][0], grams_low=masses[1][1], grams_high=masses[2][2])


def _mass(reading: LineReading, quantity: str, options: ReadingOptions, egg_class: str) -> tuple[float, float, float]:
    ingredient = find_ingredient(reading.ingredient)
    thing = Thing(
        ingredient=ingredient,
        packing=reading.packing or None,
        egg_class=EGG_CLASSES.get(egg_class),
        size=size_in(reading.ingredient),
    )
    try:
        line = Line(name=reading.ingredient, thing=thing, quantity=parse_quantity(quantity, options.measures))
        mass = line.weight.mass
    except DomainError as error:
        error.path = ("egg_class",) if error.code == "egg_class_needed" else ("text",)
        raise
    return mass.grams, mass.low, mass.high
