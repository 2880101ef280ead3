"""Baker's percentages beside the flour's weight: each is a share of all flour, which is 100 % by definition."""

import pytest

from domain.reading.texts import TextReading, read_text
from domain.reading.values import Language, ReadingOptions


def read(language: Language, *lines: str) -> TextReading:
    return read_text("\n".join(lines), ReadingOptions(language=language, measures="metric", egg_class="eu_m"))


@pytest.mark.parametrize(
    ("language", "lines", "grams"),
    [
        (
            "en",
            ("Flour weight 2000 g", "Strong white flour 80%", "Wholemeal flour: 20 %", "Water (66%)", "- 1.8% salt"),
            ["1600 g", "400 g", "1320 g", "36 g"],
        ),
        (
            "de",
            ("Mehl gesamt: 1 kg", "Weizenmehl Type 550 70 %", "Roggenmehl Type 1150 30 %", "Wasser 62,5 %"),
            ["700 g", "300 g", "625 g"],
        ),
        ("fr", ("Farine T65 100 %", "Eau 65 %", "Sel 1,8 %", "Poids de farine : 1,5 kg"), ["1500 g", "975 g", "27 g"]),
    ],
)
def test_shares_of_the_flour_are_grams(language: Language, lines: tuple[str, ...], grams: list[str]) -> None:
    reading = read(language, "Loaf", *lines)
    read_lines = [each.reading for each in reading.lines if each.reading.kind == "line"]
    assert [each.quantity for each in read_lines] == grams
    assert all(each.remarks for each in read_lines)
    assert reading.ready


@pytest.mark.parametrize(
    "lines",
    [
        ("Strong white flour 100%", "Water 66%"),
        ("Flour weight 2000 g", "Strong white flour 80%", "Water 66%"),
        ("Flour weight 2000 g", "Total flour 1000 g", "Strong white flour 100%", "Water 66%"),
        ("Flour weight 1-2 kg", "Strong white flour 100%", "Water 66%"),
    ],
)
def test_shares_are_asked_about_where_the_flour_is_not_said_once_or_not_whole(lines: tuple[str, ...]) -> None:
    reading = read("en", "Loaf", *lines)
    texts = [each.reading.text for each in reading.lines if each.reading.kind == "question"]
    assert {"Water 66%", next(line for line in lines if "Strong" in line)} <= set(texts)


def test_a_share_whose_ingredient_is_not_clear_is_asked_about_in_grams() -> None:
    reading = read("en", "Loaf", "Flour weight 1000 g", "Strong white flour 100%", "Yeast 2%")
    (question,) = reading.questions
    assert {choice.text[:5] for choice in question.question.choices} == {"20 g "}


def test_a_flour_weight_without_shares_is_an_amount_to_ask_about() -> None:
    reading = read("en", "Loaf", "Flour weight 500 g", "300 g water")
    assert reading.lines[1].reading.kind == "question"
