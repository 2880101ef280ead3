"""What a question offers: packs as they are sold, and eggs weighed with or without the shell (common practice)."""

import pytest

from domain.reading.lines import read_line
from domain.reading.texts import read_text
from domain.reading.values import Language, ReadingOptions

UNSAID, BRITISH = ReadingOptions(), ReadingOptions(language="en", measures="uk")


@pytest.mark.parametrize(
    ("line", "choices"),
    [
        ("1 Würfel Hefe", {"42 g fresh yeast"}),
        ("1/2 Würfel Hefe", {"21 g fresh yeast"}),
        ("2 Päckchen Vanillezucker", {"16 g vanilla sugar", "15 g vanilla sugar"}),
        ("1 Pck. Backpulver", {"15 g baking powder", "11 g baking powder"}),
    ],
)
def test_a_pack_of_no_language_is_asked_about_with_what_its_countries_sell(line: str, choices: set[str]) -> None:
    question = read_line(line, UNSAID)[0].questions[0]
    assert {choice.text for choice in question.choices} >= choices
    for choice in question.choices:
        answered = read_line(choice.text, UNSAID)[0]
        assert (answered.kind, answered.questions) == ("line", ()), choice
        assert "common practice" in choice.label


# Regulation (EC) 589/2008: class M is 53 to 63 g with the shell.
@pytest.mark.parametrize("line", ["4 eggs (59 g each)", "4 x 59 g eggs", "4 eggs, 59g each", "eggs: 4 (59g each)"])
def test_a_weight_of_each_egg_is_asked_about_with_its_class_and_its_grams(line: str) -> None:
    (question,) = read_line(line, BRITISH)[0].questions
    sized, weighed = (read_line(choice.text, BRITISH)[0] for choice in question.choices)
    assert (sized.quantity, sized.egg_class) == ("4 each", "eu_m")
    assert (weighed.quantity, weighed.egg_class) == ("236 g", "")


def test_a_weight_of_each_egg_in_the_callers_class_is_not_asked_about() -> None:
    options = ReadingOptions(language="en", measures="uk", egg_class="eu_m")
    for line in ("4 eggs (59 g each)", "4 x 59 g eggs"):
        reading = read_line(line, options)[0]
        assert (reading.kind, reading.quantity, reading.questions) == ("line", "4 each", ())
    assert read_line("4 eggs (70 g each)", options)[0].kind == "question"


def test_the_depth_of_the_batter_is_said_and_is_not_the_tins() -> None:
    reading = read_line("20 x 30 cm tray, batter 3 cm deep", BRITISH)[0]
    assert reading.tin == "rectangle 20 x 30 cm"
    assert "3 cm deep" in reading.remarks[0].message
    assert reading.depth == "3 cm"


@pytest.mark.parametrize(
    ("line", "language"),
    [
        ("2 flax eggs", "en"),
        ("1 chia egg", "en"),
        ("1 linseed egg", "en"),
        ("2 Leinsamen-Eier", "de"),
        ("2 Chia-Eier", "de"),
    ],
)
def test_a_substitute_for_egg_is_not_offered_as_egg(line: str, language: Language) -> None:
    """A vegan bake has soaked seeds in place of eggs, and an egg would be an allergen in it: common practice."""
    reading = read_text(line, ReadingOptions(language=language))
    choices = [choice.text for each in reading.questions for choice in each.question.choices]
    assert [each.question.code for each in reading.questions] == ["unknown_ingredient"]
    assert not [text for text in choices if "egg" in text]


@pytest.mark.parametrize(
    ("text", "tin", "depth"),
    [
        ("Tin 23 cm square, 7 cm deep; fill 3.5 cm deep", "square 23 x 7 cm", "3.5 cm"),
        ("20 x 30 cm tray\nBatter 3 cm deep", "rectangle 20 x 30 cm", "3 cm"),
        ("Springform 26 cm\nMasse 4,5 cm hoch", "round 26 cm", "4.5 cm"),
        ("20 x 30 cm tray", "rectangle 20 x 30 cm", ""),
        ("Batter 3 cm deep", "", ""),
    ],
)
def test_the_filled_depth_of_the_formula_is_that_of_its_lines(text: str, tin: str, depth: str) -> None:
    formula = read_text(f"Slab\n{text}\n250 g butter", BRITISH).formula
    assert (formula.tin, formula.filled_depth) == (tin, depth)
