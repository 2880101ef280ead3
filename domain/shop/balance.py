"""Baker's percentages: every ingredient against the flour, the parts of the mix, and the way back to grams."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from domain.errors import ErrorCollector, NeededError, OutOfRangeError, UnknownError, broken_limit
from domain.formulas.formula import Mass, WeighedFormula
from domain.notices import Notice
from domain.reference import rows
from domain.shop.allergens import Market
from domain.shop.composition import Content, Use, composition_notices, contents_of, uses_of
from domain.shop.goods import Book
from domain.shop.nutrition import Nutrient
from domain.shop.scaled import scaled
from domain.things.conversion import EGG_PARTS
from domain.things.ingredients import DRY_FORMS, INGREDIENTS, normal_name

BaseKind = Literal["named", "flour", "largest_dry"]
MOSTLY_SUGAR = 80.0  # g of sugars in 100 g from which an ingredient is a sugar and no base; our own limit
EGG_IDS = frozenset(EGG_PARTS) | {"dried-egg", "dried-egg-white", "dried-egg-yolk"}
MAX_MIX_G = 100_000_000.0  # our own limit: more than a hundred tonnes of mix is a typing slip


@dataclass(frozen=True, slots=True, kw_only=True)
class BalanceLine:
    """An ingredient, with all its lines, against the base of 100."""

    use: Use
    percent: float
    is_base: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Against:
    """A part of the mix against the base, in percent. It is too small if an ingredient in `missing` has no figure."""

    percent: float
    grams: float
    coverage_percent: float
    missing: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Balance:
    """A formula in baker's percentages.

    `hydration` is the water of every ingredient but the base, against the base. `water_of_mix_percent` is all the water
    of the mix, including that of the base, as a share of the mix. Water, sugar and fat go by composition, so milk, egg
    and butter count with the water, sugar and fat in them. Egg and leavening are whole ingredients.
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
    """One ingredient in two formulas, against the base of each; None in a formula that does not use it."""

    name: str
    first_percent: float | None
    second_percent: float | None

    @property
    def difference(self) -> float:
        """The second percentage less the first, in percentage points."""
        return (self.second_percent or 0.0) - (self.first_percent or 0.0)


def balance(
    weighed: WeighedFormula,
    book: Book,
    base: Sequence[str] = (),
    component: str | None = None,
    factor: float = 1.0,
    *,
    market: Market | None = None,
) -> Balance:
    """Baker's percentages of a formula, with grams at the factor of a target.

    Args:
        weighed: the formula as written, in grams.
        book: the shop's goods.
        base: names of the lines that together are 100. By default these are the flours or, without flour, the heaviest
            dry ingredient that is no sugar, salt or raising agent.
        component: one component by name; the whole formula if None.
        factor: of the target. Percentages do not depend on it.
        market: whose products the compositions describe, as on a label.
    Returns:
        The percentages.
    Raises:
        DomainErrors: every name in *base* that is not an ingredient of the formula.
        UnknownError: there is no such component.
        NeededError: no ingredient can be the base.
        AmbiguousError: a line means several of the shop's goods.
    Source:
        Percent = mass / flour × 100, common practice of the trade (worked examples in tests/published).
    """
    names = tuple(component.component.name for component in weighed.components)
    uses = uses_of(scaled(weighed, factor), book, component_places(names, component), market)
    kind, base_uses = _base(uses, base)
    base_g = math.fsum(use.mass.grams for use in base_uses)
    rest = [use for use in uses if use not in base_uses]
    contents = contents_of(uses)
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
        sugar=_content(contents, "sugars_g", base_g),
        fat=_content(contents, "fat_g", base_g),
        egg=_whole([use for use in uses if use.ingredient is not None and use.ingredient.id in EGG_IDS], base_g),
        leavening=_whole([use for use in rest if use.ingredient is not None and use.ingredient.raises], base_g),
        water_of_mix_percent=contents["water_g"].amount / mix_g * 100,
        notices=composition_notices(uses, market),
    )


def grams_from_percentages(percentages: Sequence[float], mix_g: float) -> tuple[float, ...]:
    """The way back: grams of each ingredient of a wanted mix.

    Args:
        percentages: of each ingredient, at least 0 and not all 0; the base stands among them.
        mix_g: the whole mix wanted, above 0.
    Returns:
        Grams that add up to the mix.
    Raises:
        DomainErrors: the percentages are all 0 or one is negative; the mix is more than a hundred tonnes.
    Source:
        Flour = mix / total percent × 100, then each percentage of it (worked examples in tests/published).

    >>> [round(grams, 3) for grams in grams_from_percentages([100, 60, 2, 1], 1630)]
    [1000.0, 600.0, 20.0, 10.0]
    """
    whole_percent = total_percent(percentages)
    errors = ErrorCollector()
    with errors.at("percentages"):
        if whole_percent <= 0 or min(percentages) < 0:
            message = "Percentages are at least 0, and one of them is above 0."
            raise OutOfRangeError(message, value=min(percentages, default=0.0), limit=0, unit="percent")
    with errors.at("mix_g"):
        if not 0 < mix_g <= MAX_MIX_G:
            message, limit = "The mix is above 0 and at most a hundred tonnes.", broken_limit(mix_g, 0, MAX_MIX_G)
            raise OutOfRangeError(message, value=mix_g, limit=limit, unit="g")
    errors.raise_if_any()
    return tuple(percent / whole_percent * mix_g for percent in percentages)


