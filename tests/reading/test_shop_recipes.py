"""Whole recipes in the shapes that reach a shop's computer: every line is read as a baker reads it, or asked about."""

import pytest

from domain.reading.texts import read_text
from tests.reading.shop_recipes.judging import ShopRecipe, judge, load_shop_recipes

RECIPES = load_shop_recipes()
BLIND = 0.85  # of the expected readings, at least, were fixed before the first reading


@pytest.mark.parametrize("recipe", RECIPES, ids=lambda recipe: recipe.name)
def test_every_line_is_read_or_asked_about_as_expected(recipe: ShopRecipe) -> None:
    verdicts = judge(recipe, read_text(recipe.text, recipe.options))
    assert [each for each in verdicts if each.verdict != "right"] == []


def test_most_expected_readings_were_fixed_before_the_first_reading() -> None:
    lines = [line for recipe in RECIPES for line in recipe.lines]
    assert len(RECIPES) >= 40
    assert len(lines) >= 550
    assert sum(line.blind for line in lines) >= BLIND * len(lines)


def test_a_wrong_reading_is_found() -> None:
    recipe = next(each for each in RECIPES if each.name == "uk-word-table")
    text = recipe.text.replace("450", "540").replace("150 °C", "170 °C").replace("Salt", "Sugar")
    verdicts = {each.line.text.split("\t")[0]: each.verdict for each in judge(recipe, read_text(text, recipe.options))}
    assert (verdicts["Medium oatmeal"], verdicts["Oven"], verdicts["Salt"]) == ("wrong", "wrong", "asks")
    assert verdicts["Black treacle"] == "right"
