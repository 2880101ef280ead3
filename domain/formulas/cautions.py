"""The usual cautions that go with a formula, whether it is baked here or not."""

from domain.baking.core_safety import CAUTIONS, Caution
from domain.baking.targets import pieces_in_batter
from domain.formulas.formula import WeighedFormula
from domain.reference import rows
from domain.things.conversion import EGG_PARTS

_FLOURS = frozenset(row["ingredient"] for row in rows("flours"))


def raw_cautions(formula: WeighedFormula) -> tuple[Caution, ...]:
    """The cautions about what is raw in a formula.

    Args:
        formula: in grams.
    Returns:
        Those about flour, egg and dough pieces in a batter, as far as the formula has them. An ingredient that is in
        no table counts as both, because nothing is known of it.
    """
    ingredients = [line.thing.ingredient for component in formula.formula.components for line in component.lines]
    unknown = None in ingredients
    ids = {ingredient.id for ingredient in ingredients if ingredient is not None}
    has_pieces = pieces_in_batter(formula.components) is not None
    present = {"raw_flour": unknown or bool(ids & _FLOURS), "raw_egg": unknown or bool(ids & EGG_PARTS.keys())}
    pieces = CAUTIONS["pieces"] if has_pieces else ()
    return (*pieces, *(caution for caution in CAUTIONS["bake"] if present.get(caution.id)))
