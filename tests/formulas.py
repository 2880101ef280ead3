"""Lines, components and formulas for tests, by the names of their ingredients."""

from typing import Any

from domain.errors import UnknownError
from domain.formulas.formula import Component, Formula, Line
from domain.measures.quantities import parse_quantity
from domain.measures.units import Measures
from domain.pieces.counts import Division
from domain.things.conversion import Thing
from domain.things.eggs import EggClass
from domain.things.ingredients import find_ingredient
from domain.tins.text import parse_tin


def line(name: str, quantity: str, *, measures: Measures | None = None, egg_class: EggClass | None = None) -> Line:
    """A line of an ingredient of our tables, or of one that they do not have."""
    try:
        ingredient = find_ingredient(name)
    except UnknownError:
        ingredient = None
    thing = Thing(ingredient=ingredient, egg_class=egg_class)
    return Line(name=name, thing=thing, quantity=parse_quantity(quantity, measures))


def component(
    *lines: tuple[str, str],
    name: str = "mix",
    pieces: Division | None = None,
    measures: Measures | None = None,
    egg_class: EggClass | None = None,
) -> Component:
    """A component from pairs of ingredient and quantity."""
    made = tuple(line(*each, measures=measures, egg_class=egg_class) for each in lines)
    return Component(name=name, lines=made, pieces=pieces)


def formula(*components: Component, tin: str | None = None, **more: Any) -> Formula:
    """A formula of components; more of its fields by their names."""
    return Formula(name="x", components=components, tin=None if tin is None else parse_tin(tin), **more)
