"""Weights of counted pieces: USDA National Nutrient Database, Release 28, file WEIGHT, by record and number."""

import pytest

from domain.errors import NeededError
from domain.things.conversion import Thing
from domain.things.ingredients import INGREDIENTS, find_ingredient, size_in
from tests.published.printed import printed
from tests.strategies import converted

USDA = [  # ingredient, size, pieces, grams as printed, record
    ("lemon-juice", "", "1", "48", "NDB 09152 seq 3"),
    ("lime-juice", "", "1", "44", "NDB 09160 seq 3"),
    ("orange-juice", "", "1", "86", "NDB 09206 seq 3"),
    ("grapefruit-juice", "", "1", "196", "NDB 09128 seq 3"),
    ("gelatine-powder", "", "1", "7", "NDB 19177 seq 1"),
    ("fresh-yeast", "", "1", "17", "NDB 18374 seq 1"),
    ("banana", "extra small", "1", "81", "NDB 09040 seq 3"),
    ("banana", "small", "1", "101", "NDB 09040 seq 4"),
    ("banana", "medium", "1", "118", "NDB 09040 seq 5"),
    ("banana", "large", "1", "136", "NDB 09040 seq 6"),
    ("banana", "extra large", "1", "152", "NDB 09040 seq 7"),
    ("apple", "large", "1", "223", "NDB 09003 seq 3"),
    ("apple", "medium", "1", "182", "NDB 09003 seq 4"),
    ("apple", "small", "1", "149", "NDB 09003 seq 5"),
    ("apple", "extra small", "1", "101", "NDB 09003 seq 6"),
    ("lemon", "medium", "1", "58", "NDB 09150 seq 2"),
    ("lemon", "large", "1", "84", "NDB 09150 seq 3"),
    ("lime", "", "1", "67", "NDB 09159 seq 1"),
    ("orange", "small", "1", "96", "NDB 09200 seq 3"),
    ("orange", "medium", "1", "131", "NDB 09200 seq 4"),
    ("orange", "large", "1", "184", "NDB 09200 seq 2"),
    ("grapefruit", "small", "0.5", "100", "NDB 09111 seq 4"),
    ("grapefruit", "medium", "0.5", "128", "NDB 09111 seq 3"),
    ("grapefruit", "large", "0.5", "166", "NDB 09111 seq 2"),
    ("mandarin", "small", "1", "76", "NDB 09218 seq 2"),
    ("mandarin", "medium", "1", "88", "NDB 09218 seq 3"),
    ("mandarin", "large", "1", "120", "NDB 09218 seq 4"),
    ("pear", "small", "1", "148", "NDB 09252 seq 3"),
    ("pear", "medium", "1", "178", "NDB 09252 seq 4"),
    ("pear", "large", "1", "230", "NDB 09252 seq 5"),
    ("peach", "small", "1", "130", "NDB 09236 seq 2"),
    ("peach", "medium", "1", "150", "NDB 09236 seq 3"),
    ("peach", "large", "1", "175", "NDB 09236 seq 4"),
    ("peach", "extra large", "1", "224", "NDB 09236 seq 5"),
    ("nectarine", "small", "1", "129", "NDB 09191 seq 2"),
    ("nectarine", "medium", "1", "142", "NDB 09191 seq 3"),
    ("nectarine", "large", "1", "156", "NDB 09191 seq 4"),
    ("plum", "", "1", "66", "NDB 09279 seq 2"),
    ("apricot", "", "1", "35", "NDB 09021 seq 3"),
    ("sweet-cherries", "", "1", "8.2", "NDB 09070 seq 3"),
    ("maraschino-cherries", "", "1", "5", "NDB 09328 seq 1"),
    ("fresh-figs", "small", "1", "40", "NDB 09089 seq 3"),
    ("fresh-figs", "medium", "1", "50", "NDB 09089 seq 2"),
    ("fresh-figs", "large", "1", "64", "NDB 09089 seq 1"),
    ("dried-figs", "", "1", "8.4", "NDB 09094 seq 2"),
    ("dates", "", "1", "7.1", "NDB 09087 seq 2"),
    ("medjool-dates", "", "1", "24", "NDB 09421 seq 1"),
    ("prunes", "", "1", "9.5", "NDB 09291 seq 2"),
    ("dried-apricots", "", "1", "3.5", "NDB 09032 seq 2"),
    ("dried-peaches", "", "1", "13", "NDB 09246 seq 2"),
    ("strawberries", "small", "1", "7", "NDB 09316 seq 9"),
    ("strawberries", "medium", "1", "12", "NDB 09316 seq 7"),
    ("strawberries", "large", "1", "18", "NDB 09316 seq 6"),
    ("strawberries", "extra large", "1", "27", "NDB 09316 seq 5"),
    ("raspberries", "", "10", "19", "NDB 09302 seq 3"),
    ("grapes", "", "10", "49", "NDB 09132 seq 2"),
    ("blueberries", "", "50", "68", "NDB 09050 seq 2"),
    ("kiwi-fruit", "", "1", "69", "NDB 09148 seq 2"),
    ("mango", "", "1", "336", "NDB 09176 seq 2"),
    ("pineapple", "", "1", "905", "NDB 09266 seq 2"),
    ("passion-fruit-pulp", "", "1", "18", "NDB 09231 seq 2"),
    ("pomegranate-seeds", "", "1", "282", "NDB 09286 seq 2"),
    ("avocado", "", "1", "201", "NDB 09037 seq 4"),
    ("lychees", "", "1", "9.6", "NDB 09164 seq 2"),
    ("papaya", "small", "1", "157", "NDB 09226 seq 3"),
    ("papaya", "large", "1", "781", "NDB 09226 seq 4"),
    ("melon", "small", "1", "441", "NDB 09181 seq 8"),
    ("melon", "medium", "1", "552", "NDB 09181 seq 6"),
    ("melon", "large", "1", "814", "NDB 09181 seq 4"),
    ("quince", "", "1", "92", "NDB 09296 seq 1"),
    ("persimmon", "", "1", "168", "NDB 09263 seq 1"),
    ("plantain", "medium", "1", "179", "NDB 09277 seq 2"),
    ("fresh-coconut", "medium", "1", "397", "NDB 12104 seq 2"),
    ("rhubarb", "", "1", "51", "NDB 09307 seq 2"),
    ("carrot", "small", "1", "50", "NDB 11124 seq 6"),
    ("carrot", "medium", "1", "61", "NDB 11124 seq 5"),
    ("carrot", "large", "1", "72", "NDB 11124 seq 4"),
    ("onion", "small", "1", "70", "NDB 11282 seq 8"),
    ("onion", "medium", "1", "110", "NDB 11282 seq 6"),
    ("onion", "large", "1", "150", "NDB 11282 seq 4"),
    ("garlic", "", "1", "3", "NDB 11215 seq 3"),
    ("potato", "small", "1", "170", "NDB 11352 seq 4"),
    ("potato", "medium", "1", "213", "NDB 11352 seq 3"),
    ("potato", "large", "1", "369", "NDB 11352 seq 2"),
    ("sweet-potato", "", "1", "130", "NDB 11507 seq 2"),
    ("courgette", "small", "1", "118", "NDB 11477 seq 6"),
    ("courgette", "medium", "1", "196", "NDB 11477 seq 4"),
    ("courgette", "large", "1", "323", "NDB 11477 seq 3"),
    ("beetroot", "", "1", "82", "NDB 11080 seq 2"),
    ("tomato", "small", "1", "91", "NDB 11529 seq 9"),
    ("tomato", "medium", "1", "123", "NDB 11529 seq 6"),
    ("tomato", "large", "1", "182", "NDB 11529 seq 5"),
    ("tomato", "cherry", "1", "17", "NDB 11529 seq 4"),
    ("tomato", "plum", "1", "62", "NDB 11529 seq 8"),
    ("sun-dried-tomatoes", "", "1", "2", "NDB 11955 seq 2"),
    ("celery", "small", "1", "17", "NDB 11143 seq 6"),
    ("celery", "medium", "1", "40", "NDB 11143 seq 5"),
    ("celery", "large", "1", "64", "NDB 11143 seq 4"),
    ("leek", "", "1", "89", "NDB 11246 seq 2"),
    ("mushrooms", "small", "1", "10", "NDB 11260 seq 6"),
    ("mushrooms", "medium", "1", "18", "NDB 11260 seq 4"),
    ("mushrooms", "large", "1", "23", "NDB 11260 seq 3"),
    ("sweet-pepper", "small", "1", "74", "NDB 11821 seq 6"),
    ("sweet-pepper", "medium", "1", "119", "NDB 11821 seq 5"),
    ("sweet-pepper", "large", "1", "164", "NDB 11821 seq 4"),
    ("spring-onion", "small", "1", "5", "NDB 11291 seq 5"),
    ("spring-onion", "medium", "1", "15", "NDB 11291 seq 4"),
    ("spring-onion", "large", "1", "25", "NDB 11291 seq 3"),
    ("chilli-pepper", "", "1", "45", "NDB 11670 seq 1"),
    ("aubergine", "", "1", "548", "NDB 11209 seq 3"),
    ("spinach", "", "1", "10", "NDB 11457 seq 3"),
    ("sweetcorn", "small", "1", "73", "NDB 11167 seq 4"),
    ("sweetcorn", "medium", "1", "102", "NDB 11167 seq 3"),
    ("sweetcorn", "large", "1", "143", "NDB 11167 seq 2"),
    ("black-olives", "small", "1", "3.2", "NDB 09193 seq 3"),
    ("black-olives", "large", "1", "4.4", "NDB 09193 seq 2"),
    ("green-olives", "", "1", "2.7", "NDB 09195 seq 1"),
    ("almonds", "", "1", "1.2", "NDB 12061 seq 6"),
    ("hazelnuts", "", "10", "14", "NDB 12120 seq 5"),
    ("brazil-nuts", "", "1", "5", "NDB 12078 seq 2"),
    ("pistachios", "", "1", "0.7", "NDB 12151 seq 3"),
    ("pine-nuts", "", "10", "1.7", "NDB 12147 seq 3"),
    ("marshmallows", "", "1", "7.2", "NDB 19116 seq 3"),
    ("mini-marshmallows", "", "10", "7", "NDB 19116 seq 2"),
    ("soft-caramels", "", "1", "10.1", "NDB 19074 seq 2"),
    ("toffee", "", "1", "12", "NDB 19383 seq 1"),
    ("boiled-sweets", "small", "1", "3", "NDB 19107 seq 3"),
    ("boiled-sweets", "medium", "1", "6", "NDB 19107 seq 2"),
    ("jelly-sweets", "small", "1", "3.2", "NDB 19106 seq 9"),
    ("jelly-sweets", "medium", "1", "4.2", "NDB 19106 seq 10"),
    ("jelly-sweets", "large", "1", "11.6", "NDB 19106 seq 11"),
    ("sugared-almonds", "", "1", "3.5", "NDB 19858 seq 1"),
    ("sponge-fingers", "", "1", "11", "NDB 18423 seq 4"),
    ("shortbread-biscuits", "", "1", "11.8", "NDB 18192 seq 2"),
    ("petit-beurre-biscuits", "", "1", "5", "NDB 18155 seq 2"),
    ("marie-biscuits", "", "5", "28", "NDB 28351 seq 1"),
    ("chocolate-sandwich-biscuits", "", "3", "36", "NDB 18166 seq 1"),
    ("ginger-biscuits", "", "1", "7", "NDB 18172 seq 2"),
    ("ginger-biscuits", "large", "1", "32", "NDB 18172 seq 3"),
    ("graham-crackers", "", "1", "15", "NDB 18173 seq 2"),
    ("vanilla-wafer-crumbs", "small", "1", "3", "NDB 18212 seq 5"),
    ("vanilla-wafer-crumbs", "medium", "1", "4", "NDB 18212 seq 4"),
    ("vanilla-wafer-crumbs", "large", "1", "6", "NDB 18212 seq 3"),
    ("chocolate-biscuit-crumbs", "", "1", "6", "NDB 18157 seq 3"),
    ("pretzels", "", "10", "60", "NDB 19047 seq 2"),
    ("saltines", "", "1", "3", "NDB 18228 seq 5"),
    ("white-bread", "", "1", "25", "NDB 18069 seq 6"),
    ("white-bread", "large", "1", "30", "NDB 18069 seq 5"),
    ("white-bread", "thin", "1", "20", "NDB 18069 seq 8"),
    ("filo-pastry", "", "1", "19", "NDB 18338 seq 2"),
    ("shortcrust-pastry", "", "1", "194", "NDB 18402 seq 2"),
    ("active-dry-yeast", "", "1", "7.2", "NDB 18375 seq 3"),
    ("pectin-powder", "", "1", "50", "NDB 19310 seq 1"),
    ("jelly-crystals", "", "1", "85", "NDB 19172 seq 1"),
    ("vanilla-pudding-mix", "", "1", "88", "NDB 19206 seq 1"),
    ("apple-pie-filling", "", "1", "595", "NDB 19312 seq 3"),
    ("cherry-pie-filling", "", "1", "595", "NDB 19314 seq 2"),
    ("butter", "", "1", "113", "NDB 01145 seq 4"),
    ("duck-egg", "", "1", "70", "NDB 01138 seq 1"),
    ("quail-egg", "", "1", "9", "NDB 01140 seq 1"),
    ("goose-egg", "", "1", "144", "NDB 01139 seq 1"),
    ("bacon", "", "1", "28", "NDB 10123 seq 1"),
    ("cooked-ham", "", "1", "28", "NDB 07027 seq 1"),
    ("anchovies", "", "1", "4", "NDB 15002 seq 2"),
    ("fresh-basil", "", "5", "2.5", "NDB 02044 seq 1"),
    ("prawns", "", "10", "32", "NDB 15152 seq 4"),
]


