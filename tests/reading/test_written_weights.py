"""A weight that a recipe writes beside a cup is the author's own, and is taken before a figure from a table."""

import pytest

from domain.reading.texts import read_text
from domain.reading.values import Language, ReadingOptions

# Australian books write 150 g for a cup of 250 ml of flour, American ones 120 to 125 g for one of 237 ml: common
# practice. A table has one of them, the author's scale the other.
WEIGHTS = [
    ("1 cup (150 g) plain flour", "150 g"),
    ("1 cup plain flour (120 g)", "120 g"),
    ("1 1/2 cups/180 g plain flour, sifted", "180 g"),
    ("½ cup (1 stick; 113 g) unsalted butter", "113 g"),
    ("3/4 cup packed light brown sugar (165 g)", "165 g"),
    ("1 tbsp (14 g) butter", "14 g"),
    ("1-2 tbsp (15-30 g) honey", "22.5 g"),
    ("1 cup (4 1/2 oz) plain flour", "4.5 oz"),
    ("2 cups (1.1 lb) caster sugar", "1.1 lb"),
    ("1 heaped tbsp (15 g) cornflour", "15 g"),
    ("3 cups plain flour (120 g each)", "360 g"),
    ("3 cups (120 g each) plain flour", "360 g"),
    ("1 cup (240 ml) milk", "240 ml"),
]
VOLUMES = [
    ("1 cup (8 oz) milk", "1 cup"),  # of a liquid, these may be fluid ounces
]


@pytest.mark.parametrize(("line", "quantity"), WEIGHTS)
def test_the_weight_beside_a_cup_is_taken_without_asking_whose_cup_it_is(line: str, quantity: str) -> None:
    reading = read_text(f"A cake\n\n{line}".replace("\\\n", "\n"), ReadingOptions(language="en"))
    assert [each.quantity for each in reading.formula.components[0].lines] == [quantity]
    assert reading.questions == ()


@pytest.mark.parametrize(("line", "quantity"), VOLUMES)
def test_what_may_be_no_weight_of_the_whole_leaves_the_cup(line: str, quantity: str) -> None:
    reading = read_text(f"A cake\n\n{line}".replace("\\\n", "\n"), ReadingOptions(language="en"))
    assert [each.quantity for each in reading.formula.components[0].lines] == [quantity]


@pytest.mark.parametrize(
    ("language", "line"), [("de", "4 EL (40 g) Speisestärke"), ("fr", "2 c. à soupe (20 g) de Maïzena")]
)
def test_other_languages_write_a_weight_beside_a_measure_too(language: Language, line: str) -> None:
    reading = read_text(line, ReadingOptions(language=language))
    weight = line.partition("(")[2].partition(")")[0]
    assert [each.quantity for each in reading.formula.components[0].lines] == [weight]


def test_a_weight_that_does_not_go_with_the_cup_is_taken_with_a_remark() -> None:
    reading = read_text(
        "A cake\n\n1 cup (95 g) cocoa powder\n1 cup (120 g) cocoa powder".replace("\\\n", "\n"),
        ReadingOptions(measures="us"),
    )
    assert [each.quantity for each in reading.formula.components[0].lines] == ["95 g", "120 g"]
    remarks = [[remark.code for remark in each.reading.remarks] for each in reading.lines[-2:]]
    assert remarks == [[], ["disagreement"]]


@pytest.mark.parametrize("line", ["2 cups (250 g) flour", "2 cups flour (250 g)", "2 cups/250 g flour"])
def test_the_answer_to_a_question_keeps_the_weight(line: str) -> None:
    """Flour is asked about, and the author's 250 g hold whichever it is."""
    (question,) = read_text(f"A cake\n\n{line}", ReadingOptions(measures="us")).questions
    choice = question.question.choices[0]
    assert (choice.text, choice.label) == ("2 cup (250 g) plain flour", "plain flour")
    reading = read_text(f"A cake\n\n{line}", ReadingOptions(measures="us"), {3: choice.text})
    assert [each.quantity for each in reading.formula.components[0].lines] == ["250 g"]


@pytest.mark.parametrize("line", ["3 cups (120 g) plain flour", "3 cups (120 g) flour"])
def test_a_weight_that_may_be_of_one_cup_is_taken_neither_at_once_nor_after_a_question(line: str) -> None:
    """Three cups of flour weigh 375 g, and not 120 g: common practice."""
    text, options = f"A cake\n\n{line}", ReadingOptions(measures="us")
    choices = [choice.text for each in read_text(text, options).questions for choice in each.question.choices]
    reading = read_text(text, options, {3: choices[0]} if choices else {})
    assert [each.quantity for each in reading.formula.components[0].lines] == ["3 us_cup"]


def test_the_remark_names_the_measure_that_is_taken() -> None:
    line = read_text("A cake\n\n2 tsp (10 g) salt", ReadingOptions(measures="us")).lines[-1].reading
    assert line.quantity == "10 g"
    assert [remark.message for remark in line.remarks] == ["10 g and 2 tsp are not the same amount; 10 g is taken."]
