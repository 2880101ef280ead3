"""From the domain's results to the dictionaries that `/v1/rescale` sends."""

from collections.abc import Sequence
from typing import Any

from api.v1.bake.answers import target_bake_answers
from api.v1.cuts.answers import question_answer
from api.v1.cuts.reading import read_target_cuts
from api.v1.eggs.answers import egg_count_answer
from api.v1.rescale.reading import record_cut_errors
from api.v1.rescale.schemas import FormulaIn, TargetIn
from api.wire.answers import source_refs, sources, warnings, without_none
from api.wire.schemas import Schema
from domain.baking.targets import FormulaBake, bake_targets
from domain.baking.window import assumed_figures
from domain.cutting.budget import CutBudget
from domain.errors import ErrorCollector
from domain.formulas.formula import Mass, Pieces, WeighedComponent, WeighedFormula, WeighedLine
from domain.formulas.rescaling import Rescaled, ScaledComponent, ScaledLine, WholeEggBatch
from domain.measures.weighing import Spoons

Written = list[list[dict[str, Any]]]  # the lines of each component as written


def rescale_answer(
    weighed: WeighedFormula,
    results: Sequence[Rescaled],
    formula: FormulaIn,
    targets: Sequence[TargetIn],
    *,
    bakes: Sequence[dict[str, Any] | None],
    cuts: Sequence[dict[str, Any] | None],
) -> dict[str, Any]:
    """The answer of `/v1/rescale`.

    Args:
        weighed: the formula in grams.
        results: the formula for each target.
        formula: as requested.
        targets: as requested.
        bakes: the bake of each target.
        cuts: the cuts of each target.
    """
    written = [[_written_line(line) for line in component.lines] for component in weighed.components]
    formula_warnings = warnings(notice.within("formula") for notice in weighed.notices)
    return {
        "formula": _formula(weighed, formula, written, formula_warnings),
        "targets": [
            _target(result, target, written, formula_warnings) | without_none(bake=bake, cuts=layout)
            for result, target, bake, layout in zip(results, targets, bakes, cuts, strict=True)
        ],
        "sources": sources(
            cited for component in weighed.components for line in component.lines for cited in line.cited
        ),
    }


def bake_answers(
    weighed: WeighedFormula, bake: FormulaBake | None, results: Sequence[Rescaled]
) -> list[dict[str, Any] | None]:
    """The bake of each target; None for all of them if the formula names no oven.

    Raises:
        OutOfRangeError: too many windows for one request.
    """
    if bake is None:
        return [None] * len(results)
    bakes = bake_targets(weighed, bake, results)
    assumed = assumed_figures(core_c=bake.core_c, start_c=bake.start_c) if bake.minutes is not None else ()
    return target_bake_answers(bake.oven, bakes, [notice.within("formula", "bake") for notice in assumed])


def cuts_answers(
    results: Sequence[Rescaled | None], targets: Sequence[TargetIn], errors: ErrorCollector
) -> list[dict[str, Any] | None]:
    """The cuts of each target; None where none are requested. All of them together have one budget of work.

    Args:
        results: the formula for each target; None for a target that cannot be answered.
        targets: as requested.
        errors: collects what is wrong with the cuts.
    """
    answers, budget = list[dict[str, Any] | None](), CutBudget()
    for i, (result, target) in enumerate(zip(results, targets, strict=True)):
        answer = None
        with errors.at():
            if result is None:
                record_cut_errors(target, None, i, errors)
            elif target.cuts is not None and result.target.tin is not None:
                tin, path = result.target.tin, ("targets", i)
                question = read_target_cuts(target.cuts, tin, result.grams_per_tin, label=target.label, path=path)
                answer = question_answer(question, budget)
        answers.append(answer)
    return answers


def _formula(
    weighed: WeighedFormula, formula: FormulaIn, written: Written, formula_warnings: list[dict[str, Any]]
) -> dict[str, Any]:
    return without_none(
        name=formula.name,
        tins=formula.tins,
        filled_depth_mm=weighed.formula.filled_depth_mm,
        fill_percent=weighed.fill_percent,
        **_mass(weighed.mass),
        components=[
            _written_component(component, lines) for component, lines in zip(weighed.components, written, strict=True)
        ],
        bake=None if formula.bake is None else formula.bake.model_dump(exclude_unset=True),
        warnings=formula_warnings,
    )


