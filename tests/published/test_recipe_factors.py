"""Rescaling, compared with published worked examples and with calculations by hand."""

from fractions import Fraction
from typing import Any

import pytest

from domain.formulas.formula import WeighedFormula, weigh_formula
from domain.formulas.rescaling import Bench, Rescaled, rescale
from domain.formulas.targets import Target
from domain.measures.weighing import Scales, weigh_grams
from domain.things.eggs import EGG_CLASSES
from domain.tins.text import parse_tin
from tests import formulas
from tests.published.printed import printed

AFRS = "US Armed Forces Recipe Service, card A-1"
SLIDES = "course slides, converting recipes"
BAKER = "baking course slides"
TEXT = "baker's percentages, textbook extract"
YIELDS = "Bakery and Business Math, ch. 25"
G_PER_LB = 453.59237


def formula(*lines: tuple[str, str], **more: Any) -> WeighedFormula:
    """A formula of one component from pairs of ingredient and quantity."""
    egg = EGG_CLASSES["us_large"]
    mix = formulas.component(*lines, measures="us", egg_class=egg)
    return weigh_formula(formulas.formula(mix, egg_class=egg, **more))


def scaled(weighed: WeighedFormula, target: Target) -> Rescaled:
    return rescale(weighed, (target,), Bench())[0]


def grams(result: Rescaled, line: int = 0) -> float:
    return result.components[0].lines[line].mass.grams


PORTIONS = [  # portions wanted, portions written, working factor
    (348, 100, "3.48", AFRS),
    (3, 6, "0.5", SLIDES),
    (3, 5, "0.6", SLIDES),
]


@pytest.mark.parametrize(("wanted", "written", "factor", "source"), PORTIONS, ids=str)
def test_the_factor_from_portions_is_the_printed_one(wanted: int, written: int, factor: str, source: str) -> None:
    weighed = formula(("plain-flour", f"{written * 50} g"), ("water", f"{written * 10} g"))
    assert scaled(weighed, Target(label="", grams=wanted * 60.0)).factor == printed(factor), source


MASSES = [  # as written, factor, pounds or grams that the book prints
    ("plain-flour", "1.25 lb", 3.48, "4.35", G_PER_LB, AFRS),
    ("courgette", "3 lb", 0.95, "2.85", G_PER_LB, YIELDS + ": a yield of 95 %"),
    ("strawberries", "5000 g", 0.87, "4350", 1.0, YIELDS + ": a yield of 87 %"),
    ("salt", "40 lb", 0.0175, "0.7", G_PER_LB, BAKER + ": salt at 1.75 % of 40 lb flour"),
    ("salt", "40 lb", 0.0175, "11.2", G_PER_LB / 16, BAKER + ": the same in ounces"),
]


@pytest.mark.parametrize(
    ("name", "written", "factor", "figure", "unit_g"),
    [row[:5] for row in MASSES],
    ids=[f"{row[1]} × {row[2]} - {row[5]}" for row in MASSES],
)
def test_a_mass_times_a_factor(name: str, written: str, factor: float, figure: str, unit_g: float) -> None:
    assert grams(scaled(formula((name, written)), Target(label="", factor=factor))) / unit_g == printed(figure)


QUARTERS = [  # decimal ounces and what the card rounds them to
    (20.00, 0),
    (20.12, 0),
    (20.13, 0.25),
    (20.37, 0.25),
    (20.38, 0.5),
    (20.62, 0.5),
    (20.63, 0.75),
    (20.87, 0.75),
    (20.88, 1),
    (20.99, 1),
]


@pytest.mark.parametrize(("ounces", "quarters"), QUARTERS, ids=[f"{AFRS}: {row[0] - 20:.2f}" for row in QUARTERS])
def test_the_rounding_scale_of_the_card_is_the_nearest_quarter(ounces: float, quarters: float) -> None:
    assert weigh_grams(ounces, Scales(step_g=Fraction(1, 4))) == 20 + quarters


