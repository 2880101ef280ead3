"""What to mix for a day's tins: shared mixes put together, bowls, ingredient totals, packs to buy, eggs."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from domain.errors import DomainError, OutOfRangeError
from domain.formulas.formula import Mass, WeighedComponent, WeighedLine, total
from domain.notices import Notice
from domain.shop.composition import key_of
from domain.shop.goods import Book, Good, Pack, find_good, pack_grams
from domain.shop.packs import Cover, Size, StepBudget
from domain.shop.tin_plan import Product, ProductPlan
from domain.shop.usable_yields import purchased_grams, usable_yield
from domain.things.eggs import EggClass, EggCount, EggPart, count_eggs, egg_mass
from domain.things.ingredients import Ingredient

TRAY = 30  # eggs on a tray: common practice
SAME_SHARE_DIGITS = 9  # two mixes are one formula if every share agrees to so many decimals; our own choice
ALL_STEPS = 12_000  # steps of all searches for packs in one answer; our own limit
ALMOST = 1e-9  # relative; a bowl this little over its capacity is full, and the rest is rounding of doubles


@dataclass(frozen=True, slots=True, kw_only=True)
class MixLine:
    """An ingredient of a mix: `line` is the first that asked for it."""

    name: str
    line: WeighedLine
    good: Good | None
    mass: Mass


@dataclass(frozen=True, slots=True, kw_only=True)
class MixPart:
    """What a product's component takes of a mix."""

    product: int
    component: str
    mass: Mass


@dataclass(frozen=True, slots=True, kw_only=True)
class Mix:
    """A component of one or several products, mixed together; `bowls` equal batches of it."""

    parts: tuple[MixPart, ...]
    lines: tuple[MixLine, ...]
    mass: Mass
    bowls: int

    @property
    def bowl_g(self) -> float:
        """What goes into one bowl."""
        return self.mass.grams / self.bowls


@dataclass(frozen=True, slots=True, kw_only=True)
class PacksToBuy:
    """Packs of a good, in the order the shop lists them; `cost` is None unless every size has a price."""

    packs: tuple[Pack, ...]
    counts: tuple[int, ...]
    grams: float
    over_g: float
    cost: Fraction | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Needed:
    """All of an ingredient for the day: what goes in, what has to be there, what is in stock and what to buy."""

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


@dataclass(frozen=True, slots=True, kw_only=True)
class EggsNeeded:
    """Eggs of one class for the day.

    `parts` counts each part by itself; `crack` is how many eggs to break: the whole ones and as many more as the
    yolks or the whites need, whichever is more, rounded up once; `trays` of 30 hold them.
    """

    egg_class: EggClass
    parts: tuple[EggCount, ...]
    crack: int
    trays: int
    spare_white_g: float
    spare_yolk_g: float


def day_mixes(
    products: Sequence[Product], plans: Sequence[ProductPlan], book: Book, bowl_g: float | None
) -> tuple[Mix, ...]:
    """The day's mixes; components that are the same formula are one mix, whatever they are called.

    Args:
        products: what is made.
        plans: their tins.
        book: the shop's goods.
        bowl_g: what the mixing bowl holds; None for any amount at once.
    Returns:
        The mixes in the order of the products; each is split into the fewest equal batches that fit the bowl.
    Raises:
        AmbiguousError: a line means several of the shop's goods.
    """
    merged: dict[object, list[tuple[MixPart, tuple[MixLine, ...]]]] = {}
    for plan in plans:
        factor = math.fsum(of_size.mix_factor for of_size in plan.tins)
        for component in products[plan.product].weighed.components:
            lines = _lines(component, factor, book)
            part = MixPart(
                product=plan.product,
                component=component.component.name,
                mass=total(line.mass for line in lines.values()),
            )
            merged.setdefault(_signature(lines), []).append((part, tuple(lines.values())))
    return tuple(_mix(entries, bowl_g) for entries in merged.values())


def ingredient_totals(
    mixes: Sequence[Mix], stock_g: Mapping[object, float], egg_class: EggClass | None
) -> tuple[tuple[Needed, ...], tuple[Notice, ...]]:
    """Every ingredient of the day with what to buy of it.

    Args:
        mixes: of the day.
        stock_g: grams there are, by `composition.key_of`.
        egg_class: of eggs bought by number.
    Returns:
        The ingredients, heaviest first, and notices on packs whose mass or choice cannot be known.
    """
    found: dict[object, list[MixLine]] = {}
    for mix in mixes:
        for line in mix.lines:
            found.setdefault(key_of(line.line, line.good), []).append(line)
    budget = StepBudget(ALL_STEPS)
    needed, notices = [], []
    for key, lines in found.items():
        one, told = _needed(lines, stock_g.get(key, 0.0), egg_class, budget)
        needed.append(one)
        notices += told
    return tuple(sorted(needed, key=lambda one: -one.mass.grams)), tuple(notices)


