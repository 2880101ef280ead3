"""Household measures: a cup, spoon or fluid ounce of an ingredient has the mass that USDA SR28 prints.

Source of every figure: USDA National Nutrient Database, Release 28, file WEIGHT; the last column is the
record. US customary measures. Where the source does not state how the measure was filled, the packing
named here is our reading of it (see the note in densities.csv).
"""

import pytest

from domain.things.conversion import Thing
from domain.things.ingredients import INGREDIENTS, Form
from tests.published.printed import printed
from tests.strategies import converted

USDA = [  # ingredient, packing, measure, grams as printed, record
    # powder
    ("plain-flour", "spooned", "1 us_cup", "125", "NDB 20081 seq 1"),
    ("self-raising-flour", "spooned", "1 us_cup", "125", "NDB 20082 seq 1"),
    ("strong-white-flour", "scooped", "1 us_cup", "137", "NDB 20129 seq 1"),
    ("cake-flour", "scooped", "1 us_cup", "137", "NDB 20084 seq 1"),
    ("wholemeal-flour", "spooned", "1 us_cup", "120", "NDB 20080 seq 1"),
    ("dark-rye-flour", "unstated", "1 us_cup", "128", "NDB 20063 seq 1"),
    ("medium-rye-flour", "unstated", "1 us_cup", "102", "NDB 20064 seq 1"),
    ("buckwheat-flour", "unstated", "1 us_cup", "120", "NDB 20011 seq 1"),
    ("oat-flour", "unstated", "1 us_cup", "104", "NDB 20132 seq 1"),
    ("white-rice-flour", "unstated", "1 us_cup", "158", "NDB 20061 seq 1"),
    ("maize-flour", "unstated", "1 us_cup", "117", "NDB 20016 seq 1"),
    ("masa-harina", "unstated", "1 us_cup", "114", "NDB 20017 seq 1"),
    ("chickpea-flour", "unstated", "1 us_cup", "92", "NDB 16157 seq 1"),
    ("soya-flour", "stirred", "1 us_cup", "84", "NDB 16115 seq 1"),
    ("potato-flour", "unstated", "1 us_cup", "160", "NDB 11413 seq 1"),
    ("cornflour", "unstated", "1 us_cup", "128", "NDB 20027 seq 1"),
    ("arrowroot", "unstated", "1 us_cup", "128", "NDB 20003 seq 1"),
    ("cocoa-powder", "unstated", "1 us_cup", "86", "NDB 19165 seq 1"),
    ("icing-sugar", "unsifted", "1 us_cup", "120", "NDB 19336 seq 1"),
    ("icing-sugar", "sifted", "1 us_cup", "100", "NDB 19336 seq 2"),
    ("ground-almonds", "ground", "1 us_cup", "95", "NDB 12061 seq 4"),
    ("ground-hazelnuts", "ground", "1 us_cup", "75", "NDB 12120 seq 2"),
    ("whole-milk-powder", "unstated", "1 us_cup", "128", "NDB 01090 seq 2"),
    ("instant-skimmed-milk-powder", "unstated", "1 us_cup", "68", "NDB 01092 seq 1"),
    ("dried-egg", "sifted", "1 us_cup", "85", "NDB 01133 seq 1"),
    ("dried-egg-white", "sifted", "1 us_cup", "107", "NDB 01136 seq 1"),
    ("baking-powder", "unstated", "1 us_tsp", "4.6", "NDB 18369 seq 1"),
    ("bicarbonate-of-soda", "unstated", "1 us_tsp", "4.6", "NDB 18372 seq 1"),
    ("cream-of-tartar", "unstated", "1 us_tsp", "3", "NDB 18373 seq 1"),
    ("ground-cinnamon", "unstated", "1 us_tbsp", "7.8", "NDB 02010 seq 2"),
    ("ground-ginger", "unstated", "1 us_tbsp", "5.2", "NDB 02021 seq 2"),
    ("ground-nutmeg", "unstated", "1 us_tbsp", "7", "NDB 02025 seq 2"),
    ("ground-cloves", "unstated", "1 us_tbsp", "6.5", "NDB 02011 seq 2"),
    ("ground-linseed", "ground", "1 us_tbsp", "7", "NDB 12220 seq 3"),
    # grains
    ("granulated-sugar", "unstated", "1 us_cup", "200", "NDB 19335 seq 3"),
    ("light-brown-sugar", "packed", "1 us_cup", "220", "NDB 19334 seq 2"),
    ("light-brown-sugar", "loose", "1 us_cup", "145", "NDB 19334 seq 3"),
    ("turbinado-sugar", "unstated", "1 us_cup", "202", "NDB 19908 seq 2"),
    ("rolled-oats", "unstated", "1 us_cup", "81", "NDB 08120 seq 1"),
    ("oat-bran", "unstated", "1 us_cup", "94", "NDB 20033 seq 1"),
    ("wheat-bran", "unstated", "1 us_cup", "58", "NDB 20077 seq 1"),
    ("wheatgerm", "unstated", "1 us_cup", "115", "NDB 20078 seq 1"),
    ("cornmeal", "unstated", "1 us_cup", "157", "NDB 20022 seq 1"),
    ("semolina", "unstated", "1 us_cup", "167", "NDB 20066 seq 1"),
    ("white-rice", "unstated", "1 us_cup", "185", "NDB 20044 seq 1"),
    ("salt", "unstated", "1 us_cup", "292", "NDB 02047 seq 3"),
    ("active-dry-yeast", "unstated", "1 us_tbsp", "12", "NDB 18375 seq 2"),
    ("sesame-seeds", "unstated", "1 us_cup", "144", "NDB 12023 seq 1"),
    ("sunflower-seeds", "unstated", "1 us_cup", "140", "NDB 12036 seq 2"),
    ("linseed", "whole", "1 us_cup", "168", "NDB 12220 seq 2"),
    ("poppy-seeds", "unstated", "1 us_tbsp", "8.8", "NDB 02033 seq 2"),
    ("sweetened-flaked-coconut", "flaked", "1 us_cup", "85", "NDB 12109 seq 1"),
    ("dried-breadcrumbs", "grated", "1 us_cup", "108", "NDB 18079 seq 2"),
    # pieces
    ("almonds", "whole", "1 us_cup", "143", "NDB 12061 seq 1"),
    ("almonds", "sliced", "1 us_cup", "92", "NDB 12061 seq 2"),
    ("almonds", "slivered", "1 us_cup", "108", "NDB 12061 seq 3"),
    ("hazelnuts", "chopped", "1 us_cup", "115", "NDB 12120 seq 1"),
    ("walnuts", "chopped", "1 us_cup", "117", "NDB 12155 seq 1"),
    ("walnuts", "halves", "1 us_cup", "100", "NDB 12155 seq 4"),
    ("pecans", "halves", "1 us_cup", "99", "NDB 12142 seq 2"),
    ("pistachios", "unstated", "1 us_cup", "123", "NDB 12151 seq 1"),
    ("dark-chocolate-chips", "chips", "1 us_cup", "168", "NDB 19080 seq 5"),
    ("milk-chocolate-chips", "chips", "1 us_cup", "168", "NDB 19120 seq 3"),
    ("raisins", "loose", "1 us_cup", "145", "NDB 09298 seq 2"),
    ("raisins", "packed", "1 us_cup", "165", "NDB 09298 seq 1"),
    ("sultanas", "loose", "1 us_cup", "145", "NDB 09297 seq 2"),
    ("currants", "unstated", "1 us_cup", "144", "NDB 09085 seq 1"),
    ("dates", "chopped", "1 us_cup", "147", "NDB 09087 seq 1"),
    ("prunes", "pitted", "1 us_cup", "174", "NDB 09291 seq 1"),
    ("dried-apricots", "halves", "1 us_cup", "130", "NDB 09032 seq 1"),
    ("dried-cranberries", "unstated", "0.25 us_cup", "40", "NDB 09079 seq 1"),
    ("blueberries", "unstated", "1 us_cup", "148", "NDB 09050 seq 1"),
    ("raspberries", "unstated", "1 us_cup", "123", "NDB 09302 seq 1"),
    ("strawberries", "sliced", "1 us_cup", "166", "NDB 09316 seq 3"),
    ("apple", "chopped", "1 us_cup", "125", "NDB 09003 seq 1"),
    ("banana", "mashed", "1 us_cup", "225", "NDB 09040 seq 1"),
    ("carrot", "grated", "1 us_cup", "110", "NDB 11124 seq 2"),
    ("courgette", "chopped", "1 us_cup", "124", "NDB 11477 seq 1"),
    ("rhubarb", "diced", "1 us_cup", "122", "NDB 09307 seq 1"),
    ("cheddar", "shredded", "1 us_cup", "113", "NDB 01009 seq 3"),
    ("parmesan", "grated", "1 us_cup", "100", "NDB 01032 seq 1"),
    ("fresh-breadcrumbs", "crumbs", "1 us_cup", "45", "NDB 18069 seq 3"),
    ("graham-crackers", "crushed", "1 us_cup", "84", "NDB 18173 seq 3"),
    ("lemon-zest", "grated", "1 us_tbsp", "6", "NDB 09156 seq 1"),
    # paste
    ("soured-cream", "unstated", "1 us_cup", "230", "NDB 01056 seq 2"),
    ("natural-yoghurt", "unstated", "1 us_cup", "245", "NDB 01116 seq 4"),
    ("cream-cheese", "unstated", "1 us_cup", "232", "NDB 01017 seq 2"),
    ("ricotta", "unstated", "1 us_cup", "246", "NDB 01036 seq 2"),
    ("peanut-butter", "unstated", "1 us_cup", "258", "NDB 16098 seq 2"),
    ("almond-paste", "packed", "1 us_cup", "227", "NDB 12071 seq 2"),
    ("tahini", "unstated", "1 us_tbsp", "15", "NDB 12166 seq 1"),
    ("marmalade", "unstated", "1 us_cup", "320", "NDB 19303 seq 4"),
    ("jam", "unstated", "1 us_tbsp", "20", "NDB 19297 seq 1"),
    ("apple-puree", "pureed", "1 us_cup", "244", "NDB 09401 seq 1"),
    ("pumpkin-puree", "pureed", "1 us_cup", "245", "NDB 11424 seq 1"),
    # syrup
    ("honey", "liquid", "1 us_cup", "339", "NDB 19296 seq 1"),
    ("molasses", "liquid", "1 us_cup", "337", "NDB 19304 seq 1"),
    ("maple-syrup", "liquid", "1 us_cup", "315", "NDB 19353 seq 3"),
    ("light-corn-syrup", "liquid", "1 us_cup", "341", "NDB 19350 seq 1"),
    ("malt-extract", "liquid", "1 us_cup", "332", "NDB 19352 seq 1"),
    ("condensed-milk", "liquid", "1 us_cup", "306", "NDB 01095 seq 2"),
    ("chocolate-syrup", "liquid", "1 us_cup", "300", "NDB 14181 seq 2"),
    # fat
    ("butter", "unstated", "1 us_cup", "227", "NDB 01145 seq 3"),
    ("margarine", "unstated", "1 us_cup", "227", "NDB 04610 seq 2"),
    ("vegetable-shortening", "unstated", "1 us_cup", "205", "NDB 04615 seq 2"),
    ("lard", "unstated", "1 us_cup", "205", "NDB 04002 seq 2"),
    ("ghee", "unstated", "1 us_cup", "205", "NDB 01003 seq 2"),
    ("coconut-oil", "melted", "1 us_cup", "218", "NDB 04047 seq 2"),
    # liquid
    ("whole-milk", "liquid", "1 us_cup", "244", "NDB 01077 seq 1"),
    ("skimmed-milk", "liquid", "1 us_cup", "245", "NDB 01085 seq 1"),
    ("buttermilk", "liquid", "1 us_cup", "245", "NDB 01088 seq 1"),
    ("single-cream", "liquid", "1 us_cup", "240", "NDB 01050 seq 3"),
    ("whipping-cream", "liquid", "1 us_fl_oz", "29.8", "NDB 01053 seq 4"),
    ("whipping-cream", "whipped", "1 us_cup", "120", "NDB 01053 seq 1"),
    ("evaporated-milk", "liquid", "1 us_cup", "252", "NDB 01096 seq 2"),
    ("egg", "liquid", "1 us_cup", "243", "NDB 01123 seq 5"),
    ("egg-white", "liquid", "1 us_cup", "243", "NDB 01124 seq 2"),
    ("egg-yolk", "liquid", "1 us_cup", "243", "NDB 01125 seq 2"),
    ("vegetable-oil", "liquid", "1 us_cup", "218", "NDB 04044 seq 2"),
    ("olive-oil", "liquid", "1 us_cup", "216", "NDB 04053 seq 2"),
    ("sunflower-oil", "liquid", "1 us_cup", "218", "NDB 04060 seq 2"),
    ("lemon-juice", "liquid", "1 us_cup", "244", "NDB 09152 seq 1"),
    ("orange-juice", "liquid", "1 us_cup", "248", "NDB 09206 seq 1"),
    ("vanilla-extract", "liquid", "1 us_cup", "208", "NDB 02050 seq 3"),
    ("cider-vinegar", "liquid", "1 us_cup", "239", "NDB 02048 seq 2"),
    ("rum", "liquid", "1 us_fl_oz", "27.8", "NDB 14050 seq 1"),
    ("red-wine", "liquid", "5 us_fl_oz", "148", "NDB 14084 seq 1"),
    ("coconut-milk", "liquid", "1 us_cup", "226", "NDB 12118 seq 1"),
    ("soya-milk", "liquid", "1 us_cup", "243", "NDB 16222 seq 1"),
    ("brewed-coffee", "liquid", "1 us_cup", "237", "NDB 14209 seq 3"),
]


