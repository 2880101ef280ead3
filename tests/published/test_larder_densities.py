"""Densities of the larder: a measure has the mass that its table prints, and a second figure lies in the range.

Household weights: USDA National Nutrient Database, Release 28, file WEIGHT, by record and sequence number. Others:
Health Canada, Canadian Nutrient File 2015, conversion factors; FAO/INFOODS Density Database 2.0 (specific gravities of
drinks stand for g/ml: water has 0.999 g/ml at 15.6 °C).
"""

import pytest

from domain.things.conversion import Thing
from domain.things.ingredients import INGREDIENTS
from tests.published.printed import half_a_digit, printed
from tests.strategies import converted

USDA = [  # ingredient, packing, measure, grams as printed, record
    ("pudding-rice", "unstated", "1 us_cup", "200", "NDB 20052 seq 1"),
    ("dried-cranberries", "unstated", "0.25 us_cup", "40", "NDB 09079 seq 1"),
    ("grape-juice", "liquid", "1 us_cup", "253", "NDB 09135 seq 1"),
    ("apricot", "sliced", "1 us_cup", "165", "NDB 09021 seq 2"),
    ("apricot", "halves", "1 us_cup", "155", "NDB 09021 seq 1"),
    ("nectarine", "sliced", "1 us_cup", "143", "NDB 09191 seq 1"),
    ("redcurrants", "unstated", "1 us_cup", "112", "NDB 09084 seq 1"),
    ("grapefruit-juice", "liquid", "1 us_cup", "247", "NDB 09128 seq 1"),
    ("peanut-flour", "unstated", "1 us_cup", "60", "NDB 16100 seq 1"),
    ("sunflower-seed-flour", "unstated", "1 us_cup", "64", "NDB 12041 seq 1"),
    ("rye-grain", "unstated", "1 us_cup", "169", "NDB 20062 seq 1"),
    ("spelt-grain", "unstated", "1 us_cup", "174", "NDB 20140 seq 1"),
    ("khorasan-grain", "unstated", "1 us_cup", "186", "NDB 20138 seq 1"),
    ("teff-grain", "unstated", "1 us_cup", "193", "NDB 20142 seq 1"),
    ("couscous", "unstated", "1 us_cup", "173", "NDB 20028 seq 1"),
    ("rice-bran", "unstated", "1 us_cup", "118", "NDB 20060 seq 1"),
    ("red-lentils", "unstated", "1 us_cup", "192", "NDB 16069 seq 1"),
    ("cooked-chickpeas", "unstated", "1 us_cup", "164", "NDB 16057 seq 1"),
    ("cooked-black-beans", "unstated", "1 us_cup", "172", "NDB 16015 seq 1"),
    ("pancake-syrup", "liquid", "1 us_cup", "314", "NDB 19129 seq 1"),
    ("high-fructose-corn-syrup", "liquid", "1 us_cup", "310", "NDB 19351 seq 1"),
    ("jelly-sweets", "whole", "1 us_cup", "182", "NDB 19106 seq 1"),
    ("linseed-oil", "liquid", "1 us_cup", "218", "NDB 42231 seq 2"),
    ("cottonseed-oil", "liquid", "1 us_cup", "218", "NDB 04502 seq 2"),
    ("apricot-kernel-oil", "liquid", "1 us_cup", "218", "NDB 04530 seq 2"),
    ("soya-lecithin", "liquid", "1 us_cup", "218", "NDB 04531 seq 2"),
    ("mayonnaise", "unstated", "1 us_cup", "220", "NDB 04025 seq 2"),
    ("light-whipping-cream", "liquid", "1 us_cup", "239", "NDB 01052 seq 2"),
    ("light-whipping-cream", "whipped", "1 us_cup", "120", "NDB 01052 seq 1"),
    ("low-fat-yoghurt", "unstated", "1 us_cup", "245", "NDB 01117 seq 4"),
    ("fat-free-yoghurt", "unstated", "1 us_cup", "245", "NDB 01118 seq 3"),
    ("light-soured-cream", "unstated", "1 us_cup", "230", "NDB 01179 seq 2"),
    ("sheeps-milk", "liquid", "1 us_cup", "245", "NDB 01109 seq 1"),
    ("blue-cheese", "crumbled", "1 us_cup", "135", "NDB 01004 seq 3"),
    ("gruyere", "shredded", "1 us_cup", "108", "NDB 01023 seq 5"),
    ("gruyere", "diced", "1 us_cup", "132", "NDB 01023 seq 4"),
    ("fontina", "shredded", "1 us_cup", "108", "NDB 01020 seq 2"),
    ("fontina", "diced", "1 us_cup", "132", "NDB 01020 seq 1"),
    ("brie", "sliced", "1 us_cup", "144", "NDB 01006 seq 2"),
    ("brie", "melted", "1 us_cup", "240", "NDB 01006 seq 3"),
    ("camembert", "unstated", "1 us_cup", "246", "NDB 01007 seq 2"),
    ("liquid-egg-substitute", "liquid", "1 us_cup", "240", "NDB 01226 seq 2"),
    ("dutch-process-cocoa-powder", "unstated", "1 us_cup", "86", "NDB 19166 seq 1"),
    ("sunflower-seed-butter", "unstated", "1 us_tbsp", "16", "NDB 12040 seq 1"),
    ("ground-walnuts", "ground", "1 us_cup", "80", "NDB 12155 seq 2"),
    ("black-walnuts", "chopped", "1 us_cup", "125", "NDB 12154 seq 1"),
    ("hemp-seeds", "unstated", "3 us_tbsp", "30", "NDB 12012 seq 1"),
    ("coconut-water", "liquid", "1 us_cup", "240", "NDB 12119 seq 1"),
    ("lemon", "pieces", "1 us_cup", "212", "NDB 09150 seq 1"),
    ("orange", "pieces", "1 us_cup", "180", "NDB 09200 seq 1"),
    ("grapefruit", "pieces", "1 us_cup", "230", "NDB 09112 seq 1"),
    ("mandarin", "pieces", "1 us_cup", "195", "NDB 09218 seq 1"),
    ("tinned-mandarins", "undrained", "1 us_cup", "249", "NDB 09219 seq 1"),
    ("tinned-peaches", "undrained", "1 us_cup", "250", "NDB 09238 seq 1"),
    ("tinned-pears", "undrained", "1 us_cup", "248", "NDB 09254 seq 1"),
    ("tinned-apricots", "halves", "1 us_cup", "219", "NDB 09357 seq 1"),
    ("pomegranate-seeds", "unstated", "0.5 us_cup", "87", "NDB 09286 seq 1"),
    ("avocado", "pureed", "1 us_cup", "230", "NDB 09037 seq 2"),
    ("avocado", "diced", "1 us_cup", "150", "NDB 09037 seq 1"),
    ("avocado", "sliced", "1 us_cup", "146", "NDB 09037 seq 3"),
    ("lychees", "unstated", "1 us_cup", "190", "NDB 09164 seq 1"),
    ("papaya", "pieces", "1 us_cup", "145", "NDB 09226 seq 1"),
    ("papaya", "mashed", "1 us_cup", "230", "NDB 09226 seq 2"),
    ("melon", "diced", "1 us_cup", "156", "NDB 09181 seq 3"),
    ("plantain", "sliced", "1 us_cup", "148", "NDB 09277 seq 1"),
    ("strawberry-puree", "pureed", "1 us_cup", "232", "NDB 09316 seq 2"),
    ("pineapple-topping", "liquid", "1 us_cup", "340", "NDB 19366 seq 1"),
    ("strawberry-topping", "liquid", "1 us_cup", "340", "NDB 19137 seq 3"),
    ("pomegranate-juice", "liquid", "1 us_cup", "249", "NDB 09442 seq 1"),
    ("saltines", "crushed", "1 us_cup", "70", "NDB 18228 seq 3"),
    ("white-bread", "diced", "1 us_cup", "35", "NDB 18069 seq 4"),
    ("ground-white-pepper", "ground", "1 us_tbsp", "7.1", "NDB 02032 seq 2"),
    ("celery-seeds", "unstated", "1 us_tbsp", "6.5", "NDB 02007 seq 2"),
    ("fenugreek-seeds", "unstated", "1 us_tbsp", "11.1", "NDB 02019 seq 2"),
    ("dill-seeds", "unstated", "1 us_tbsp", "6.6", "NDB 02016 seq 2"),
    ("curry-powder", "unstated", "1 us_tbsp", "6.3", "NDB 02015 seq 2"),
    ("chilli-powder", "unstated", "1 us_tbsp", "8", "NDB 02009 seq 2"),
    ("garlic-powder", "unstated", "1 us_tbsp", "9.7", "NDB 02020 seq 2"),
    ("onion-powder", "unstated", "1 us_tbsp", "6.9", "NDB 02026 seq 2"),
    ("dried-basil", "unstated", "1 us_tbsp", "2.1", "NDB 02003 seq 2"),
    ("dried-sage", "unstated", "1 us_tbsp", "2", "NDB 02038 seq 2"),
    ("dried-marjoram", "unstated", "1 us_tbsp", "1.7", "NDB 02023 seq 2"),
    ("dried-parsley", "unstated", "1 us_tbsp", "1.6", "NDB 02029 seq 2"),
    ("dried-dill", "unstated", "1 us_tbsp", "3.1", "NDB 02017 seq 2"),
    ("fresh-basil", "chopped", "2 us_tbsp", "5.3", "NDB 02044 seq 2"),
    ("fresh-basil", "whole", "0.25 us_cup", "6", "NDB 02044 seq 3"),
    ("fresh-mint", "unstated", "2 us_tbsp", "11.4", "NDB 02065 seq 2"),
    ("fresh-parsley", "chopped", "1 us_cup", "60", "NDB 11297 seq 1"),
    ("fresh-rosemary", "unstated", "1 us_tbsp", "1.7", "NDB 02063 seq 2"),
    ("fresh-thyme", "unstated", "1 us_tsp", "0.8", "NDB 02049 seq 1"),
    ("chives", "chopped", "1 us_tbsp", "3", "NDB 11156 seq 1"),
    ("cream-liqueur", "liquid", "1 us_fl_oz", "31.1", "NDB 14415 seq 1"),
    ("gin", "liquid", "1 us_fl_oz", "27.8", "NDB 14049 seq 1"),
    ("green-tea", "liquid", "1 us_cup", "245", "NDB 14278 seq 1"),
    ("celery", "chopped", "1 us_cup", "101", "NDB 11143 seq 1"),
    ("leek", "sliced", "1 us_cup", "89", "NDB 11246 seq 1"),
    ("mushrooms", "sliced", "1 us_cup", "70", "NDB 11260 seq 1"),
    ("mushrooms", "whole", "1 us_cup", "96", "NDB 11260 seq 2"),
    ("sweet-pepper", "chopped", "1 us_cup", "149", "NDB 11821 seq 1"),
    ("sweet-pepper", "sliced", "1 us_cup", "92", "NDB 11821 seq 2"),
    ("spring-onion", "chopped", "1 us_cup", "100", "NDB 11291 seq 1"),
    ("kale", "unstated", "1 us_cup", "16", "NDB 11233 seq 1"),
    ("chilli-pepper", "chopped", "0.5 us_cup", "75", "NDB 11670 seq 2"),
    ("green-peas", "unstated", "1 us_cup", "145", "NDB 11304 seq 1"),
    ("aubergine", "diced", "1 us_cup", "82", "NDB 11209 seq 1"),
    ("black-olives", "unstated", "1 us_tbsp", "8.4", "NDB 09193 seq 1"),
    ("capers", "unstated", "1 us_tbsp", "8.6", "NDB 02054 seq 1"),
    ("tomato-paste", "unstated", "1 us_cup", "262", "NDB 11546 seq 2"),
    ("passata", "unstated", "1 us_cup", "250", "NDB 11547 seq 1"),
    ("prepared-mustard", "unstated", "1 us_cup", "249", "NDB 02046 seq 2"),
    ("soy-sauce", "liquid", "1 us_cup", "255", "NDB 16123 seq 3"),
    ("red-wine-vinegar", "liquid", "1 us_cup", "239", "NDB 02068 seq 2"),
    ("prawns", "unstated", "1 us_cup", "128", "NDB 15152 seq 1"),
]


