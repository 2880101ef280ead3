"""Baker's percentages: every ingredient against the flour, what the mix holds, and the way back to grams."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from domain.errors import NeededError, OutOfRangeError, UnknownError
from domain.formulas.formula import Mass, WeighedFormula
from domain.notices import Notice
from domain.reference import rows
from domain.shop.composition import Content, Use, composition_notices, contents_of, uses_of
from domain.shop.goods import Book
from domain.shop.nutrition import Nutrient
from domain.things.conversion import EGG_PARTS
from domain.things.ingredients import DRY_FORMS, INGREDIENTS, normal_name

BaseKind = Literal["named", "flour", "largest_dry"]
MOSTLY_SUGAR = 80.0  # g of sugars in 100 g: a sugar, which is no base; our own limit
EGG_IDS = frozenset(EGG_PARTS) | {"dried-egg", "dried-egg-white", "dried-egg-yolk"}
MAX_MIX_G = 100_000_000.0  # our own limit: a hundred tonnes of mix is a typing slip


@dataclass(frozen=True, slots=True, kw_only=True)
class BalanceLine:
    """An ingredient, all its lines together, against the base of 100."""

    use: Use
    percent: float
    is_base: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Against:
    """A part of the mix against the base, percent; with what says nothing of it, the figure being too small then."""

    percent: float
    grams: float
    coverage_percent: float
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """A formula in baker's percentages.

    `hydration` is the water of everything but the base, against the base; `water_of_mix_percent` all the water there
    is, the base's own too, in the whole mix. Sugar, fat and water are by composition, so milk, egg and butter count
    with what they hold; egg and leavening are whole ingredients.
    """

    base_kind: BaseKind
    base_g: float
    mass: Mass
    lines: tuple[BalanceLine, ...]
    total_percent: float
    hydration: Against
    sugar: Against
    fat: Against
    egg: Against
    leavening: Against
    water_of_mix_percent: float
    notices: tuple[Notice, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Compared:
    """One ingredient in two formulas, against each one's base; None where it is not in it."""

    name: str
    first_percent: float | None
    second_percent: float | None

    @property
    def difference(self) -> float:
        """What the second has more, in points of percent."""
        return (self.second_percent or 0.0) - (self.first_percent or 0.0)


def balance(weighed: WeighedFormula, book: Book, base: Sequence[str] = (), component: str | None = None) -> Balance:
    """Baker's percentages of a formula.

    Args:
        weighed: the formula in grams.
        book: the shop's goods.
        base: names of the lines that are 100 together; by default the flours, and where there is none the heaviest
            dry ingredient that is no sugar, salt or raising agent.
        component: one component by name; the whole formula if None.
    Returns:
        The percentages; base and lines are exact masses.
    Raises:
        UnknownError: no such component, or a base that is not in the formula.
        NeededError: nothing in the formula can be a base.
        AmbiguousError: a line means several of the shop's goods.
    Source:
        Percent = mass / flour × 100, common practice of the trade (worked examples in tests/published).
    """
    uses = uses_of(weighed, book, _components(weighed, component))
    kind, base_uses = _base(uses, base)
    base_g = math.fsum(use.mass.grams for use in base_uses)
    rest = [use for use in uses if use not in base_uses]
    everything = contents_of(uses)
    lines = tuple(BalanceLine(use=use, percent=use.mass.grams / base_g * 100, is_base=use in base_uses) for use in uses)
    mix_g = math.fsum(use.mass.grams for use in uses)
    return Balance(
        base_kind=kind,
        base_g=base_g,
        mass=Mass(
            grams=mix_g,
            low=math.fsum(use.mass.low for use in uses),
            high=math.fsum(use.mass.high for use in uses),
        ),
        lines=lines,
        total_percent=mix_g / base_g * 100,
        hydration=_content(contents_of(rest), "water_g", base_g),
        sugar=_content(everything, "sugars_g", base_g),
        fat=_content(everything, "fat_g", base_g),
        egg=_whole([use for use in uses if use.ingredient is not None and use.ingredient.id in EGG_IDS], base_g),
        leavening=_whole([use for use in rest if use.ingredient is not None and use.ingredient.raises], base_g),
        water_of_mix_percent=everything["water_g"].amount / mix_g * 100,
        notices=composition_notices(uses),
    )


