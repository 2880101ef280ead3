"""Units, compared with the figures of standards and authorities and with two other libraries."""

from fractions import Fraction

import pint
import pytest
from scipy import constants

from domain.measures.units import UNITS, Measures
from tests.published.printed import printed
from tests.strategies import converted

EXACT_2ND = "exact capacity and mass table credited to NIST"
HB44 = "NIST Handbook 44, Appendix C, as pint carries it"
HK = "Hong Kong Weights and Measures Ordinance, schedule part IV(b)"
UK = "Weights and Measures Act 1985 (UK), Schedule 1 Part V"
COOK = "NIST, cooking measurement equivalencies"
SP430 = "NIST SP 430, Table 1"
NSW = "NSW Health, metric cup and spoon sizes"
GNU = "GNU units, database of units, version 3.15"
REGION = "regional tables of measures, secondary"
LIBRE = "LibreTexts, cold kitchen, app. 2.3, portions per quart"
AFRS = "US Armed Forces Recipe Service, card A-1"


def amount(written: str, to: str, measures: Measures | None = None) -> float:
    return converted(written, to, measures=measures).amount


EXACT = [  # unit, its unit, as printed in full, source
    ("1 us_fl_oz", "ml", "29.5735295625", EXACT_2ND),
    ("1 us_gill", "ml", "118.29411825", EXACT_2ND),
    ("1 us_pint", "ml", "473.176473", EXACT_2ND),
    ("1 imperial_fl_oz", "ml", "28.4130625", EXACT_2ND),
    ("1 oz", "g", "28.349523125", EXACT_2ND),
    ("1 lb", "g", "453.59237", EXACT_2ND),
    ("1 us_gallon", "ml", "3785.411784", HB44),
    ("1 us_dry_pint", "ml", "550.6104713575", HB44),
    ("1 us_dry_quart", "ml", "1101.220942715", HB44),
    ("1 us_cup", "ml", "236.5882365", HB44),
    ("1 us_tbsp", "ml", "14.78676478125", HB44),
    ("1 us_tsp", "ml", "4.92892159375", HB44),
    ("1 in", "mm", "25.4", HB44),
    ("1 us_quart", "ml", "946.352946", HB44),
    ("1 imperial_gallon", "ml", "4546.09", HK),
    ("1 imperial_pint", "ml", "568.26125", HK),
    ("1 lb", "kg", "0.45359237", UK),
    ("1 oz", "g", "28.349523125", UK),
    ("1 au_tbsp", "ml", "20", NSW),
    ("1 metric_tsp", "ml", "5", NSW),
    ("1 metric_cup", "ml", "250", NSW),
    ("1 metric_tbsp", "ml", "15", REGION),
    ("1 metric_dessertspoon", "ml", "10", GNU + ", brdessertspoon"),
    ("1 jp_cup", "ml", "200", GNU + ", japancup"),
]


@pytest.mark.parametrize(("written", "to", "figure", "source"), EXACT, ids=str)
def test_exact_units_equal_the_published_figure_to_the_last_bit(
    written: str, to: str, figure: str, source: str
) -> None:
    assert amount(written, to) == float(figure), source


REGIONAL: list[tuple[str, Measures, str, str]] = [
    ("1 cup", "au", "250", NSW),
    ("1 tbsp", "au", "20", NSW),
    ("1 tsp", "au", "5", NSW),
    ("1 tbsp", "metric", "15", REGION + ": New Zealand, Canada"),
    ("1 cup", "metric", "250", REGION + ": Canada"),
    ("1 cup", "us", "236.5882365", HB44),
    ("1 pint", "uk", "568.26125", HK),
    ("1 fl oz", "uk", "28.4130625", EXACT_2ND),
    ("1 cup", "jp", "200", GNU + ", japancup"),
]


@pytest.mark.parametrize(("written", "measures", "figure", "source"), REGIONAL, ids=str)
def test_kitchen_words_have_the_meaning_that_each_country_prints(
    written: str, measures: Measures, figure: str, source: str
) -> None:
    assert amount(written, "ml", measures) == printed(figure), source


