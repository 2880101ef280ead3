"""The cards of the demo shop's jobs, as their start page offers them."""

from api.pages.cards.fields import CardFields, query_string
from api.pages.cards.routes import CARDS as ROUTES
from api.pages.cards.start import examples

PARKIN, RYE = (
    {**job, **cuts}
    for job, cuts in zip(
        examples().values(),
        ({"portions": "24", "bake_loss_percent": "11"}, {"wedges": "12", "bake_loss_percent": "12"}),
        strict=True,
    )
)
SIZES = ["rectangle 20 x 30 x 5 cm", "round 20 x 7 cm", "square 15 x 6 cm"]
NAMES = [route.path.removeprefix("/cards/") for route in ROUTES]
# What a card needs beside the job.
MORE: dict[str, CardFields] = {
    "sizes": {"want": SIZES, "portions": "", "wedges": ""},
    "bake": {"baked_depth": "35 mm"},
    "day": {"order": ["3 tins", "36 pieces"], "bowl": "4 kg", "shelves": "4", "per_shelf": "3"},
    "label": {"market": "uk", "may_contain": "almond, sesame"},
}


def address(card: str, job: CardFields = PARKIN, **changes: str | list[str]) -> str:
    """The address of a card of a job."""
    fields = {name: value for name, value in {**job, **MORE.get(card, {}), **changes}.items() if value}
    return f"/cards/{card}?{query_string(fields)}"


JOBS = {
    "parkin": {card: address(card) for card in NAMES},
    "rye": {card: address(card, RYE) for card in NAMES},
    "unordered": {card: address(card, order="", market="") for card in ("day", "label")},
}
