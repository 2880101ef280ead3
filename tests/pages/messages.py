"""Every message that a card can show, as its code and templates mark them."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from babel.messages.extract import extract_python
from jinja2.ext import babel_extract

from api.pages.cards.head import TITLES
from domain.errors import UnreadableError
from domain.reference import rows
from domain.shop.label_rules import label_lines
from domain.things.eggs import EGG_CLASSES
from domain.tins.text import UNKNOWN_SHAPES, parse_tin

PAGES = Path(__file__).parents[2] / "api" / "pages"
KEYWORDS = {"_": None, "N_": None, "text": None, "count": (1, 2), "gettext": None, "ngettext": (1, 2)}


def messages() -> set[str]:
    """The messages of the cards in English; of a plural, the singular."""
    return {*_marked(), *TITLES.values(), *_of_tables()} - {"None"}  # of a call whose message is a variable


def messages_of_answers() -> set[str]:
    """The messages of answers that a card shows in its language, besides those that have a code in the catalogue."""
    return {*_refused_shapes(), *(line.label_name for line in label_lines("eu"))}


def _refused_shapes() -> Iterator[str]:
    for shape in UNKNOWN_SHAPES:
        with pytest.raises(UnreadableError) as refusal:
            parse_tin(f"{shape} 20 x 30 cm")
        yield refusal.value.detail


def _marked() -> Iterator[str]:
    for path in [*(PAGES / "cards").glob("*.py"), *(PAGES.parent / "drawings").glob("*.py")]:
        with path.open("rb") as file:
            yield from (_first(message) for _, _, message, _ in extract_python(file, KEYWORDS, (), {}))
    for path in (PAGES / "templates" / "cards").glob("*.html"):
        with path.open("rb") as file:
            yield from (_first(message) for _, _, message, _ in babel_extract(file, tuple(KEYWORDS), (), {}))


def _first(message: object) -> str:
    return str(message[0] if isinstance(message, tuple) else message)


def _of_tables() -> Iterator[str]:
    yield from (row["text"] for table in ("cautions", "shop_cautions") for row in rows(table))
    yield from {egg_class.region for egg_class in EGG_CLASSES.values()}