@pytest.mark.parametrize(
    ("ingredient", "size", "pieces", "grams", "record"),
    USDA,
    ids=[f"{row[2]} {row[1]} {row[0]} - USDA SR28, {row[4]}" for row in USDA],
)
def test_pieces_have_the_printed_mass(ingredient: str, size: str, pieces: str, grams: str, record: str) -> None:
    weighed = converted(f"{pieces} each", "g", Thing(ingredient=INGREDIENTS[ingredient], size=size or None))
    assert weighed.amount == printed(grams), record
    assert weighed.low < float(grams) < weighed.high
    assert weighed.cited[0].record == f"NDB {record[4:9]} WEIGHT {record[10:]}"


SAID = [  # as a baker says it, grams: the same records
    ("large banana", "136"),
    ("small apples", "149"),
    ("extra large peach", "224"),
    ("cherry tomatoes", "17"),
    ("plum tomato", "62"),
    ("thin white bread", "20"),
    ("LARGE carrot", "72"),
    ("medium  potato", "213"),
]


@pytest.mark.parametrize(("name", "grams"), SAID, ids=[row[0] for row in SAID])
def test_a_size_before_the_name_is_read(name: str, grams: str) -> None:
    weighed = converted("1 each", "g", Thing(ingredient=find_ingredient(name), size=size_in(name)))
    assert weighed.amount == printed(grams)


