"""British and continental products: figures as their tables print them, and the product that a market's label takes."""

import pytest

from domain.reference import rows
from domain.shop.allergens import Market
from domain.shop.nutrition import Nutrient
from tests.domain.shop_kitchen import labelled

STARCH, SUCROSE = 1.10, 1.05  # grams of monosaccharides from a gram: introduction to the British tables, from memory
# cofid-2021, as printed in 100 g: kcal, protein, fat, carbohydrate and sugars as monosaccharides; the shares by weight.
COFID = [
    pytest.param("double-cream", (496, 1.6, 53.7, 1.7, None), SUCROSE, id="12-334"),
    pytest.param("single-cream", (193, 3.3, 19.1, 2.2, None), SUCROSE, id="12-332"),
    pytest.param("whipping-cream", (381, 2.0, 40.3, 2.7, None), SUCROSE, id="12-333"),
    pytest.param("greek-yoghurt", (133, 5.7, 10.2, 4.8, 4.5), SUCROSE, id="12-555"),
    pytest.param("cocoa-powder", (312, 18.5, 21.7, 11.5, None), STARCH, id="12-545"),
    pytest.param("custard-powder", (354, 0.6, 0.7, 92.0, None), STARCH, id="11-1138"),
    pytest.param("digestive-biscuits", (463, 6.2, 21.3, 65.6, 17.5), STARCH, id="11-799"),
    pytest.param("drinking-chocolate", (377, 6.4, 5.8, 79.7, 77.7), STARCH, id="17-498"),
    pytest.param("glace-cherries", (294, 0.4, 0.0, 78.1, None), SUCROSE, id="14-335"),
]


@pytest.mark.parametrize(("ingredient", "printed", "by"), COFID)
def test_british_products_have_the_figures_that_cofid_prints(
    ingredient: str, printed: tuple[float, float, float, float, float | None], by: float
) -> None:
    kcal, protein, fat, carbohydrate, sugars = printed
    (row,) = (row for row in rows("nutrition") if (row["ingredient"], row["source"]) == (ingredient, "cofid-2021"))
    assert (float(row["energy_kcal"]), float(row["protein_g"]), float(row["fat_g"])) == (kcal, protein, fat)
    starch = carbohydrate - (sugars or 0.0)
    by_weight = starch / by + (sugars or 0.0) / SUCROSE
    assert float(row["carbohydrate_g"]) == pytest.approx(by_weight, abs=0.06)
    if sugars is not None:
        assert float(row["sugars_g"]) == pytest.approx(sugars / SUCROSE, abs=0.06)
    # The table's energy is 4, 9 and 3.75 kcal a gram of protein, fat and monosaccharides: its printed introduction.
    assert kcal == pytest.approx(4 * protein + 9 * fat + 3.75 * carbohydrate, rel=0.02)


