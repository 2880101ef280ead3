"""Tins, ovens and times in people's words, as bakers and printed recipes write them (common practice)."""

import pytest

from domain.baking.oven import parse_oven
from domain.errors import DomainError, UnreadableError
from domain.reading.lines import read_line
from domain.reading.ovens import read_oven_words
from domain.reading.settings import read_tin_words
from domain.reading.texts import read_text
from domain.reading.times import read_minutes
from domain.reading.tokens import tokenise
from domain.reading.values import ReadingOptions
from domain.tins.text import parse_tin

TINS = [
    ("20 x 30 cm", "rectangle 20 x 30 cm"),
    ("9x13 in", "rectangle 9 x 13 in"),
    ("27,5 x 18 x 4,5 cm", "rectangle 27.5 x 18 x 4.5 cm"),
    ("23 cm springform", "round 23 cm"),
    ("Springform 26 cm", "round 26 cm"),
    ("26er Springform", "round 26 cm"),
    ("moule rond 24 cm", "round 24 cm"),
    ("8-inch round", "round 8 in"),
    ('8" square tin', "square 8 in"),
    ("20,5 cm square", "square 20.5 cm"),
    ("60x40 tray", "rectangle 60 x 40 cm"),
    ("200 x 300 x 50 mm", "rectangle 200 x 300 x 50 mm"),
    ("Backblech 40 x 30 cm", "rectangle 40 x 30 cm"),
    ("20 x 20 x 5 cm", "square 20 x 5 cm"),
    ("23 cm square, 5 cm deep", "square 23 x 5 cm"),
    ("12 x 80 ml muffin tin", "cavities 12 x 80 ml"),
    ("muffin tin 12 x 100 ml x 35 mm", "cavities 12 x 100 ml x 35 mm"),
    ("Muffinblech 6 x 100 ml x 3,5 cm", "cavities 6 x 100 ml x 3.5 cm"),
    ("muffin tin 100 ml x 35 mm", "cavities 12 x 100 ml x 35 mm"),  # a usual tray has twelve cups
]
ASKED = [
    ("25 cm ring tin", "tin_tube_needed"),
    ("10-inch tube pan", "tin_tube_needed"),
    ("Gugelhupfform 22 cm", "tin_tube_needed"),
    ("moule à savarin 24 cm", "tin_tube_needed"),
    ("20,5 cm", "tin_shape_needed"),
    ("9x13", "unit_needed"),
    ("2 lb loaf tin", "nominal_tin"),
    ("12-hole muffin tin", "cavity_volume_needed"),
    ("12 hole bun tin", "cavity_volume_needed"),
    ("12 muffin cups", "cavity_volume_needed"),
]
OVENS = [
    ("180C fan", "180 celsius", True),
    ("200C/400F/Gas 6", "200 celsius", None),
    ("200C/180C fan/gas 6", "200 celsius", False),
    ("fan 160", "160 celsius", True),
    ("th. 6", "180 celsius", None),
    ("th. 6/7", "195 celsius", None),
    ("180 °C Umluft", "180 celsius", True),
    ("200 °C Ober-/Unterhitze", "200 celsius", False),
    ("O/U-Hitze 180 °C", "180 celsius", False),
    ("180 °C O/U", "180 celsius", False),
    ("Ober- und Unterhitze 180 °C", "180 celsius", False),
    ("180 °C O/U-Hitze (Umluft 160 °C)", "180 celsius", False),
    ("180 °C chaleur tournante", "180 celsius", True),
    ("gas mark 4", "gas mark 4", None),
    ("200 °C (Umluft 180 °C)", "200 celsius", False),
    ("200C (fan: 180C)", "200 celsius", False),
    ("200C (fan 180)", "200 celsius", False),
    ("400 F (convection 375 F)", "400 fahrenheit", False),
]


@pytest.mark.parametrize(("words", "tin"), TINS)
def test_a_tin_in_words_is_the_tin_in_the_short_form(words: str, tin: str) -> None:
    assert parse_tin(words) == parse_tin(tin)
    reading = read_tin_words(words)
    assert reading is not None
    assert reading.tin == tin


