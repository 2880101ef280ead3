"""Laws of the reader: there and back, nothing lost, nothing but readings, and time in proportion to the text."""

import time

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from domain.measures.units import MEASURES
from domain.reading.lines import read_line
from domain.reading.ovens import read_oven_words
from domain.reading.settings import decimal_text, read_tin_words
from domain.reading.texts import MAX_TEXT, ReadComponent, ReadFormula, ReadLine, read_text
from domain.reading.values import LANGUAGES, ReadingOptions
from domain.things.conversion import EGG_PARTS
from domain.things.ingredients import INGREDIENTS
from tests.reading.corpus import load
from tests.reading.writing import write_formula

WORDS = sorted({word for line in load() for word in line.text.split()})
HOSTILE = [
    "(",
    "((((",
    "1/",
    "/",
    "x",
    "1 x",
    "½",
    "1-1-1",
    ",,,",
    "1.1.1.1",
    "1,1,1,1",
    "a a a",
    "of of",
    "\t",
    "\u00a0",
    "°",
    "1e9",
]


@st.composite
def formulas(draw: st.DrawFn) -> ReadFormula:
    """Formulas of weighed, measured and counted lines."""
    names = draw(
        st.lists(st.sampled_from(["batter", "nuggets", "filling", "glaze"]), min_size=1, max_size=3, unique=True)
    )
    components = tuple(
        ReadComponent(name=name, lines=tuple(draw(st.lists(_lines(), min_size=1, max_size=6)))) for name in names
    )
    tin = draw(
        st.sampled_from(["", "square 23 cm", "rectangle 20 x 30 cm", "round 9 in", "rectangle 330 x 241 x 25 mm"])
    )
    oven = draw(st.sampled_from(["", "180 celsius", "350 fahrenheit", "gas mark 4"]))
    fan = draw(st.sampled_from([None, True, False])) if oven.endswith("celsius") else None
    return ReadFormula(
        name="Halfmoon slab",
        components=components,
        tin=tin,
        tins=draw(st.integers(1, 4)) if tin else 1,
        egg_class="eu_m",
        oven=oven,
        fan=fan,
        minutes=draw(st.sampled_from([None, 25.0, 47.5])),
    )


@st.composite
def _lines(draw: st.DrawFn) -> ReadLine:
    ingredient = INGREDIENTS[draw(st.sampled_from(sorted(INGREDIENTS)))]
    amount = decimal_text(draw(st.fractions(min_value="1/8", max_value=400, max_denominator=8)))
    countable = ingredient.id in EGG_PARTS or ingredient.piece is not None
    units = [
        "g",
        "kg",
        "oz",
        *(["us_cup", "metric_tsp", "au_tbsp", "ml"] if ingredient.densities else []),
        *(["each"] if countable else []),
    ]
    unit = draw(st.sampled_from(units))
    packings = ["", *ingredient.densities] if unit in ("us_cup", "metric_tsp", "au_tbsp", "ml") else [""]
    return ReadLine(ingredient=ingredient.british, quantity=f"{amount} {unit}", packing=draw(st.sampled_from(packings)))


@settings(max_examples=200)
@given(formulas())
def test_a_written_formula_reads_back_the_same(formula: ReadFormula) -> None:
    assert read_text(write_formula(formula), ReadingOptions(egg_class="eu_m", decimal="point")).formula == formula


@settings(max_examples=400)
@given(
    st.lists(st.one_of(st.sampled_from(WORDS), st.sampled_from(HOSTILE), st.text(max_size=6)), max_size=14),
    st.sampled_from((None, *LANGUAGES)),
    st.sampled_from((None, *MEASURES)),
)
def test_no_text_makes_anything_but_readings_that_cover_it(words: list[str], language: str, measures: str) -> None:
    text = " ".join(words)
    options = ReadingOptions(language=language, measures=measures)  # type: ignore[arg-type]  # sampled from them
    reading = read_text(text, options)
    covered = "".join(each.reading.text for each in reading.lines)
    assert "".join(covered.split()) == "".join(text.split())
    for each in reading.lines:
        line = each.reading
        assert line.kind != "line" or (line.ingredient_id in INGREDIENTS and line.quantity)
        assert line.kind != "question" or line.questions
        assert line.kind != "kept" or line.kept_as
        assert text[line.start : line.end].strip() == line.text.strip()
    read_tin_words(text)
    read_oven_words(text)


@pytest.mark.parametrize("text", ["0 eggs (59 g each)", "0 x 59 g eggs", "0 large eggs (2 oz each)", "0 Eier (à 60 g)"])
def test_no_eggs_of_some_weight_are_no_error(text: str) -> None:
    for measures in (None, *MEASURES):
        for language in (None, *LANGUAGES):
            reading = read_text(text, ReadingOptions(language=language, measures=measures))
            assert not reading.formula.components
    (question,) = read_line("0 eggs", ReadingOptions())[0].questions
    assert "date" not in question.message  # the advice for amounts that are too large
    assert "above 0" in question.message


@settings(max_examples=150)
@given(st.sampled_from(load()))
def test_every_choice_answers_its_question(line: object) -> None:
    text, options = line.text, line.options  # type: ignore[attr-defined]  # lines of the corpus
    for question in read_line(text, options)[0].questions:
        for choice in question.choices:
            if question.field in ("", "decimal"):
                again = read_line(choice.text, options)[0]
                codes = [each.code for each in again.questions if not each.field]
                assert question.code not in codes or not codes, (choice.text, again)


@pytest.mark.benchmark
@pytest.mark.parametrize(
    "line",
    [
        "225 g (8 oz) butter, softened and cut into small dice\n",
        "1 1/2 cups all-purpose flour, sifted twice, plus 2 tbsp for dusting\n",
        "1 " * 110 + "\n",
        "(" * 230 + "\n",
        "1/1/1/1-1-1 x 1 x 1 (1 (1 (1 g of of of of a a a a\n",
        "a" * 239 + "\n",
        "x",
        "1",
        " ",
        "1,1.1'",
    ],
)
def test_time_grows_with_the_text_and_no_faster(line: str) -> None:
    half, whole = ((line * MAX_TEXT)[:size] for size in (MAX_TEXT // 2, MAX_TEXT))
    ratio = min(_seconds(whole) for _ in range(5)) / min(_seconds(half) for _ in range(5))
    assert ratio < 2.5 or _seconds(whole) < 10 * _seconds("1 g salt\n" * 20)


def _seconds(text: str) -> float:
    start = time.process_time()
    read_text(text, ReadingOptions(language="en", measures="us"))
    return time.process_time() - start