def eggs_needed(mixes: Sequence[Mix], classes: Sequence[EggClass]) -> tuple[EggsNeeded, ...]:
    """The day's eggs in each class at hand.

    Args:
        mixes: of the day.
        classes: of the eggs in the shop.
    Returns:
        One answer for each class; none if no mix takes egg.
    """
    grams: dict[EggPart, float] = {}
    for mix in mixes:
        for line in mix.lines:
            if line.line.egg_part is not None:
                grams[line.line.egg_part] = grams.get(line.line.egg_part, 0.0) + line.mass.grams
    return tuple(_eggs(grams, egg_class) for egg_class in classes) if grams else ()


def _lines(component: WeighedComponent, factor: float, book: Book) -> dict[object, MixLine]:
    lines: dict[object, MixLine] = {}
    for line in component.lines:
        good = find_good(book, line.line.name)
        key = key_of(line, good)
        mass = line.mass.times(factor)
        before = lines.get(key)
        lines[key] = MixLine(
            name=good.name if good is not None else line.line.name,
            line=before.line if before else line,
            good=good,
            mass=total((before.mass, mass)) if before else mass,
        )
    return lines


def _signature(lines: Mapping[object, MixLine]) -> object:
    mix_g = math.fsum(line.mass.grams for line in lines.values())
    return frozenset((key, round(line.mass.grams / mix_g, SAME_SHARE_DIGITS)) for key, line in lines.items())


def _mix(entries: Sequence[tuple[MixPart, tuple[MixLine, ...]]], bowl_g: float | None) -> Mix:
    by_key: dict[object, list[MixLine]] = {}
    for _, lines in entries:
        for line in lines:
            by_key.setdefault(key_of(line.line, line.good), []).append(line)
    merged = tuple(
        MixLine(name=lines[0].name, line=lines[0].line, good=lines[0].good, mass=total(line.mass for line in lines))
        for lines in by_key.values()
    )
    mass = total(line.mass for line in merged)
    bowls = 1 if bowl_g is None else max(1, math.ceil(mass.grams / bowl_g * (1 - ALMOST)))
    return Mix(parts=tuple(part for part, _ in entries), lines=merged, mass=mass, bowls=bowls)


def _needed(
    lines: Sequence[MixLine], stock_g: float, egg_class: EggClass | None, budget: StepBudget
) -> tuple[Needed, list[Notice]]:
    first, mass = lines[0], total(line.mass for line in lines)
    ingredient = first.good.ingredient if first.good is not None else first.line.line.thing.ingredient
    percent, _ = usable_yield(first.good, ingredient)
    purchased_g = purchased_grams(mass.grams, percent)
    to_buy_g = max(0.0, purchased_g - stock_g)
    packs: PacksToBuy | None = None
    notices: list[Notice] = []
    if first.good is not None and first.good.packs:
        packs, notices = _packs(first.good, to_buy_g, egg_class, budget)
    needed = Needed(
        name=first.name,
        ingredient=ingredient,
        good=first.good,
        line=first.line,
        mass=mass,
        usable_yield_percent=percent,
        purchased_g=purchased_g,
        stock_g=stock_g,
        to_buy_g=to_buy_g,
        packs=packs,
    )
    return needed, notices


def _packs(
    good: Good, to_buy_g: float, egg_class: EggClass | None, budget: StepBudget
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
        message = f"{good.name}: not every pack has a price; the packs that leave least over are shown."
        notices.append(Notice(code="pack_unpriced", message=message))
    try:
        cover = budget.cover(Fraction(to_buy_g), sizes)
    except OutOfRangeError as error:
        return None, [*notices, Notice(code="packs_not_found", message=f"{good.name}: {error.detail}")]
    return _bought(good, cover, to_buy_g, priced=priced), notices


def _bought(good: Good, cover: Cover, to_buy_g: float, *, priced: bool) -> PacksToBuy:
    return PacksToBuy(
        packs=good.packs,
        counts=cover.counts,
        grams=float(cover.holds),
        over_g=max(0.0, float(cover.holds) - to_buy_g),
        cost=cover.cost if priced else None,
    )


def _eggs(grams: Mapping[EggPart, float], egg_class: EggClass) -> EggsNeeded:
    exact = {part: g / egg_mass(part, egg_class).grams for part, g in grams.items()}
    yolks, whites = exact.get("yolk", 0.0), exact.get("white", 0.0)
    apart = max(yolks, whites)
    wanted = exact.get("whole", 0.0) + apart
    crack = math.ceil(wanted * (1 - ALMOST))
    return EggsNeeded(
        egg_class=egg_class,
        parts=tuple(count_eggs(g, part, egg_class) for part, g in grams.items()),
        crack=crack,
        trays=-(-crack // TRAY),
        spare_white_g=(apart - whites) * egg_mass("white", egg_class).grams if apart else 0.0,
        spare_yolk_g=(apart - yolks) * egg_mass("yolk", egg_class).grams if apart else 0.0,
    )
