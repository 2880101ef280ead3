"""What a formula costs: line by line, component, tin and piece, in decimal money that adds up to the last unit.

A line's cost is what has to be bought for it (edible portion over usable yield) times the price of a gram of the pack
that the shop buys. Sums are exact fractions; the total is rounded once, half to even, to the smallest unit, and every
line's share of it is given by the method of largest remainders (`domain.shop.money`). A price that is not known is
listed, and never zero.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Literal

from domain.errors import ErrorCollector, MismatchError, Path, at_path
from domain.formulas.formula import WeighedFormula, WeighedLine
from domain.notices import Notice
from domain.shop.goods import Book, Good, Pack, find_good, pack_grams
from domain.shop.money import Currency, shares
from domain.shop.usable_yields import purchased_grams, usable_yield
from domain.sources import Cited
from domain.things.eggs import EggClass

MINUTES_PER_HOUR = 60
PackChoice = Literal["first", "cheapest", "dearest"]
Per = Literal["batch", "tin", "piece"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Extra:
    """A cost beside the ingredients: `amount` of money a batch, a tin or a piece."""

    name: str
    kind: Literal["packaging", "labour", "other"]
    amount: Fraction
    per: Per


@dataclass(frozen=True, slots=True, kw_only=True)
class Costing:
    """What to cost with. `tins` and `pieces` are all that the formula makes; None where it makes no pieces."""

    currency: Currency
    tins: int = 1
    pieces: int | None = None
    pack_choice: PackChoice = "first"
    extras: tuple[Extra, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class LineCost:
    """A line's cost: what goes in, what has to be bought, and its price.

    `exact` is in money, None where no price is known; `units` is its share of the rounded total in smallest units.
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
    units: int | None
    path: tuple[str | int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ExtraCost:
    """A cost beside the ingredients, for the whole batch."""

    extra: Extra
    exact: Fraction
    units: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Cost:
    """All costs of the batch. `units` is the rounded total; lines and extras add up to it exactly.

    `low` and `high` follow the masses' ranges, in money. Where a price is missing the total is too small, and
    `complete` is false.
    """

    costing: Costing
    lines: tuple[LineCost, ...]
    extras: tuple[ExtraCost, ...]
    exact: Fraction
    low: Fraction
    high: Fraction
    units: int
    notices: tuple[Notice, ...]

    @property
    def missing(self) -> tuple[LineCost, ...]:
        """Lines without a price."""
        return tuple(line for line in self.lines if line.units is None)

    @property
    def complete(self) -> bool:
        """Whether every line has a price."""
        return not self.missing

    @property
    def ingredients_exact(self) -> Fraction:
        """The lines' exact cost, without the extras."""
        return sum((line.exact for line in self.lines if line.exact is not None), Fraction(0))


def cost(weighed: WeighedFormula, costing: Costing, book: Book) -> Cost:
    """What a formula costs.

    Args:
        weighed: the formula in grams.
        costing: currency, tins, pieces, packaging, labour.
        book: the shop's goods with their packs and prices.
    Returns:
        Costs that add up to the last smallest unit.
    Raises:
        DomainErrors: every good whose pack cannot be weighed or has a price in another currency; lines that mean
            several goods.
        MismatchError: a cost per piece, and no pieces.
    """
    findings, lines, notices = ErrorCollector(), [], []
    chosen: dict[Good | None, tuple[Pack | None, Fraction | None]] = {None: (None, None)}
    for i, component in enumerate(weighed.components):
        for j, line in enumerate(component.lines):
            path = ("components", i, "lines", j)
            with findings.at(*path):
                good = find_good(book, line.line.name)
                if good is not None and good not in chosen:
                    chosen[good] = _chosen(good, costing, weighed.formula.egg_class)
                pack, rate = chosen[good]
                priced = _cost_line(line, (component.component.name, path), good, pack, rate)
                lines.append(priced)
                notices += _line_notices(priced)
    findings.raise_if_any()
    extras = [(extra, extra.amount * _times(extra.per, costing, i)) for i, extra in enumerate(costing.extras)]
    return _add_up(lines, extras, costing, tuple(notices))


def _add_up(
    lines: Sequence[LineCost],
    extras: Sequence[tuple[Extra, Fraction]],
    costing: Costing,
    notices: tuple[Notice, ...],
) -> Cost:
    known = [i for i, line in enumerate(lines) if line.exact is not None]
    parts = [lines[i].exact or Fraction(0) for i in known] + [exact for _, exact in extras]
    exact = sum(parts, Fraction(0))
    units = costing.currency.units(exact)
    one = costing.currency.amount(1)
    shared = shares(units, [part / one for part in parts])
    of_line = dict(zip(known, shared[: len(known)], strict=True))
    ranges = [(line.exact, line.line.mass) for line in lines if line.exact is not None]
    beside = sum((amount for _, amount in extras), Fraction(0))
    return Cost(
        costing=costing,
        lines=tuple(replace(line, units=of_line.get(i)) for i, line in enumerate(lines)),
        extras=tuple(
            ExtraCost(extra=extra, exact=amount, units=share)
            for (extra, amount), share in zip(extras, shared[len(known) :], strict=True)
        ),
        exact=exact,
        low=beside + sum((part * Fraction(mass.low / mass.grams) for part, mass in ranges), Fraction(0)),
        high=beside + sum((part * Fraction(mass.high / mass.grams) for part, mass in ranges), Fraction(0)),
        units=units,
        notices=notices,
    )


def price_per_gram(good: Good, pack: Pack, egg_class: EggClass | None) -> Fraction | None:
    """What a gram out of a pack costs.

    Args:
        good: whose pack it is.
        pack: size and price.
        egg_class: of eggs sold by number.
    Returns:
        Money, exact; None where the price is not known.
    """
    return None if pack.price is None else pack.price / pack_grams(good, pack, egg_class)


def _cost_line(
    line: WeighedLine, place: tuple[str, Path], good: Good | None, pack: Pack | None, rate: Fraction | None
) -> LineCost:
    ingredient = good.ingredient if good is not None else line.line.thing.ingredient
    percent, yield_cited = usable_yield(good, ingredient)
    purchased_g = purchased_grams(line.mass.grams, percent)
    return LineCost(
        component=place[0],
        line=line,
        good=good,
        usable_yield_percent=percent,
        yield_cited=yield_cited,
        purchased_g=purchased_g,
        pack=pack,
        price_per_kg=None if rate is None else rate * 1000,
        exact=None if rate is None else rate * Fraction(purchased_g),
        units=None,
        path=place[1],
    )


def _chosen(good: Good, costing: Costing, egg_class: EggClass | None) -> tuple[Pack | None, Fraction | None]:
    """The pack whose price counts, and what a gram out of it costs."""
    if not good.packs:
        return None, None
    _same_currency(good, costing.currency)
    with at_path("ingredient"):
        return _choose(good, costing.pack_choice, egg_class)


def _choose(good: Good, choice: PackChoice, egg_class: EggClass | None) -> tuple[Pack | None, Fraction | None]:
    rated = [(rate, pack) for pack in good.packs if (rate := price_per_gram(good, pack, egg_class)) is not None]
    if not rated:
        return None, None
    if choice == "first":
        rate, pack = rated[0]
    else:
        rate, pack = (min if choice == "cheapest" else max)(rated, key=lambda one: one[0])
    return pack, rate


def _same_currency(good: Good, currency: Currency) -> None:
    if good.currency is not None and good.currency is not currency:
        raise MismatchError(
            f"{good.name} is priced in {good.currency.code}; we know no rates of exchange.", code="currency-mismatch"
        )


def _line_notices(priced: LineCost) -> list[Notice]:
    name, notices = priced.line.line.name, []
    if priced.exact is None:
        message = f"{name}: no price is known, and the sums leave it out. Give a pack with its price."
        notices.append(Notice(code="price_missing", message=message, path=priced.path))
    if priced.yield_cited is not None:
        message = (
            f"{name}: bought whole, {priced.usable_yield_percent:g} % of it is used. Give usable_yield_percent if not."
        )
        notices.append(Notice(code="yield_from_reference", message=message, path=priced.path))
    return notices


def _times(per: Per, costing: Costing, place: int) -> int:
    if per == "batch":
        return 1
    if per == "tin":
        return costing.tins
    if costing.pieces is None:
        raise MismatchError("A cost per piece needs pieces.", path=("extras", place, "per"), code="pieces-needed")
    return costing.pieces
