"""First lines that name a recipe with its tin or yield, and headings of a word (common practice)."""

import pytest

from domain.reading.texts import TextReading, read_text
from domain.reading.values import Language, ReadingOptions

BUTTER = {"en": "200 g butter", "de": "200 g Butter", "fr": "200 g de beurre"}


def read(language: Language, *lines: str) -> TextReading:
    return read_text("\n".join(lines), ReadingOptions(language=language, measures="metric", egg_class="eu_m"))


@pytest.mark.parametrize(
    ("language", "line", "tin", "pieces"),
    [
        ("en", "Almond tart, two 9 inch rings", "round 9 in", None),
        ("en", "Jam slab for the 20 x 30 cm tray", "rectangle 20 x 30 cm", None),
        ("de", "Topfenkuchen, Tortenreifen 24 cm Ø", "round 24 cm", None),
        ("fr", "Tarte aux poires, moule de 26 cm", "round 26 cm", None),
        ("en", "Honey cakes - makes 12", "", 12),
        ("de", "Möhrenmuffins – ergibt 12 Stück", "", 12),
        ("de", "muffins für montag 24 stk", "", 24),
        ("fr", "Financiers pistache\t60 pièces", "", 60),
    ],
)
def test_the_first_line_names_the_recipe_and_its_tin_or_yield(
    language: Language, line: str, tin: str, pieces: int | None
) -> None:
    reading = read(language, line, BUTTER[language])
    title = reading.lines[0].reading
    assert (title.kept_as, reading.formula.tin, title.yields) == ("title", tin, pieces)
    assert reading.formula.name == " ".join(line.split())


@pytest.mark.parametrize("line", ["Cake tin, 20 cm round", "For a 20 cm round tin", "Round tin: 20 cm"])
def test_a_line_of_the_tin_is_no_title(line: str) -> None:
    reading = read("en", line, BUTTER["en"])
    assert (reading.formula.name, reading.formula.tin) == ("Recipe", "round 20 cm")


@pytest.mark.parametrize("line", ["Moonfruit 3 pieces", "24 g moonfruit", "Eggs, 12 pieces"])
def test_a_first_line_that_may_be_an_ingredient_is_read_as_one(line: str) -> None:
    assert read("en", line, BUTTER["en"]).lines[0].reading.kind != "kept"


@pytest.mark.parametrize(
    ("language", "heading"), [("en", "Slab"), ("en", "Sweet pastry"), ("en", "Oat nuggets"), ("de", "Fülle")]
)
def test_few_words_between_ingredients_open_a_component(language: Language, heading: str) -> None:
    butter = BUTTER[language]
    reading = read(language, "Parkin", "First part:", butter, heading, butter, butter)
    assert [component.name for component in reading.formula.components] == ["First part", heading]


@pytest.mark.parametrize("line", ["rants", "pose flour", "Sieve it twice.", "Salt, pepper", "Salt"])
def test_the_rest_of_a_broken_line_and_a_name_open_none(line: str) -> None:
    butter = BUTTER["en"]
    reading = read("en", "Parkin", "First part:", butter, line, butter, butter)
    assert [component.name for component in reading.formula.components] == ["First part"]


def test_a_heading_of_all_ingredients_before_the_first_of_them_names_no_component() -> None:
    reading = read("de", "Muffins", "Zutaten: 250 g Möhren, 200 g Butter", "100 g Zucker")
    assert [component.name for component in reading.formula.components] == ["Muffins"]


def test_a_purpose_alone_on_its_line_opens_a_component_and_beside_a_name_it_does_not() -> None:
    butter = BUTTER["de"]
    reading = read("de", "Stollen", "Teig", butter, "Zum Bestreichen", butter, "Puderzucker zum Bestäuben", butter)
    assert [component.name for component in reading.formula.components] == ["Teig", "Zum Bestreichen"]
