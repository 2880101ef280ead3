"""Short constructors of formulas, goods and labels for the tests of the shop."""

from collections.abc import Mapping
from fractions import Fraction

from domain.formulas.formula import Component, Formula, Line, WeighedFormula, weigh_formula
from domain.measures.quantities import Quantity, parse_quantity
from domain.measures.units import UNITS
from domain.shop.allergens import Market
from domain.shop.goods import EMPTY_BOOK, Book, Good, Pack
from domain.shop.label import LabelFigures, Sold, label
from domain.shop.money import find_currency
from domain.shop.nutrition import Composition
from domain.shop.reference_compositions import composition_of
from domain.things.conversion import Thing
from domain.things.eggs import EGG_CLASSES
from domain.things.ingredients import find_ingredient

EU_M = EGG_CLASSES["eu_m"]


def line(name: str, grams: float | str) -> Line:
    """A line in grams, or with a quantity as text. A name in capitals is not in our ingredient table."""
    ingredient = None if name.isupper() else find_ingredient(name)
    quantity = (
        parse_quantity(grams, "metric")
        if isinstance(grams, str)
        else Quantity(amount=Fraction(repr(float(grams))), unit=UNITS["g"])
    )
    return Line(name=name, thing=Thing(ingredient=ingredient, egg_class=EU_M), quantity=quantity)


def weighed(lines: Mapping[str, float | str], *, tins: int = 1, name: str = "bake") -> WeighedFormula:
    """A formula of one component."""
    made = tuple(line(key, grams) for key, grams in lines.items())
    component = Component(name="mix", lines=made)
    return weigh_formula(Formula(name=name, components=(component,), tins=tins, egg_class=EU_M))


def labelled(
    lines: Mapping[str, float | str],
    loss: float = 0.0,
    *,
    market: Market = "eu",
    book: Book = EMPTY_BOOK,
    name: str = "bake",
    portions: int | None = None,
) -> LabelFigures:
    """The label of a formula."""
    sold = Sold(name=name, market=market, bake_loss_percent=loss, portions=portions)
    return label(weighed(lines, name=name), sold, book)


def good(name: str, *packs: tuple[str, str | None]) -> Good:
    """A good with its packs, each a size and a price."""
    priced = any(price is not None for _, price in packs)
    try:
        ingredient = find_ingredient(name)
    except ValueError:
        ingredient = None
    return Good(
        name=name,
        ingredient=ingredient,
        currency=find_currency("GBP") if priced else None,
        packs=tuple(
            Pack(size=parse_quantity(size), price=None if price is None else Fraction(price)) for size, price in packs
        ),
    )


def reference(name: str, market: Market | None = None) -> Composition:
    """The reference composition of an ingredient by its name."""
    composition = composition_of(find_ingredient(name), name, market)
    assert composition is not None
    return composition
