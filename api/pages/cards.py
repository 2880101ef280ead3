"""`/cards/cuts`: where to cut one slab, as a page for the bench tablet and the printer."""

from http import HTTPStatus

from pydantic import ValidationError
from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from api.pages.card_form import FORM, Asked, asked_in, errors_of, read_query
from api.pages.cut_card import CAUTIONS, Card, card_of
from api.pages.rendering import page
from api.v1.cuts.reading import read_cut
from domain.cutting.budget import CutBudget
from domain.errors import DomainError, DomainErrors

EXAMPLE = (
    "/cards/cuts?tin=square%2023%20cm&portions=16&mix_grams=1478&bake_loss_percent=11&label=Ginger%20parkin%20slab"
)


async def cuts(request: Request) -> Response:
    """The card; the empty form without a query; the form with every error if there are any."""
    asked = asked_in(request.query_params)
    if not asked:
        return page(request, "cuts.html", form=FORM, asked=asked, faults=(), example=EXAMPLE)
    try:
        card = _card(asked)
    except (ValidationError, DomainError, DomainErrors) as error:
        status = HTTPStatus.UNPROCESSABLE_ENTITY
        return page(request, "cuts.html", status=status, form=FORM, asked=asked, faults=errors_of(error))
    return page(request, "cut_card.html", card=card, form=FORM, asked=asked, faults=(), cautions=CAUTIONS)


def _card(asked: Asked) -> Card:
    layout, notices = read_cut(read_query(asked)).cut(CutBudget())
    return card_of(layout, notices, asked)


ROUTES = (Route("/cards/cuts", cuts),)
