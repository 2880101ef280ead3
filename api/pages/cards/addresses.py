"""One address for each card, so that ticks and kept cards are found again whichever way led to the card."""

from collections.abc import Awaitable, Callable

from starlette.requests import Request
from starlette.responses import RedirectResponse, Response
from starlette.routing import Route

from api.pages.cards.fields import entered_in, pairs_of, query_string
from api.wire.public_url import link_to
from api.wire.request_state import ACCESS_TOKEN

# Our own limit: a proxy reads the header fields of an answer into a buffer, 16 kB in our template.
MAX_LOCATION = 8_000


def with_one_address(route: Route) -> Route:
    """A route that leads from other spellings of a card's address to the one that the cards link to.

    A form sends empty fields, and the lines of a text with CR and LF. An address with a key is answered as it is.

    Args:
        route: of a card.
    """
    endpoint: Callable[[Request], Awaitable[Response]] = route.endpoint

    async def answer(request: Request) -> Response:
        address = _other_address(request)
        if address is None:
            return await endpoint(request)
        return RedirectResponse(address, 303, {"Cache-Control": "no-store", "Vary": "Accept-Language"})

    return Route(route.path, answer)


def _other_address(request: Request) -> str | None:
    entered = entered_in(request.query_params)
    # The order of the fields does not matter: links and redirects write it alike.
    if sorted(pairs_of(entered)) == sorted(request.query_params.multi_items()):
        return None
    if getattr(request.state, ACCESS_TOKEN, None):
        return None
    query = query_string(entered)
    path = request.scope["path"].removeprefix(request.scope.get("root_path", ""))
    address = link_to(f"{path}?{query}" if query else path)
    return address if len(address) <= MAX_LOCATION else None
