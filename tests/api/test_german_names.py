"""German names of products name their first part: common practice of German compounds, from memory."""

import pytest

from domain.shop.german_names import is_mentioned
from tests.api.conftest import Call

NAMED = [
    ("Pflaumenkuchen vom Blech", "plum"),
    ("Haselnusskuchen", "hazelnuts"),
    ("Haselnußschnitte", "ground-hazelnuts"),
    ("Apfel-Zimt-Schnecken", "ground-cinnamon"),
    ("Mandelhörnchen", "almonds"),
    ("Schokoladentorte", "dark-chocolate"),
]
NOT_NAMED = [
    ("Apfelkuchen", "plum"),
    ("Blechkuchen", "plain-flour"),
    ("Scones", "butter"),
    ("Graham slice", "whipping-cream"),  # Rahm inside the word
    ("Treacle oat slab", "salt"),
]


@pytest.mark.parametrize(("product", "ingredient"), NAMED)
def test_a_compound_names_its_first_part(product: str, ingredient: str) -> None:
    assert is_mentioned(ingredient, product)


@pytest.mark.parametrize(("product", "ingredient"), NOT_NAMED)
def test_other_words_name_nothing(product: str, ingredient: str) -> None:
    assert not is_mentioned(ingredient, product)


def test_the_label_of_a_german_name_has_the_quantity(call: Call) -> None:
    """300 g of plums in 600 g of mix, of which a bake loss of 20 % leaves 480 g: 62.5 %."""
    lines = [{"ingredient": "plum", "quantity": "300 g"}, {"ingredient": "plain flour", "quantity": "300 g"}]
    formula = {"name": "Pflaumenkuchen", "components": [{"name": "cake", "lines": lines}]}
    body = {"formula": formula, "shop": {"market": "eu", "bake_loss_percent": 20}}
    figures = call("POST", "/v1/label", json=body).json()["targets"][0]["label_figures"]
    quantities = {entry["name"]: entry.get("quantity_percent") for entry in figures["ingredients"]}
    assert quantities == {"plum": pytest.approx(62.5), "plain flour": None}
