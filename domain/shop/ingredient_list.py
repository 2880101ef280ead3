"""The list of ingredients: order, compound ingredients, quantities of named ingredients, allergens."""

import math
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from domain.notices import Notice, NoticeCode
from domain.reference import rows
from domain.shop.allergens import LIST_OF, LISTS, MIXED_NUTS, PLAIN, TREE_NUTS, Listed, Market
from domain.shop.composition import Use
from domain.shop.german_names import is_mentioned
from domain.shop.goods import Good, Part, ingredient_of
from domain.shop.part_allergens import allergens_of_parts, unlisted_words
from domain.things.ingredients import INGREDIENTS, Ingredient, normal_name

WATERS = frozenset({"water", "sparkling-water"})
MAY_LEAVE_OUT_PERCENT = 5.0  # added water up to this share of the finished product: label_rules.csv, added_water
# Words of ingredients' names that say how and not what. A product name with such a word does not name the ingredient.
_PLAIN_WORDS = frozenset(
    "active all and baking beaten black block blanched bread brown cake caster chopped clear cold dark dried dry extra"  # noqa: SIM905
    " fast fine"
    " firm flaked flour fresh frozen full golden granulated grated ground half hot instant large light long low medium"
    " mixed natural nibbed of oil old pastry pieces pinhead plain powder powdered pure purpose quick raw red"
    " rising roasted rolled runny salted self semi sea single skimmed small soft spread strong sugar sweet sweetened"
    " syrup tinned unsalted unsweetened virgin warm white whole wholemeal with".split()
)
_SINGULARS = (("ss", "ss"), ("ies", "y"), ("oes", "o"), ("ches", "ch"), ("shes", "sh"), ("xes", "x"), ("s", ""))
_BAKES = ("bread", "cake", "flake", "flour", "germ", "loaf", "meal")  # endings of words such as gingerbread and oatmeal
_KINDS, _NO_KIND = ("berry", "nut"), {"coconut", "doughnut"}  # endings of words such as blueberry and hazelnut
_SHORTEST_WORD = 3  # letters of the shortest word that can name an ingredient; our own limit


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A piece of the list's text. Allergens are emphasised."""

    text: str
    emphasised: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One ingredient in the list.

    `grams` is its mass in the mixing bowl, and `order_grams` the mass that it is ranked by. `quantity_percent` is its
    share of the finished product, given for an ingredient that the product's name mentions; above 100 %,
    `grams_per_100g` is given instead.
    """

    use: Use
    name: str
    grams: float
    order_grams: float
    percent_of_mix: float
    quantity_percent: float | None
    grams_per_100g: float | None
    allergens: tuple[Listed, ...]
    may_be_left_out: bool
    runs: tuple[Run, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AllergenGroup:
    """A group of the market's list that the product contains: its allergens, and the ingredients they are in."""

    group: str
    allergens: tuple[str, ...]
    words: tuple[str, ...]
    ingredients: tuple[str, ...]


def ingredient_list(
    uses: Sequence[Use], market: Market, finished_g: float, product_name: str, quantified: Iterable[str] | None = None
) -> tuple[Entry, ...]:
    """The ingredients as a label lists them.

    Args:
        uses: the ingredients of the formula.
        market: whose rules apply.
        finished_g: mass of the mix once baked, above 0.
        product_name: an ingredient that it mentions gets its quantity in percent.
        quantified: names of the ingredients to give a quantity for, instead of those that the name mentions.
    Returns:
        Entries in descending order of their mass in the mixing bowl. In the EU and the UK, added water counts by the
        water left in the finished product, and is left out if none is left.
    Source:
        Regulation (EU) 1169/2011, Article 18(1), Annex VII part A point 1, Annex VIII points 3 and 4 (label_rules.csv).
    """
    mix_g = math.fsum(use.mass.grams for use in uses)
    quantified_names = None if quantified is None else {normal_name(name) for name in quantified}
    name_stems = _stems(product_name)
    water_left_g = _water_left(uses, finished_g) if LIST_OF[market] == "eu" else None
    entries = []
    for use in uses:
        is_water = use.ingredient is not None and use.ingredient.id in WATERS
        order_g = use.mass.grams if water_left_g is None or not is_water else min(use.mass.grams, water_left_g)
        named = (
            _is_named(use, name_stems, product_name)
            if quantified_names is None
            else normal_name(use.name) in quantified_names
        )
        percent = use.mass.grams / finished_g * 100 if named else None
        entries.append(
            _entry(
                use,
                market,
                order_g=order_g,
                percent=percent,
                percent_of_mix=use.mass.grams / mix_g * 100,
                may_be_left_out=(
                    water_left_g is not None and is_water and order_g <= finished_g * MAY_LEAVE_OUT_PERCENT / 100
                ),
            )
        )
    return tuple(sorted((entry for entry in entries if entry.order_grams > 0), key=lambda entry: -entry.order_grams))


