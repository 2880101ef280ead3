"""Allergens: what each ingredient contains, and which allergens a market's label must name."""

from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, get_args

from domain.errors import ErrorCollector, UnknownError
from domain.reference import rows, words
from domain.sources import Cited, cited
from domain.things.ingredients import INGREDIENTS

Market = Literal["eu", "uk", "us"]
MARKETS: tuple[Market, ...] = get_args(Market)
LabelList = Literal["eu", "us"]
LIST_OF: MappingProxyType[Market, LabelList] = MappingProxyType({"eu": "eu", "uk": "eu", "us": "us"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """An allergen on a market's list: its group, and the words that a label uses for it, the usual one first."""

    allergen: str
    group: str
    words: tuple[str, ...]
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class Plain:
    """The allergens of an ingredient of ours, by its plain composition.

    `contains` is always in it. `depends` is in some makes. A compound ingredient is made of several ingredients.
    """

    contains: tuple[str, ...]
    depends: tuple[str, ...]
    compound: bool
    cited: Cited


def check_allergens(ids: tuple[str, ...], field: str) -> None:
    """Check that every id is an allergen of a market's list.

    Args:
        ids: of allergens.
        field: the name of the argument that holds them, for the path of the errors.
    Raises:
        DomainErrors: every id that is in no market's list.
    """
    errors = ErrorCollector()
    for place, allergen in enumerate(ids):
        if allergen not in ALLERGENS:
            with errors.at(field, place):
                raise UnknownError(
                    "This is not the id of an allergen of our lists.",
                    code="unknown_allergen",
                    candidates=tuple(ALLERGENS),
                )
    errors.raise_if_any()


def _load() -> MappingProxyType[LabelList, MappingProxyType[str, Listed]]:
    lists: dict[LabelList, dict[str, Listed]] = {"eu": {}, "us": {}}
    for row in rows("allergens"):
        of_list = lists[row["list"]]  # type: ignore[index]  # any other list fails here, at start-up
        of_list[row["allergen"]] = Listed(
            allergen=row["allergen"], group=row["group"], words=words(row["words"]), cited=cited(row)
        )
    return MappingProxyType({name: MappingProxyType(table) for name, table in lists.items()})


def _load_plain() -> MappingProxyType[str, Plain]:
    table: dict[str, Plain] = {}
    for row in rows("ingredient_allergens"):
        contains, depends = words(row["contains"]), words(row["depends"])
        if row["ingredient"] not in INGREDIENTS or not {*contains, *depends} <= ALLERGENS.keys():
            raise ValueError(f"ingredient_allergens.csv: bad row {row}")
        table[row["ingredient"]] = Plain(
            contains=contains, depends=depends, compound=row["compound"] == "yes", cited=cited(row)
        )
    if missing := INGREDIENTS.keys() - table.keys():
        raise ValueError(f"ingredient_allergens.csv: no row for {sorted(missing)}")
    return MappingProxyType(table)


LISTS = _load()
ALLERGENS = MappingProxyType(LISTS["us"] | LISTS["eu"])  # every allergen of any list, by id
PLAIN = _load_plain()
MIXED_NUTS = "mixed_nuts"  # tree nuts that are not named one by one
TREE_NUTS = frozenset(
    listed.allergen
    for table in LISTS.values()
    for listed in table.values()
    if listed.group == "tree_nuts" and listed.allergen != MIXED_NUTS
)
