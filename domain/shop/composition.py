"""What a formula is made of: each line with the shop's good and its composition, and the sums with their coverage."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from domain.formulas.formula import Mass, WeighedFormula, WeighedLine, total
from domain.notices import Notice
from domain.shop.goods import Book, Good, find_good
from domain.shop.nutrition import NUTRIENTS, Composition, Nutrient, composition_of
from domain.things.ingredients import Ingredient


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """One thing that a formula uses, all its lines together: `path` is the first line's.

    `ingredient` is ours, `good` the shop's; a thing of neither is known by its name only.
    """

    name: str
    ingredient: Ingredient | None
    good: Good | None
    mass: Mass
    lines: tuple[WeighedLine, ...]
    composition: Composition | None
    path: tuple[str | int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Content:
    """Grams (or kJ, kcal, mg) of a nutrient in so much of a mix.

    `amount` is what is known, `coverage_percent` the share of the mix whose composition says something of it,
    and `missing` the names of what says nothing: below 100 the amount is too small.
    """

    nutrient: Nutrient
    amount: float
    coverage_percent: float
    missing: tuple[str, ...]


def uses_of(weighed: WeighedFormula, book: Book, components: Sequence[int] | None = None) -> tuple[Use, ...]:
    """Everything a formula uses, in the order in which it first stands there.

    Args:
        weighed: the formula in grams.
        book: the shop's goods.
        components: which components count; all if None.
    Returns:
        One use for each good, ingredient or name.
    Raises:
        AmbiguousError: a line means several of the shop's goods.
    """
    found: dict[object, list[tuple[WeighedLine, Good | None, tuple[str | int, ...]]]] = {}
    for i, component in enumerate(weighed.components):
        if components is not None and i not in components:
            continue
        for j, line in enumerate(component.lines):
            good = find_good(book, line.line.name)
            key = key_of(line, good)
            found.setdefault(key, []).append((line, good, ("components", i, "lines", j)))
    return tuple(_use(entries) for entries in found.values())


def key_of(line: WeighedLine, good: Good | None) -> object:
    """What makes two lines the same thing: the shop's good, else our ingredient and its record, else the name."""
    if good is not None:
        return good
    if (ingredient := line.line.thing.ingredient) is not None:
        # Salted and unsalted butter are one ingredient with two records.
        return ingredient, composition_of(ingredient, line.line.name)
    return line.line.name.casefold()


def contents_of(uses: Iterable[Use]) -> MappingProxyType[Nutrient, Content]:
    """Every nutrient in the uses together.

    Args:
        uses: what is mixed.
    Returns:
        The known amount, coverage and what is missing, by nutrient. Nothing is taken as zero.
    """
    all_of_them = tuple(uses)
    mix_g = math.fsum(use.mass.grams for use in all_of_them)
    contents = {}
    for nutrient in NUTRIENTS:
        known = [(use.mass.grams, value) for use in all_of_them if (value := _value(use, nutrient)) is not None]
        missing = tuple(use.name for use in all_of_them if _value(use, nutrient) is None)
        contents[nutrient] = Content(
            nutrient=nutrient,
            amount=math.fsum(grams * value / 100 for grams, value in known),
            coverage_percent=100.0 if not missing else math.fsum(grams for grams, _ in known) / mix_g * 100,
            missing=missing,
        )
    return MappingProxyType(contents)


def composition_notices(uses: Iterable[Use]) -> tuple[Notice, ...]:
    """What a user should know of the records the figures rest on, and what has none."""
    notices = []
    for use in uses:
        record = use.composition
        if record is None:
            message = f"{use.name}: no composition is known; every figure leaves it out. Give its nutrition."
            notices.append(Notice(code="no_composition", message=message, path=use.path))
        elif record.analogy and not record.own:
            message = f"{use.name}: composition borrowed from {record.assumes}. Give its nutrition from the packet."
            notices.append(Notice(code="analogy", message=message, path=use.path))
        elif record.assumes and not record.own:
            message = f"{use.name}: composition taken as {record.assumes}."
            notices.append(Notice(code="composition_assumed", message=message, path=use.path))
    return tuple(notices)


def _value(use: Use, nutrient: Nutrient) -> float | None:
    return None if use.composition is None else use.composition.per_100g.get(nutrient)


def _use(entries: list[tuple[WeighedLine, Good | None, tuple[str | int, ...]]]) -> Use:
    line, good, path = entries[0]
    ingredient = good.ingredient if good is not None else line.line.thing.ingredient
    composition = good.composition if good is not None else composition_of(ingredient, line.line.name)
    return Use(
        name=good.name if good is not None else line.line.name,
        ingredient=ingredient,
        good=good,
        mass=total(entry.mass for entry, _, _ in entries),
        lines=tuple(entry for entry, _, _ in entries),
        composition=composition,
        path=path,
    )