def grams_of(percentages: Sequence[float], mix_g: float) -> tuple[float, ...]:
    """The way back: grams of each ingredient of a wanted mix.

    Args:
        percentages: of each ingredient, at least 0 and not all 0; the base stands among them.
        mix_g: the whole mix wanted, above 0.
    Returns:
        Grams that add up to the mix.
    Raises:
        OutOfRangeError: nothing is asked for, or more than a hundred tonnes.
    Source:
        Flour = mix / total percent × 100, then each percentage of it (worked examples in tests/published).

    >>> [round(grams, 3) for grams in grams_of([100, 60, 2, 1], 1630)]
    [1000.0, 600.0, 20.0, 10.0]
    """
    total_percent = math.fsum(percentages)
    if total_percent <= 0 or min(percentages) < 0:
        raise OutOfRangeError("Percentages are at least 0, and one is above.", path=("percentages",))
    if not 0 < mix_g <= MAX_MIX_G:
        raise OutOfRangeError("The mix wanted is above 0 and at most a hundred tonnes.", path=("grams",))
    return tuple(percent / total_percent * mix_g for percent in percentages)


def compare(first: Balance, second: Balance) -> tuple[Compared, ...]:
    """Two formulas side by side: every ingredient of either, in the order of the first and then of the second."""
    percents: list[Mapping[object, float]] = [
        {_identity(line.use): line.percent for line in balance_.lines} for balance_ in (first, second)
    ]
    names = {_identity(line.use): line.use.name for line in (*second.lines, *first.lines)}
    order = dict.fromkeys(_identity(line.use) for line in (*first.lines, *second.lines))
    return tuple(
        Compared(name=names[key], first_percent=percents[0].get(key), second_percent=percents[1].get(key))
        for key in order
    )


def _components(weighed: WeighedFormula, component: str | None) -> tuple[int, ...] | None:
    if component is None:
        return None
    names = tuple(one.component.name for one in weighed.components)
    found = tuple(i for i, name in enumerate(names) if name == component)
    if not found:
        raise UnknownError(
            "No component of that name.", path=("component",), code="unknown-component", candidates=names
        )
    return found


def _base(uses: Sequence[Use], named: Sequence[str]) -> tuple[BaseKind, list[Use]]:
    if named:
        return "named", [_named(uses, name, place) for place, name in enumerate(named)]
    flours = [use for use in uses if use.ingredient is not None and use.ingredient.id in FLOURS]
    if flours:
        return "flour", flours
    dry = [use for use in uses if _may_be_base(use)]
    if not dry:
        raise NeededError("No flour and nothing dry is in it: name its base.", path=("base",), code="base-needed")
    return "largest_dry", [max(dry, key=lambda use: use.mass.grams)]


def _named(uses: Sequence[Use], name: str, place: int) -> Use:
    for use in uses:
        names = {use.name, *(line.line.name for line in use.lines)}
        if use.ingredient is not None:
            names |= {use.ingredient.id, use.ingredient.british, use.ingredient.american}
        if normal_name(name) in {normal_name(one) for one in names}:
            return use
    known = tuple(use.name for use in uses)
    raise UnknownError(
        "Not an ingredient of this formula.", path=("base", place), code="unknown-base", candidates=known
    )


def _may_be_base(use: Use) -> bool:
    if use.ingredient is None or use.ingredient.form not in DRY_FORMS or use.ingredient.raises:
        return False
    sugars = use.composition.per_100g.get("sugars_g", 0.0) if use.composition is not None else 0.0
    return sugars < MOSTLY_SUGAR and "salt" not in use.ingredient.id


def _content(contents: Mapping[Nutrient, Content], nutrient: Nutrient, base_g: float) -> Against:
    content = contents[nutrient]
    return Against(
        percent=content.amount / base_g * 100,
        grams=content.amount,
        coverage_percent=min(content.coverage_percent, 100.0),
        missing=content.missing,
    )


def _whole(uses: Sequence[Use], base_g: float) -> Against:
    grams = math.fsum(use.mass.grams for use in uses)
    return Against(percent=grams / base_g * 100, grams=grams, coverage_percent=100.0, missing=())


def _identity(use: Use) -> object:
    known = use.good or use.ingredient
    return (known, use.composition) if known is not None else use.name.casefold()


def _load_flours() -> frozenset[str]:
    found = frozenset(row["ingredient"] for row in rows("flours"))
    if not found <= INGREDIENTS.keys():
        raise ValueError(f"flours.csv: not ingredients: {found - INGREDIENTS.keys()}")
    return found


FLOURS = _load_flours()