def allergen_groups(entries: Iterable[Entry]) -> tuple[AllergenGroup, ...]:
    """The allergens of the entries by group, in the order of the list of ingredients."""
    names: dict[str, dict[str, list[str]]] = {}
    words: dict[str, str] = {}
    for entry in entries:
        for listed in entry.allergens:
            names.setdefault(listed.group, {}).setdefault(listed.allergen, []).append(entry.name)
            words[listed.allergen] = listed.words[0]
    return tuple(
        AllergenGroup(
            group=group,
            allergens=tuple(by_allergen),
            words=tuple(words[allergen] for allergen in by_allergen),
            ingredients=tuple(dict.fromkeys(name for of_allergen in by_allergen.values() for name in of_allergen)),
        )
        for group, by_allergen in names.items()
    )


def list_text(entries: Iterable[Entry]) -> tuple[Run, ...]:
    """The list as text: the entries, separated by commas."""
    runs: list[Run] = []
    for entry in entries:
        if runs:
            runs.append(Run(text=", ", emphasised=False))
        runs += entry.runs
    return tuple(runs)


def allergen_notices(uses: Iterable[Use]) -> tuple[Notice, ...]:
    """Warnings about allergens: unknown ones, those to check on the packet, and claims that contradict the reference.

    Args:
        uses: what the formula uses.
    Returns:
        The warnings, each with the path of the ingredient's first line.
    """
    return tuple(
        Notice(code=code, message=f"{use.name}: {message}", path=use.path)
        for use in uses
        for code, message in _allergen_messages(use)
    )


def contained_allergens(use: Use) -> tuple[str, ...]:
    """The allergens in an ingredient: those of the reference table, of the parts and of the shop's row.

    Args:
        use: the ingredient.
    Returns:
        Ids of allergens without those of `free_from`: the reference table's first, then those that only the shop names.
    """
    of_good = (use.good.contains or ()) if use.good is not None else ()
    free_from = use.good.free_from if use.good is not None else ()
    of_references = (allergen for ingredient in _references(use) for allergen in PLAIN[ingredient.id].contains)
    of_parts = allergens_of_parts(use.good) if use.good is not None else ()
    every = (*of_references, *of_good, *of_parts)
    return tuple(dict.fromkeys(allergen for allergen in every if allergen not in free_from))


def _allergen_messages(use: Use) -> Iterator[tuple[NoticeCode, str]]:
    good, references = use.good, _references(use)
    if not references and (good is None or good.contains is None):
        yield "allergens_unknown", "its allergens are not known, and the list leaves them out. Give contains."
    depends = dict.fromkeys(allergen for ingredient in references for allergen in PLAIN[ingredient.id].depends)
    contained = contained_allergens(use)
    if unanswered := [a for a in depends if a not in contained and not _is_answered(a, good)]:
        yield (
            "allergens_depend",
            f"some makes contain {', '.join(unanswered)}. Check the packet, and list each under contains or free_from.",
        )
    if good is not None:
        for name, allergen in unlisted_words(good):
            if allergen not in contained:
                yield (
                    "allergens_depend",
                    f"{name!r} names {allergen}. Check the packet, and list it under contains or free_from.",
                )
        yield from _contradictions(use, good)
    if MIXED_NUTS in contained:
        yield (
            "nuts_unnamed",
            f"each nut in it must be named. Name them in contains, and {MIXED_NUTS} in free_from.",
        )
    is_compound = use.ingredient is not None and PLAIN[use.ingredient.id].compound
    if is_compound and not (good is not None and good.parts):
        yield "compound_unlisted", "made of several ingredients; give its parts from the packet."


def _contradictions(use: Use, good: Good) -> Iterator[tuple[NoticeCode, str]]:
    names_nuts = any(allergen in TREE_NUTS for allergen in good.contains or ())
    of_parts = allergens_of_parts(good)
    for allergen in good.free_from:
        if allergen == MIXED_NUTS and names_nuts:
            continue  # the nuts are named one by one instead
        holders = [item.british for item in _references(use) if allergen in PLAIN[item.id].contains]
        if allergen in of_parts:
            holders.append(of_parts[allergen])
        if holders:
            other = f"our table says that {' and '.join(holders)} contains {allergen}"
        elif allergen in good.file_contains:
            other = f"the shop file says that {good.name} contains {allergen}"
        else:
            continue
        yield (
            "contradicts_reference",
            (
                f"free_from says that it is free from {allergen}, but {other}. The label follows free_from and does not"
                f" declare {allergen}: check the packet."
            ),
        )


def _is_answered(allergen: str, good: Good | None) -> bool:
    """Whether the shop's row says if an allergen that differs by make is in its good."""
    if good is None:
        return False
    named = {*(good.contains or ()), *good.may_contain, *good.free_from}
    return allergen in named or (allergen == MIXED_NUTS and not TREE_NUTS.isdisjoint(named))


def _references(use: Use) -> tuple[Ingredient, ...]:
    """The ingredients of ours whose allergens an ingredient has: the one it is, and the one whose name its good has."""
    named = ingredient_of(use.good.name) if use.good is not None else None
    return tuple(ingredient for ingredient in dict.fromkeys((use.ingredient, named)) if ingredient is not None)


