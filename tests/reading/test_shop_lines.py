"""Single lines that shops write in other ways than books do, with what a baker means by them (common practice)."""

import pytest

from domain.reading.lines import read_line
from domain.reading.values import Language, ReadingOptions

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


@pytest.mark.parametrize(
    ("language", "line", "ingredient", "quantity"),
    [
        ("en", "1 c. S.R. flour", "self-raising-flour", "1 us_cup"),
        ("en", "1 tin peaches (400 g), drained", "tinned-peaches", "400 g"),
        ("en", "1 x 400 g tin apricots", "tinned-apricots", "400 g"),
        ("en", "400 g peaches", "peach", "400 g"),
        ("de", "1 Dose Aprikosen (Abtropfgewicht 240 g)", "tinned-apricots", "240 g"),
        ("fr", "1 boîte de poires (400 g)", "tinned-pears", "400 g"),
        ("fr", "30 g graines pavot", "poppy-seeds", "30 g"),
        ("fr", "100 g poudre amandes", "ground-almonds", "100 g"),
        ("fr", "5 cl jus citron", "lemon-juice", "5 cl"),
        ("en", "4 eggs (200g shelled)", "egg", "4 each"),
    ],
)
def test_short_forms_and_tins_are_what_a_baker_means(
    language: Language, line: str, ingredient: str, quantity: str
) -> None:
    (reading,) = read_line(line, ReadingOptions(language=language, measures="us", egg_class="us_large"))
    assert (reading.ingredient_id, reading.quantity) == (ingredient, quantity)


@pytest.mark.parametrize(("language", "line"), [("en", "200 g brown butter"), ("de", "200 g Nussbutter")])
def test_browned_butter_is_asked_about_with_what_it_may_have_been_weighed_as(language: Language, line: str) -> None:
    (reading,) = read_line(line, ReadingOptions(language=language))
    assert [choice.label for choice in reading.questions[0].choices] == ["butter", "ghee"]


@pytest.mark.parametrize(
    ("line", "quantity"),
    [
        ("1 cup (150g) all-purpose flour", "150 g"),
        ("1 cup all-purpose flour (142 g)", "142 g"),
        ("1/2 cup (100 g) packed light brown sugar", "100 g"),
        ("1 cup (2 sticks; 227g) unsalted butter", "227 g"),
        ("1 cup (4 oz) shredded cheddar", "4 oz"),
        ("1/4 tsp (1 g) salt", "0.25 us_tsp"),
        ("1 cup (8 oz) milk", "1 us_cup"),
        ("¾ cup (180ml) buttermilk", "0.75 us_cup"),
    ],
)
def test_a_weight_beside_a_volume_is_taken_unless_it_is_rounded_far_or_may_be_fluid(line: str, quantity: str) -> None:
    (reading,) = read_line(line, AMERICAN)
    assert (reading.kind, reading.quantity) == ("line", quantity)


def test_a_weight_beside_a_cup_needs_no_country_and_stays_in_the_choices() -> None:
    unsaid = ReadingOptions(language="en")
    (flour,) = read_line("1 cup (150 g) plain flour", unsaid)
    assert (flour.quantity, flour.questions) == ("150 g", ())
    (milk,) = read_line("½ cup (125 ml) buttermilk", unsaid)
    assert (milk.quantity, milk.questions) == ("125 ml", ())
    (sugar,) = read_line("1 cup (150 g) sugar", unsaid)
    assert all(choice.text.startswith("1 cup (150 g) ") for choice in sugar.questions[0].choices)


def test_a_weight_that_no_cup_of_it_has_is_remarked() -> None:
    (reading,) = read_line("1 cup (15 g) all-purpose flour", AMERICAN)
    assert [remark.code for remark in reading.remarks] == ["disagreement"]


# The conversions of British recipe books: 1 oz is printed as 28, 1 pint as 600 ml (common practice).
@pytest.mark.parametrize("line", ["110g/4oz butter", "55 g (2 oz) butter", "150g/5oz butter", "300 ml (½ pint) milk"])
def test_a_printed_conversion_is_no_disagreement(line: str) -> None:
    (reading,) = read_line(line, ReadingOptions(language="en", measures="uk"))
    assert reading.remarks == ()


@pytest.mark.parametrize(
    ("line", "pieces"),
    [("Zutaten für 1 Blech (ca. 20 Stücke)", 20), ("Zutaten für 1 Blech", 1), ("Brioche (ca. 20 Stück)", 20)],
)
def test_the_pieces_in_brackets_are_the_yield(line: str, pieces: int) -> None:
    (reading,) = read_line(line, ReadingOptions(language="de"))
    assert reading.yields == pieces


@pytest.mark.parametrize(
    ("line", "oven", "minutes"), [("350 10-12min", "350 fahrenheit", 11), ("4x8 pan 350 for 1hr", "350 fahrenheit", 60)]
)
def test_a_bare_figure_before_a_time_is_the_oven(line: str, oven: str, minutes: float) -> None:
    (reading,) = read_line(line, AMERICAN)
    assert (reading.oven, reading.minutes) == (oven, minutes)


@pytest.mark.parametrize("line", ["100 g butter 5 min", "Knead 10 min", "Beat 3 eggs 200 strokes 5 min"])
def test_other_figures_before_a_time_are_no_oven(line: str) -> None:
    assert read_line(line, AMERICAN)[0].oven == ""