@pytest.mark.parametrize(
    ("ingredient", "packing", "measure", "grams", "record"),
    USDA,
    ids=[f"{row[2]} {row[0]}, {row[1]} - USDA SR28, {row[4]}" for row in USDA],
)
def test_a_measure_has_the_printed_mass(ingredient: str, packing: str, measure: str, grams: str, record: str) -> None:
    thing = Thing(ingredient=INGREDIENTS[ingredient], packing=packing)
    weighed = converted(measure, "g", thing)
    assert weighed.amount == printed(grams), record
    assert weighed.low <= float(grams) <= weighed.high
    assert "usda-sr28" in {cited.source for cited in weighed.cited}


@pytest.mark.parametrize("form", ["powder", "grains", "pieces", "paste", "syrup", "fat", "liquid"])
def test_every_form_of_ingredient_is_checked(form: Form) -> None:
    assert sum(INGREDIENTS[row[0]].form == form for row in USDA) >= 5


DERIVED = [  # worked from the same records: g/ml of a 236.588 ml cup
    ("light-brown-sugar", "packed", "0.9299", "220 / 236.5882365"),
    ("light-brown-sugar", "loose", "0.6129", "145 / 236.5882365"),
    ("icing-sugar", "sifted", "0.4227", "100 / 236.5882365"),
    ("icing-sugar", "unsifted", "0.5072", "120 / 236.5882365"),
    ("egg", "liquid", "1.0271", "243 / 236.5882365"),
]


