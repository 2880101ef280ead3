"""Templates, and the headers that every page carries."""

import base64
import hashlib
from collections.abc import Callable
from functools import lru_cache
from http import HTTPStatus
from importlib.resources import files
from typing import TYPE_CHECKING

from starlette.requests import Request
from starlette.responses import Response

from api.wire.caching import cacheable_response

if TYPE_CHECKING:
    from jinja2 import Environment

ACCESS_TOKEN = "access_token"  # noqa: S105 - a parameter's name, and where `api.serving.keys.access` puts what it held

_STYLE = (files("api.pages") / "templates" / "style.css").read_text("utf-8")


def hash_source(text: str) -> str:
    """A style or script inside a page, as a content security policy names it: by the hash of what it says."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


# The one style sheet is inside the page; nothing else may load or run, and forms go nowhere but here.
HEADERS = {
    "Content-Security-Policy": (
        f"default-src 'none'; style-src {hash_source(_STYLE)}; img-src 'self'; base-uri 'none'; form-action 'self'; "
        "frame-ancestors 'none'"
    ),
}


@lru_cache(maxsize=1)
def _templates() -> "Environment":
    """Made for the first page that is asked for: programs ask for none, and it takes its part of a start."""
    from jinja2 import Environment, PackageLoader, StrictUndefined, select_autoescape  # noqa: PLC0415

    made = Environment(
        loader=PackageLoader("api.pages"),
        autoescape=select_autoescape(["html"]),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    made.globals["style"] = _STYLE
    return made


def page(request: Request, template: str, *, status: HTTPStatus = HTTPStatus.OK, **values: object) -> Response:
    """A page from a template.

    Args:
        request: for which it is made.
        template: its file name.
        status: of the response; only a page that answers what was asked may be kept by a cache.
        values: what the template shows; text is escaped.
    Returns:
        The page, under a content security policy that allows it nothing but its own style.
    """
    token: str | None = getattr(request.state, ACCESS_TOKEN, None)
    html = _templates().get_template(template).render(link=_carrying(token), access_token=token, **values)
    if status != HTTPStatus.OK:
        headers = {**HEADERS, "Cache-Control": "no-store"}
        return Response(html, status_code=status.value, media_type="text/html", headers=headers)
    kept_seconds: int = request.app.state.settings.max_age_seconds
    return cacheable_response(
        request, html.encode(), media_type="text/html", max_age_seconds=kept_seconds, headers=HEADERS
    )


def _carrying(token: str | None) -> Callable[[str], str]:
    """Who asked with a key in the query goes on with it, from link to link."""

    def link(address: str) -> str:
        return address if token is None else f"{address}{'&' if '?' in address else '?'}{ACCESS_TOKEN}={token}"

    return link
