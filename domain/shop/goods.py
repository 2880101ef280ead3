"""The goods that a shop buys: names, density, packs and prices, usable yield, allergens, composition."""

from collections.abc import Container, Iterable
from dataclasses import dataclass, field, replace
from fractions import Fraction
from types import MappingProxyType

from domain.errors import (
    AmbiguousError,
    DomainError,
    ErrorCollector,
    MismatchError,
    OutOfRangeError,
    at_path,
    broken_limit,
)
from domain.measures.quantities import Quantity
from domain.measures.units import UNITS
from domain.shop.allergens import check_allergens
from domain.shop.money import Currency
from domain.shop.nutrition import Composition
from domain.shop.usable_yields import usable_yield
from domain.sources import Cited
from domain.things.conversion import Thing, grams_per
from domain.things.eggs import EggClass
from domain.things.ingredients import Ingredient, find_ingredient, normal_name
from domain.tins.text import parse_tin

MIN_PACK_G, MAX_PACK_G = Fraction(1, 10), Fraction(1_000_000)  # our own limits, no source: from saffron to a tonne


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """A size that a good is sold in, and its price; the price is None if it is not known."""

    size: Quantity
    price: Fraction | None = None

    def __post_init__(self) -> None:
        """Check the size."""
        if self.size.unit.dimension not in {"mass", "volume", "count"} or self.size.amount <= 0:
            raise MismatchError("A pack is a mass, a volume or a count above 0.", path=("size",), code="pack_size")

    @property
    def text(self) -> str:
        """The size as text, such as `1.5 kg`."""
        return f"{float(self.size.amount):g} {self.size.unit.id}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """An ingredient of a compound good, with its share in percent if the packet gives it."""

    name: str
    percent: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)  # compared by identity: one object per row
class Good:
    """A row of the shop. A field that is None is unknown; for an ingredient of ours, the reference tables fill it.

    `contains`, `may_contain` and `free_from` are ids of `domain.shop.allergens`. `contains` adds to what the reference
    table says of the ingredient; only `free_from` removes an allergen. `contains` is None where the shop has not said;
    an empty tuple means that the shop adds none. `file_contains` is what the shop file's row of the same name said,
    for a good of a request. `grams_each` is the mass of one, trimmed. `parts` are in descending order of weight.
    `composition` has the shop's own figures; the reference tables fill the others.
    """

    name: str
    ingredient: Ingredient | None = None
    label_name: str = ""
    g_per_ml: Fraction | None = None
    grams_each: Fraction | None = None
    currency: Currency | None = None
    packs: tuple[Pack, ...] = ()
    usable_yield_percent: float | None = None
    contains: tuple[str, ...] | None = None
    may_contain: tuple[str, ...] = ()
    free_from: tuple[str, ...] = ()
    file_contains: tuple[str, ...] = ()
    parts: tuple[Part, ...] = ()
    composition: Composition | None = None

    def __post_init__(self) -> None:
        """Check every field, and report all errors together."""
        errors = ErrorCollector()
        for name, allergens in (
            ("contains", self.contains or ()),
            ("may_contain", self.may_contain),
            ("free_from", self.free_from),
        ):
            if allergens:
                with errors.at():
                    check_allergens(allergens, name)
        self._check_contradictions(errors)
        if self.usable_yield_percent is not None and not 0 < self.usable_yield_percent <= 100:
            with errors.at("usable_yield_percent"):
                percent = float(self.usable_yield_percent)
                limit, message = broken_limit(percent, 0, 100), "The usable yield is above 0 and at most 100 %."
                raise OutOfRangeError(message, value=percent, limit=limit, unit="percent")
        if self.currency is None and any(pack.price is not None for pack in self.packs):
            with errors.at("currency"):
                raise MismatchError("A price needs a currency.", code="currency_needed")
        errors.raise_if_any()

    @property
    def usable_yield(self) -> tuple[float, Cited | None]:
        """The usable share of what is bought, in percent, and its source if it is the reference table's."""
        return usable_yield(self.usable_yield_percent, self.ingredient)

    def _check_contradictions(self, errors: ErrorCollector) -> None:
        for place, allergen in enumerate(self.free_from):
            for name, allergens in (("contains", self.contains or ()), ("may_contain", self.may_contain)):
                if allergen in allergens:
                    with errors.at("free_from", place):
                        raise MismatchError(
                            f"{allergen} is in both {name} and free_from: remove it from one of the two.",
                            code="allergen_contradiction",
                        )


@dataclass(frozen=True, slots=True, kw_only=True)
class ShopTin:
    """A tin that the shop has: its name there, and the tin as text, which can be read."""

    name: str
    tin: str

    def __post_init__(self) -> None:
        """Check that the tin can be read."""
        with at_path("tin"):
            parse_tin(self.tin)


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """The shop's goods, by name and by the ingredient of ours that they are; and its tins."""

    goods: tuple[Good, ...] = ()
    by_name: MappingProxyType[str, Good] = field(default_factory=lambda: MappingProxyType({}))
    by_ingredient: MappingProxyType[str, tuple[Good, ...]] = field(default_factory=lambda: MappingProxyType({}))
    tins: tuple[ShopTin, ...] = ()


EMPTY_BOOK = Book()


