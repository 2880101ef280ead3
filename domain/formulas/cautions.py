"""The usual cautions that go with a formula, whether it is baked here or not."""

from domain.baking.core_safety import CAUTIONS, RAW, Caution
from domain.baking.targets import pieces_in_batter
from domain.formulas.formula import WeighedFormula
from domain.reference import rows
from domain.things.conversion import EGG_PARTS
from domain.things.ingredients import INGREDIENTS

# None stands for an ingredient that is in no table.
_FLOURS = frozenset({None, *(INGREDIENTS[row["ingredient"]] for row in rows("flours"))})
_EGGS = frozenset({None, *(INGREDIENTS[name] for name in EGG_PARTS)})
_RAW_FLOUR, _RAW_EGG = (tuple(caution for caution in CAUTIONS["bake"] if caution.id == name) for name in RAW)


def raw_cautions(formula: WeighedFormula) -> tuple[Caution, ...]:
    """The cautions about what is raw in a formula.

    Args:
        formula: in grams.
    Returns:
        Those about flour, egg and dough pieces in a batter, as far as the formula has them. An ingredient that is in
        no table counts as both, because nothing is known of it.
    """
    ingredients = {line.thing.ingredient for component in formula.formula.components for line in component.lines}
    flour, egg = not _FLOURS.isdisjoint(ingredients), not _EGGS.isdisjoint(ingredients)
    pieces = CAUTIONS["pieces"] if pieces_in_batter(formula.components) is not None else ()
    return (*pieces, *_RAW_FLOUR * flour, *_RAW_EGG * egg)
