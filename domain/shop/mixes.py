"""The mixes for a day's tins: components that are the same formula mixed together, bowls, and eggs."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from domain.formulas.formula import Mass, WeighedComponent, WeighedLine, total
from domain.shop.composition import key_of
from domain.shop.goods import Book, Good, find_good
from domain.shop.tin_plan import Product, ProductPlan
from domain.things.eggs import EggClass, EggCount, EggPart, count_eggs, egg_mass

TRAY = 30  # eggs on a tray: common practice
SAME_SHARE_DIGITS = 9  # two mixes are the same formula if their shares agree to this many decimals; our own choice
ALMOST = 1e-9  # relative; a bowl over its capacity by less counts as full: it is rounding of doubles


@dataclass(frozen=True, slots=True, kw_only=True)
class MixLine:
    """An ingredient of a mix; `line` is the first line of it."""

    name: str
    line: WeighedLine
    good: Good | None
    mass: Mass


@dataclass(frozen=True, slots=True, kw_only=True)
class MixPart:
    """A component of a product that takes part of a mix."""

    product: int
    component: str
    mass: Mass


@dataclass(frozen=True, slots=True, kw_only=True)
class Mix:
    """A component of one or several products, mixed together in `bowls` equal batches."""

    parts: tuple[MixPart, ...]
    lines: tuple[MixLine, ...]
    mass: Mass
    bowls: int

    @property
    def bowl_g(self) -> float:
        """Grams in one bowl."""
        return self.in_one_bowl(self.mass.grams)

    @property
    def name(self) -> str:
        """The names of its components, each once."""
        return " / ".join(dict.fromkeys(part.component for part in self.parts))

    def in_one_bowl(self, grams: float) -> float:
        """The share of one bowl in a mass of the whole mix."""
        return grams / self.bowls


@dataclass(frozen=True, slots=True, kw_only=True)
class EggsNeeded:
    """The day's eggs in one class.

    `parts` counts each part by itself. `crack` is the number of eggs to break: the whole ones, and as many more as the
    yolks or the whites need, whichever is more, rounded up once. `trays` is the number of trays of 30 that hold them.
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
    """The mixes of a day. Components that are the same formula are one mix, whatever their names.

    Args:
        products: the products of the shop.
        plans: their tins.
        book: the shop's goods.
        bowl_g: capacity of the mixing bowl; None if any amount can be mixed at once.
    Returns:
        The mixes in the order of the products. Each is split into the fewest equal batches that fit the bowl.
    Raises:
        AmbiguousError: a line means several of the shop's goods.
    """
    merged: dict[object, list[tuple[MixPart, tuple[MixLine, ...]]]] = {}
    for plan in plans:
        factor = math.fsum(tins.mix_factor for tins in plan.tins)
        for component in products[plan.product].weighed.components:
            lines = _lines(component, factor, book)
            part = MixPart(
                product=plan.product,
                component=component.component.name,
                mass=total(line.mass for line in lines.values()),
            )
            merged.setdefault(_signature(lines), []).append((part, tuple(lines.values())))
    return tuple(_mix(entries, bowl_g) for entries in merged.values())


def eggs_needed(mixes: Sequence[Mix], classes: Sequence[EggClass]) -> tuple[EggsNeeded, ...]:
    """The eggs of a day in each class at hand.

    Args:
        mixes: of the day.
        classes: of the eggs in the shop.
    Returns:
        One count for each class; nothing if no mix contains egg.
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
        good = find_good(book, line.name)
        key = key_of(line, good)
        mass = line.mass.times(factor)
        before = lines.get(key)
        lines[key] = MixLine(
            name=good.name if good is not None else line.name,
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