def make_book(goods: Iterable[Good], base: Book = EMPTY_BOOK) -> Book:
    """A book of goods that replace those of another book: by name, and for every ingredient that they are.

    Args:
        goods: each name once. A good that replaces one of the same name keeps its allergens.
        base: the goods used where the new ones say nothing, such as the shop file under a request's rows.
    Returns:
        The book.
    Raises:
        DomainErrors: goods whose name an earlier good has; each path is the good's place and `name`.
    """
    errors = ErrorCollector()
    new: dict[str, Good] = {}
    for place, good in enumerate(goods):
        name = normal_name(good.name)
        with errors.at(place, "name"):
            if name in new:
                raise AmbiguousError("An earlier row has this name.", code="good_twice")
            new[name] = _with_replaced_allergens(good, base.by_name.get(name))
    errors.raise_if_any()
    replaced = {good.ingredient.id for good in new.values() if good.ingredient is not None}
    kept = {
        name: good
        for name, good in base.by_name.items()
        if name not in new and (good.ingredient is None or good.ingredient.id not in replaced)
    }
    by_ingredient: dict[str, tuple[Good, ...]] = {}
    by_name = kept | new
    for good in by_name.values():
        if good.ingredient is not None:
            by_ingredient[good.ingredient.id] = (*by_ingredient.get(good.ingredient.id, ()), good)
    return Book(
        goods=tuple(by_name.values()), by_name=MappingProxyType(by_name), by_ingredient=MappingProxyType(by_ingredient)
    )


def find_good(book: Book, name: str) -> Good | None:
    """The good that a line of a formula means: the one of that name, or the only one that is that ingredient.

    Args:
        book: of the shop.
        name: as the line has it.
    Returns:
        The good, or None if the shop has none.
    Raises:
        AmbiguousError: several goods are that ingredient, and none has this name.
    """
    if not book.goods:
        return None
    if (good := book.by_name.get(normal_name(name))) is not None:
        return good
    ingredient = ingredient_of(name)
    goods = book.by_ingredient.get(ingredient.id, ()) if ingredient is not None else ()
    if len(goods) > 1:
        names = tuple(good.name for good in goods)
        raise AmbiguousError(
            f"The shop has several goods of this ingredient; give the name of one: {', '.join(names)}.",
            code="ambiguous_good",
            candidates=names,
        )
    return goods[0] if goods else None


def pack_grams(good: Good, pack: Pack, egg_class: EggClass | None) -> Fraction:
    """The as-purchased mass of a pack.

    Args:
        good: the good that is sold in the pack. A volume needs its density, a count the mass of one.
        pack: the size as sold.
        egg_class: of eggs sold by number.
    Returns:
        Grams, exact, above 0. Eggs count without the shell; pieces of a trimmed mass (`grams_each`) count untrimmed.
    Raises:
        NeededError, UnknownError: the density or the mass of one is not known; without a path.
        OutOfRangeError: less than 0.1 g or more than a tonne.
    """
    unit, amount = pack.size.unit, pack.size.amount
    if unit.dimension == "mass":
        grams = amount * unit.factor
    elif unit.dimension == "count" and good.grams_each is not None:
        percent, _ = good.usable_yield
        grams = amount * good.grams_each * 100 / Fraction(percent)
    else:
        thing = Thing(ingredient=good.ingredient, g_per_ml=good.g_per_ml, egg_class=egg_class)
        try:
            grams = amount * grams_per(unit, thing).factor
        except DomainError as error:
            error.path = ()  # a field of the thing made here, which the caller does not know
            raise
    if not MIN_PACK_G <= grams <= MAX_PACK_G:
        limit = broken_limit(float(grams), float(MIN_PACK_G), float(MAX_PACK_G))
        raise OutOfRangeError("A pack holds from 0.1 g to a tonne.", value=float(grams), limit=limit, unit="g")
    return grams


def by_mass(good: Good, quantity: Quantity) -> Quantity:
    """A quantity of a good, in grams if it is a count and the shop gives the mass of one.

    Args:
        good: with the mass of one, if the shop gives it.
        quantity: in any unit.
    Returns:
        The count in grams, or *quantity* itself.
    """
    if quantity.unit.dimension != "count" or good.grams_each is None:
        return quantity
    return Quantity(amount=quantity.amount * good.grams_each, unit=UNITS["g"])


def ingredient_of(name: str) -> Ingredient | None:
    """The ingredient of ours that a name means.

    Args:
        name: of a good or a line.
    Returns:
        The ingredient, or None if the name means none or several.
    """
    try:
        return find_ingredient(name)
    except DomainError:
        return None


def _with_replaced_allergens(good: Good, replaced: Good | None) -> Good:
    """The good with the allergens of the row it replaces: a row that only sets a price must remove no allergen."""
    if replaced is None:
        return good
    named = {*(good.contains or ()), *good.may_contain}
    file_contains = replaced.contains or ()
    return replace(
        good,
        contains=(
            good.contains if replaced.contains is None else _union(good.contains or (), file_contains, good.free_from)
        ),
        may_contain=_union(good.may_contain, replaced.may_contain, good.free_from),
        free_from=_union(good.free_from, replaced.free_from, named),
        file_contains=file_contains,
    )


def _union(first: Iterable[str], second: Iterable[str], without: Container[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*first, *(allergen for allergen in second if allergen not in without))))