def _entry(
    use: Use, market: Market, *, order_g: float, percent: float | None, percent_of_mix: float, may_be_left_out: bool
) -> Entry:
    name, parts = _label_name(use, market), use.good.parts if use.good is not None else ()
    listed = tuple(
        LISTS[LIST_OF[market]][allergen] for allergen in contained_allergens(use) if allergen in LISTS[LIST_OF[market]]
    )
    above_hundred = percent is not None and percent > 100
    shown = "" if percent is None or market == "us" else _quantity_text(percent)
    text = name + (f" ({', '.join(_part_text(part) for part in parts)})" if parts else "")
    return Entry(
        use=use,
        name=name,
        grams=use.mass.grams,
        order_grams=order_g,
        percent_of_mix=percent_of_mix,
        quantity_percent=None if above_hundred else percent,
        grams_per_100g=percent if above_hundred else None,
        allergens=listed,
        may_be_left_out=may_be_left_out,
        runs=_emphasised(text, listed, shown),
    )


def _water_left(uses: Iterable[Use], finished_g: float) -> float:
    others = math.fsum(
        use.mass.grams for use in uses if not (use.ingredient is not None and use.ingredient.id in WATERS)
    )
    return max(0.0, finished_g - others)


def _label_name(use: Use, market: Market) -> str:
    if use.good is not None and use.good.label_name:
        return use.good.label_name
    if LIST_OF[market] == "eu" and use.ingredient is not None and use.ingredient.id in ADDITIVES:
        return ADDITIVES[use.ingredient.id]
    if use.ingredient is None or use.good is not None:
        return use.name
    return use.ingredient.american if market == "us" else use.ingredient.british


def _part_text(part: Part) -> str:
    return part.name if part.percent is None else f"{part.name} {part.percent:g} %"


def _quantity_text(percent: float) -> str:
    if percent > 100:
        return f" {percent:.0f} g per 100 g"
    return f" {percent:.0f} %" if percent >= 1 else f" {percent:.1f} %"


def _emphasised(text: str, listed: Sequence[Listed], ending: str) -> tuple[Run, ...]:
    words = sorted((word for allergen in listed for word in allergen.words), key=len, reverse=True)
    runs: list[Run] = []
    emphasised: set[str] = set()
    place = 0
    pattern = rf"\b({'|'.join(map(re.escape, words))})\b" if words else r"(?!)"
    for match in re.finditer(pattern, text, re.IGNORECASE):
        if match.start() > place:
            runs.append(Run(text=text[place : match.start()], emphasised=False))
        runs.append(Run(text=match[0].upper(), emphasised=True))
        emphasised.add(match[0].casefold())
        place = match.end()
    if place < len(text):
        runs.append(Run(text=text[place:], emphasised=False))
    missing = [
        allergen.words[0] for allergen in listed if not emphasised & {word.casefold() for word in allergen.words}
    ]
    for i, word in enumerate(missing):
        runs.append(Run(text=", " if i else " (", emphasised=False))
        runs.append(Run(text=word.upper(), emphasised=True))
    ending = (")" if missing else "") + ending
    return (*runs, Run(text=ending, emphasised=False)) if ending else tuple(runs)


def _stems(text: str) -> frozenset[str]:
    """The words of a name that can name an ingredient, in the singular, with the parts of compound words."""
    words = re.findall(r"[^\W\d_]+", text.casefold())
    singulars = [_singular(word) for word in words if word not in _PLAIN_WORDS]
    stems = {*singulars, *(part for word in singulars for part in _parts_of_word(word))}
    return frozenset(stem for stem in stems if len(stem) >= _SHORTEST_WORD and stem not in _PLAIN_WORDS)


def _singular(word: str) -> str:
    for ending, singular in _SINGULARS:
        if word.endswith(ending) and len(word) >= _SHORTEST_WORD + len(ending) - len(singular):
            return word.removesuffix(ending) + singular
    return word


def _parts_of_word(word: str) -> Iterator[str]:
    """The thing in a word such as gingerbread or oatmeal, and the kind in one such as hazelnut or blueberry."""
    for ending in _BAKES:
        if word.endswith(ending):
            yield word.removesuffix(ending)
    if word not in _NO_KIND:
        yield from (kind for kind in _KINDS if word.endswith(kind))


def _is_named(use: Use, name_stems: frozenset[str], product_name: str) -> bool:
    ingredient: Ingredient | None = use.ingredient
    names = [use.name, *((ingredient.british, ingredient.american) if ingredient is not None else ())]
    in_english = any(_stems(name) & name_stems for name in names)
    return in_english or (ingredient is not None and is_mentioned(ingredient.id, product_name))


ADDITIVES = {row["ingredient"]: row["label_name"] for row in rows("additive_classes")}
if wrong := ADDITIVES.keys() - INGREDIENTS.keys():
    raise ValueError(f"additive_classes.csv: not ingredients: {sorted(wrong)}")
