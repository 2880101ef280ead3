"""Names of ingredients in German and French. Source: common practice, our own list."""

import pytest

from domain.reading.names import look_up
from domain.reading.tokens import phrase_key
from domain.reference import rows, words
from domain.things.ingredients import INGREDIENTS

# British and American goods that German and French kitchens have no name for, or no other than a more general one.
UNNAMED = {
    "butterscotch-chips",
    "cornmeal",
    "dutch-process-cocoa-powder",
    "fondant-icing-sugar",
    "fudge",
    "graham-crackers",
    "half-and-half",
    "low-fat-milk",
    "mincemeat",
    "mixed-spice",
    "peanut-butter-chips",
    "pineapple-topping",
    "royal-icing-sugar",
    "self-raising-cornmeal",
    "single-cream",
    "strawberry-topping",
    "vanilla-wafer-crumbs",
    "wholegrain-cornmeal",
}


@pytest.mark.parametrize("language", ["de", "fr"])
def test_every_ingredient_has_a_name(language: str) -> None:
    named = {row["ingredient"] for row in rows("ingredient_names") if row["language"] == language}
    assert INGREDIENTS.keys() - named <= UNNAMED


@pytest.mark.parametrize("language", ["de", "fr"])
def test_each_name_is_read_as_its_ingredient(language: str) -> None:
    for row in rows("ingredient_names"):
        if row["language"] == language:
            for name in words(row["names"]):
                assert look_up(phrase_key(name), (language,)) == (row["ingredient"],), name  # type: ignore[arg-type]
