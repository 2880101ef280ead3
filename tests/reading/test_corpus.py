"""The corpus of recipe lines: none may be read wrongly, and nearly all must be read."""

import pytest

from domain.errors import DomainError
from domain.measures.quantities import parse_quantity
from domain.measures.units import Measures
from domain.reading.lines import read_line
from domain.reading.values import LineReading
from tests.reading.corpus import CorpusLine, load

CORPUS = load()
READ_RIGHTLY = 0.95  # of the lines, at least


@pytest.mark.parametrize("line", CORPUS, ids=lambda line: f"{line.options.language}: {line.text}")
def test_no_line_of_the_corpus_is_read_wrongly(line: CorpusLine) -> None:
    reading = read_line(line.text, line.options)[0]
    assert is_right(line, reading) or reading.kind == "question", reading


def test_nearly_all_lines_are_read_as_a_baker_reads_them() -> None:
    right = [is_right(line, read_line(line.text, line.options)[0]) for line in CORPUS]
    assert len(CORPUS) >= 400
    assert sum(right) >= READ_RIGHTLY * len(CORPUS)


def is_right(line: CorpusLine, reading: LineReading) -> bool:
    """Whether a reading is the expected one."""
    codes = [question.code for question in reading.questions]
    match line.outcome:
        case "question":
            return reading.kind == "question" and codes[:1] == [line.meaning]
        case "kept":
            return reading.kind == "kept" and reading.kept_as == line.meaning
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
