"""Page templates and the headers of every page."""

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
from api.wire.public_url import link_to, public_origin, public_root
from api.wire.request_state import ACCESS_TOKEN

if TYPE_CHECKING:
    from jinja2 import Environment

_STYLE = (files("api.pages") / "templates" / "style.css").read_text("utf-8")


def hash_source(text: str) -> str:
    """The hash source of an inline style or script for a Content-Security-Policy."""
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode()}'"


_STYLE_HASH = hash_source(_STYLE)


def _policy() -> str:
    """The Content-Security-Policy of a page.

    The only style sheet is inline. Nothing else may load or run, and forms may only be sent to this service.
    """
    service = f"'self' {public_origin(public_root())}".rstrip()
    return (
        f"default-src 'none'; style-src {_STYLE_HASH}; img-src {service}; base-uri 'none'; form-action {service}; "
        "frame-ancestors 'none'"
    )


def new_environment(**shared: object) -> "Environment":
    """A template environment, whose templates all have the *shared* values."""
    from jinja2 import Environment, PackageLoader, StrictUndefined, select_autoescape  # noqa: PLC0415

    environment = Environment(
        loader=PackageLoader("api.pages"),
        autoescape=select_autoescape(["html"]),
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        auto_reload=False,
    )
    environment.globals.update(shared)
    return environment


@lru_cache(maxsize=1)
def _templates() -> "Environment":
    """The environment of the pages, made for the first page: most processes never serve one."""
    return new_environment(style=_STYLE)


def render(template: str, **values: object) -> str:
    """The text of a template.

    Args:
        template: its file name.
        values: the values that it shows; text is escaped.
    """
    return _templates().get_template(template).render(**values)


def page(request: Request, template: str, *, status: HTTPStatus = HTTPStatus.OK, **values: object) -> Response:
    """A page from a template.

    Args:
        request: the request that it answers.
        template: the file name of the template.
        status: the status of the response; only a 200 may be cached.
        values: the values that the template shows; text is escaped.
    Returns:
        The page, with a Content-Security-Policy that allows nothing but its own style.
    """
    token: str | None = getattr(request.state, ACCESS_TOKEN, None)
    html = _templates().get_template(template).render(link=_link_with(token), at=link_to, access_token=token, **values)
    return html_response(request, html, status=status, headers={"Content-Security-Policy": _policy()})


def html_response(request: Request, html: str, *, status: HTTPStatus, headers: dict[str, str]) -> Response:
    """A page with its headers; only a 200 may be cached."""
    if status != HTTPStatus.OK:
        no_store = {**headers, "Cache-Control": "no-store"}
        return Response(html, status_code=status.value, media_type="text/html", headers=no_store)
    kept_seconds: int = request.app.state.settings.max_age_seconds
    return cacheable_response(
        request, html.encode(), media_type="text/html", max_age_seconds=kept_seconds, headers=headers
    )


def _link_with(token: str | None) -> Callable[[str], str]:
    """A function that makes a link to a path, with the access token of this request if it has one."""

    def link(address: str) -> str:
        url = link_to(address)
        return url if token is None else f"{url}{'&' if '?' in url else '?'}{ACCESS_TOKEN}={token}"

    return link