@pytest.mark.parametrize(("words", "code"), ASKED)
def test_a_tin_that_may_be_several_is_asked_about(words: str, code: str) -> None:
    reading = read_tin_words(words)
    assert reading is not None
    assert reading.question is not None
    assert reading.question.code == code
    for choice in reading.question.choices:
        parse_tin(choice.text)
    with pytest.raises(UnreadableError) as refusal:
        parse_tin(words)
    assert refusal.value.candidates == tuple(choice.text for choice in reading.question.choices)


@pytest.mark.parametrize(
    ("sentence", "tins", "tin"),
    [
        ("Bei 180 °C 45 Minuten in einer Form 30 x 20 cm backen.", 1, "rectangle 30 x 20 cm"),
        ("Bake for 45 minutes in a 20 x 30 cm tin", 1, "rectangle 20 x 30 cm"),
        ("Bake at gas 4 in a 20cm square tin", 1, "square 20 cm"),
        ("Bake at gas 4 20 cm square tin", 1, "square 20 cm"),
        ("Makes 24 in a 20 x 30 cm tin", 1, "rectangle 20 x 30 cm"),
        ("Makes 12. 20 x 30 cm tin", 1, "rectangle 20 x 30 cm"),
        ("Faire cuire 35 min dans un moule carré de 20 cm", 1, "square 20 cm"),
        ("Divide between 2 greased and lined 20 cm round tins", 2, "round 20 cm"),
        ("Bake 25 to 30 minutes in three 20 cm round tins", 3, "round 20 cm"),
        ("zwei Springformen 26 cm", 2, "round 26 cm"),
        ("Für 2 Bleche 30 x 40 cm", 2, "rectangle 30 x 40 cm"),
        ("an 8 in square tin", 1, "square 8 in"),
        ("Tin: 2 tins, square 20 cm", 2, "square 20 cm"),
    ],
)
def test_only_a_number_of_tins_counts_them(sentence: str, tins: int, tin: str) -> None:
    read = read_tin_words(sentence)
    assert read is not None
    assert (read.tins, read.tin) == (tins, tin)


def test_the_number_of_tins_is_read_in_a_sentence_and_refused_in_a_field() -> None:
    reading = read_tin_words("Grease two 20 cm round tins.")
    assert reading is not None
    assert (reading.tin, reading.tins) == ("round 20 cm", 2)
    with pytest.raises(DomainError):
        parse_tin("two 20 cm round tins")


def test_the_cups_of_a_tin_are_counted_and_not_the_degrees_of_the_oven() -> None:
    reading = read_tin_words("Bake at 180 C in a 12-hole muffin tin")
    assert reading is not None
    assert reading.question is not None
    assert all(choice.text.startswith("cavities 12 x") for choice in reading.question.choices)


@pytest.mark.parametrize(
    "text", ["moon 20 x 30 cm", "20 x 30 cm and 5", "-20 x 30 cm", "20 x 30 kg", "½ 20 x 30 cm sheet"]
)
def test_a_tin_with_a_word_left_over_is_refused(text: str) -> None:
    with pytest.raises(DomainError):
        parse_tin(text)


@pytest.mark.parametrize(("words", "setting", "fan"), OVENS)
def test_an_oven_in_words_is_read_with_its_fan(words: str, setting: str, *, fan: bool | None) -> None:
    reading = read_oven_words(words)
    assert reading is not None
    assert (reading.setting, reading.fan) == (setting, fan)
    assert parse_oven(words) == parse_oven(setting, fan=bool(fan))


def test_settings_that_disagree_are_remarked() -> None:
    reading = read_oven_words("200C/350F")
    assert reading is not None
    assert [remark.code for remark in reading.remarks] == ["disagreement"]


