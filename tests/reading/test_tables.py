"""Tables as spreadsheets and word processors copy them: a row of headings says what the columns are."""

import pytest

from domain.reading.texts import TextReading, read_text
from domain.reading.values import ReadingOptions

ENGLISH = ReadingOptions(language="en", measures="us", egg_class="us_large")
GERMAN = ReadingOptions(language="de", measures="metric", egg_class="eu_m")


def lines_of(reading: TextReading) -> list[tuple[str, str]]:
    return [
        (each.reading.ingredient_id, each.reading.quantity) for each in reading.lines if each.reading.kind == "line"
    ]


@pytest.mark.parametrize("sign", ["\t", ";", " | ", ",", "   "])
def test_columns_are_read_by_their_headings_with_every_separator(sign: str) -> None:
    rows = (
        ("No.", "Ingredient", "Qty", "Unit", "Cost"),
        ("1", "Butter", "675", "g", "4.20"),
        ("2", "Plain flour", "0.7", "kg", "0.90"),
        ("3", "Milk", "90", "ml", "0.10"),
    )
    reading = read_text("\n".join(sign.join(row) for row in rows), ENGLISH)
    assert lines_of(reading) == [("butter", "675 g"), ("plain-flour", "0.7 kg"), ("whole-milk", "90 ml")]
    assert reading.ready


def test_headings_in_german_and_a_unit_in_the_heading() -> None:
    text = "Pos.;Zutat;Menge (g);Preis\n1;Butter;1.250,5;9,00\n2;Salz;15;0,02\n;Summe;1.265,5;9,02"
    reading = read_text(text, GERMAN)
    assert lines_of(reading) == [("butter", "1250.5 g"), ("salt", "15 g")]


def test_rows_of_the_tin_the_oven_and_the_yield_stay_what_they_are() -> None:
    text = "Ingredient\tQty\tUnit\nButter\t250\tg\nTin\t30 x 20 cm\t\nBake\t180 °C\t25 min\nMakes\t24\tslices"
    reading = read_text(text, ENGLISH)
    assert lines_of(reading) == [("butter", "250 g")]
    assert (reading.formula.tin, reading.formula.oven, reading.formula.minutes) == (
        "rectangle 30 x 20 cm",
        "180 celsius",
        25,
    )
    assert 24 in {each.reading.yields for each in reading.lines}


def test_a_note_may_name_a_size_or_a_packing_and_is_kept() -> None:
    text = (
        "Ingredient\tQty\tUnit\tNotes\nEggs\t3\t\tlarge\nBrown sugar\t1\tcup\tpacked\nButter\t250\tg\task Jo, 2 of them"
    )
    eggs, sugar, butter = (each.reading for each in read_text(text, ENGLISH).lines[1:])
    assert (eggs.quantity, eggs.egg_class) == ("3 each", "us_large")
    assert sugar.packing == "packed"
    assert (butter.quantity, butter.preparation) == ("250 g", "ask Jo, 2 of them")


def test_the_place_and_the_words_of_a_row_are_those_of_the_text() -> None:
    text = "Ingredient\tQty\tUnit\nButter\t250\tg"
    row = read_text(text, ENGLISH).lines[1].reading
    assert text[row.start : row.end] == row.text == "Butter\t250\tg"


@pytest.mark.parametrize(
    "line", ["Notes, prep, unit", "Ingredients", "Amount: as you like", "Mix the ingredients, then weigh"]
)
def test_a_sentence_is_no_row_of_headings(line: str) -> None:
    reading = read_text(f"{line}\n250 g butter", ENGLISH)
    assert reading.lines[0].reading.rule != "table"
    assert lines_of(reading) == [("butter", "250 g")]


@pytest.mark.parametrize(
    "row", ["Moon mix\t80\tg\tvery dry", "Farine du quai T45\t100 %\t2 000 g", "Milk\t80\tor water"]
)
def test_a_row_with_an_amount_is_never_left_out_without_a_question(row: str) -> None:
    (reading,) = (each.reading for each in read_text(row, ENGLISH).lines)
    assert reading.kind == "question"
