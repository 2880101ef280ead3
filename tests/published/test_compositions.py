"""The composition table against cells that another hand read, and against the energy that the USDA prints."""

import csv
from pathlib import Path

import pytest

from domain.reference import rows
from domain.shop.reference_compositions import RECORDS


def facts(name: str) -> list[dict[str, str]]:
    lines = Path(__file__).with_name(f"{name}.csv").read_text("utf-8").splitlines()
    return list(csv.DictReader(line for line in lines if not line.startswith("#")))


# FAO, Food energy: methods of analysis and conversion factors, 2003, table 2.2; from memory.
NITROGEN_FACTORS = [
    ("wholemeal-flour", 5.83),
    ("plain-flour", 5.7),
    ("rolled-oats", 5.83),
    ("white-rice-flour", 5.95),
    ("barley-flour", 5.83),
    ("dark-rye-flour", 5.83),
    ("millet", 5.83),
    ("wheat-bran", 6.31),
    ("wheatgerm", 5.8),
    ("maize-flour", 6.25),
    ("peanuts", 5.46),
    ("almonds", 5.18),
    ("brazil-nuts", 5.46),
    ("hazelnuts", 5.3),
    ("walnuts", 5.3),
    ("fresh-coconut", 5.3),
    ("sesame-seeds", 5.3),
    ("sunflower-seeds", 5.3),
    ("whole-milk", 6.38),
    ("egg", 6.25),
    ("gelatine-powder", 5.55),
]


def row_of(ingredient: str, source: str = "usda-sr28", record: str = "") -> dict[str, str]:
    """The first row of an ingredient from a source."""
    return next(
        row
        for row in rows("nutrition")
        if (row["ingredient"], row["source"]) == (ingredient, source) and row["record"].endswith(record)
    )


@pytest.mark.parametrize(
    "fact", facts("composition_cells"), ids=lambda f: f"{f['ingredient']} {f['column']}: {f['record']}"
)
def test_cells_are_those_of_the_tables(fact: dict[str, str]) -> None:
    row = row_of(fact["ingredient"], fact["source"], fact["record"])
    assert float(row[fact["column"]]) == pytest.approx(float(fact["printed"]), abs=5e-4)


@pytest.mark.parametrize("fact", facts("composition_energy"), ids=lambda f: f"{f['ingredient']}: {f['record']}")
def test_energy_by_general_factors_is_close_to_the_energy_of_the_usda(fact: dict[str, str]) -> None:
    # FAO Food and Nutrition Paper 77 mentions differences of this size; from memory.
    record = next(r for r in RECORDS[fact["ingredient"]] if r.printed.cited[0].record == fact["record"])
    assert record.printed.per_100g["energy_us_kcal"] == pytest.approx(float(fact["kcal"]), rel=0.1)


@pytest.mark.parametrize(("ingredient", "factor"), NITROGEN_FACTORS)
def test_nitrogen_factors_are_those_of_the_fao(ingredient: str, factor: float) -> None:
    assert float(row_of(ingredient)["nitrogen_factor"]) == pytest.approx(factor, abs=0.005)


@pytest.mark.parametrize(
    ("ingredient", "printed_g", "crude_g"),
    [
        # protein of usda-sr28, and the same nitrogen times the 6.25 of Regulation (EU) 1169/2011, Annex I point 10
        pytest.param("almonds", 21.15, 25.52, id="almonds: 5.18"),
        pytest.param("peanuts", 25.8, 29.53, id="peanuts: 5.46"),
        pytest.param("plain-flour", 10.33, 11.33, id="plain flour: 5.70"),
        pytest.param("whole-milk", 3.15, 3.09, id="whole milk: 6.38"),
        pytest.param("walnuts", 15.23, 17.96, id="walnuts: 5.30"),
        pytest.param("egg", 12.56, 12.56, id="egg: 6.25"),
    ],
)
def test_protein_of_the_eu_is_nitrogen_times_six_and_a_quarter(
    ingredient: str, printed_g: float, crude_g: float
) -> None:
    record = RECORDS[ingredient][0]
    assert record.printed.per_100g["protein_g"] == printed_g
    assert record.crude_protein.per_100g["protein_g"] == pytest.approx(crude_g, abs=0.005)


TRANS = [
    # FATRN and FAT of the record in usda-sr28; the borrowed figure is the same share of the ingredient's fat
    pytest.param("butter", 3.278, 81.11, id="NDB 01001"),
    pytest.param("whole-milk", 0.085, 1.98, id="NDB 01079"),
    pytest.param("condensed-milk", 0.085, 1.98, id="NDB 01079, for condensed milk"),
    pytest.param("egg-yolk", 0.038, 9.51, id="NDB 01123"),
]


@pytest.mark.parametrize(("ingredient", "trans_g", "fat_g"), TRANS)
def test_borrowed_trans_fat_is_the_same_share_of_the_fat(ingredient: str, trans_g: float, fat_g: float) -> None:
    per_100g = RECORDS[ingredient][0].printed.per_100g
    assert per_100g["trans_fat_g"] == pytest.approx(trans_g / fat_g * per_100g["fat_g"], abs=0.006)