@pytest.mark.parametrize(
    ("ingredient", "packing", "g_per_ml", "sum_"), DERIVED, ids=[f"{row[0]}, {row[1]}: {row[3]}" for row in DERIVED]
)
def test_densities_follow_from_the_printed_weights(ingredient: str, packing: str, g_per_ml: str, sum_: str) -> None:
    density = INGREDIENTS[ingredient].densities[packing]
    assert float(density.g_per_ml) == printed(g_per_ml), sum_


def test_packed_brown_sugar_is_half_as_heavy_again_as_loose() -> None:
    # USDA SR28, NDB 19334: 220 g packed, 145 g unpacked a cup; 220 / 145 = 1.517
    packed, loose = (INGREDIENTS["light-brown-sugar"].densities[packing].g_per_ml for packing in ("packed", "loose"))
    assert float(packed / loose) == printed("1.517")


def test_a_litre_of_water_weighs_no_more_than_a_kilogram() -> None:
    """Water is densest at 4 °C, with 999.97 kg/m³, and has 998.2 kg/m³ at 20 °C (CIPM tables, from memory).

    USDA prints whole grams for a cup of 236.6 ml: its 237 g would be 1002 g for a litre.
    """
    litre = converted("1 l", "g", Thing(ingredient=INGREDIENTS["water"]))
    assert litre.amount == pytest.approx(998.2, abs=0.5)
    assert litre.amount <= 999.97