@pytest.mark.parametrize(
    ("ingredient", "packing", "measure", "grams", "record"),
    USDA,
    ids=[f"{row[2]} {row[0]}, {row[1]} - USDA SR28, {row[4]}" for row in USDA],
)
def test_a_measure_has_the_printed_mass(ingredient: str, packing: str, measure: str, grams: str, record: str) -> None:
    weighed = converted(measure, "g", Thing(ingredient=INGREDIENTS[ingredient], packing=packing))
    assert weighed.amount == printed(grams), record
    assert weighed.low <= float(grams) <= weighed.high
    assert f"NDB {record[4:9]} WEIGHT {record[10:]}" in {cited.record for cited in weighed.cited}


SECOND = [  # a second portion of the record, or another record: it lies between low and high
    ("grape-juice", "liquid", "1 us_fl_oz", "31.6", "NDB 09135 seq 2"),
    ("grapefruit-juice", "liquid", "1 us_fl_oz", "30.9", "NDB 09128 seq 2"),
    ("type-1050-flour", "spooned", "1 us_cup", "120", "NDB 20080 seq 1"),
    ("lupin-flour", "unstated", "1 us_cup", "88", "NDB 16118 seq 1"),
    ("peanut-flour", "unstated", "1 us_cup", "60", "NDB 16099 seq 1"),
    ("sunflower-seed-flour", "unstated", "1 us_tbsp", "4", "NDB 12041 seq 2"),
    ("red-lentils", "unstated", "1 us_tbsp", "12", "NDB 16069 seq 2"),
    ("pancake-syrup", "liquid", "1 us_tbsp", "20", "NDB 19129 seq 2"),
    ("high-fructose-corn-syrup", "liquid", "1 us_tbsp", "19", "NDB 19351 seq 2"),
    ("linseed-oil", "liquid", "1 us_tbsp", "13.6", "NDB 42231 seq 1"),
    ("cottonseed-oil", "liquid", "1 us_tsp", "4.5", "NDB 04502 seq 3"),
    ("apricot-kernel-oil", "liquid", "1 us_tsp", "4.5", "NDB 04530 seq 3"),
    ("soya-lecithin", "liquid", "1 us_tsp", "4.5", "NDB 04531 seq 3"),
    ("mayonnaise", "unstated", "1 us_tbsp", "13.8", "NDB 04025 seq 1"),
    ("light-soured-cream", "unstated", "1 us_tbsp", "12", "NDB 01179 seq 1"),
    ("meringue-powder", "unstated", "1 us_tbsp", "8", "NDB 19336 seq 3"),
    ("dutch-process-cocoa-powder", "unstated", "1 us_tbsp", "5.4", "NDB 19166 seq 2"),
    ("black-walnuts", "chopped", "1 us_tbsp", "7.8", "NDB 12154 seq 2"),
    ("coconut-water", "liquid", "1 us_tbsp", "15", "NDB 12119 seq 2"),
    ("tinned-peaches", "undrained", "1 us_cup", "262", "NDB 09241 seq 1"),
    ("tinned-pears", "undrained", "1 us_cup", "251", "NDB 09256 seq 1"),
    ("melon", "diced", "1 us_cup", "170", "NDB 09184 seq 1"),
    ("pineapple-topping", "liquid", "2 us_tbsp", "42", "NDB 19366 seq 2"),
    ("strawberry-topping", "liquid", "2 us_tbsp", "42", "NDB 19137 seq 1"),
    ("pomegranate-juice", "liquid", "1 us_fl_oz", "31.4", "NDB 09442 seq 2"),
    ("ground-white-pepper", "ground", "1 us_tsp", "2.4", "NDB 02032 seq 1"),
    ("celery-seeds", "unstated", "1 us_tsp", "2", "NDB 02007 seq 1"),
    ("fenugreek-seeds", "unstated", "1 us_tsp", "3.7", "NDB 02019 seq 1"),
    ("dill-seeds", "unstated", "1 us_tsp", "2.1", "NDB 02016 seq 1"),
    ("curry-powder", "unstated", "1 us_tsp", "2", "NDB 02015 seq 1"),
    ("chilli-powder", "unstated", "1 us_tsp", "2.7", "NDB 02009 seq 1"),
    ("garlic-powder", "unstated", "1 us_tsp", "3.1", "NDB 02020 seq 1"),
    ("onion-powder", "unstated", "1 us_tsp", "2.4", "NDB 02026 seq 1"),
    ("dried-basil", "unstated", "1 us_tsp", "0.7", "NDB 02003 seq 1"),
    ("dried-sage", "unstated", "1 us_tsp", "0.7", "NDB 02038 seq 1"),
    ("dried-marjoram", "unstated", "1 us_tsp", "0.6", "NDB 02023 seq 1"),
    ("dried-parsley", "unstated", "1 us_tsp", "0.5", "NDB 02029 seq 1"),
    ("dried-dill", "unstated", "1 us_tsp", "1", "NDB 02017 seq 1"),
    ("fresh-mint", "unstated", "2 us_tbsp", "3.2", "NDB 02064 seq 2"),
    ("fresh-parsley", "chopped", "1 us_tbsp", "3.8", "NDB 11297 seq 2"),
    ("fresh-rosemary", "unstated", "1 us_tsp", "0.7", "NDB 02063 seq 1"),
    ("chives", "chopped", "1 us_tsp", "1", "NDB 11156 seq 2"),
    ("rose-wine", "liquid", "1 us_fl_oz", "30.3", "NDB 14253 seq 1"),
    ("green-tea", "liquid", "1 us_fl_oz", "29.6", "NDB 14278 seq 2"),
    ("celery", "chopped", "1 us_tbsp", "7.5", "NDB 11143 seq 3"),
    ("spring-onion", "chopped", "1 us_tbsp", "6", "NDB 11291 seq 2"),
    ("green-peas", "unstated", "1 us_cup", "134", "NDB 11312 seq 1"),
    ("tomato-paste", "unstated", "1 us_tbsp", "16", "NDB 11546 seq 3"),
    ("prepared-mustard", "unstated", "1 us_tsp", "5", "NDB 02046 seq 1"),
    ("soy-sauce", "liquid", "1 us_tbsp", "16", "NDB 16123 seq 1"),
    ("soy-sauce", "liquid", "1 us_tsp", "5.3", "NDB 16123 seq 2"),
    ("red-wine-vinegar", "liquid", "1 us_tbsp", "14.9", "NDB 02068 seq 1"),
    ("red-wine-vinegar", "liquid", "1 us_tsp", "5", "NDB 02068 seq 3"),
]


