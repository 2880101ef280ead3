"""What to buy for a day's mixes: ingredient totals, stock, packs and the bill."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from domain.errors import DomainError, OutOfRangeError
from domain.formulas.formula import Line, Mass, WeighedLine, total
from domain.notices import Notice
from domain.shop.composition import key_of
from domain.shop.goods import Good, Pack, pack_grams
from domain.shop.mixes import Mix, MixLine
from domain.shop.money import Currency
from domain.shop.packs import Cover, Size, StepBudget
from domain.shop.usable_yields import purchased_grams, usable_yield
from domain.sources import Cited
from domain.things.eggs import EggClass
from domain.things.ingredients import Ingredient

ALL_STEPS = 12_000  # search steps for the packs of all ingredients of one answer together; our own limit


@dataclass(frozen=True, slots=True, kw_only=True)
class PacksToBuy:
    """The packs of a good to buy, in the order in which the shop lists them.

    `cost` is None unless every pack has a price.
    """

    packs: tuple[Pack, ...]
    counts: tuple[int, ...]
    grams: float
    over_g: float
    cost: Fraction | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Needed:
    """The day's total of an ingredient: the mass that goes in, the mass as purchased, the stock, and what to buy.

    `line` is the first line of the ingredient. `cited` holds the sources of its mass and of its usable yield.
    """

    name: str
    ingredient: Ingredient | None
    good: Good | None
    line: WeighedLine
    mass: Mass
    usable_yield_percent: float
    purchased_g: float
    stock_g: float
    to_buy_g: float
    packs: PacksToBuy | None
    cited: tuple[Cited, ...]

    @property
    def currency(self) -> Currency | None:
        """The currency of the packs' prices."""
        return None if self.good is None else self.good.currency


@dataclass(frozen=True, slots=True, kw_only=True)
class Bill:
    """The cost of all packs of a day, in minor units."""

    currency: Currency
    units: int


def add_stock(stock_g: dict[object, float], line: Line, good: Good | None) -> None:
    """Add a line of stock to the stock in grams.

    Args:
        stock_g: grams by `composition.key_of`; changed here.
        line: what is in stock.
        good: the shop's good that the line names, if it names one.
    Raises:
        DomainError: the line cannot be weighed, see `Line.weight`.
    """
    key = key_of(line, good)
    stock_g[key] = stock_g.get(key, 0.0) + line.weight.mass.grams


def ingredient_totals(
    mixes: Sequence[Mix], stock_g: Mapping[object, float], egg_class: EggClass | None
) -> tuple[tuple[Needed, ...], tuple[Notice, ...]]:
    """The day's total of every ingredient, and what to buy of it.

    Args:
        mixes: of the day.
        stock_g: grams in stock, by `composition.key_of`.
        egg_class: of eggs bought by number.
    Returns:
        The ingredients, heaviest first, and warnings about packs whose mass or choice is not known.
    """
    lines_by_key: dict[object, list[MixLine]] = {}
    for mix in mixes:
        for line in mix.lines:
            lines_by_key.setdefault(key_of(line.line, line.good), []).append(line)
    step_budget = StepBudget(ALL_STEPS)
    totals, notices = [], []
    for key, lines in lines_by_key.items():
        needed, pack_notices = _needed(lines, stock_g.get(key, 0.0), egg_class, step_budget)
        totals.append(needed)
        notices += pack_notices
    return tuple(sorted(totals, key=lambda needed: -needed.mass.grams)), tuple(notices)


def day_bill(totals: Sequence[Needed]) -> Bill | None:
    """The cost of everything to buy.

    Args:
        totals: the ingredients of the day.
    Returns:
        The bill; None if a price is missing, if the prices are in several currencies, or if there is nothing to buy.
    """
    to_buy = [needed for needed in totals if needed.to_buy_g > 0]
    costs = [needed.packs.cost for needed in to_buy if needed.packs is not None and needed.packs.cost is not None]
    currencies = {needed.currency for needed in to_buy}
    if len(costs) < len(to_buy) or len(currencies) != 1:
        return None
    (currency,) = currencies
    return None if currency is None else Bill(currency=currency, units=currency.units(sum(costs, Fraction(0))))


def _needed(
    lines: Sequence[MixLine], stock_g: float, egg_class: EggClass | None, step_budget: StepBudget
) -> tuple[Needed, list[Notice]]:
    first, mass = lines[0], total(line.mass for line in lines)
    good = first.good
    ingredient = good.ingredient if good is not None else first.line.thing.ingredient
    percent, yield_cited = usable_yield(good.usable_yield_percent if good is not None else None, ingredient)
    purchased_g = purchased_grams(mass.grams, percent)
    to_buy_g = max(0.0, purchased_g - stock_g)
    packs: PacksToBuy | None = None
    notices: list[Notice] = []
    if good is not None and good.packs:
        packs, notices = _packs(good, to_buy_g, egg_class, step_budget)
    needed = Needed(
        name=first.name,
        ingredient=ingredient,
        good=good,
        line=first.line,
        mass=mass,
        usable_yield_percent=percent,
        purchased_g=purchased_g,
        stock_g=stock_g,
        to_buy_g=to_buy_g,
        packs=packs,
        cited=(*first.line.cited, *((yield_cited,) if yield_cited is not None else ())),
    )
    return needed, notices


def _packs(
    good: Good, to_buy_g: float, egg_class: EggClass | None, step_budget: StepBudget
) -> tuple[PacksToBuy | None, list[Notice]]:
    try:
        grams = [pack_grams(good, pack, egg_class) for pack in good.packs]
    except DomainError as error:
        return None, [Notice(code="packs_not_found", message=f"{good.name}: {error.detail}")]
    priced = all(pack.price is not None for pack in good.packs)
    sizes = [
        Size(holds=holds, cost=pack.price if priced and pack.price is not None else holds)
        for holds, pack in zip(grams, good.packs, strict=True)
    ]
    notices = []
    if not priced:
        message = f"{good.name}: not every pack has a price, so the packs that leave least over are given."
        notices.append(Notice(code="pack_unpriced", message=message))
    try:
        cover = step_budget.cover(Fraction(to_buy_g), sizes)
    except OutOfRangeError as error:
        return None, [*notices, Notice(code="packs_not_found", message=f"{good.name}: {error.detail}")]
    return _packs_to_buy(good, cover, to_buy_g, priced=priced), notices


def _packs_to_buy(good: Good, cover: Cover, to_buy_g: float, *, priced: bool) -> PacksToBuy:
    return PacksToBuy(
        packs=good.packs,
        counts=cover.counts,
        grams=float(cover.holds),
        over_g=max(0.0, float(cover.holds) - to_buy_g),
        cost=cover.cost if priced else None,
    )
