"""Templates, and the headers that every page carries."""

import base64
import hashlib
from importlib.resources import files

from jinja2 import Environment, PackageLoader, StrictUndefined, select_autoescape
from starlette.responses import Response

_TEMPLATES = Environment(
    loader=PackageLoader("api.pages"),
    autoescape=select_autoescape(["html"]),
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)
_STYLE = (files("api.pages") / "templates" / "style.css").read_text("utf-8")
_STYLE_HASH = base64.b64encode(hashlib.sha256(_STYLE.encode()).digest()).decode()
HEADERS = {
    # The one style sheet is inside the page and named by its hash; nothing else may load or run.
    "Content-Security-Policy": (
        f"default-src 'none'; style-src 'sha256-{_STYLE_HASH}'; img-src 'self' data:; base-uri 'none'; "
        "form-action 'none'; frame-ancestors 'none'"
    ),
}


def page(template: str, *, status: int = 200, max_age_seconds: int = 3_600, **values: object) -> Response:
    """A page from a template.

    Args:
        template: its file name.
        status: of the response.
        max_age_seconds: how long a cache may keep it.
        values: what the template shows; text is escaped.
    Returns:
        The page, under a content security policy that allows it nothing but its own style.
    """
    html = _TEMPLATES.get_template(template).render(style=_STYLE, **values)
    headers = {**HEADERS, "Cache-Control": f"public, max-age={max_age_seconds}"}
    return Response(html, status_code=status, media_type="text/html", headers=headers)