def test_a_piece_without_a_size_is_medium_and_its_range_covers_the_sizes() -> None:
    # USDA SR28, NDB 09040: 81 g extra small, 118 g medium, 152 g extra large
    weighed = converted("1 each", "g", Thing(ingredient=INGREDIENTS["banana"]))
    assert weighed.amount == printed("118")
    assert weighed.low < 81
    assert weighed.high > 152


GRADES = [("bronze", "3.3"), ("silver", "2.5"), ("gold", "2"), ("platinum", "1.7")]  # common practice, recalled


@pytest.mark.parametrize(("grade", "grams"), GRADES, ids=[f"{row[0]} leaf - from memory" for row in GRADES])
def test_leaf_gelatine_goes_by_its_grade(grade: str, grams: str) -> None:
    name = f"{grade} leaf gelatine"
    weighed = converted("1 each", "g", Thing(ingredient=find_ingredient(name), size=size_in(name)))
    assert weighed.amount == printed(grams)


def test_a_leaf_of_gelatine_without_its_grade_is_asked_back() -> None:
    with pytest.raises(NeededError) as refusal:
        converted("4 each", "g", Thing(ingredient=INGREDIENTS["leaf-gelatine"]))
    assert refusal.value.code == "piece_size_needed"
    assert set(refusal.value.candidates) == {grade for grade, _ in GRADES}