@pytest.mark.parametrize(
    ("sentence", "minutes"),
    [
        ("Bake for 25 to 30 minutes.", 27.5),
        ("45 Minuten backen", 45),
        ("Cuire 35 min", 35),
        ("Bake for 1 1/2 hours", 90),
        ("Bake for 1 hour 15 minutes", 75),
        ("Bake an hour", 60),
        ("1 Std. 10 Min. backen", 70),
        ("Cuire 1 h 15 à 150 °C", 75),
        ("1h30 au four", 90),
        ("Prep 20 mins, bake 30-35 mins", 32.5),
        ("Prep: 25 mins Cook: 40 mins", 40),
        ("Prove for 1 hour, then bake for 20 minutes, and cool for 5 minutes", 20),
        ("Bake one hour and a quarter", 75),
        ("Bake half an hour", 30),
        ("Cuire une heure et demie", 90),
        ("Prep Time: 20 min | Cook Time: 1 hr | Total Time: 5 hr 20 min", 60),
        ("Arbeitszeit 30 Min., Backzeit 1 Std. 15 Min.", 75),
        ("Time: 55-65 minutes", 60),
    ],
)
def test_the_minutes_of_a_sentence(sentence: str, minutes: float) -> None:
    assert read_minutes(tokenise(sentence)) == minutes


STEPS_OF_A_BAKE = [
    "Bake for 10 minutes at 200C, then for 25 minutes at 110C.",
    "Bake at 200C for 10 minutes, then reduce to 160C and bake for 40 minutes.",
    "Bei 220 °C 10 Minuten anbacken, dann bei 180 °C 35 Minuten fertig backen",
    "Faire cuire 10 minutes à 200 °C puis 40 minutes à 150 °C",
    "Bake for 20 minutes at 180C, cover with foil and bake for 25 minutes.",
    "Bake at 180C for 20 minutes, turn the tray, then another 15 minutes",
    "Bake at 200C for 10 minutes.\nReduce to 160C and bake for 40 minutes.",
    "Heat the oven to 180C.\nBake the base for 10 minutes.\nBake the filled tin for 45 minutes.",
]
ONE_BAKE = [
    ("Heat the oven to 180C/160C fan.\nBake for 30 minutes.", ("180 celsius", False, 30)),
    ("Bake for 30 minutes at 180C, then cool for another 15 minutes.", ("180 celsius", None, 30)),
    ("Cook time: 45 min\nBake for 40-45 minutes at 180C", ("180 celsius", None, 45)),
    ("Heat the oven to 220C.\nTurn it down: bake at 180C for 30 minutes", ("180 celsius", None, 30)),
    ("Bake for 30 minutes at 350°F (175°C).", ("350 fahrenheit", None, 30)),
]


@pytest.mark.parametrize("sentences", STEPS_OF_A_BAKE)
def test_a_bake_in_steps_is_not_taken_for_its_first_step(sentences: str) -> None:
    """A cheesecake of 10 minutes at 200 °C and 25 at 110 °C is not done after 10 minutes: common practice."""
    reading = read_text(f"A cake\n\n200 g plain flour\n\n{sentences}", ReadingOptions())
    assert (reading.formula.oven, reading.formula.fan, reading.formula.minutes) == ("", None, None)
    assert [remark.code for line in reading.lines for remark in line.reading.remarks] == ["disagreement"]
    assert reading.ready


@pytest.mark.parametrize(("sentences", "bake"), ONE_BAKE)
def test_a_bake_that_is_said_twice_is_one_bake(sentences: str, bake: tuple[str, bool | None, float]) -> None:
    formula = read_text(f"A cake\n\n200 g plain flour\n\n{sentences}", ReadingOptions()).formula
    assert (formula.oven, formula.fan, formula.minutes) == bake


@pytest.mark.parametrize("sentence", ["Prep time: 20 min", "Total 2 h", "Ruhezeit 1 Std.", "Repos : 30 min"])
def test_a_time_that_is_not_of_baking_is_none(sentence: str) -> None:
    assert read_minutes(tokenise(sentence)) is None


@pytest.mark.parametrize(
    "line", ["Total baking time 45 minutes", "Gesamtbackzeit 45 Min.", "Total cooking time: 45 min"]
)
def test_the_total_time_in_the_oven_is_the_bake_time(line: str) -> None:
    assert read_line(line, ReadingOptions())[0].minutes == 45


@pytest.mark.parametrize("line", ["Total time: 2 hours", "Total weight 900 g"])
def test_other_totals_are_kept(line: str) -> None:
    assert (read_line(line, ReadingOptions())[0].rule, read_line(line, ReadingOptions())[0].minutes) == ("total", None)