SOLD = [  # ingredient, market, nutrient, amount in 100 g, source of the figure
    ("vegetable oil", "uk", "saturates_g", 7.365, "usda-sr28 NDB 04582, rapeseed oil"),
    ("vegetable oil", "eu", "saturates_g", 7.365, "usda-sr28 NDB 04582, rapeseed oil"),
    ("vegetable oil", "us", "saturates_g", 15.65, "usda-sr28 NDB 04044, soya oil"),
    ("cocoa powder", "uk", "fat_g", 21.7, "cofid-2021 12-545"),
    ("cocoa powder", "eu", "fat_g", 24.5, "swiss-fcd 581"),
    ("cocoa powder", "us", "fat_g", 13.7, "usda-sr28 NDB 19165"),
    ("golden syrup", "uk", "sugars_g", 74.9, "ausnut-2011 27102004"),
    ("golden syrup", "eu", "sugars_g", 74.9, "ausnut-2011 27102004"),
    ("chocolate-hazelnut spread", "uk", "saturates_g", 9.18, "ciqual 31032"),
    ("chocolate-hazelnut spread", "eu", "saturates_g", 9.18, "ciqual 31032"),
    ("chocolate-hazelnut spread", "us", "saturates_g", 28.423, "usda-sr28 NDB 19125"),
    ("white spelt flour", "uk", "fibre_g", 2.8, "swiss-fcd 1043"),
    ("white spelt flour", "eu", "sugars_g", 0.9, "swiss-fcd 1043"),
    ("spelt flour", "eu", "fibre_g", 9.4, "swiss-fcd 1042"),
    ("self-raising flour", "uk", "salt_g", 1.7325, "ausnut-2011 12103013: 693 mg of sodium"),
    ("self-raising flour", "us", "sodium_mg", 1193, "usda-sr28 NDB 20082"),
    ("baking spread", "uk", "fat_g", 60.6, "ciqual 16654"),
    ("baking spread", "eu", "fat_g", 60.6, "ciqual 16654"),
    ("baking spread", "us", "fat_g", 80.17, "usda-sr28 NDB 04611"),
    ("double cream", "uk", "fat_g", 53.7, "cofid-2021 12-334"),
    ("baking powder", "uk", "salt_g", 29.5, "cofid-2021 17-355: 11,800 mg of sodium"),
    ("baking powder", "us", "sodium_mg", 10600, "usda-sr28 NDB 18369"),
    ("custard powder", "uk", "salt_g", 0.945, "cofid-2021 11-1138: 378 mg of sodium"),
    ("glacé cherries", "uk", "salt_g", 0.0675, "cofid-2021 14-335: 27 mg of sodium"),
    ("greek yoghurt", "uk", "saturates_g", 6.75, "cofid-2021 12-555"),
    ("digestive biscuits", "eu", "saturates_g", 8.6, "bedca 1102"),
]


@pytest.mark.parametrize(
    ("name", "market", "nutrient", "amount", "source"), SOLD, ids=[f"{r[0]}, {r[1]} - {r[4]}" for r in SOLD]
)
def test_a_label_takes_the_product_of_its_market(
    name: str, market: Market, nutrient: Nutrient, amount: float, source: str
) -> None:
    figures = labelled({name: 100.0}, market=market)
    assert figures.contents_per_100g[nutrient].amount == pytest.approx(amount, abs=5e-4), source


NAMES = [  # what a label calls it: the British, the continental and the American list
    ("soft margarine", "baking spread", "baking spread", "tub margarine"),  # 60 % of fat: less than a margarine holds
    ("self-raising flour", "self-raising flour", "self-raising flour", "self-rising flour"),
    ("candied cherries", "glacé cherries", "glacé cherries", "candied cherries"),
    ("caster sugar", "caster sugar", "caster sugar", "superfine sugar"),
    ("icing sugar", "icing sugar", "icing sugar", "powdered sugar"),
    ("plain flour", "plain flour", "plain flour", "all-purpose flour"),
    ("ground almonds", "ground almonds", "ground almonds", "almond flour"),
    ("bicarbonate of soda", "raising agent (sodium bicarbonate)", "raising agent (sodium bicarbonate)", "baking soda"),
    ("single cream", "single cream", "single cream", "light cream"),
]


@pytest.mark.parametrize("names", NAMES, ids=lambda names: names[0])
def test_a_list_of_ingredients_uses_the_words_of_its_market(names: tuple[str, str, str, str]) -> None:
    markets: tuple[Market, ...] = ("uk", "eu", "us")
    for market, word in zip(markets, names[1:], strict=True):
        (entry,) = labelled({names[0]: 100.0}, market=market).entries
        assert entry.name == word


BORROWED = ["golden syrup", "self-raising flour", "marzipan", "soft margarine", "chocolate-hazelnut spread"]


@pytest.mark.parametrize("name", BORROWED)
def test_a_british_label_says_that_it_borrowed_the_product_of_another_market(name: str) -> None:
    codes = {notice.code for notice in labelled({name: 100.0}, market="uk").formula_notices}
    assert "other_market" in codes


def test_every_borrowed_figure_is_named_in_one_warning_an_ingredient() -> None:
    notices = labelled({"cocoa powder": 100.0}, market="uk").formula_notices
    (message,) = (notice.message for notice in notices if notice.code == "analogy")
    assert all(f"{figure} of Swiss cocoa powder" in message for figure in ("sugars", "fibre", "sodium"))