def test_flour_for_a_wanted_batter_mass() -> None:  # TEXT: 3000 g at 377.5 % in all is 794.7 g of flour
    weighed = formula(("plain-flour", "100 g"), ("granulated-sugar", "120 g"), ("water", "157.5 g"))
    assert weighed.mass.grams == printed("377.5"), TEXT
    assert grams(scaled(weighed, Target(label="", grams=3_000))) == printed("794.7"), TEXT


def test_the_percentages_of_a_dough_add_up() -> None:  # BAKER: 100 + 1.75 + 2 + 0.375 + 58 = 162.125 %
    lines = ("100 g", "1.75 g", "2 g", "0.375 g", "58 g")
    names = ("strong-white-flour", "salt", "granulated-sugar", "instant-yeast", "water")
    assert formula(*zip(names, lines, strict=True)).mass.grams == printed("162.125"), BAKER


def test_water_as_a_percentage_of_flour() -> None:  # BAKER: 23 lb water on 40 lb flour is 57.5 %
    weighed = formula(("strong-white-flour", "40 lb"), ("water", "23 lb"))
    flour, water = (line.mass.grams for line in weighed.components[0].lines)
    assert water / flour * 100 == printed("57.5"), BAKER


# By hand, from figures printed elsewhere: USDA SR28 (flour NDB 20081 125 g, sugar NDB 19335 200 g and butter
# NDB 01145 227 g a cup, large egg NDB 01123 50 g, baking powder NDB 18369 4.6 g a teaspoon), and the areas
# of an 8 in square (64 in²) and a 9 × 13 in tin (117 in²): factor 117 / 64 = 1.828125.
CAKE = (
    ("plain-flour", "1 1/2 cup"),  # 187.5 g
    ("granulated-sugar", "3/4 cup"),  # 150 g
    ("butter", "1/2 cup"),  # 113.5 g
    ("egg", "2 each"),  # 100 g
    ("baking-powder", "1 1/2 tsp"),  # 6.9 g
)
CAKE_G = ("342.77", "274.22", "207.49", "182.81", "12.614")  # the same × 1.828125
CAKE_IDS = [f"{name}, USDA SR28 × 117/64" for name, _ in CAKE]


@pytest.mark.parametrize(("line", "expected"), list(enumerate(CAKE_G)), ids=CAKE_IDS)
def test_a_cake_from_one_tin_to_another(line: int, expected: str) -> None:
    weighed = formula(*CAKE, tin="square 8 in")
    result = scaled(weighed, Target(label="", tin=parse_tin("rectangle 9 x 13 in")))
    assert grams(result, line) == printed(expected)


def test_the_whole_cake_from_one_tin_to_another() -> None:
    weighed = formula(*CAKE, tin="square 8 in", filled_depth_mm=25.4)
    result = scaled(weighed, Target(label="", tin=parse_tin("rectangle 9 x 13 x 2 in")))
    assert weighed.mass.grams == printed("557.9")  # 187.5 + 150 + 113.5 + 100 + 6.9
    assert result.mass.grams == printed("1019.9")  # 557.9 × 1.828125
    assert result.filled_depth_mm == 25.4
    assert result.fill_percent == pytest.approx(50)  # one inch of two
    # 2 eggs × 1.828125 = 3.65625, so 3 or 4 whole eggs: factors 3/2 and 4/2, depths 25.4 × 96/117 and 128/117 mm
    batches = rescale(
        weighed,
        (Target(label="", tin=parse_tin("rectangle 9 x 13 x 2 in")),),
        Bench(available_eggs=(EGG_CLASSES["us_large"],)),
    )[0].whole_egg_batches
    assert [batch.factor for batch in batches] == [1.5, 2.0]
    assert [batch.filled_depth_mm for batch in batches] == [
        pytest.approx(20.841, abs=5e-4),
        pytest.approx(27.788, abs=5e-4),
    ]
