"""What a formula says about its own batter: how far it rises, and how well it conducts heat while it bakes."""

from dataclasses import replace

from domain.baking.assumptions import RANGES, BatterFigures
from domain.baking.thermal_properties import (
    BAKING_C,
    Estimated,
    MassFractions,
    baking_conductivity,
    fractions_of,
    heat_capacity,
)
from domain.formulas.formula import WeighedFormula, WeighedLine
from domain.measures.definitions import KG_M3_PER_G_ML, KJ_PER_MJ
from domain.reference import rows
from domain.shop.reference_compositions import composition_of
from domain.sources import FigureRange, figure_range

RISE_ERROR = 0.1  # our own judgement of how closely a rise is measured
HEAT_CONTENT_ERROR = 0.1  # our own judgement of how closely a filled depth and a composition are known
CONDUCTIVITY_ERROR = 0.1  # our own judgement of how closely a conductivity is measured
MIN_KNOWN = 0.9  # our own limit: the share of the batter whose composition is needed
LIGHTEST_KG_M3 = 100.0  # our own limit: a lighter batter is a slip of the depth


def mix_ranges(
    formula: WeighedFormula, *, rise: float | None = None, conductivity: float | None = None
) -> BatterFigures:
    """The figures of a formula's own batter.

    Args:
        formula: in grams; its tin and filled depth give the density.
        rise: the caller's own, height while it bakes over filled depth, from 1.
        conductivity: the caller's own, in W/(m K), above 0.
    Returns:
        The rise by the formula's kind; the conductivity and the heat content by its composition and density, or of
        all batters where those are not known.
    Source:
        Rise as in mix_ranges.csv; conductivity and heat capacity as in `domain.baking.thermal_properties`.
    """
    of_kind = _RISES[formula.kind]
    own_rise = of_kind if rise is None else _own("rise", rise, RISE_ERROR, least=1.0)
    batter = _by_composition(formula, own_rise)
    if conductivity is None:
        return batter
    return replace(batter, conductivity=_own("conductivity", conductivity, CONDUCTIVITY_ERROR, least=0.0))


def assumed_ranges(batter: BatterFigures, *, with_pieces: bool) -> tuple[FigureRange, ...]:
    """Every range that an estimate covers.

    Args:
        batter: of `mix_ranges`; its figures replace those of all batters.
        with_pieces: whether there are dough pieces in the batter.
    Returns:
        The ranges in the order of the table.
    """
    own = {each.parameter: each for each in (batter.rise, batter.conductivity, batter.heat_content)}
    return tuple(own.get(name, each) for name, each in RANGES.items() if with_pieces or name != "piece_slowness")


def _own(parameter: str, value: float, error: float, *, least: float) -> FigureRange:
    usual = RANGES[parameter]
    low, high = max(least, value * (1 - error)), value * (1 + error)
    return replace(usual, low=low, central=value, high=high)


def _by_composition(formula: WeighedFormula, rise: FigureRange) -> BatterFigures:
    usual = BatterFigures(rise=rise)
    made, batter_ml = _batter(formula), formula.batter_ml
    if made is None or not batter_ml:
        return usual
    raw = formula.mass.grams / formula.formula.tins / batter_ml * KG_M3_PER_G_ML
    if raw / rise.central < LIGHTEST_KG_M3:
        return usual
    pores = Estimated(low=_PORES.low, central=_PORES.central, high=_PORES.high)
    of_mix, heat = baking_conductivity(made, raw / rise.central, pores), raw * heat_capacity(made, BAKING_C) / KJ_PER_MJ
    return BatterFigures(
        rise=rise,
        conductivity=replace(
            usual.conductivity, low=of_mix.low, central=of_mix.central, high=of_mix.high, cited=_PORES.cited
        ),
        heat_content=replace(
            usual.heat_content,
            low=heat * _EVAPORATION.low * (1 - HEAT_CONTENT_ERROR),
            central=heat * _EVAPORATION.central,
            high=heat * _EVAPORATION.high * (1 + HEAT_CONTENT_ERROR),
            cited=_EVAPORATION.cited,
        ),
    )


def _batter(formula: WeighedFormula) -> MassFractions | None:
    """What the batter consists of, without the dough pieces in it; None if too little of it is known."""
    parts = [each for each in formula.components if each.pieces is None] or formula.components
    amounts = dict.fromkeys(("water_g", "fat_g", "protein_g", "total_carbohydrate_g"), 0.0)
    total_g = known_g = 0.0
    for line in (line for part in parts for line in part.lines):
        per_100g, grams = _per_100g(line), line.mass.grams
        total_g += grams
        if per_100g is not None:
            known_g += grams
            for name in amounts:
                amounts[name] += per_100g.get(name, 0.0) * grams / 100
    if not known_g or known_g < MIN_KNOWN * total_g:
        return None
    return fractions_of(
        water_g=amounts["water_g"],
        fat_g=amounts["fat_g"],
        protein_g=amounts["protein_g"],
        carbohydrate_g=amounts["total_carbohydrate_g"],
        total_g=known_g,
    )


def _per_100g(line: WeighedLine) -> dict[str, float] | None:
    thing = line.thing
    made = None if thing.ingredient is None else composition_of(thing.ingredient, line.name)
    return None if made is None else {str(name): value for name, value in made.per_100g.items()}


_RISES = {row["kind"]: figure_range(row) for row in rows("mix_ranges") if row["parameter"] == "rise"}
_EVAPORATION = next(figure_range(row) for row in rows("mix_ranges") if row["parameter"] == "evaporation")
_PORES = next(figure_range(row) for row in rows("mix_ranges") if row["parameter"] == "pore_conductivity")