APPROXIMATE = [  # the step is the rounding of the table if it is coarser than the last digit
    ("1/4 us_tsp", "ml", "1.25", "0.25", COOK + ", quarter of a rounded 5 ml"),
    ("1/2 us_tsp", "ml", "2.5", "0.5", COOK + ", half of a rounded 5 ml"),
    ("1 us_tsp", "ml", "5", "", COOK),
    ("1 us_tbsp", "ml", "15", "", COOK),
    ("1 us_fl_oz", "ml", "30", "", COOK),
    ("1/4 us_cup", "ml", "60", "10", COOK),
    ("1/3 us_cup", "ml", "80", "10", COOK),
    ("1/2 us_cup", "ml", "120", "10", COOK),
    ("1 us_cup", "ml", "240", "10", COOK),
    ("16 us_fl_oz", "ml", "480", "20", COOK + ", 2 × the rounded cup"),
    ("24 us_fl_oz", "ml", "720", "30", COOK + ", 3 × the rounded cup"),
    ("32 us_fl_oz", "ml", "950", "10", COOK),
    ("1 us_gallon", "ml", "3840", "160", COOK + ", 16 × the rounded cup"),
    ("1 oz", "g", "28", "", COOK),
    ("1/4 lb", "g", "114", "1.25", COOK + ", quarter of a rounded 454 g, rounded again"),
    ("1 lb", "g", "454", "", COOK),
    ("1 kg", "lb", "2.2", "", COOK),
    ("1 us_tsp", "ml", "4.9", "", SP430),
    ("1 us_tbsp", "ml", "15", "", SP430),
    ("1 us_fl_oz", "ml", "30", "", SP430),
    ("1 us_cup", "ml", "237", "", SP430),
    ("1 us_pint", "ml", "473", "", SP430),
    ("1 us_quart", "ml", "946", "", SP430),
    ("1 us_fl_oz", "us_cup", "0.125", "", "ICN Basics at a Glance, ladles"),
    ("6 us_fl_oz", "us_cup", "0.75", "", "ICN Basics at a Glance, ladles"),
    ("12 us_fl_oz", "us_cup", "1.5", "", "ICN Basics at a Glance, ladles"),
    ("0.35 lb", "oz", "5.6", "", AFRS),
    ("0.7 lb", "oz", "11.2", "", "baking course slides: salt at 1.75 % of 40 lb flour"),
]


@pytest.mark.parametrize(("written", "to", "figure", "step", "source"), APPROXIMATE, ids=str)
def test_kitchen_tables_agree_within_their_rounding(written: str, to: str, figure: str, step: str, source: str) -> None:
    assert amount(written, to) == printed(figure, step=step), source


def test_the_half_gallon_is_exact_although_a_table_prints_it_too_large() -> None:
    # NIST cooking equivalencies print 1950 ml; half of 3785.411784 ml (exact capacities) is 1893 ml.
    assert amount("1/2 us_gallon", "ml") == printed("1893")
    assert amount("1/2 us_gallon", "ml") != printed("1950", step="80")


OUNCES = (
    (1, ".06"),
    (2, ".13"),
    (3, ".19"),
    (5, ".31"),
    (6, ".38"),
    (7, ".44"),
    (9, ".56"),
    (10, ".63"),
    (11, ".69"),
    (13, ".81"),
    (14, ".88"),
    (15, ".94"),
)


@pytest.mark.parametrize(("ounces", "pounds"), OUNCES, ids=[f"{AFRS}: {n} oz" for n, _ in OUNCES])
def test_ounces_as_decimal_pounds(ounces: int, pounds: str) -> None:
    assert amount(f"{ounces} oz", "lb") == printed(pounds)


PORTIONS = (("1", "32"), ("2", "16"), ("4", "8"), ("6", "5.3333"), ("2.6667", "12"))


