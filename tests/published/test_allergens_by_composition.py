"""Allergens by composition: an ingredient with the figures of a food made of a listed grain, nut or milk says so.

The foods are named by USDA National Nutrient Database, Release 28, file FOOD_DES (usda_foods.csv beside this file). The
lists: Regulation (EU) 1169/2011, Annex II (the UK keeps it); US Food Allergen Labeling Act 2004 and FASTER Act 2021;
Australia New Zealand Food Standards Code, Schedule 9 (from memory).
"""

import csv
import re
from pathlib import Path

import pytest

from domain.reference import rows
from domain.shop.allergens import ALLERGENS, LISTS, PLAIN
from tests.domain.test_shop_allergen_table import WORDS

_TEXT = Path(__file__).with_name("usda_foods.csv").read_text("utf-8")
FOODS = {row["number"]: row["food"] for row in csv.DictReader(_TEXT.splitlines()[1:])}
NOT_THE_FOOD = (  # parts of the names in which a word is no food of that kind
    "nuts, ",  # the group of the food
    "cocoa butter",
    "seed butter",
    "sesame butter",
    "almond butter",
    "cashew butter",
    "peanut butter",
    "fruit butter",
    "coconut cream",
    "coconut milk",
    "almond milk",
    "rice milk",
    "cream of tartar",
    "marshmallow cream",
    "oyster, soda",
    "almond nut",
    "cashew nut",
    "pistachio nut",
    "pine nut",
)
ADDED = {("potato", "milk"): "the density is that of mashed potato, made with milk; the composition of raw potato"}


def taken_from() -> list[tuple[str, str]]:
    """Each ingredient with the foods whose figures it has; figures borrowed from a neighbour say nothing about it."""
    pairs = {
        (row["ingredient"], number[0])
        for table in ("densities", "nutrition")
        for row in rows(table)
        if row["source"] == "usda-sr28" and row["use"] == "figure"
        if (number := re.search(r"\d{5}", row["record"]))
    }
    return sorted(pairs)


@pytest.mark.parametrize(("ingredient", "number"), taken_from(), ids=[f"{i} - NDB {n}" for i, n in taken_from()])
def test_an_ingredient_declares_what_its_food_is_made_of(ingredient: str, number: str) -> None:
    food = FOODS[number].lower()
    for phrase in sorted(NOT_THE_FOOD, key=len, reverse=True):
        food = food.replace(phrase, " ")
    declared = {*PLAIN[ingredient].contains, *PLAIN[ingredient].depends}
    holds = {
        allergen
        for allergen, words in WORDS.items()
        if any(re.search(rf"\b{word}(s|es)?\b", food) for word in words.split()) and (ingredient, allergen) not in ADDED
    }
    assert holds <= declared, FOODS[number]


AUSTRALIA = {
    *("wheat", "rye", "barley", "oats", "crustaceans", "molluscs", "fish", "egg", "milk", "peanuts", "soybeans"),
    *("almond", "hazelnut", "walnut", "cashew", "pecan", "brazil_nut", "pistachio", "macadamia", "pine_nut"),
    *("sesame", "sulphites", "lupin"),
}


def test_every_allergen_of_the_four_lists_has_an_id() -> None:
    assert set(ALLERGENS) >= AUSTRALIA
    assert set(ALLERGENS) == set(LISTS["eu"]) | set(LISTS["us"])
    assert "sulphites" in LISTS["eu"]
    assert "sulphites" in LISTS["us"]


def test_macadamias_and_pine_nuts_are_declared_where_only_some_lists_have_them() -> None:
    # Annex II has no pine nut; the US list and the Australian one have. Coconut and chestnut are on none since 2025.
    assert PLAIN["pine-nuts"].contains == ("pine_nut",)
    assert PLAIN["macadamias"].contains == ("macadamia",)
    assert PLAIN["chestnuts"].contains == PLAIN["fresh-coconut"].contains == ()


SULPHITED = [  # foods that are often sulphited beyond 10 mg/kg: common knowledge; the packet decides
    *("dried-apricots", "sultanas", "raisins", "prunes", "dried-apple", "dried-peaches", "dried-pears", "dried-figs"),
    *("desiccated-coconut", "mixed-peel", "glace-cherries", "crystallised-ginger", "candied-citron", "marzipan"),
    *("red-wine", "white-wine", "sparkling-wine", "dry-cider", "sherry", "port", "marsala", "beer", "stout"),
    *("lemon-juice", "lime-juice", "white-wine-vinegar", "red-wine-vinegar", "balsamic-vinegar", "cider-vinegar"),
    *("black-treacle", "molasses", "gelatine-powder", "leaf-gelatine", "potato-starch", "instant-mashed-potato"),
    *("apple-pie-filling", "maraschino-cherries", "garlic-powder", "sausage-meat", "prawns", "sun-dried-tomatoes"),
]


@pytest.mark.parametrize("ingredient", SULPHITED)
def test_an_ingredient_that_is_often_sulphited_says_so(ingredient: str) -> None:
    assert "sulphites" in PLAIN[ingredient].depends
