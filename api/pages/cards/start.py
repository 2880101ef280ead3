"""`/cards/start`: the recipe, the eggs and tins of today; the form leads on to the weigh list."""

from functools import cache
from importlib.resources import files

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from api.pages.cards.fields import CardFields, entered_in
from api.pages.cards.form import job_form
from api.pages.cards.rendering import card_page, words_for
from api.pages.cards.words import SOURCE
from domain.reading.values import LANGUAGES

FIRST_CARD = "weigh"  # the card that the form leads to


@cache
def examples() -> dict[str, CardFields]:
    """Jobs of the demo shop, by the names of their recipes."""
    folder = files("openapi-examples") / "recipes"
    recipes = {name: (folder / f"{name}.txt").read_text("utf-8").strip() for name in ("ginger-parkin", "rye-plum-slab")}
    return {
        "Ginger parkin slab": {
            "recipe": recipes["ginger-parkin"],
            "measures": "uk",
            "egg_class": "eu_m",
            "depth": "26 mm",
            "eggs": ["eu_l"],
            "want": ["rectangle 20 x 30 x 5 cm"],
            "pieces": "16",
            "dough": "Nuggets",
        },
        "Rye and plum slab": {
            "recipe": recipes["rye-plum-slab"],
            "measures": "uk",
            "depth": "34 mm",
            "want": ["round 26 x 6 cm"],
            "pieces": "20",
            "dough": "Hazelnut pieces",
        },
    }


async def start(request: Request) -> Response:
    """The form, with what the address says filled in."""
    entered, words = entered_in(request.query_params), words_for(request)
    filled_in = entered
    if "recipe" not in entered and words.language != SOURCE and words.language in LANGUAGES:
        # Without a language a recipe is read as an English one first, and asked what a Päckchen holds.
        filled_in = {"language": words.language, **entered}
    form = job_form(request, FIRST_CARD, filled_in, words)
    return card_page(
        request, "start.html", words, entered=entered, form=form, page="start", examples=examples().items()
    )


ROUTES = (Route("/cards/start", start),)
