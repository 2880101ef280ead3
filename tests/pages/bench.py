"""What the tests of the bake, the dough pieces and the sizes share: a job, and how its pages are read."""

import re
from html import unescape
from html.parser import HTMLParser
from typing import Any
from urllib.parse import urlencode

from tests.api.conftest import Call

RECIPE = """Ginger parkin slab
Tin: square 23 x 5 cm
Bake at 150 °C fan for 48 minutes

Batter:
165 g butter
200 g plain flour
210 g medium oatmeal
6 tbsp golden syrup
4 tsp ground ginger
1 tsp baking powder
2 eggs
175 ml whole milk

Nuggets:
96 g rolled oats
44 g black treacle
36 g butter
"""
PLAIN = {"recipe": RECIPE, "measures": "uk", "egg_class": "eu_m", "depth": "26 mm"}
JOB = PLAIN | {"pieces": "16", "dough": "Nuggets"}


def address(card: str, *dropped: str, **changes: str | list[str]) -> str:
    """The address of a card of the job, without some of its fields and with others changed."""
    fields = {name: value for name, value in JOB.items() if name not in dropped}
    return f"/cards/{card}?{urlencode({**fields, **changes}, doseq=True)}"


def api_formula(call: Call, *, pieces: bool = True) -> dict[str, Any]:
    """The formula of the job, read by the API."""
    read = {"text": RECIPE, "measures": "uk", "egg_class": "eu_m"}
    formula: dict[str, Any] = call("POST", "/v1/formulas/read", json=read).json()["formula"]
    formula |= {"filled_depth": "26 mm"}
    if pieces:
        formula["components"][1]["pieces"] = {"count": 16}
    return formula


def answer(call: Call, path: str, **body: object) -> dict[str, Any]:
    """The answer of an endpoint."""
    response = call("POST", path, json=body)
    assert response.status_code == 200, response.text
    parsed: dict[str, Any] = response.json()
    return parsed


class _Page(HTMLParser):
    """Collects definition lists, and rows of tables by their first cell."""

    def __init__(self) -> None:
        super().__init__()
        self.figures: dict[str, str] = {}
        self.rows: list[list[str]] = []
        self._text: list[str] | None = None
        self._name = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:  # noqa: ARG002 - the base class names it
        if tag in {"dt", "dd", "th", "td"}:
            self._text = []
        if tag == "tr":
            self.rows.append([])

    def handle_endtag(self, tag: str) -> None:
        if self._text is None or tag not in {"dt", "dd", "th", "td"}:
            return
        shown = " ".join("".join(self._text).split())
        if tag == "dt":
            self._name = shown
        elif tag == "dd":
            self.figures[self._name] = shown
        else:
            self.rows[-1].append(shown)
        self._text = None

    def handle_data(self, data: str) -> None:
        if self._text is not None:
            self._text.append(data)


def figures_of(html: str) -> dict[str, str]:
    """The large figures of a page, by their names."""
    return _parsed(html).figures


def rows_of(html: str) -> dict[str, list[str]]:
    """The rows of the page's tables, by the first cell; the first of rows with the same name."""
    rows: dict[str, list[str]] = {}
    for row in _parsed(html).rows:
        if row:
            rows.setdefault(row[0], row[1:])
    return rows


def text_of(html: str) -> str:
    """The visible text of a page, with single spaces."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


def _parsed(html: str) -> _Page:
    page = _Page()
    page.feed(html)
    return page
