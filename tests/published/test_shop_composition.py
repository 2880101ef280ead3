"""Composition after baking, compared with pairs of raw and baked records; records, compared with their proximates."""

import pytest

from domain.shop.nutrition import Nutrient
from domain.shop.reference_compositions import RECORDS
from tests.domain.shop_kitchen import labelled, reference

# usda-sr28, pairs of a dough and its baked product: water in 100 g of each, fat in 100 g of each.
PAIRS = [
    pytest.param(33.15, 27.33, 92.0, id="biscuits, higher fat: NDB 18014 and 18015"),
    pytest.param(37.76, 27.70, 86.1, id="biscuits, lower fat: NDB 18012 and 18013"),
    pytest.param(19.70, 9.80, 89.0, id="pie crust from recipe: NDB 18402 and 18336"),
    pytest.param(15.30, 5.80, 89.9, id="oatmeal cookies: NDB 18182 and 18183"),
]


@pytest.mark.parametrize(("raw_water", "baked_water", "printed_yield"), PAIRS)
def test_a_loss_of_water_alone_gives_the_bake_loss_of_the_pairs(
    raw_water: float, baked_water: float, printed_yield: float
) -> None:
    # Labels assume that solids stay: baked mass × (100 - baked water) = raw mass × (100 - raw water).
    figures = labelled({"water": raw_water, "granulated sugar": 100 - raw_water}, 100 - printed_yield)
    assert figures.contents_per_100g["water_g"].amount == pytest.approx(baked_water, abs=0.12)


def test_at_least_three_hundred_and_fifty_ingredients_have_a_record() -> None:
    assert len(RECORDS) > 350


# Some cells of usda-sr28, read again by hand: water, fat, saturates, protein, sodium.
CELLS = [
    pytest.param("plain-flour", (11.92, 0.98, 0.155, 10.33, 2), id="NDB 20081"),
    pytest.param("egg", (76.15, 9.51, 3.126, 12.56, 142), id="NDB 01123"),
    pytest.param("butter", (17.94, 81.11, 50.489, 0.85, 11), id="NDB 01145"),
    pytest.param("granulated-sugar", (0.02, 0, 0, 0, 1), id="NDB 19335"),
    pytest.param("rolled-oats", (10.84, 6.52, 1.11, 13.15, 6), id="NDB 08120"),
    pytest.param("salt", (0.2, 0, 0, 0, 38758), id="NDB 02047"),
]


@pytest.mark.parametrize(("ingredient", "cells"), CELLS)
def test_records_equal_the_printed_figures(ingredient: str, cells: tuple[float, ...]) -> None:
    per_100g = reference(ingredient).per_100g
    figures = tuple(per_100g[key] for key in ("water_g", "fat_g", "saturates_g", "protein_g", "sodium_mg"))
    assert figures == cells


# usda-sr28 prints energy by food-specific factors. For these plain foods, general factors differ by at most a tenth
# (FAO Food and Nutrition Paper 77 mentions such differences; from memory).
@pytest.mark.parametrize(
    ("ingredient", "printed_kcal"),
    [
        pytest.param("plain-flour", 364, id="NDB 20081"),
        pytest.param("butter", 717, id="NDB 01145"),
        pytest.param("egg", 143, id="NDB 01123"),
        pytest.param("granulated-sugar", 387, id="NDB 19335"),
        pytest.param("whole-milk", 61, id="NDB 01077"),
        pytest.param("almonds", 579, id="NDB 12061"),
    ],
)
def test_energy_is_close_to_the_printed_figure(ingredient: str, printed_kcal: float) -> None:
    assert reference(ingredient).per_100g["energy_us_kcal"] == pytest.approx(printed_kcal, rel=0.1)


def test_proximates_add_up() -> None:
    # Water, protein, fat, carbohydrate by difference and alcohol leave only ash, of which only salty things have much.
    salts = {
        "salt",
        "fine-sea-salt",
        "kosher-salt",
        "flaky-sea-salt",
        "coarse-sea-salt",
        "soy-sauce",
        "bicarbonate-of-soda",
        "baking-powder",
        "cream-of-tartar",
    }
    parts: tuple[Nutrient, ...] = ("water_g", "protein_g", "fat_g", "total_carbohydrate_g", "alcohol_g")
    for ingredient, records in RECORDS.items():
        for record in records:
            values = [record.printed.per_100g.get(part) for part in parts]
            total = sum(value for value in values if value is not None)
            # Parts that are measured one by one, as outside the USDA, add up less exactly.
            by_difference = record.printed.cited[0].source == "usda-sr28"
            assert total <= (100.7 if by_difference else 102.5), ingredient
            if ingredient not in salts and None not in values:
                assert total > 85, ingredient
