"""What kind of mix a formula is, by its ingredients: it decides how full a tin is filled."""

from collections.abc import Iterable
from typing import Literal, get_args

from domain.formulas.weighing import EXACTING
from domain.reference import rows
from domain.things.conversion import EGG_PARTS
from domain.things.ingredients import INGREDIENTS, Ingredient

FormulaKind = Literal["chemically_raised", "whisked", "yeast_dough", "custard", "dense_slab"]
RISING: frozenset[FormulaKind] = frozenset({"chemically_raised", "whisked", "yeast_dough"})
USUAL_FILL: dict[FormulaKind, float] = {
    row["kind"]: float(row["usual_fill_percent"]) / 100  # type: ignore[misc]  # checked below
    for row in rows("formula_kinds")
}
if set(USUAL_FILL) != set(get_args(FormulaKind)):
    raise ValueError("formula_kinds.csv does not hold each kind once")

# Our own thresholds, as shares of the mix: a whisked sponge has about a quarter of egg or more and little besides sugar
# and something dry; a custard is mostly milk, cream or soft cheese, set with egg and hardly any flour.
WHISKED_EGG, WHISKED_SUGAR, WHISKED_OTHERS, CUSTARD_EGG, CUSTARD_BASE, CUSTARD_FLOUR = 0.22, 0.12, 0.2, 0.06, 0.35, 0.08
_FLOURS = frozenset(row["ingredient"] for row in rows("flours"))
_CUSTARD_BASES = frozenset(row["ingredient"] for row in rows("custard_bases"))
_YEASTS = frozenset(ingredient for ingredient, use in EXACTING.items() if use == "yeast") | {"sourdough-starter"}


def kind_of(lines: Iterable[tuple[Ingredient | None, float]]) -> FormulaKind:
    """The kind of a mix.

    Args:
        lines: the ingredient and the grams of each line of the whole formula; None for an ingredient of no table.
    Returns:
        A yeast dough if it has yeast or a starter; chemically raised if it has another raising agent; a custard if egg
        sets milk, cream or soft cheese; whisked if it has much whole egg or egg white, sugar, and little fat or
        liquid, so that the foam carries it; else a dense slab.
    Source:
        Common practice; the thresholds are our own.
    """
    shares, total = dict.fromkeys(("egg", "flour", "base", "sugar", "wet", "other"), 0.0), 0.0
    raises = has_yeast = False
    for ingredient, grams in lines:
        total += grams
        if ingredient is not None:
            has_yeast = has_yeast or ingredient.id in _YEASTS
            raises = raises or ingredient.raises
            shares[_GROUPS[ingredient.id]] += grams
    if has_yeast or raises:
        return "yeast_dough" if has_yeast else "chemically_raised"
    names = ("egg", "flour", "base", "sugar", "wet")
    egg, flour, base, sugar, wet = (shares[name] / total if total else 0.0 for name in names)
    if egg >= CUSTARD_EGG and base >= CUSTARD_BASE and flour <= CUSTARD_FLOUR:
        return "custard"
    is_foam = egg >= WHISKED_EGG and sugar >= WHISKED_SUGAR and base + wet <= WHISKED_OTHERS
    return "whisked" if is_foam else "dense_slab"


def _group(ingredient: Ingredient) -> str:
    if EGG_PARTS.get(ingredient.id) in {"whole", "white"}:
        return "egg"
    if ingredient.id in _FLOURS:
        return "flour"
    if ingredient.id in _CUSTARD_BASES:
        return "base"
    if ingredient.id.endswith("-sugar"):
        return "sugar"
    return "wet" if ingredient.form in {"fat", "liquid"} else "other"


_GROUPS = {ingredient.id: _group(ingredient) for ingredient in INGREDIENTS.values()}
