"""Allergens: what each ingredient plainly holds, and which of it a market's label must name."""

from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal

from domain.errors import UnknownError
from domain.reference import rows, words
from domain.sources import Cited, cited
from domain.things.ingredients import INGREDIENTS

Market = Literal["eu", "uk", "us"]
LabelList = Literal["eu", "us"]
LIST_OF: MappingProxyType[Market, LabelList] = MappingProxyType({"eu": "eu", "uk": "eu", "us": "us"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Listed:
    """An allergen on a market's list: its group there, and the words a label has for it, the usual one first."""

    allergen: str
    group: str
    words: tuple[str, ...]
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class Plain:
    """What an ingredient of ours holds by its plain composition.

    `contains` is always there, `depends` often, by make or process; a compound ingredient is made of several.
    """

    contains: tuple[str, ...]
    depends: tuple[str, ...]
    compound: bool
    cited: Cited


def check_allergens(ids: tuple[str, ...], field: str) -> None:
    """Refuse what is no allergen known here.

    Args:
        ids: of allergens.
        field: where they stand.
    Raises:
        UnknownError: one of them is in no market's list.
    """
    for place, allergen in enumerate(ids):
        if allergen not in ALLERGENS:
            raise UnknownError(
                "Not an allergen of our lists.",
                path=(field, place),
                code="unknown-allergen",
                candidates=tuple(ALLERGENS),
            )


def groups_of(market: Market) -> tuple[str, ...]:
    """Every group of a market's list: 14 in the EU and the UK, 9 in the USA."""
    return tuple(dict.fromkeys(listed.group for listed in LISTS[LIST_OF[market]].values()))


def _load() -> MappingProxyType[LabelList, MappingProxyType[str, Listed]]:
    lists: dict[LabelList, dict[str, Listed]] = {"eu": {}, "us": {}}
    for row in rows("allergens"):
        of_list = lists[row["list"]]  # type: ignore[index]  # any other stops the start here
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
        raise ValueError(f"ingredient_allergens.csv: nothing on {sorted(missing)}")
    return MappingProxyType(table)


LISTS = _load()
ALLERGENS = MappingProxyType(LISTS["us"] | LISTS["eu"])  # every allergen known, by id
PLAIN = _load_plain()
MIXED_NUTS = "mixed_nuts"  # tree nuts that are not named one by one
TREE_NUTS = frozenset(
    listed.allergen
    for table in LISTS.values()
    for listed in table.values()
    if listed.group == "tree_nuts" and listed.allergen != MIXED_NUTS
)
