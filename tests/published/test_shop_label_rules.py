"""Labels, compared with the laws and the tables of agencies: rounding, salt, energy, allergens, reference intakes."""

import pytest

from domain.shop.allergens import LIST_OF, LISTS
from domain.shop.front_of_pack import nutrient_band
from domain.shop.label_rules import label_lines, round_for_label
from domain.shop.nutrition import Nutrient, make_composition

FDA = "US FDA Food Labeling Guide, appendix H (2009)"
EU_GUIDE = "Commission guidance on tolerances, December 2012, rounding table, as eu-rounding-2nd quotes it"
US_ROUNDING: list[tuple[Nutrient, float, str]] = [
    # calories: less than 5, 0; to 50, nearest 5; above, nearest 10
    ("energy_us_kcal", 4.9, "0 kcal"),
    ("energy_us_kcal", 5, "5 kcal"),
    ("energy_us_kcal", 47, "45 kcal"),
    ("energy_us_kcal", 50, "50 kcal"),
    ("energy_us_kcal", 54, "50 kcal"),
    ("energy_us_kcal", 96, "100 kcal"),
    # fats: less than 0.5, 0; less than 5, nearest 0.5; from 5, nearest 1
    ("fat_g", 0.49, "0 g"),
    ("fat_g", 0.5, "0.5 g"),
    ("saturates_g", 2.3, "2.5 g"),
    ("fat_g", 4.7, "4.5 g"),
    ("fat_g", 5.4, "5 g"),
    # sodium: less than 5, 0; 5 to 140, nearest 5; above, nearest 10
    ("sodium_mg", 4.9, "0 mg"),
    ("sodium_mg", 137, "135 mg"),
    ("sodium_mg", 140, "140 mg"),
    ("sodium_mg", 147, "150 mg"),
    # carbohydrate, fibre, sugars, protein: less than 0.5, 0; less than 1, "less than 1 g"; from 1, nearest 1
    ("total_carbohydrate_g", 0.4, "0 g"),
    ("fibre_g", 0.7, "less than 1 g"),
    ("sugars_g", 1, "1 g"),
    ("protein_g", 7.6, "8 g"),
    # trans fat as the other fats; cholesterol: less than 2, 0; to 5, "less than 5 mg"; above, nearest 5
    ("trans_fat_g", 0.49, "0 g"),
    ("trans_fat_g", 2.2, "2 g"),
    ("trans_fat_g", 7.4, "7 g"),
    ("cholesterol_mg", 1.9, "0 mg"),
    ("cholesterol_mg", 2, "less than 5 mg"),
    ("cholesterol_mg", 5, "less than 5 mg"),
    ("cholesterol_mg", 63, "65 mg"),
]
FRONT_OF_PACK: list[tuple[Nutrient, float, str]] = [  # limits of 100 g, as a page for patients in the UK has them
    ("fat_g", 3.0, "low"),
    ("fat_g", 3.1, "medium"),
    ("fat_g", 17.5, "medium"),
    ("fat_g", 17.6, "high"),
    ("saturates_g", 1.5, "low"),
    ("saturates_g", 1.6, "medium"),
    ("saturates_g", 5.0, "medium"),
    ("saturates_g", 5.1, "high"),
    ("sugars_g", 5.0, "low"),
    ("sugars_g", 5.1, "medium"),
    ("sugars_g", 22.5, "medium"),
    ("sugars_g", 22.6, "high"),
    ("salt_g", 0.3, "low"),
    ("salt_g", 0.31, "medium"),
    ("salt_g", 1.5, "medium"),
    ("salt_g", 1.51, "high"),
]
EU_ROUNDING: list[tuple[Nutrient, float, str]] = [
    ("energy_kj", 1644.6, "1645 kJ"),
    ("energy_kcal", 392.5, "393 kcal"),
    ("fat_g", 0.5, "<0.5 g"),
    ("fat_g", 0.51, "0.5 g"),
    ("carbohydrate_g", 9.94, "9.9 g"),
    ("sugars_g", 10.4, "10 g"),
    ("saturates_g", 0.1, "<0.1 g"),
    ("saturates_g", 0.2, "0.2 g"),
    ("salt_g", 0.0125, "<0.01 g"),
    ("salt_g", 0.013, "0.01 g"),
    ("salt_g", 0.355, "0.36 g"),  # Annex I; NDB 01123: 142 mg sodium is 0.355 g salt, 0.36 g on the label
    ("salt_g", 1.04, "1.0 g"),
]


