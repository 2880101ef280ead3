"""From the domain's results to what `/v1/rescale` sends."""

from fractions import Fraction
from functools import lru_cache
from typing import Any

import orjson

from api.v1.eggs.answers import egg_count_answer
from api.v1.rescale.schemas import FormulaIn, TargetIn
from api.wire.answers import as_json_fragment, source_refs, warnings, without_none
from api.wire.schemas import Schema
from domain.formulas.formula import Mass, Pieces, WeighedComponent, WeighedFormula, WeighedLine
from domain.formulas.rescaling import Rescaled, ScaledComponent, ScaledLine, WholeEggBatch
from domain.measures.weighing import EIGHTHS, SPOONS_UP_TO_TSP, Spoons, weigh_total
from domain.notices import Notice


def formula_answer(weighed: WeighedFormula, asked: FormulaIn, told: list[orjson.Fragment]) -> dict[str, Any]:
    """The formula as written, in grams, with what is *told* of it."""
    return without_none(
        name=asked.name,
        tins=asked.tins,
        filled_depth_mm=weighed.formula.filled_depth_mm,
        fill_percent=weighed.fill_percent,
        **_mass(weighed.mass),
        components=[_written_component(component) for component in weighed.components],
        bake=None if asked.bake is None else asked.bake.model_dump(exclude_unset=True),
        warnings=told,
    )


def formula_warnings(weighed: WeighedFormula) -> list[orjson.Fragment]:
    """What the formula and each of its targets warn of."""
    return [_formula_warning(notice) for notice in weighed.notices]


@lru_cache(maxsize=1024)
def _formula_warning(notice: Notice) -> orjson.Fragment:
    (told,) = warnings([notice.within("formula")])
    return as_json_fragment(told)


def target_answer(scaled: Rescaled, asked: TargetIn, told: list[orjson.Fragment]) -> dict[str, Any]:
    """The formula for one target, with what is *told* of the formula."""
    tin = asked.tin.model_dump(exclude_none=True) if isinstance(asked.tin, Schema) else asked.tin
    return without_none(
        label=asked.label,
        tin=tin,
        tins=asked.tins if tin is not None else None,
        factor=scaled.factor,
        filled_depth_mm=scaled.filled_depth_mm,
        fill_percent=scaled.fill_percent,
        **_mass(scaled.mass),
        components=[_component(component, scaled.factor) for component in scaled.components],
        eggs=[
            {"part": eggs.part, **_mass(eggs.mass), "counts": [egg_count_answer(count) for count in eggs.counts]}
            for eggs in scaled.eggs
        ],
        whole_egg_batches=[_batch(batch) for batch in scaled.whole_egg_batches],
        rounding_error_percent=scaled.rounding_error_percent,
        warnings=[*told, *warnings(scaled.notices)],
    )


def _mass(mass: Mass) -> dict[str, float]:
    return {"grams": mass.grams, "low": mass.low, "high": mass.high}


def _written_component(component: WeighedComponent) -> dict[str, Any]:
    return without_none(
        name=component.component.name,
        **_mass(component.mass),
        lines=[_written_line_json(line) for line in component.lines],
        pieces=_pieces(component.pieces),
    )


@lru_cache(maxsize=1024)
def _written_line_json(weighed: WeighedLine) -> orjson.Fragment:
    return as_json_fragment(_written_line(weighed))


@lru_cache(maxsize=1024)
def _written_line(weighed: WeighedLine) -> dict[str, Any]:
    """Shared between answers, so nobody may change it."""
    line, mass = weighed.line, weighed.mass
    amount = line.quantity.amount
    answer = {
        "ingredient": line.name,
        "quantity": {"amount": amount.numerator / amount.denominator, "unit": line.quantity.unit.id},
        "grams": mass.grams,
        "low": mass.low,
        "high": mass.high,
        "sources": source_refs(weighed.cited),
    }
    if line.thing.ingredient is not None:
        answer["ingredient_id"] = line.thing.ingredient.id
    return answer


def _component(component: ScaledComponent, factor: float) -> dict[str, Any]:
    return without_none(
        name=component.weighed.component.name,
        **_mass(component.mass),
        weigh_grams=weigh_total(line.weigh_grams for line in component.lines),
        lines=[_line(line, factor) for line in component.lines],
        pieces=_pieces(component.pieces),
    )


def _line(scaled: ScaledLine, factor: float) -> dict[str, Any]:
    weighed, (grams, low, high) = scaled.weighed, scaled.mass
    written = _written_line(weighed)
    quantity = written["quantity"]
    answer = {
        **written,
        "scaled_quantity": {"amount": quantity["amount"] * factor, "unit": quantity["unit"]},
        "grams": grams,
        "low": low,
        "high": high,
        "weigh_grams": scaled.weigh_grams,
        "rounding_error_percent": scaled.rounding_error_percent,
    }
    if scaled.spoons is not None:
        answer["spoons"] = _spoons(scaled.spoons)
    if weighed.egg_part is not None:
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
    tablespoons = f"{spoons.tablespoons} tbsp" if spoons.tablespoons else ""
    teaspoons = f"{_EIGHTHS[spoons.teaspoon_eighths]} tsp" if spoons.teaspoon_eighths else ""
    return {
        "text": " + ".join(part for part in (tablespoons, teaspoons) if part),
        "tablespoons": spoons.tablespoons,
        "teaspoons": spoons.teaspoon_eighths / EIGHTHS,
        "tablespoon_unit": spoons.tablespoon.id,
        "teaspoon_unit": spoons.teaspoon.id,
        "grams": spoons.grams,
        "error_percent": spoons.error_percent,
    }


def _mixed(amount: Fraction) -> str:
    whole, rest = divmod(amount, 1)
    return " ".join(str(part) for part in (whole, rest) if part)


# The few amounts a spoon can show, as text: "3/8", "1 1/4".
_EIGHTHS = [_mixed(Fraction(eighths, EIGHTHS)) for eighths in range(SPOONS_UP_TO_TSP * EIGHTHS + 1)]


def _batch(batch: WholeEggBatch) -> dict[str, Any]:
    return without_none(
        factor=batch.factor,
        grams=batch.grams,
        filled_depth_mm=batch.filled_depth_mm,
        fill_percent=batch.fill_percent,
        eggs=[
            {"part": c.part, "count": c.nearest, "exact_count": c.exact, "error_percent": c.error_percent}
            for c in batch.eggs
        ],
    ) | {"class": batch.egg_class}
