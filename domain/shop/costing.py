"""The cost of a formula, by line, component, tin and portion, in decimal money that adds up to the last minor unit.

The cost of a line is the mass to buy for it (edible portion over usable yield) times the price of a gram out of the
chosen pack. Sums are exact fractions. The total is rounded once, half to even, to the minor unit, and each line gets
its share of the rounded total by the method of largest remainders (`domain.measures.whole_shares`). A line without a
price is listed as missing and is in no sum.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from domain.errors import ErrorCollector, MismatchError, NeededError, Path
from domain.formulas.formula import WeighedFormula, WeighedLine
from domain.measures.definitions import G_PER_KG, MINUTES_PER_HOUR
from domain.measures.whole_shares import whole_shares
from domain.notices import Notice
from domain.shop.goods import Book, Good, Pack, find_good, pack_grams
from domain.shop.money import Currency, even_split
from domain.shop.scaled import scaled
from domain.shop.usable_yields import purchased_grams, usable_yield
from domain.sources import Cited
from domain.things.eggs import EggClass

PackChoice = Literal["first", "cheapest", "dearest"]
Per = Literal["batch", "tin", "portion"]
ExtraKind = Literal["packaging", "labour", "other"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra:
    """A cost beside the ingredients: an amount of money per batch, tin or portion."""

    name: str
    kind: ExtraKind
    amount: Fraction
    per: Per


@dataclass(frozen=True, slots=True, kw_only=True)
class Costing:
    """How to cost a bake. `tins` and `portions` are what all of it makes; a number that is not known is None."""

    currency: Currency
    tins: int | None = 1
    portions: int | None = None
    pack_choice: PackChoice = "first"
    extras: tuple[Extra, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LineCost:
    """The cost of a line: the mass that goes in, the mass to buy, the pack and its price.

    `exact`, `low` and `high` are in money and None if no price is known; `low` and `high` follow the range of the
    line's mass. `units` is the line's share of the rounded total, in minor units. `path` leads to the line.
    """

    component: str
    line: WeighedLine
    good: Good | None
    usable_yield_percent: float
    yield_cited: Cited | None
    purchased_g: float
    pack: Pack | None
    price_per_kg: Fraction | None
    exact: Fraction | None
    low: Fraction | None
    high: Fraction | None
    units: int | None
    path: Path


@dataclass(frozen=True, slots=True, kw_only=True)
class ComponentCost:
    """The cost of a component: its lines, and the sum of their shares in minor units."""

    name: str
    lines: tuple[LineCost, ...]

    @property
    def units(self) -> int:
        """The sum of the lines that have a price."""
        return _sum_of_units(self.lines)

    @property
    def complete(self) -> bool:
        """Whether every line has a price."""
        return all(line.units is not None for line in self.lines)


@dataclass(frozen=True, slots=True, kw_only=True)
class ExtraCost:
    """A cost beside the ingredients, for the whole batch."""

    extra: Extra
    exact: Fraction
    units: int


@dataclass(frozen=True, slots=True, kw_only=True)
class EachCost:
    """The cost of one of `count` equal parts, exact and rounded, and the split of the total in whole minor units."""

    count: int
    exact: Fraction
    units: int
    split: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """All costs of the batch. `units` is the rounded total; lines and extras add up to it exactly.

    `low` and `high` are in money and follow the ranges of the masses. If a price is missing, `complete` is False and
    the total is too small.
    """

    costing: Costing
    components: tuple[ComponentCost, ...]
    extras: tuple[ExtraCost, ...]
    exact: Fraction
    low: Fraction
    high: Fraction
    units: int
    notices: tuple[Notice, ...]

    @property
    def lines(self) -> tuple[LineCost, ...]:
        """The lines of all components."""
        return tuple(line for component in self.components for line in component.lines)

    @property
    def missing(self) -> tuple[LineCost, ...]:
        """The lines without a price."""
        return tuple(line for line in self.lines if line.units is None)

    @property
    def complete(self) -> bool:
        """Whether every line has a price."""
        return not self.missing

    @property
    def ingredient_units(self) -> int:
        """The lines' shares of the rounded total, without the extras."""
        return _sum_of_units(self.lines)

    @property
    def ingredients_exact(self) -> Fraction:
        """The exact cost of the lines, without the extras."""
        return _sum_of(line.exact for line in self.lines)

    @property
    def each_tin(self) -> EachCost | None:
        """The cost of one tin; None if there are no tins."""
        return None if self.costing.tins is None else self._each(self.costing.tins)

    @property
    def each_portion(self) -> EachCost | None:
        """The cost of one portion; None if no portions were given."""
        return None if self.costing.portions is None else self._each(self.costing.portions)

    def _each(self, count: int) -> EachCost:
        exact = self.exact / count
        return EachCost(
            count=count, exact=exact, units=self.costing.currency.units(exact), split=even_split(self.units, count)
        )


