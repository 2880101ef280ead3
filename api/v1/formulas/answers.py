"""From readings of recipes to the answers of `/v1/formulas`."""

from typing import Any

from api.wire.answers import without_none
from domain.reading.texts import NumberedLine, PlacedQuestion, ReadFormula, TextReading
from domain.reading.values import LineReading, Question, Remark
from domain.reading.weights import WeighedReading


def read_answer(reading: TextReading) -> dict[str, Any]:
    """A recipe as it was read."""
    return without_none(
        formula=_formula(reading.formula) if reading.formula.components and not reading.warnings else None,
        ready=reading.ready,
        lines=[_line(each) for each in reading.lines],
        questions=[_placed(each) for each in reading.questions],
        warnings=[{"code": each.code, "message": each.message, "pointers": ["/text"]} for each in reading.warnings],
    )


def read_line_answer(weighed: WeighedReading) -> dict[str, Any]:
    """One line in grams."""
    grams = {"grams": weighed.grams, "grams_low": weighed.grams_low, "grams_high": weighed.grams_high}
    return {
        "line": _ingredient(weighed.reading) | grams,
        "rule": weighed.reading.rule,
        "remarks": _remarks(weighed.reading.remarks),
    }


def _formula(formula: ReadFormula) -> dict[str, Any]:
    bake = without_none(oven=formula.oven or None, fan=formula.fan if formula.oven else None, minutes=formula.minutes)
    return without_none(
        name=formula.name,
        tin=formula.tin or None,
        tins=formula.tins if formula.tins > 1 else None,
        filled_depth=formula.filled_depth or None,
        egg_class=formula.egg_class or None,
        components=[
            {
                "name": component.name,
                "lines": [
                    without_none(ingredient=line.ingredient, quantity=line.quantity, packing=line.packing or None)
                    for line in component.lines
                ],
            }
            for component in formula.components
        ],
        bake=bake if formula.oven and formula.minutes else None,
    )


def _line(numbered: NumberedLine) -> dict[str, Any]:
    reading = numbered.reading
    question = next((each for each in reading.questions if not each.field or reading.kind == "question"), None)
    return without_none(
        number=numbered.number,
        text=reading.text,
        start=reading.start,
        end=reading.end,
        rule=reading.rule,
        line=_ingredient(reading) if reading.kind == "line" else None,
        question=_question(question) if question is not None else None,
        kept=_kept(reading) if reading.kind == "kept" else None,
        remarks=_remarks(reading.remarks),
    )


def _ingredient(reading: LineReading) -> dict[str, Any]:
    return without_none(
        ingredient=reading.ingredient,
        ingredient_id=reading.ingredient_id,
        quantity=reading.quantity,
        quantity_low=reading.low or None,
        quantity_high=reading.high or None,
        packing=reading.packing or None,
        preparation=reading.preparation or None,
        notes=list(reading.notes),
    )


def _kept(reading: LineReading) -> dict[str, Any]:
    return without_none(
        kept_as=reading.kept_as,
        tin=reading.tin or None,
        tins=reading.tins if reading.tin else None,
        oven=reading.oven or None,
        fan=reading.fan,
        minutes=reading.minutes,
        yields=reading.yields,
    )


def _question(question: Question) -> dict[str, Any]:
    return without_none(
        code=question.code,
        message=question.message,
        choices=[{"text": choice.text, "label": choice.label} for choice in question.choices],
        field=question.field or None,
    )


def _placed(placed: PlacedQuestion) -> dict[str, Any]:
    return _question(placed.question) | {"lines": sorted(set(placed.lines))}


def _remarks(remarks: tuple[Remark, ...]) -> list[dict[str, str]]:
    return [{"code": remark.code, "message": remark.message} for remark in remarks]
