"""`/cards/cuts`: where to cut one slab, as a page for the bench tablet and the printer."""

from http import HTTPStatus

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from api.pages.cards.cut_card import CAUTIONS, card_of
from api.pages.cards.cut_form import FORM, FormErrors, asked_in, compute
from api.pages.rendering import page
from api.v1.cuts.reading import read_cut
from domain.cutting.budget import CutBudget

EXAMPLE = (
    "/cards/cuts?tin=square%2023%20cm&portions=16&mix_grams=1478&bake_loss_percent=11&label=Ginger%20parkin%20slab"
)


async def cuts(request: Request) -> Response:
    """The card; the empty form without a query; the form with every error if there are any."""
    asked = asked_in(request.query_params)
    if not asked:
        return page(request, "cuts.html", form=FORM, asked=asked, faults=(), example=EXAMPLE)
    try:
        layout, notices = compute(asked, lambda query: read_cut(query).cut(CutBudget()))
    except FormErrors as error:
        status = HTTPStatus.UNPROCESSABLE_ENTITY
        return page(request, "cuts.html", status=status, form=FORM, asked=asked, faults=error.errors)
    card = card_of(layout, notices, asked)
    return page(request, "cut_card.html", card=card, form=FORM, asked=asked, faults=(), cautions=CAUTIONS)


ROUTES = (Route("/cards/cuts", cuts),)