def _target(
    scaled: Rescaled, target: TargetIn, written: Written, formula_warnings: list[dict[str, Any]]
) -> dict[str, Any]:
    tin = target.tin.model_dump(exclude_none=True) if isinstance(target.tin, Schema) else target.tin
    return without_none(
        label=target.label,
        tin=tin,
        tins=target.tins if tin is not None else None,
        factor=scaled.factor,
        filled_depth_mm=scaled.filled_depth_mm,
        fill_percent=scaled.fill_percent,
        **_mass(scaled.mass),
        components=[_component(component, lines) for component, lines in zip(scaled.components, written, strict=True)],
        eggs=[
            {"part": eggs.part, **_mass(eggs.mass), "counts": [egg_count_answer(count) for count in eggs.counts]}
            for eggs in scaled.eggs
        ],
        whole_egg_batches=[_batch(batch) for batch in scaled.whole_egg_batches],
        rounding_error_percent=scaled.rounding_error_percent,
        warnings=[*formula_warnings, *warnings(scaled.notices)],
    )


def _mass(mass: Mass) -> dict[str, float]:
    return {"grams": mass.grams, "low": mass.low, "high": mass.high}


def _written_component(component: WeighedComponent, lines: list[dict[str, Any]]) -> dict[str, Any]:
    return without_none(
        name=component.component.name,
        **_mass(component.mass),
        lines=lines,
        pieces=_pieces(component.pieces),
    )


def _written_line(weighed: WeighedLine) -> dict[str, Any]:
    line, mass = weighed.line, weighed.mass
    answer = {
        "ingredient": line.name,
        "quantity": {"amount": line.amount, "unit": line.quantity.unit.id},
        "grams": mass.grams,
        "low": mass.low,
        "high": mass.high,
        "sources": source_refs(weighed.cited),
    }
    if line.thing.ingredient is not None:
        answer["ingredient_id"] = line.thing.ingredient.id
    return answer


def _component(component: ScaledComponent, written: list[dict[str, Any]]) -> dict[str, Any]:
    return without_none(
        name=component.weighed.component.name,
        **_mass(component.mass),
        weigh_grams=component.weigh_grams,
        lines=[_line(line, as_written) for line, as_written in zip(component.lines, written, strict=True)],
        pieces=_pieces(component.pieces),
    )


def _line(scaled: ScaledLine, written: dict[str, Any]) -> dict[str, Any]:
    grams, low, high = scaled.mass
    answer = {
        **written,
        "scaled_quantity": {"amount": scaled.amount, "unit": written["quantity"]["unit"]},
        "grams": grams,
        "low": low,
        "high": high,
        "weigh_grams": scaled.weigh_grams,
        "rounding_error_percent": scaled.rounding_error_percent,
    }
    if scaled.spoons is not None:
        answer["spoons"] = _spoons(scaled.spoons)
    if scaled.weighed.egg_part is not None:
        answer["eggs"] = [egg_count_answer(count) for count in scaled.eggs]
    return answer


def _pieces(pieces: Pieces | None) -> dict[str, Any] | None:
    if pieces is None:
        return None
    return {
        "count": pieces.count,
        "exact_count": pieces.exact,
        "grams_each": pieces.grams_each,
        "leftover_grams": pieces.leftover_grams,
    }


def _spoons(spoons: Spoons) -> dict[str, Any]:
    return {
        "text": spoons.text,
        "tablespoons": spoons.tablespoons,
        "teaspoons": spoons.teaspoons,
        "tablespoon_unit": spoons.tablespoon.id,
        "teaspoon_unit": spoons.teaspoon.id,
        "grams": spoons.grams,
        "error_percent": spoons.error_percent,
    }


def _batch(batch: WholeEggBatch) -> dict[str, Any]:
    return without_none(
        factor=batch.factor,
        grams=batch.grams,
        filled_depth_mm=batch.filled_depth_mm,
        fill_percent=batch.fill_percent,
        eggs=[
            {
                "part": count.part,
                "count": count.nearest,
                "exact_count": count.exact,
                "error_percent": count.error_percent,
            }
            for count in batch.eggs
        ],
    ) | {"class": batch.egg_class}
