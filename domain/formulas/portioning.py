"""Dough pieces that are counted by the portion, which is possible when the bake has been cut."""

from dataclasses import replace

from domain.errors import at_path
from domain.formulas.formula import WeighedComponent, WeighedFormula
from domain.formulas.rescaling import Rescaled, ScaledComponent, divided_component
from domain.pieces.counts import Division, divide, piece_notices, pieces_of, vessels_of


def counts_by_portion(formula: WeighedFormula, division: Division | None = None) -> bool:
    """Whether the number of pieces depends on the number of portions.

    Args:
        formula: with the divisions of its components.
        division: of a target, if it has one.
    Returns:
        True if the target's division, or else one of the formula's, says `per_portion`.
    """
    divisions = [division] if division is not None else [each.component.pieces for each in formula.components]
    return any(each is not None and each.per_portion is not None for each in divisions)


def portion_formula(formula: WeighedFormula, portions: int | None) -> WeighedFormula:
    """The formula as written with its pieces for each portion counted.

    Args:
        formula: in grams.
        portions: of one tin; None if it is not cut.
    Returns:
        The formula; the same if no pieces are counted by the portion, or if it is not cut.
    Raises:
        OutOfRangeError: see `domain.pieces.counts.divide`.
    """
    if portions is None or not counts_by_portion(formula):
        return formula
    written = formula.formula
    vessels = vessels_of(written.tin, written.tins, portions)

    def divided(component: WeighedComponent) -> WeighedComponent:
        division = component.component.pieces
        if division is None or division.per_portion is None:
            return component
        return replace(component, pieces=divide(component.mass.grams, division, vessels))

    return replace(formula, components=tuple(divided(component) for component in formula.components))


def portion_target(formula: WeighedFormula, result: Rescaled, portions: int | None, index: int) -> Rescaled:
    """A target with its pieces for each portion counted.

    Args:
        formula: in grams.
        result: the formula for the target.
        portions: of one of the target's tins; None if it is not cut.
        index: of the target.
    Returns:
        The target; the same if no pieces are counted by the portion.
    Raises:
        NeededError: pieces are counted by the portion, and the target is not cut.
    """
    target = result.target
    if not counts_by_portion(formula, target.pieces):
        return result
    wished = None if target.pieces is None else divided_component(formula, target.pieces)
    vessels = vessels_of(target.tin, target.tins, portions)
    components, notices = list[ScaledComponent](), list(result.notices)
    for written, component in zip(formula.components, result.components, strict=True):
        division = target.pieces if written is wished else written.component.pieces
        if division is None or division.per_portion is None:
            components.append(component)
            continue
        with at_path("targets", index, "pieces"):
            if target.tin is None and written is not wished and written.pieces is not None:
                # Without a tin there are no portions: the pieces keep their mass.
                pieces = pieces_of(component.mass.grams, written.pieces.written_grams, division)
            else:
                pieces = divide(component.mass.grams, division, vessels, written.pieces)
        components.append(replace(component, weighed=written, pieces=pieces))
        name = written.component.name
        notices += [notice.within("targets", index) for notice in piece_notices(pieces, name)]
    return replace(result, components=tuple(components), notices=tuple(notices))
