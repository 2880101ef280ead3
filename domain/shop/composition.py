"""The ingredients of a formula with their goods and compositions, and the sums of their nutrients."""

import math
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from types import MappingProxyType

from domain.formulas.formula import Line, Mass, WeighedFormula, WeighedLine, total
from domain.notices import Notice, NoticeCode
from domain.shop.allergens import Market
from domain.shop.goods import Book, Good, find_good
from domain.shop.nutrition import NUTRIENTS, Composition, Nutrient, merged
from domain.shop.reference_compositions import PRODUCT_OF, UNKNOWN, composition_of
from domain.sources import Cited
from domain.things.ingredients import Ingredient


@dataclass(frozen=True, slots=True, kw_only=True)
class Use:
    """An ingredient that a formula uses, with all its lines; `path` leads to the first of them.

    `ingredient` is ours and `good` is the shop's. A line that has neither is identified by its name.
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
    """A nutrient of a mix, in grams, mg, kJ or kcal.

    `amount` is the known amount. `coverage_percent` is the share of the mix whose composition has a figure for the
    nutrient, and `missing` has the ingredients without one. Below 100 % the amount is too small.
    """

    nutrient: Nutrient
    amount: float
    coverage_percent: float
    missing: tuple[Use, ...]


def uses_of(
    weighed: WeighedFormula, book: Book, components: Sequence[int] | None = None, market: Market | None = None
) -> tuple[Use, ...]:
    """The ingredients of a formula, in the order of their first lines.

    Args:
        weighed: the formula in grams.
        book: the shop's goods.
        components: the places of the components to read; all if None.
        market: whose products the compositions describe, where there are several.
    Returns:
        One use for each good, ingredient or name.
    Raises:
        AmbiguousError: a line means several of the shop's goods.
    """
    lines_by_key: dict[object, list[tuple[WeighedLine, Good | None, tuple[str | int, ...]]]] = {}
    for i, component in enumerate(weighed.components):
        if components is not None and i not in components:
            continue
        for j, line in enumerate(component.lines):
            good = find_good(book, line.name)
            key = key_of(line, good)
            lines_by_key.setdefault(key, []).append((line, good, ("components", i, "lines", j)))
    return tuple(_use(entries, market) for entries in lines_by_key.values())


def key_of(line: Line | WeighedLine, good: Good | None) -> object:
    """The key that lines of the same ingredient share: the good, else our ingredient and its record, else the name."""
    if good is not None:
        return good
    if (ingredient := line.thing.ingredient) is not None:
        # Salted and unsalted butter are one ingredient with two records.
        return ingredient, composition_of(ingredient, line.name)
    return line.name.casefold()


def contents_of(uses: Iterable[Use]) -> MappingProxyType[Nutrient, Content]:
    """Every nutrient of a mix.

    Args:
        uses: the ingredients of the mix.
    Returns:
        The known amount, the coverage and the missing ingredients, by nutrient. A missing figure is never zero.
    """
    all_uses = tuple(uses)
    mix_g = math.fsum(use.mass.grams for use in all_uses)
    contents = {}
    for nutrient in NUTRIENTS:
        amounts = [(use.mass.grams, value) for use in all_uses if (value := _value(use, nutrient)) is not None]
        missing = tuple(use for use in all_uses if _value(use, nutrient) is None)
        contents[nutrient] = Content(
            nutrient=nutrient,
            amount=math.fsum(grams * value / 100 for grams, value in amounts),
            coverage_percent=(
                100.0 if not missing else min(100.0, math.fsum(grams for grams, _ in amounts) / mix_g * 100)
            ),
            missing=missing,
        )
    return MappingProxyType(contents)


def composition_notices(uses: Iterable[Use], market: Market | None = None) -> tuple[Notice, ...]:
    """Warnings about compositions: assumed ones, borrowed ones, those of another market, and ingredients without one.

    Args:
        uses: what the formula uses.
        market: of the label; None if there is none.
    Returns:
        The warnings, each with the path of the ingredient's first line.
    """
    return tuple(
        Notice(code=code, message=f"{use.name}: {message}", path=use.path)
        for use in uses
        for code, message in _composition_messages(use, market)
    )


def use_citations(use: Use) -> tuple[Cited, ...]:
    """The sources of the mass and the composition of an ingredient, each once."""
    of_masses = tuple(cited for line in use.lines for cited in line.cited)
    of_composition = use.composition.cited if use.composition is not None else ()
    return tuple(dict.fromkeys((*of_masses, *of_composition)))


def _composition_messages(use: Use, market: Market | None) -> Iterator[tuple[NoticeCode, str]]:
    record = use.composition
    if record is None:
        unknown = None if use.ingredient is None else UNKNOWN.get(use.ingredient.id)
        reason = "no composition is known" if unknown is None else f"no composition is known ({unknown.reason})"
        yield "no_composition", f"{reason}; every figure leaves it out. Give its nutrition from the packet."
    elif record.own:
        return
    elif record.analogy:
        yield "analogy", f"composition borrowed from {record.assumes}. Give its nutrition from the packet."
    elif market is not None and record.market not in {"", market}:
        assumed = f", {record.assumes}" if record.assumes else ""
        yield (
            "other_market",
            f"composition of the {PRODUCT_OF[record.market]} product{assumed}; this market's is not known.",
        )
    elif record.assumes and record.assumes.casefold() not in use.name.casefold():
        yield "composition_assumed", f"composition taken as {record.assumes}."


def _value(use: Use, nutrient: Nutrient) -> float | None:
    return None if use.composition is None else use.composition.per_100g.get(nutrient)


def _use(entries: list[tuple[WeighedLine, Good | None, tuple[str | int, ...]]], market: Market | None) -> Use:
    line, good, path = entries[0]
    ingredient = good.ingredient if good is not None else line.thing.ingredient
    name = good.name if good is not None else line.name
    composition = merged(good.composition if good is not None else None, composition_of(ingredient, name, market))
    return Use(
        name=name,
        ingredient=ingredient,
        good=good,
        mass=total(entry.mass for entry, _, _ in entries),
        lines=tuple(entry for entry, _, _ in entries),
        composition=composition,
        path=path,
    )
