"""Cuts of a target of `/v1/rescale`: the layout, each piece weighed as what is left of the mix once baked."""

from typing import Any

from api.v1.cuts.answers import cuts_answer
from api.v1.cuts.reading import read_target_cuts
from api.v1.rescale.schemas import TargetIn
from domain.cutting.budget import CutBudget
from domain.errors import ErrorCollector
from domain.formulas.rescaling import Rescaled


def target_cuts(results: tuple[Rescaled, ...], asked: list[TargetIn]) -> list[dict[str, Any] | None]:
    """One layout a target, None where none was asked for.

    Raises:
        DomainErrors: every target that cannot be cut so, each with its path.
    """
    errors, answers, budget = ErrorCollector(), [], CutBudget()
    for i, (scaled, target) in enumerate(zip(results, asked, strict=True)):
        with errors.at():
            answers.append(_cuts(scaled, target, i, budget))
    errors.raise_if_any()
    return answers


def _cuts(scaled: Rescaled, target: TargetIn, index: int, budget: CutBudget) -> dict[str, Any] | None:
    tin = scaled.target.tin
    if target.cuts is None or tin is None:
        return None
    mix_g = scaled.mass.grams / scaled.target.tins
    question = read_target_cuts(target.cuts, tin, mix_g, label=target.label, path=("targets", index))
    return cuts_answer(question, budget)
