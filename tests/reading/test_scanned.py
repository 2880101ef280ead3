"""Letters that a scanner takes for figures are read as figures; the confusions of l, I and O are common practice."""

import pytest

from domain.reading.lines import read_line
from domain.reading.scanned import as_figures
from domain.reading.values import Language, ReadingOptions
from domain.reading.vocabulary import vocabulary

SCANNED: list[tuple[Language, str, str]] = [
    ("en", "l75 g sultanas", "175 g sultanas"),
    ("en", "25O g flour", "250 g flour"),
    ("en", "lOOg flour", "100g flour"),
    ("en", "O.5 tsp salt", "0.5 tsp salt"),
    ("en", "l l/2 cups milk", "1 1/2 cups milk"),
    ("en", "l teaspoon salt", "1 teaspoon salt"),
    ("en", "2 l/4 cups flour", "2 1/4 cups flour"),
    ("en", "I ½ cups milk", "1 ½ cups milk"),
    ("en", "I cup milk", "1 cup milk"),
    ("en", "l egg", "1 egg"),
    ("en", "Oven l80°C", "Oven 180°C"),
    ("en", "Bake for l hour l0 minutes", "Bake for 1 hour 10 minutes"),
    ("de", "l kg Mehl Type 55O", "1 kg Mehl Type 550"),
    ("fr", "l cuillère à soupe de lait", "1 cuillère à soupe de lait"),
]
WRITTEN: list[tuple[Language, str]] = [
    ("en", "2 l milk"),
    ("en", "1l milk"),
    ("de", "Milch 1 l 1/2 TL Salz"),
    ("en", "½ l milk"),
    ("en", "8OZ butter"),
    ("en", "H2O 300 g"),
    ("en", "I add the sugar"),
    ("en", "oil 20 g"),
    ("de", "ein l Milch"),
    ("de", "Öl 20 g"),
    ("fr", "l'eau"),
    ("fr", "l eau"),
]


@pytest.mark.parametrize(("language", "text", "figures"), SCANNED)
def test_letters_in_place_of_figures_are_read_as_figures(language: Language, text: str, figures: str) -> None:
    assert as_figures(text, vocabulary(language)) == figures


@pytest.mark.parametrize(("language", "text"), WRITTEN)
def test_other_letters_stay(language: Language, text: str) -> None:
    assert as_figures(text, vocabulary(language)) == text


def test_a_scanned_line_keeps_its_words_and_says_what_was_taken() -> None:
    (reading,) = read_line("  l75 g butter", ReadingOptions(language="en"), 40)
    assert (reading.text, reading.start, reading.end, reading.quantity) == ("  l75 g butter", 40, 54, "175 g")
    assert [remark.code for remark in reading.remarks] == ["taken"]