@pytest.mark.parametrize(
    ("ingredient", "packing", "measure", "grams", "record"),
    SECOND,
    ids=[f"{row[2]} {row[0]}, {row[1]} - USDA SR28, {row[4]}" for row in SECOND],
)
def test_a_second_figure_lies_in_the_range(
    ingredient: str, packing: str, measure: str, grams: str, record: str
) -> None:
    weighed = converted(measure, "g", Thing(ingredient=INGREDIENTS[ingredient], packing=packing))
    slack = half_a_digit(grams)
    assert weighed.low <= float(grams) + slack, record
    assert float(grams) - slack <= weighed.high, record


CANADA, FAO = "Canadian Nutrient File 2015, food", "FAO/INFOODS 2.0, row"
OTHERS = [  # ingredient, packing, measure, grams as printed, source
    ("desiccated-coconut", "unstated", "125 ml", "48", f"{CANADA} 2559"),
    ("candied-citron", "chopped", "100 ml", "89.6", f"{CANADA} 4398"),
    ("chia-seeds", "unstated", "100 ml", "72", f"{CANADA} 2511"),
    ("greek-yoghurt", "unstated", "250 ml", "260.8", f"{CANADA} 502191"),
    ("double-cream", "liquid", "1 ml", "0.94", f"{FAO} 216, 40 to 50 % fat"),
    ("port", "liquid", "1 ml", "1.026", f"{FAO} 127"),
    ("sherry", "liquid", "1 ml", "0.998", f"{FAO} 130, medium"),
    ("orange-liqueur", "liquid", "1 ml", "1.09", f"{FAO} 140"),
    ("sparkling-wine", "liquid", "1 ml", "0.995", f"{FAO} 185"),
    ("rose-wine", "liquid", "1 ml", "1.003", f"{FAO} 152"),
    ("lime-cordial", "liquid", "1 ml", "1.102", f"{FAO} 24"),
    ("grenadine", "liquid", "1 ml", "1.18", f"{FAO} 539"),
    ("matcha", "unstated", "1 ml", "0.43", f"{FAO} 60, powdered tea"),
    ("malted-barley-grain", "unstated", "1 ml", "0.49", f"{FAO} 280"),
    ("glycerine", "liquid", "1 ml", "1.261", "handbooks of chemistry, from memory"),
]