def cost(weighed: WeighedFormula, costing: Costing, book: Book, factor: float = 1.0) -> Cost:
    """The cost of a formula at the factor of a target.

    Args:
        weighed: the formula as written, in grams.
        costing: currency, tins, portions, packaging, labour.
        book: the shop's goods with their packs and prices.
        factor: of the target; every line is bought that many times.
    Returns:
        Costs that add up to the last minor unit.
    Raises:
        DomainErrors: every line whose good has a pack that cannot be weighed or a price in another currency, or that
            means several goods, with a path to the line in the formula; every extra per tin or portion whose number is
            not known, with the path `extras`, its index, `per`.
    """
    weighed = scaled(weighed, factor)
    errors, lines = ErrorCollector(), []
    chosen: dict[Good | None, ChosenPack | None] = {None: None}
    for i, component in enumerate(weighed.components):
        for j, line in enumerate(component.lines):
            path = ("components", i, "lines", j)
            with errors.at(*path):
                good = find_good(book, line.name)
                if good is not None and good not in chosen:
                    chosen[good] = chosen_pack(good, costing, weighed.formula.egg_class)
                lines.append(_cost_line(line, component.component.name, path, good, chosen[good]))
    extras = []
    for i, extra in enumerate(costing.extras):
        with errors.at("extras", i):
            extras.append((extra, extra.amount * units_of(extra.per, costing)))
    errors.raise_if_any()
    return _add_up(weighed, lines, extras, costing)


def labour_cost(rate_per_hour: Fraction, minutes: Fraction) -> Fraction:
    """The cost of working time.

    Args:
        rate_per_hour: in money.
        minutes: worked.
    Returns:
        Money, exact.

    >>> labour_cost(Fraction(12), Fraction(25))
    Fraction(5, 1)
    """
    return rate_per_hour * minutes / MINUTES_PER_HOUR


def units_of(per: Per, costing: Costing) -> int:
    """How many batches, tins or portions the bake makes.

    Args:
        per: what to count.
        costing: the tins and portions of the bake.
    Returns:
        The number, at least 1.
    Raises:
        NeededError: tins or portions are to be counted, and their number is not known.
    """
    if per == "batch":
        return 1
    if per == "tin":
        if costing.tins is None:
            raise NeededError("Give a tin: a figure per tin needs their number.", path=("per",), code="tins_needed")
        return costing.tins
    if costing.portions is None:
        raise NeededError(
            "Give cuts, or portions of the target: a figure per portion needs their number.",
            path=("per",),
            code="portions_needed",
        )
    return costing.portions


@dataclass(frozen=True, slots=True, kw_only=True)
class ChosenPack:
    """The pack whose price is used, and the price of a gram out of it."""

    pack: Pack
    price_per_gram: Fraction


def chosen_pack(good: Good, costing: Costing, egg_class: EggClass | None) -> ChosenPack | None:
    """The pack of a good whose price is used.

    Args:
        good: with its packs.
        costing: the currency, and which pack to choose.
        egg_class: of eggs sold by number.
    Returns:
        The pack with its price per gram; None if no pack has a price.
    Raises:
        MismatchError: the prices are in another currency.
        DomainError: the mass of a pack is not known, see `pack_grams`.
    """
    priced = [pack for pack in good.packs if pack.price is not None]
    if priced and good.currency is not None and good.currency is not costing.currency:
        raise MismatchError(
            f"{good.name} is priced in {good.currency.code}, and this service has no exchange rates: give its price"
            f" in {costing.currency.code}.",
            code="currency_mismatch",
        )
    choices = [
        ChosenPack(pack=pack, price_per_gram=pack.price / pack_grams(good, pack, egg_class))
        for pack in priced
        if pack.price is not None
    ]
    if costing.pack_choice == "first" or not choices:
        return next(iter(choices), None)
    return (min if costing.pack_choice == "cheapest" else max)(choices, key=lambda choice: choice.price_per_gram)


