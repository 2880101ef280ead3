"""`/cards/offline`: the page that a device shows, without a connection, for a card that it has not kept."""

from starlette.requests import Request
from starlette.responses import Response
from starlette.routing import Route

from api.pages.cards.rendering import card_page, words_for


async def offline(request: Request) -> Response:
    """The page, kept by the service worker when it is installed."""
    return card_page(request, "offline.html", words_for(request), entered={})


ROUTES = (Route("/cards/offline", offline),)
