"""Lines that a narrow column broke within a word are read as one; the breaks are the printers', common practice."""

import pytest

from domain.reading.texts import TextReading, read_text
from domain.reading.values import Language, ReadingOptions


def read(language: Language, text: str) -> TextReading:
    return read_text(text, ReadingOptions(language=language, measures="us", egg_class="us_large"))


@pytest.mark.parametrize(
    ("language", "text", "ingredient", "quantity"),
    [
        ("en", "100 g (3½ oz) cur-\nrants", "currants", "100 g"),
        ("en", "2 table-\n  spoons all-purpose flour", "plain-flour", "2 us_tbsp"),
        ("en", "1/2 cup all-pur-\npose flour", "plain-flour", "0.5 us_cup"),
        ("en", "250 g self-\nraising flour", "self-raising-flour", "250 g"),
        ("en", "100 g butter-\r\nmilk powder", "buttermilk-powder", "100 g"),
        ("de", "150 g Zuk-\nker", "granulated-sugar", "150 g"),
        ("fr", "10 g de bicarbonate ali-\nmentaire", "bicarbonate-of-soda", "10 g"),
    ],
)
def test_a_broken_word_is_read_whole(language: Language, text: str, ingredient: str, quantity: str) -> None:
    (line,) = read(language, text).lines
    reading = line.reading
    assert (line.number, reading.ingredient_id, reading.quantity) == (1, ingredient, quantity)
    assert text.replace("\r", "")[reading.start : reading.end].split() == text.split()


def test_the_time_of_a_broken_step_is_read() -> None:
    reading = read("en", "250 g butter\n\nBake for 20 to 25 min-\nutes at 350 F.\nCut into 12 bars.")
    assert (reading.formula.minutes, reading.formula.oven) == (22.5, "350 fahrenheit")
    assert [line.number for line in reading.lines] == [1, 3, 5]


@pytest.mark.parametrize("text", ["250 g butter-\nmix it well", "200 g butter -\nmelted", "For the topping -\nrub in"])
def test_a_line_that_is_whole_is_not_joined(text: str) -> None:
    assert [line.number for line in read("en", text).lines] == [1, 2]


def test_an_answer_stands_in_place_of_both_lines_or_of_the_second() -> None:
    options = ReadingOptions(language="en", measures="us")
    (line,) = read_text("100 g moon-\ndust", options, {1: "100 g butter"}).lines
    assert (line.reading.ingredient_id, line.reading.quantity) == ("butter", "100 g")
    lines = read_text("100 g cur-\nrants", options, {2: "50 g butter"}).lines
    assert [line.number for line in lines] == [1, 2]
