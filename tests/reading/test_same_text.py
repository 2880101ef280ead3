"""The same text means the same in a recipe, in a quantity and in the line of an address."""

from fractions import Fraction

import pytest

from domain.errors import AmbiguousError, DomainError, UnreadableError
from domain.formulas.line_text import parse_line
from domain.measures.quantities import parse_quantity
from domain.reading.drafts import quantity_text
from domain.reading.lines import read_line
from domain.reading.quantities import read_number, read_quantity, read_unit
from domain.reading.values import ReadingOptions
from tests.reading.corpus import CorpusLine, load

LINES = [line for line in load() if line.options.language == "en" and line.outcome == "line"]
QUANTITIES = [  # as recipes write them; 16 oz in a pound, 16 tablespoons in a cup of the USA, 500 g in a Pfund
    ("200 g", None, "200 g"),
    ("1 lb 4 oz", None, "20 oz"),
    ("2lb 3oz", None, "35 oz"),
    ("225 g (8 oz)", None, "225 g"),
    ("200g/7oz", None, "200 g"),
    ("1,5 kg", None, "1500 g"),
    ("1.500 kg", None, "1500 g"),
    ("1-3/4 cups", "us", "1.75 us_cup"),
    ("half a cup", "us", "8 us_tbsp"),
    ("½ a cup", "us", "8 us_tbsp"),
    ("1/2 cup plus 2 tablespoons", "us", "10 us_tbsp"),
    ("2 x 400 g", None, "800 g"),
    ("2 EL", None, "2 metric_tbsp"),
    ("2 c. à s.", None, "2 metric_tbsp"),
    ("1 TL", None, "5 ml"),
    ("1 Pfund", None, "500 g"),
    ("10 dag", None, "100 g"),
    ("1.500 g", "uk", "1.5 g"),
    ("12.5 oz", None, "12.5 oz"),
]
REFUSED = ["2-3 tbsp", "1 heaped tsp", "225 g (5 oz)", "1 tin", "a knob", "1.500 g", "1,500 g", "some", "3 eggs", "1 +"]


@pytest.mark.parametrize(("written", "measures", "same"), QUANTITIES)
def test_a_quantity_is_the_amount_of_a_line(written: str, measures: str, same: str) -> None:
    quantity = read_quantity(written, measures)  # type: ignore[arg-type]
    line = read_line(f"{written} water", ReadingOptions(measures=measures))[0]  # type: ignore[arg-type]
    assert quantity.base == parse_quantity(same).base
    assert parse_quantity(line.quantity, measures).base == quantity.base


@pytest.mark.parametrize("written", REFUSED)
def test_what_a_line_says_with_a_range_or_asks_is_refused_with_what_can_be_sent(written: str) -> None:
    with pytest.raises(DomainError) as refusal:
        read_quantity(written, "metric")
    for candidate in refusal.value.candidates:
        read_quantity(candidate, "metric")


def test_three_digits_after_a_point_ask_unless_the_measures_say_whose_point_it_is() -> None:
    with pytest.raises(AmbiguousError) as refusal:
        read_quantity("1.500 g")
    assert refusal.value.candidates == ("1500 g", "1.5 g")
    assert read_line("1.500 g water", ReadingOptions())[0].questions[0].code == "ambiguous_number"
    assert read_quantity("1.500 g", "us").base == read_line_grams("1.500 g water")


def read_line_grams(text: str) -> object:
    """The base amount of a line with the measures of the USA."""
    return parse_quantity(read_line(text, ReadingOptions(measures="us"))[0].quantity).base


@pytest.mark.parametrize("thousandths", [1001, 1125, 62125, 999999, 125, 1000, 1500])
def test_a_written_amount_is_never_ambiguous(thousandths: int) -> None:
    amount = Fraction(thousandths, 1000)
    assert read_quantity(quantity_text(amount, "g")).amount == amount


def test_a_length_is_never_in_thousands() -> None:
    assert read_quantity("1.125 mm").base == Fraction(9, 8)


@pytest.mark.parametrize(("word", "unit"), [("EL", "metric_tbsp"), ("c. à c.", "metric_tsp"), ("pounds", "lb")])
def test_a_unit_beside_an_amount_is_read_in_every_language(word: str, unit: str) -> None:
    assert read_unit(word).id == unit


@pytest.mark.parametrize(("written", "value"), [("1,5", 1.5), ("1-3/4", 1.75), ("half", 0.5), ("2.500", 2.5)])
def test_an_amount_beside_a_unit(written: str, value: float) -> None:
    assert float(read_number(written)) == value


@pytest.mark.parametrize("line", LINES, ids=lambda line: line.text)
def test_a_line_of_an_address_is_read_as_a_line_of_a_recipe(line: CorpusLine) -> None:
    options = ReadingOptions(measures=line.options.measures)
    readings = read_line(line.text, options)
    if len(readings) > 1 or readings[0].kind != "line":
        with pytest.raises((AmbiguousError, UnreadableError)):
            parse_line(line.text, options.measures)
        return
    parsed = parse_line(line.text, options.measures)
    assert (parsed.ingredient, parsed.quantity, parsed.packing or "") == (
        readings[0].ingredient,
        readings[0].quantity,
        readings[0].packing,
    )
    assert parsed.remarks == readings[0].remarks
