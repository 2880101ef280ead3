"""Lines of a target in household measures, for kitchens without a scale."""

from dataclasses import dataclass
from fractions import Fraction

from domain.errors import DomainError
from domain.formulas.rescaling import ScaledLine
from domain.measures.household import Cascade, cascade
from domain.measures.units import Measures
from domain.things.ingredients import density_of


@dataclass(frozen=True, slots=True, kw_only=True)
class HouseholdLine:
    """A line in household measures: what they hold, and how far that is from the line."""

    cascade: Cascade
    grams: float
    error_percent: float


def household_line(line: ScaledLine, measures: Measures) -> HouseholdLine | None:
    """A line of a target in the measures of a household.

    Args:
        line: of a target.
        measures: whose measures.
    Returns:
        The measures with their mass; None for a line without a density, and for one that is too small. A line that is
        written in a volume keeps that volume, whatever it weighs.
    """
    written, grams = line.weighed, line.mass.grams
    if written.quantity.unit.dimension == "volume":
        ml = Fraction(line.amount) * written.quantity.unit.factor
    else:
        g_per_ml = _g_per_ml(line)
        if g_per_ml is None:
            return None
        ml = Fraction(grams) / g_per_ml
    measured = cascade(ml, measures)
    if measured is None:
        return None
    return HouseholdLine(cascade=measured, grams=grams * float(measured.ml / ml), error_percent=measured.error_percent)


def _g_per_ml(line: ScaledLine) -> Fraction | None:
    thing = line.weighed.thing
    if thing.g_per_ml is not None:
        return thing.g_per_ml
    if thing.ingredient is None or not thing.ingredient.densities:
        return None
    try:
        return density_of(thing.ingredient, thing.packing)[0].g_per_ml
    except DomainError:
        return None  # its packing is not known, which only matters where a volume is asked for
