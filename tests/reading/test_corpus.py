"""The corpus of recipe lines and recipes: none may be read wrongly, and nearly all must be read."""

import pytest

from domain.errors import DomainError
from domain.measures.quantities import parse_quantity
from domain.measures.units import Measures
from domain.reading.lines import read_line
from domain.reading.texts import read_text
from domain.reading.values import LineReading
from tests.reading.corpus import CorpusLine, CorpusRecipe, load, load_recipes

CORPUS = load()
RECIPES = load_recipes()
READ_RIGHTLY = 0.95  # of the lines, at least


@pytest.mark.parametrize("line", CORPUS, ids=lambda line: f"{line.options.language}: {line.text}")
def test_no_line_of_the_corpus_is_read_wrongly(line: CorpusLine) -> None:
    readings = read_line(line.text, line.options)
    assert is_right(line, readings) or readings[0].kind == "question", readings


def test_nearly_all_lines_are_read_as_a_baker_reads_them() -> None:
    right = [is_right(line, read_line(line.text, line.options)) for line in CORPUS]
    assert len(CORPUS) >= 400
    assert sum(right) >= READ_RIGHTLY * len(CORPUS)


@pytest.mark.parametrize("recipe", RECIPES, ids=lambda recipe: recipe.name)
def test_a_whole_recipe_is_read_as_a_baker_reads_it(recipe: CorpusRecipe) -> None:
    reading = read_text(recipe.text, recipe.options)
    wrong = []
    for number, line in enumerate(recipe.lines, start=1):
        if line.text:
            of_line = tuple(each.reading for each in reading.lines if each.number == number)
            if not is_right(line, of_line):
                wrong.append((line.text, of_line))
    assert wrong == []
    formula = reading.formula
    assert (formula.tin, formula.oven, formula.fan, formula.minutes) == (
        recipe.tin,
        recipe.oven,
        recipe.fan,
        recipe.minutes,
    )
    assert recipe.yields in {each.reading.yields for each in reading.lines}


def is_right(line: CorpusLine, readings: tuple[LineReading, ...]) -> bool:
    """Whether the readings of a line are the expected ones."""
    if line.outcome == "several":
        read = [(reading.ingredient_id, _base(reading.quantity, line.options.measures)) for reading in readings]
        amounts = [_base(amount.strip(), line.options.measures) for amount in line.quantity.split(";")]
        return read == list(zip((key.strip() for key in line.meaning.split(";")), amounts, strict=True))
    if line.outcome == "question":
        return any(reading.questions and reading.questions[0].code == line.meaning for reading in readings)
    reading = readings[0]
    codes = [question.code for question in reading.questions]
    match line.outcome:
        case "kept":
            values = (reading.tin, reading.oven, str(reading.minutes or ""), str(reading.yields or ""), *codes)
            return (
                reading.kind == "kept"
                and reading.kept_as == line.meaning
                and (not line.quantity or line.quantity in values)
            )
        case "count" if codes == ["no_piece_weight"]:  # nobody has published the weight of one yet
            return reading.ingredient_id == line.meaning
    return reading.kind == "line" and reading.ingredient_id == line.meaning and _is_right_amount(line, reading)


def _is_right_amount(line: CorpusLine, reading: LineReading) -> bool:
    remarks = {remark.code for remark in reading.remarks}
    same = _base(reading.quantity, line.options.measures) == _base(line.quantity, line.options.measures)
    match line.outcome:
        case "heaped" | "scant":  # the range must hold what a level measure or twice as much is
            return "taken" in remarks and bool(reading.low) and bool(reading.high)
        case "egg":
            return same and reading.egg_class == line.packing
        case "measures":
            return reading.quantity == line.quantity and reading.questions[0].field == "measures"
        case "pack":
            return same and "taken" in remarks
        case "disagree":
            return same and "disagreement" in remarks
    return same and reading.packing == line.packing


def _base(quantity: str, measures: Measures | None) -> object:
    try:
        parsed = parse_quantity(quantity, measures)
    except DomainError:
        return quantity
    return parsed.base, parsed.unit.dimension