def _cost_line(line: WeighedLine, component: str, path: Path, good: Good | None, chosen: ChosenPack | None) -> LineCost:
    ingredient = good.ingredient if good is not None else line.thing.ingredient
    percent, yield_cited = usable_yield(good.usable_yield_percent if good is not None else None, ingredient)
    purchased_g = purchased_grams(line.mass.grams, percent)
    exact, low, high = _prices(line, good, chosen, percent)
    return LineCost(
        component=component,
        line=line,
        good=good,
        usable_yield_percent=percent,
        yield_cited=yield_cited,
        purchased_g=purchased_g,
        pack=None if chosen is None else chosen.pack,
        price_per_kg=None if chosen is None else chosen.price_per_gram * G_PER_KG,
        exact=exact,
        low=low,
        high=high,
        units=None,
        path=path,
    )


def _prices(
    line: WeighedLine, good: Good | None, chosen: ChosenPack | None, percent: float
) -> tuple[Fraction, Fraction, Fraction] | tuple[None, None, None]:
    """The cost of a line, with its range. Eggs counted and bought by number cost the same whatever they weigh."""
    if good is None or chosen is None:
        return None, None, None
    size, quantity = chosen.pack.size, line.quantity
    if size.unit.dimension == quantity.unit.dimension == "count" and good.grams_each is None:
        exact = (chosen.pack.price or Fraction(0)) * quantity.base / size.base * 100 / Fraction(percent)
        return exact, exact, exact
    grams, low, high = (Fraction(purchased_grams(g, percent)) for g in line.mass)
    return chosen.price_per_gram * grams, chosen.price_per_gram * low, chosen.price_per_gram * high


def _add_up(
    weighed: WeighedFormula, lines: Sequence[LineCost], extras: Sequence[tuple[Extra, Fraction]], costing: Costing
) -> Cost:
    beside = sum((amount for _, amount in extras), Fraction(0))
    exact = beside + _sum_of(line.exact for line in lines)
    priced = [i for i, line in enumerate(lines) if line.exact is not None]
    parts = [lines[i].exact or Fraction(0) for i in priced] + [amount for _, amount in extras]
    units = costing.currency.units(exact)
    unit = costing.currency.amount(1)
    units_by_part = whole_shares(units, [part / unit for part in parts])
    units_by_line = dict(zip(priced, units_by_part[: len(priced)], strict=True))
    shared = [replace(line, units=units_by_line.get(i)) for i, line in enumerate(lines)]
    return Cost(
        costing=costing,
        components=tuple(
            ComponentCost(name=component.component.name, lines=tuple(line for line in shared if line.path[1] == i))
            for i, component in enumerate(weighed.components)
        ),
        extras=tuple(
            ExtraCost(extra=extra, exact=amount, units=share)
            for (extra, amount), share in zip(extras, units_by_part[len(priced) :], strict=True)
        ),
        exact=exact,
        low=beside + _sum_of(line.low for line in lines),
        high=beside + _sum_of(line.high for line in lines),
        units=units,
        notices=tuple(notice for line in lines for notice in _line_notices(line)),
    )


def _line_notices(line: LineCost) -> list[Notice]:
    name, notices = line.line.name, []
    if line.exact is None:
        message = f"{name}: no price is known, and the sums leave it out. Give a pack with its price."
        notices.append(Notice(code="price_missing", message=message, path=line.path))
    if line.yield_cited is not None:
        message = (
            f"{name}: bought whole, {line.usable_yield_percent:g} % of it is used. If that is not so, give"
            " usable_yield_percent."
        )
        percent = float(line.usable_yield_percent)
        notices.append(Notice("yield_from_reference", message, line.path, percent, unit="percent"))
    return notices


def _sum_of(amounts: Iterable[Fraction | None]) -> Fraction:
    return sum((amount for amount in amounts if amount is not None), Fraction(0))


def _sum_of_units(lines: Iterable[LineCost]) -> int:
    return sum(line.units for line in lines if line.units is not None)
