"""The figures of a label: nutrition of the baked product, the list of ingredients, allergens, and every gap."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from domain.errors import ErrorCollector, NeededError, OutOfRangeError
from domain.formulas.formula import WeighedFormula
from domain.notices import Notice
from domain.shop.allergens import LIST_OF, LISTS, Market, check_allergens
from domain.shop.composition import Content, Use, composition_notices, contents_of, uses_of
from domain.shop.flour_additions import flour_notices
from domain.shop.front_of_pack import Banded, nutrient_band
from domain.shop.goods import Book
from domain.shop.ingredient_list import AllergenGroup, Entry, allergen_groups, allergen_notices, ingredient_list
from domain.shop.label_estimates import Bounds, bounds_of
from domain.shop.label_rules import LabelLine, Rounded, intake_percent, label_lines, round_for_label
from domain.shop.nutrition import Nutrient
from domain.shop.scaled import scaled

WORKED_OUT_FROM: MappingProxyType[Nutrient, tuple[Nutrient, ...]] = MappingProxyType({"salt_g": ("sodium_mg",)})
SMALL_ALCOHOL_G = 0.1  # per 100 g finished; vanilla extract brings less; our own limit, no source


@dataclass(frozen=True, slots=True, kw_only=True)
class Sold:
    """How the product is sold.

    Exactly one of `bake_loss_percent` (of the mix) and `baked_grams` (the whole bake of the target, weighed) is set.
    `portions` or `portion_grams` gives the mass of a portion; both are None if no portions are sold. With `estimate`,
    a nutrient that some ingredient has no figure for is given as a range.
    """

    name: str
    market: Market
    bake_loss_percent: float | None = None
    baked_grams: float | None = None
    portions: int | None = None
    portion_grams: float | None = None
    quantified: tuple[str, ...] | None = None
    may_contain: tuple[str, ...] = ()
    estimate: bool = False

    def __post_init__(self) -> None:
        """Check the fields, and report all errors together."""
        errors = ErrorCollector()
        with errors.at():
            check_allergens(self.may_contain, "may_contain")
        if self.baked_grams is None and self.bake_loss_percent is None:
            with errors.at("bake_loss_percent"):
                raise NeededError(
                    "Give bake_loss_percent (0 if it is not baked), or weigh the bake: figures per 100 g depend on it.",
                    code="bake_loss_needed",
                )
        errors.raise_if_any()


@dataclass(frozen=True, slots=True, kw_only=True)
class Declared:
    """A line of the nutrition label: exact and printed figures, per 100 g and per portion.

    All figures are None if an ingredient in `missing` has no figure for the nutrient: a sum without it would be too
    small to print. The estimates are ranges and no label text; they are None if they were not asked for, if every
    ingredient has a figure, or if nothing bounds the nutrient. `banded` is that of the front of the pack, where the
    market has one.
    """

    line: LabelLine
    per_100g: float | None
    per_portion: float | None
    printed_per_100g: Rounded | None
    printed_per_portion: Rounded | None
    intake_percent_per_100g: float | None
    intake_percent_per_portion: float | None
    estimate_per_100g: Bounds | None
    estimate_per_portion: Bounds | None
    banded: Banded | None
    coverage_percent: float
    missing: tuple[Use, ...]

    @property
    def complete(self) -> bool:
        """Whether the figure of every ingredient is known."""
        return not self.missing


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelFigures:
    """Everything that a label needs. `contents_per_100g` has every nutrient, also those that the market does not print.

    `may_contain` has the allergens on the market's list. The paths of `formula_notices` lead into the formula, those of
    `sold_notices` to fields of *sold*.
    """

    sold: Sold
    mix_g: float
    finished_g: float
    bake_loss_percent: float
    portion_g: float | None
    declared: tuple[Declared, ...]
    contents_per_100g: MappingProxyType[Nutrient, Content]
    entries: tuple[Entry, ...]
    allergens: tuple[AllergenGroup, ...]
    may_contain: tuple[str, ...]
    formula_notices: tuple[Notice, ...]
    sold_notices: tuple[Notice, ...]


def label(weighed: WeighedFormula, sold: Sold, book: Book, factor: float = 1.0) -> LabelFigures:
    """The figures of a label, for the formula at the factor of a target.

    Args:
        weighed: the formula as written, in grams, all of which is baked.
        sold: market, bake loss and portions.
        book: the shop's goods.
        factor: of the target. Figures per 100 g and percentages do not depend on it.
    Returns:
        Nutrition per 100 g and per portion, ingredients, allergens and what to check. Only water is lost in the oven;
        every other nutrient stays, so a figure per 100 g is its mass in the mix over the finished mass.
    Raises:
        DomainErrors: the bake is heavier than the mix, more is lost than there is water, a portion is heavier than the
            whole bake; each path is a field of *sold*.
        AmbiguousError: a line means several of the shop's goods.
    Source:
        Conservation of mass; rules of the market in label_rules.csv, label_rounding.csv, label_nutrients.csv.
    """
    weighed = scaled(weighed, factor)
    uses = uses_of(weighed, book, market=sold.market)
    mix_g = weighed.mass.grams
    contents = contents_of(uses)
    errors = ErrorCollector()
    finished_g = mix_g
    portion_g: float | None = None
    loss_notices: tuple[Notice, ...] = ()
    with errors.at():
        finished_g = _finished_g(mix_g, sold)
    with errors.at():
        loss_notices = _check_loss(mix_g - finished_g, contents, sold)
    with errors.at():
        portion_g = _portion_g(finished_g, sold)
    errors.raise_if_any()
    per_100g = _after_oven(contents, mix_g, finished_g)
    entries = ingredient_list(uses, sold.market, finished_g, sold.name, sold.quantified)
    lines = label_lines(sold.market)
    declared = tuple(_declare(line, per_100g[line.nutrient], portion_g, finished_g, sold) for line in lines)
    return LabelFigures(
        sold=sold,
        mix_g=mix_g,
        finished_g=finished_g,
        bake_loss_percent=(
            (1 - finished_g / mix_g) * 100 if sold.bake_loss_percent is None else sold.bake_loss_percent
        ),
        portion_g=portion_g,
        declared=declared,
        contents_per_100g=per_100g,
        entries=entries,
        allergens=allergen_groups(entries),
        may_contain=_may_contain(uses, sold),
        formula_notices=(
            *composition_notices(uses, sold.market),
            *allergen_notices(uses),
            *flour_notices(uses, sold.market),
            *_incomplete(declared),
            *_borrowed(uses, lines),
        ),
        sold_notices=(*loss_notices, *_alcohol(per_100g["alcohol_g"])),
    )


def _finished_g(mix_g: float, sold: Sold) -> float:
    if sold.baked_grams is not None:
        if sold.baked_grams > mix_g * (1 + 1e-9):
            raise OutOfRangeError(
                f"The bake is heavier than the mix of {mix_g:.0f} g: give the mass of the whole bake, without its tin.",
                path=("baked_grams",),
                value=sold.baked_grams,
                limit=mix_g,
                unit="g",
            )
        return min(sold.baked_grams, mix_g)
    return mix_g * (1 - (sold.bake_loss_percent or 0.0) / 100)


def _after_oven(
    contents: MappingProxyType[Nutrient, Content], mix_g: float, finished_g: float
) -> MappingProxyType[Nutrient, Content]:
    per_100g = {}
    for nutrient, content in contents.items():
        amount = content.amount - (mix_g - finished_g) if nutrient == "water_g" else content.amount
        per_100g[nutrient] = replace(content, amount=max(0.0, amount) / finished_g * 100)
    return MappingProxyType(per_100g)


def _check_loss(lost_g: float, contents: MappingProxyType[Nutrient, Content], sold: Sold) -> tuple[Notice, ...]:
    field = "baked_grams" if sold.baked_grams is not None else "bake_loss_percent"
    volatile_g = contents["water_g"].amount + contents["alcohol_g"].amount
    if lost_g <= volatile_g * (1 + 1e-9):
        return ()
    if not contents["water_g"].missing:
        raise OutOfRangeError(
            f"The bake loses {lost_g:.0f} g, and the mix contains only {volatile_g:.0f} g of water.",
            path=(field,),
            code="loss_over_water",
            value=lost_g,
            limit=volatile_g,
            unit="g",
        )
    message = (
        f"The bake loses {lost_g:.0f} g, and the known water in the mix is {volatile_g:.0f} g. The water of some"
        " ingredients is not known, so this cannot be checked."
    )
    return (Notice("loss_unchecked", message, (field,), lost_g, volatile_g, "g"),)


def _portion_g(finished_g: float, sold: Sold) -> float | None:
    if sold.portion_grams is not None:
        if sold.portion_grams > finished_g * (1 + 1e-9):
            raise OutOfRangeError(
                "One portion is heavier than the whole bake.",
                path=("portion_grams",),
                value=sold.portion_grams,
                limit=finished_g,
                unit="g",
            )
        return sold.portion_grams
    return None if sold.portions is None else finished_g / sold.portions


def _declare(line: LabelLine, content: Content, portion_g: float | None, finished_g: float, sold: Sold) -> Declared:
    share = None if portion_g is None else portion_g / 100
    amount = content.amount if not content.missing else None
    portion = None if amount is None or share is None else amount * share
    bounds = bounds_of(content, finished_g) if sold.estimate and content.missing else None
    return Declared(
        line=line,
        per_100g=amount,
        per_portion=portion,
        printed_per_100g=None if amount is None else round_for_label(amount, line.nutrient, sold.market),
        printed_per_portion=None if portion is None else round_for_label(portion, line.nutrient, sold.market),
        intake_percent_per_100g=None if amount is None else intake_percent(amount, line.intake),
        intake_percent_per_portion=None if portion is None else intake_percent(portion, line.intake),
        estimate_per_100g=bounds,
        estimate_per_portion=None if bounds is None or share is None else bounds.times(share),
        banded=None if amount is None else nutrient_band(amount, line.nutrient, sold.market, portion_g),
        coverage_percent=content.coverage_percent,
        missing=content.missing,
    )


def _incomplete(declared: Sequence[Declared]) -> tuple[Notice, ...]:
    """One warning for each ingredient that keeps figures off the label."""
    names: dict[Use, list[str]] = {}
    for line in declared:
        for use in line.missing:
            names.setdefault(use, []).append(line.line.label_name)
    notices = []
    for use, lacking in names.items():
        # Energy in kJ and in kcal are two lines of one name.
        nutrients = "any nutrient" if len(lacking) == len(declared) else ", ".join(dict.fromkeys(lacking))
        message = (
            f"{use.name}: no figure for {nutrients}. The label prints none of these; give them in its nutrition, or ask"
            " for an estimate."
        )
        notices.append(Notice(code="nutrition_incomplete", message=message, path=use.path))
    return tuple(notices)


def _borrowed(uses: Sequence[Use], lines: Sequence[LabelLine]) -> tuple[Notice, ...]:
    """One warning for each ingredient with figures on the label that are borrowed from a similar one."""
    declared = {worked_out for line in lines for worked_out in (line.nutrient, *WORKED_OUT_FROM.get(line.nutrient, ()))}
    notices = []
    for use in uses:
        borrowed = () if use.composition is None else use.composition.borrowed
        if words := [f"the {words}" for nutrient, words in borrowed if nutrient in declared]:
            first, last = ", ".join(words[:-1]), words[-1]
            borrowed_from = f"{first} and {last}" if first else last
            message = f"{use.name}: taken as {borrowed_from}; its own is not known."
            notices.append(Notice(code="analogy", message=message, path=use.path))
    return tuple(notices)


def _may_contain(uses: Sequence[Use], sold: Sold) -> tuple[str, ...]:
    from_goods = (allergen for use in uses if use.good is not None for allergen in use.good.may_contain)
    listed = LISTS[LIST_OF[sold.market]]
    return tuple(allergen for allergen in dict.fromkeys((*sold.may_contain, *from_goods)) if allergen in listed)


def _alcohol(content: Content) -> tuple[Notice, ...]:
    if content.amount < SMALL_ALCOHOL_G:
        return ()
    message = f"{content.amount:.1f} g of alcohol in 100 g is counted as kept, although the oven drives some of it off."
    return (Notice("alcohol_kept", message, (), content.amount, SMALL_ALCOHOL_G, "g"),)
