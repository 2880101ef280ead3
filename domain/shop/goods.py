"""What a shop knows of the goods it buys: names, density, packs and prices, usable yield, allergens, composition."""

from collections.abc import Container, Iterable
from dataclasses import dataclass, field, replace
from fractions import Fraction
from functools import lru_cache
from types import MappingProxyType

from domain.errors import AmbiguousError, DomainError, MismatchError, OutOfRangeError
from domain.measures.quantities import Quantity
from domain.shop.allergens import check_allergens
from domain.shop.money import Currency
from domain.shop.nutrition import Composition
from domain.things.conversion import Thing, grams_per
from domain.things.eggs import EggClass
from domain.things.ingredients import Ingredient, find_ingredient, normal_name

MIN_PACK_G, MAX_PACK_G = Fraction(1, 10), Fraction(1_000_000)  # our own limits, no source: from saffron to a tonne


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """A size a good is sold in, and what it costs; None where the price is not known."""

    size: Quantity
    price: Fraction | None = None

    def __post_init__(self) -> None:
        """Refuse what no pack is."""
        if self.size.unit.dimension not in {"mass", "volume", "count"} or self.size.amount <= 0:
            raise MismatchError("A pack is a mass, a volume or a count above 0.", path=("size",), code="pack-size")


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One of the ingredients that a compound good is made of, with its share if its packet says so."""

    name: str
    percent: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)  # compared by identity: one object per row
class Good:
    """A row of the shop. A field that is None is unknown; for an ingredient of ours, the reference tables fill it.

    `contains`, `may_contain` and `free_from` are ids of `domain.shop.allergens`. `contains` adds to what the reference
    table says of the ingredient. Only `free_from` removes an allergen. `contains` is None where the shop has not said;
    an empty tuple means that the shop adds none. `file_contains` is what the shop file's row of the same name said,
    for a good of a request. `parts` are in descending order of weight, as on the packet.
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
        """Reject impossible values."""
        check_allergens(self.contains or (), "contains")
        check_allergens(self.may_contain, "may_contain")
        check_allergens(self.free_from, "free_from")
        for place, allergen in enumerate(self.free_from):
            for field_name, allergens in (("contains", self.contains or ()), ("may_contain", self.may_contain)):
                if allergen in allergens:
                    raise MismatchError(
                        f"{allergen} is in both {field_name} and free_from: remove it from one of the two.",
                        path=("free_from", place),
                        code="allergen-contradiction",
                    )
        if self.usable_yield_percent is not None and not 0 < self.usable_yield_percent <= 100:
            raise OutOfRangeError("Usable yield is above 0 and at most 100 %.", path=("usable_yield_percent",))
        if self.currency is None and any(pack.price is not None for pack in self.packs):
            raise MismatchError("A price needs a currency.", path=("currency",), code="currency-needed")


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """The shop's goods, by name and by the ingredient of ours that they are."""

    goods: tuple[Good, ...] = ()
    by_name: MappingProxyType[str, Good] = field(default_factory=lambda: MappingProxyType({}))
    by_ingredient: MappingProxyType[str, tuple[Good, ...]] = field(default_factory=lambda: MappingProxyType({}))


EMPTY_BOOK = Book()


def make_book(goods: Iterable[Good], base: Book = EMPTY_BOOK) -> Book:
    """A book of goods that win over those of another: by name, and for every ingredient they stand for.

    Args:
        goods: each name once.
        base: what holds where the new goods say nothing, such as the shop file under a request's rows.
    Returns:
        The book.
    Raises:
        AmbiguousError: two of the goods share a name; `path` is the place of the second.
    """
    given: dict[str, Good] = {}
    for place, good in enumerate(goods):
        name = normal_name(good.name)
        if name in given:
            raise AmbiguousError("Two rows have this name.", path=(place, "name"), code="good-twice")
        given[name] = _keep_allergens(good, base.by_name.get(name))
    replaced = {good.ingredient.id for good in given.values() if good.ingredient is not None}
    kept = {
        name: good
        for name, good in base.by_name.items()
        if name not in given and (good.ingredient is None or good.ingredient.id not in replaced)
    }
    by_ingredient: dict[str, tuple[Good, ...]] = {}
    both = kept | given
    for good in both.values():
        if good.ingredient is not None:
            by_ingredient[good.ingredient.id] = (*by_ingredient.get(good.ingredient.id, ()), good)
    return Book(
        goods=tuple(both.values()), by_name=MappingProxyType(both), by_ingredient=MappingProxyType(by_ingredient)
    )


def find_good(book: Book, name: str) -> Good | None:
    """The shop's good that a line of a formula means: of that name, or the one good for that ingredient of ours.

    Args:
        book: of the shop.
        name: as the line has it.
    Returns:
        The good, or None where the shop has none.
    Raises:
        AmbiguousError: several goods are that ingredient and none has this name.
    """
    if not book.goods:
        return None
    if (good := book.by_name.get(normal_name(name))) is not None:
        return good
    ingredient = _ingredient_of(name)
    goods = book.by_ingredient.get(ingredient.id, ()) if ingredient is not None else ()
    if len(goods) > 1:
        names = tuple(good.name for good in goods)
        raise AmbiguousError(
            f"The shop has several of these; say which: {', '.join(names)}.", code="ambiguous-good", candidates=names
        )
    return goods[0] if goods else None


def pack_grams(good: Good, pack: Pack, egg_class: EggClass | None) -> Fraction:
    """What a pack holds, in grams.

    Args:
        good: whose pack it is; a volume needs its density, a count what one weighs.
        pack: the size as sold.
        egg_class: of eggs sold by number.
    Returns:
        Grams, exact, above 0; for eggs without the shell.
    Raises:
        NeededError, UnknownError: the density or the mass of one is not known.
        OutOfRangeError: less than 0.1 g or more than a tonne.
    """
    unit, amount = pack.size.unit, pack.size.amount
    if unit.dimension == "mass":
        grams = amount * unit.factor
    elif unit.dimension == "count" and good.grams_each is not None:
        grams = amount * good.grams_each
    else:
        thing = Thing(ingredient=good.ingredient, g_per_ml=good.g_per_ml, egg_class=egg_class)
        grams = amount * grams_per(unit, thing).factor
    if not MIN_PACK_G <= grams <= MAX_PACK_G:
        raise OutOfRangeError("A pack holds from 0.1 g to a tonne.", path=("size",))
    return grams


def _keep_allergens(good: Good, replaced: Good | None) -> Good:
    """The good with the allergens of the row it replaces: replacing a row, to set a price say, removes no allergen."""
    if replaced is None:
        return good
    named = {*(good.contains or ()), *good.may_contain}
    file_contains = replaced.contains or ()
    return replace(
        good,
        contains=good.contains
        if replaced.contains is None
        else _union(good.contains or (), file_contains, good.free_from),
        may_contain=_union(good.may_contain, replaced.may_contain, good.free_from),
        free_from=_union(good.free_from, replaced.free_from, named),
        file_contains=file_contains,
    )


def _union(first: Iterable[str], second: Iterable[str], without: Container[str]) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*first, *(allergen for allergen in second if allergen not in without))))


@lru_cache(maxsize=1024)
def _ingredient_of(name: str) -> Ingredient | None:
    try:
        return find_ingredient(name)
    except DomainError:
        return None