@pytest.mark.parametrize(("fl_oz", "portions"), PORTIONS, ids=[f"{LIBRE}: {size} fl oz" for size, _ in PORTIONS])
def test_portions_in_a_us_quart(fl_oz: str, portions: str) -> None:
    assert amount("1 us_quart", "us_fl_oz") / float(fl_oz) == printed(portions, step="" if "." in portions else "0.001")


EGG_DOZENS = (("30", "70.87"), ("27", "63.79"), ("24", "56.70"), ("21", "49.61"), ("18", "42.52"), ("15", "35.44"))


@pytest.mark.parametrize(("ounces", "grams"), EGG_DOZENS, ids=[f"7 Pa. Code 87.42: {oz} oz" for oz, _ in EGG_DOZENS])
def test_ounces_a_dozen_as_grams_an_egg(ounces: str, grams: str) -> None:
    assert amount(f"{ounces} oz", "g") / 12 == printed(grams)


# pint's default registry, not our definition file; it has no Australian, Japanese or metric kitchen units.
PINT_NAMES = {
    "mg": "milligram",
    "g": "gram",
    "kg": "kilogram",
    "oz": "ounce",
    "lb": "pound",
    "ml": "milliliter",
    "cl": "centiliter",
    "dl": "deciliter",
    "l": "liter",
    "us_tsp": "teaspoon",
    "us_tbsp": "tablespoon",
    "us_fl_oz": "fluid_ounce",
    "us_cup": "cup",
    "us_gill": "gill",
    "us_pint": "liquid_pint",
    "us_quart": "liquid_quart",
    "us_gallon": "gallon",
    "us_dry_pint": "dry_pint",
    "us_dry_quart": "dry_quart",
    "imperial_fl_oz": "imperial_fluid_ounce",
    "imperial_gill": "imperial_gill",
    "imperial_pint": "imperial_pint",
    "imperial_quart": "imperial_quart",
    "imperial_gallon": "imperial_gallon",
    "mm": "millimeter",
    "cm": "centimeter",
    "in": "inch",
    "mm2": "millimeter ** 2",
    "cm2": "centimeter ** 2",
    "in2": "inch ** 2",
}
PINT_BASE = {"mass": "gram", "volume": "milliliter", "length": "millimeter", "area": "millimeter ** 2"}


@pytest.fixture(scope="module")
def default_registry() -> "pint.UnitRegistry[Fraction]":
    return pint.UnitRegistry(non_int_type=Fraction)


@pytest.mark.parametrize("unit", PINT_NAMES, ids=[f"pint default registry: {unit}" for unit in PINT_NAMES])
def test_units_equal_pints_default_registry_exactly(unit: str, default_registry: "pint.UnitRegistry[Fraction]") -> None:
    ours = UNITS[unit]
    theirs = default_registry.Quantity(Fraction(1), PINT_NAMES[unit]).to(PINT_BASE[ours.dimension])
    assert ours.factor == theirs.magnitude


SCIPY = [  # our unit, scipy's constant in SI, SI to our base unit
    ("in", constants.inch, 1e3),
    ("lb", constants.pound, 1e3),
    ("oz", constants.oz, 1e3),
    ("us_gallon", constants.gallon, 1e6),
    ("us_fl_oz", constants.fluid_ounce, 1e6),
    ("imperial_gallon", constants.gallon_imp, 1e6),
    ("imperial_fl_oz", constants.fluid_ounce_imp, 1e6),
    ("l", constants.liter, 1e6),
    ("fahrenheit", constants.degree_Fahrenheit, 1.0),
]


@pytest.mark.parametrize(("unit", "si", "scale"), SCIPY, ids=[f"scipy.constants: {row[0]}" for row in SCIPY])
def test_units_equal_scipys_constants(unit: str, si: float, scale: float) -> None:
    assert float(UNITS[unit].factor) == pytest.approx(si * scale, rel=1e-15)