@pytest.mark.parametrize(("nutrient", "amount", "printed"), US_ROUNDING, ids=lambda v: f"{v}")
def test_us_labels_are_rounded_as_in_the_guide(nutrient: Nutrient, amount: float, printed: str) -> None:
    rounded = round_for_label(amount, nutrient, "us")
    assert (rounded.text, rounded.cited.source, rounded.cited.confidence) == (printed, "us-fda-flg", "read"), FDA


@pytest.mark.parametrize(("nutrient", "amount", "band"), FRONT_OF_PACK, ids=lambda v: f"{v}")
def test_bands_on_the_front_of_a_british_pack(nutrient: Nutrient, amount: float, band: str) -> None:
    banded = nutrient_band(amount, nutrient, "uk", portion_g=60.0)
    assert banded is not None
    assert (banded.band, banded.cited.confidence) == (band, "quoted")
    large = nutrient_band(amount, nutrient, "uk", portion_g=101.0)
    assert (large is None) == (band != "high"), "the limits of large portions were not read"
    assert nutrient_band(amount, nutrient, "eu") is nutrient_band(amount, nutrient, "us") is None


def test_only_four_nutrients_have_a_band() -> None:
    banded = {line.nutrient for line in label_lines("uk") if nutrient_band(1.0, line.nutrient, "uk") is not None}
    assert banded == {"fat_g", "saturates_g", "sugars_g", "salt_g"}


@pytest.mark.parametrize("market", ["eu", "uk"])
@pytest.mark.parametrize(("nutrient", "amount", "printed"), EU_ROUNDING, ids=lambda v: f"{v}")
def test_eu_and_uk_labels_are_rounded_as_in_the_guidance(
    nutrient: Nutrient, amount: float, printed: str, market: str
) -> None:
    rounded = round_for_label(amount, nutrient, "uk" if market == "uk" else "eu")
    assert (rounded.text, rounded.cited.confidence) == (printed, "quoted"), EU_GUIDE


ANNEX_XIV = {  # Regulation (EU) 1169/2011, Annex XIV: kJ and kcal in one gram
    "carbohydrate_g": (17, 4),
    "polyols_g": (10, 2.4),
    "protein_g": (17, 4),
    "fat_g": (37, 9),
    "alcohol_g": (29, 7),
    "organic_acids_g": (13, 3),
    "fibre_g": (8, 2),
}


@pytest.mark.parametrize(("nutrient", "factors"), ANNEX_XIV.items())
def test_energy_uses_the_factors_of_annex_xiv(nutrient: Nutrient, factors: tuple[float, float]) -> None:
    base: dict[Nutrient, float] = {"fat_g": 10, "carbohydrate_g": 30, "protein_g": 10, "fibre_g": 0}
    more = base | {nutrient: base.get(nutrient, 0) + 5}
    if nutrient == "polyols_g":
        more["carbohydrate_g"] += 5  # polyols are part of the carbohydrate: Annex I point 7
    before, after = make_composition(base).per_100g, make_composition(more).per_100g
    assert after["energy_kj"] - before["energy_kj"] == pytest.approx(5 * factors[0])
    assert after["energy_kcal"] - before["energy_kcal"] == pytest.approx(5 * factors[1])


def test_us_energy_counts_all_carbohydrate_with_the_general_factors() -> None:
    # 21 CFR 101.9(c)(1)(i)(B), general factors 4, 4 and 9; from memory
    made = make_composition({"fat_g": 10, "total_carbohydrate_g": 40, "fibre_g": 6, "protein_g": 7})
    assert made.per_100g["energy_us_kcal"] == 10 * 9 + 40 * 4 + 7 * 4