@pytest.mark.parametrize(
    ("ingredient", "packing", "measure", "grams", "source"), OTHERS, ids=[f"{row[0]} - {row[4]}" for row in OTHERS]
)
def test_a_measure_has_the_mass_of_another_table(
    ingredient: str, packing: str, measure: str, grams: str, source: str
) -> None:
    weighed = converted(measure, "g", Thing(ingredient=INGREDIENTS[ingredient], packing=packing))
    assert weighed.amount == printed(grams), source
    assert all(cited.confidence != "borrowed" for cited in weighed.cited), source


WITHIN = [  # ingredient, packing, measure, grams, source: figures that the range must hold
    ("desiccated-coconut", "unstated", "60 ml", 23.0, f"{CANADA} 2559"),
    ("mixed-peel", "loose", "100 ml", 89.6, f"{CANADA} 4398, candied citron"),
    ("sherry", "liquid", "1 ml", 0.988, f"{FAO} 129, dry"),
    ("sherry", "liquid", "1 ml", 1.009, f"{FAO} 131, sweet"),
    ("glucose-syrup", "liquid", "1 ml", 1.35, f"{FAO} 521, lower figure"),
    ("glucose-syrup", "liquid", "1 ml", 1.44, f"{FAO} 521, upper figure"),
    ("stout", "liquid", "1 ml", 1.002, "FAO/INFOODS 2.0, stout, lower figure"),
    ("stout", "liquid", "1 ml", 1.014, "FAO/INFOODS 2.0, stout, upper figure"),
    ("active-dry-yeast", "unstated", "2.25 us_tsp", 7.0, "common practice: a packet is two and a quarter teaspoons"),
    ("instant-yeast", "unstated", "2.25 us_tsp", 7.0, "common practice: a packet is two and a quarter teaspoons"),
    ("kosher-salt", "unstated", "1 us_tsp", 2.8, "GNU units 3.15, koshersalt"),
    ("kosher-salt", "unstated", "1 us_tsp", 4.8, "GNU units 3.15, koshersalt of another make"),
    (
        "glycerine",
        "liquid",
        "1 ml",
        1.2612,
        "VDI Heat Atlas, 2nd edition, glycerol at 20 °C, as PyPI chemicals repeats it",
    ),
    ("strawberries", "whole", "1 us_dry_pint", 357.0, "USDA SR28, NDB 09316 seq 8: a pint as purchased"),
    ("raspberries", "unstated", "1 us_dry_pint", 312.0, "USDA SR28, NDB 09302 seq 2: a pint as purchased"),
]


@pytest.mark.parametrize(
    ("ingredient", "packing", "measure", "grams", "source"),
    WITHIN,
    ids=[f"{row[0]}, {row[3]} g - {row[4]}" for row in WITHIN],
)
def test_the_range_holds_a_published_figure(
    ingredient: str, packing: str, measure: str, grams: float, source: str
) -> None:
    weighed = converted(measure, "g", Thing(ingredient=INGREDIENTS[ingredient], packing=packing))
    assert weighed.low <= grams <= weighed.high, source


def test_salts_differ_too_much_to_be_one_ingredient() -> None:
    # USDA SR28, NDB 02047 seq 1: 6 g of table salt in a teaspoon; common practice: kosher and flaky salt are lighter.
    table, kosher, flaky = (
        converted("1 us_tsp", "g", Thing(ingredient=INGREDIENTS[name])).amount
        for name in ("salt", "kosher-salt", "flaky-sea-salt")
    )
    assert flaky < kosher < table
