"""Single lines that shops write in other ways than books do, with what a baker means by them (common practice)."""

import pytest

from domain.reading.lines import read_line
from domain.reading.values import ReadingOptions

AMERICAN = ReadingOptions(language="en", measures="us", egg_class="us_large")


@pytest.mark.parametrize(
    ("line", "ingredient", "quantity"),
    [
        ("1-12oz bag choc chips", "dark-chocolate-chips", "12 oz"),
        ("2-8 oz packages cream cheese", "cream-cheese", "16 oz"),
        ("1 - 15 oz can pumpkin puree", "pumpkin-puree", "15 oz"),
        ("1-14 oz. can sweetened condensed milk", "condensed-milk", "14 oz"),
    ],
)
def test_a_figure_before_the_size_of_a_pack_counts_packs(line: str, ingredient: str, quantity: str) -> None:
    (reading,) = read_line(line, AMERICAN)
    assert (reading.ingredient_id, reading.quantity, reading.low) == (ingredient, quantity, "")


@pytest.mark.parametrize("line", ["7-8 oz package cream cheese", "1-4 cups milk"])
def test_a_range_stays_a_range(line: str) -> None:
    (reading,) = read_line(line, AMERICAN)
    assert (reading.rule, bool(reading.low)) == ("range", True)


@pytest.mark.parametrize("line", ["1 heaping cup pecans", "2 heaped cups flaked almonds", "1 rounded cup raisins"])
def test_a_heaped_cup_is_asked_about_because_the_figures_are_of_spoons(line: str) -> None:
    (reading,) = read_line(line, AMERICAN)
    assert [question.code for question in reading.questions] == ["vague_amount"]
    assert read_line(reading.questions[0].choices[0].text, AMERICAN)[0].kind == "line"