def test_sugar_is_1700_kj_and_400_kcal() -> None:
    # Common practice: the label of sugar in the EU prints this; it is Annex XIV times 100 g.
    sugar = make_composition({"fat_g": 0, "carbohydrate_g": 100, "sugars_g": 100, "fibre_g": 0, "protein_g": 0})
    assert (sugar.per_100g["energy_kj"], sugar.per_100g["energy_kcal"]) == (1700, 400)


def test_salt_is_sodium_times_two_and_a_half() -> None:
    # Regulation (EU) 1169/2011, Annex I point 11; NDB 01123, 142 mg of sodium
    assert make_composition({"sodium_mg": 142}).per_100g["salt_g"] == pytest.approx(0.355)
    assert make_composition({"salt_g": 0.355}).per_100g["sodium_mg"] == pytest.approx(142)


def test_fibre_is_subtracted_from_carbohydrate_by_difference() -> None:
    # Annex I point 7; NDB 20081 prints 76.31 g by difference and 2.7 g of fibre
    made = make_composition({"total_carbohydrate_g": 76.31, "fibre_g": 2.7})
    assert made.per_100g["carbohydrate_g"] == pytest.approx(73.61)


ANNEX_II = {  # Regulation (EU) 1169/2011, Annex II: 14 groups
    "gluten_cereals",
    "crustaceans",
    "eggs",
    "fish",
    "peanuts",
    "soybeans",
    "milk",
    "tree_nuts",
    "celery",
    "mustard",
    "sesame",
    "sulphites",
    "lupin",
    "molluscs",
}
FASTER = {  # US Food Allergen Labeling Act 2004 and FASTER Act 2021: 9 groups
    "milk",
    "eggs",
    "fish",
    "crustacean_shellfish",
    "tree_nuts",
    "peanuts",
    "wheat",
    "soybeans",
    "sesame",
}
SULPHITES = {"sulphites"}  # 21 CFR 101.100(a)(4), from memory: no major allergen, but declared from 10 ppm


def test_the_lists_of_allergens_equal_those_of_the_laws() -> None:
    assert LIST_OF["eu"] == LIST_OF["uk"] == "eu"
    assert {listed.group for listed in LISTS["eu"].values()} == ANNEX_II
    assert {listed.group for listed in LISTS["us"].values()} == FASTER | SULPHITES


def test_reference_intakes_equal_those_of_annex_xiii() -> None:
    # Regulation (EU) 1169/2011, Annex XIII part B
    printed = {
        "energy_kj": 8400,
        "energy_kcal": 2000,
        "fat_g": 70,
        "saturates_g": 20,
        "carbohydrate_g": 260,
        "sugars_g": 90,
        "protein_g": 50,
        "salt_g": 6,
    }
    assert {line.nutrient: line.intake for line in label_lines("eu") if line.intake} == printed


# usda-sr28: energy in kcal and alcohol in g, in 100 g of spirits, which hold nothing else with energy.
SPIRITS = [
    pytest.param(231, 33.4, id="NDB 14037, 14050, 14051: 80 proof"),
    pytest.param(250, 36.0, id="NDB 14052, 14550: 86 proof"),
    pytest.param(263, 37.9, id="NDB 14049, 14551: 90 proof"),
    pytest.param(275, 39.7, id="NDB 14532: 94 proof"),
    pytest.param(295, 42.5, id="NDB 14533: 100 proof"),
]


@pytest.mark.parametrize(("kcal", "alcohol_g"), SPIRITS)
def test_energy_of_alcohol_on_us_labels_is_that_of_spirits(kcal: float, alcohol_g: float) -> None:
    spirit = make_composition({"alcohol_g": alcohol_g, "protein_g": 0, "fat_g": 0, "total_carbohydrate_g": 0})
    assert spirit.per_100g["energy_us_kcal"] == pytest.approx(kcal, abs=0.7)