def pieces_mix_g(count: int, grams_each: float) -> float:
    """The mix for a number of pieces.

    Args:
        count: of pieces, at least 1.
        grams_each: mass of a piece before the oven.
    Returns:
        Grams of the whole mix.
    Raises:
        OutOfRangeError: the mix is more than a hundred tonnes.
    """
    mix_g = count * grams_each
    if mix_g > MAX_MIX_G:
        message = "The pieces weigh more than a hundred tonnes together."
        raise OutOfRangeError(message, value=mix_g, limit=MAX_MIX_G, unit="g")
    return mix_g


def total_percent(percentages: Sequence[float]) -> float:
    """The sum of baker's percentages.

    Args:
        percentages: of each ingredient.
    Returns:
        Percent; the base is 100 of it.
    """
    return math.fsum(percentages)


def component_places(names: Sequence[str], component: str | None) -> tuple[int, ...] | None:
    """The places of the components of a name.

    Args:
        names: of the components of a formula.
        component: the name to look for; None for the whole formula.
    Returns:
        The places; None for the whole formula.
    Raises:
        UnknownError: no component has this name.
    """
    if component is None:
        return None
    places = tuple(i for i, name in enumerate(names) if name == component)
    if not places:
        raise UnknownError(
            "The formula has no component of this name.",
            path=("component",),
            code="unknown_component",
            candidates=tuple(names),
        )
    return places


def compare(first: Balance, second: Balance) -> tuple[Compared, ...]:
    """The ingredients of two formulas side by side, those of the first formula first."""
    percents: list[Mapping[object, float]] = [
        {_identity(line.use): line.percent for line in formula.lines} for formula in (first, second)
    ]
    names = {_identity(line.use): line.use.name for line in (*second.lines, *first.lines)}
    order = dict.fromkeys(_identity(line.use) for line in (*first.lines, *second.lines))
    return tuple(
        Compared(name=names[key], first_percent=percents[0].get(key), second_percent=percents[1].get(key))
        for key in order
    )


def _base(uses: Sequence[Use], named: Sequence[str]) -> tuple[BaseKind, list[Use]]:
    if named:
        errors, base = ErrorCollector(), []
        for place, name in enumerate(named):
            with errors.at("base", place):
                base.append(_named(uses, name))
        errors.raise_if_any()
        return "named", base
    flours = [use for use in uses if use.ingredient is not None and use.ingredient.id in FLOURS]
    if flours:
        return "flour", flours
    dry = [use for use in uses if _may_be_base(use)]
    if not dry:
        raise NeededError("The formula has no flour and no other dry ingredient: name its base.", code="base_needed")
    return "largest_dry", [max(dry, key=lambda use: use.mass.grams)]


def _named(uses: Sequence[Use], name: str) -> Use:
    for use in uses:
        names = {use.name, *(line.name for line in use.lines)}
        if use.ingredient is not None:
            names |= {use.ingredient.id, use.ingredient.british, use.ingredient.american}
        if normal_name(name) in {normal_name(other) for other in names}:
            return use
    raise UnknownError(
        "The formula has no such ingredient.", code="unknown_base", candidates=tuple(use.name for use in uses)
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
        coverage_percent=content.coverage_percent,
        missing=tuple(use.name for use in content.missing),
    )


def _whole(uses: Sequence[Use], base_g: float) -> Against:
    grams = math.fsum(use.mass.grams for use in uses)
    return Against(percent=grams / base_g * 100, grams=grams, coverage_percent=100.0, missing=())


def _identity(use: Use) -> object:
    good_or_ingredient = use.good or use.ingredient
    return (good_or_ingredient, use.composition) if good_or_ingredient is not None else use.name.casefold()


def _load_flours() -> frozenset[str]:
    flours = frozenset(row["ingredient"] for row in rows("flours"))
    if not flours <= INGREDIENTS.keys():
        raise ValueError(f"flours.csv: not ingredients: {flours - INGREDIENTS.keys()}")
    return flours


FLOURS = _load_flours()
