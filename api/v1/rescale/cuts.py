"""Cuts of a target of `/v1/rescale`: the layout, each piece weighed as what is left of the mix once baked."""

from typing import Any

from api.v1.cuts.answers import cuts_answer
from api.v1.cuts.reading import read_cutting, read_wish
from api.v1.rescale.schemas import TargetIn
from api.wire.reading import read_optional_mm
from domain.cutting.budget import CutBudget
from domain.cutting.cuts import baked_grams, cut_slab
from domain.cutting.tin_slabs import slab_of
from domain.errors import DomainError, DomainErrors, ErrorCollector
from domain.formulas.rescaling import Rescaled
from domain.notices import Notice


def target_cuts(results: tuple[Rescaled, ...], asked: list[TargetIn]) -> list[dict[str, Any] | None]:
    """One layout a target, None where none was asked for.

    Raises:
        DomainErrors: every target that cannot be cut so, each with its path.
    """
    findings, answers, budget = ErrorCollector(), [], CutBudget()
    for i, (one, target) in enumerate(zip(results, asked, strict=True)):
        try:
            answers.append(_cuts(one, target, i, budget))
        except DomainError as error:
            findings.errors.append(error.within(*_place(error.path, i)))
        except DomainErrors as several:
            findings.errors += [error.within(*_place(error.path, i)) for error in several.errors]
    findings.raise_if_any()
    return answers


def _cuts(scaled: Rescaled, asked: TargetIn, index: int, budget: CutBudget) -> dict[str, Any] | None:
    cuts, tin = asked.cuts, scaled.target.tin
    if cuts is None or tin is None:
        return None
    slab, about_tin = slab_of(tin, read_optional_mm(cuts.baked_depth, "baked_depth"))
    one_tin_g = scaled.mass.grams / scaled.target.tins
    slab_g = None if cuts.bake_loss_percent is None else baked_grams(one_tin_g, cuts.bake_loss_percent)
    layout = cut_slab(slab, read_wish(cuts), read_cutting(cuts, slab_g), budget)
    notices: list[Notice] = [*about_tin, *layout.notices]
    placed = tuple(notice.within(*_place(notice.path, index)) for notice in notices)
    return cuts_answer(layout, placed, budget, label=asked.label, drawing=cuts.drawing)


def _place(path: tuple[str | int, ...], index: int) -> tuple[str | int, ...]:
    """Where a field of the tin, or of the cuts, stands in the request."""
    return ("targets", index) if path[:1] == ("tin",) else ("targets", index, "cuts")
