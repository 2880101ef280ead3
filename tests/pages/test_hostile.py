"""Whatever an address says, every card is a page: no error of the service, no element of the caller's, bounded work."""

import re
from html.parser import HTMLParser
from urllib.parse import quote_plus

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from api.pages.cards.fields import LABELS, CardQuery, query_string
from api.pages.cards.head import TITLES
from api.pages.cards.routes import ROUTES
from tests.api.conftest import Call
from tests.pages.conftest import EXAMPLES, PARKIN, Get

CARDS = [name for name in TITLES if any(route.path == f"/cards/{name}" for route in ROUTES)]
HOSTILE = '<script>alert(1)</script>" onload="x\' {{ 7 * 7 }} %(count)s %s \x00 \U0001f370 \u202e'
FIELDS = [*CardQuery.model_fields, "answer.1", "other.2", "slab", "mix_grams", "candles"]
TEXTS = st.one_of(
    st.text(max_size=40),
    st.sampled_from(
        [HOSTILE, "0", "-1", "1e400", "nan", "9" * 400, "1/0", "x 0", "x 1e9", "²", "1,5", "1.500", "a:b:c"]
    ),
    st.sampled_from([str(value) for job in EXAMPLES.values() for value in job.values()]),
    st.sampled_from(
        ["round 20 x 5 cm", "cavities 12 x 80 ml", "gn-1-1 x 65 mm", "ring 25 x 8 cm", "1500 g", "us", "eu_m"]
    ),
    st.sampled_from(
        ["150 °C fan", "gas mark 4", "16", "26 mm", "de", "1:200 g plain flour", "Nuggets", "tray: 24 tins"]
    ),
)
QUERIES = st.dictionaries(st.sampled_from(FIELDS), st.lists(TEXTS, min_size=1, max_size=3), max_size=8)


class Elements(HTMLParser):
    """The attributes of a page as a browser reads them, and what its scripts hold."""

    def __init__(self) -> None:
        super().__init__()
        self.handlers: list[str] = []
        self.inline: list[str] = []
        self._script = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.handlers += [name for name, _ in attrs if name.startswith("on") or name == "style"]
        self._script = tag in {"script", "style"}

    def handle_data(self, data: str) -> None:
        if self._script and data.strip():
            self.inline.append(data)


def check(status: int, text: str) -> None:
    assert status in {200, 422}, text[:2_000]
    elements = Elements()
    elements.feed(text)
    assert not elements.handlers
    assert not elements.inline


@pytest.mark.parametrize("card", CARDS)
@given(query=QUERIES, on=st.sampled_from([{}, *EXAMPLES.values()]))
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_a_random_address_is_a_page(get: Get, card: str, query: dict[str, list[str]], on: dict[str, str]) -> None:
    answer = get(card, on, **query)
    assert answer.headers["content-type"] == "text/html; charset=utf-8"
    check(answer.status_code, answer.text)


@pytest.mark.parametrize("card", CARDS)
@pytest.mark.parametrize("name", [*LABELS, "nothing<script>"])
def test_text_of_the_caller_is_escaped(call: Call, card: str, name: str) -> None:
    query = query_string({field: value for field, value in PARKIN.items() if field != name})
    answer = call("GET", f"/cards/{card}?{query}&{quote_plus(name)}={quote_plus(HOSTILE)}")
    check(answer.status_code, answer.text)
    assert "<script>alert" not in answer.text
    assert " 49 " not in answer.text


@pytest.mark.parametrize("card", CARDS)
def test_an_address_of_16_kb_is_read(get: Get, card: str) -> None:
    """The recipe's own text travels in the address."""
    lines = [f"{100 + i} g plain flour, sifted twice and kept at the back of the shelf, bag {i}" for i in range(50)]
    recipe = "\n".join(["A long bake", "Tin: square 30 x 6 cm", *lines])
    recipe += "\n" + "\n".join(f"Note {i}: " + "keep it cool and dry. " * 20 for i in range(28))
    answer = get(card, recipe=recipe, want="x 2", oven="150 celsius fan", minutes="50", depth="30 mm")
    assert len(str(answer.url)) > 16_000
    assert answer.status_code in {200, 422}
    assert "A long bake" in answer.text
    assert 'class="qr"' not in answer.text  # too long for a code that a telephone reads from paper


def test_another_spelling_of_an_address_leads_to_the_card_of_the_job(get: Get, call: Call) -> None:
    """A form sends empty fields, and the ends of lines as CR and LF."""
    page = get("weigh", PARKIN)
    address = str(page.url).replace("%0A", "%0D%0A") + "&tin=&want_depth="
    again = call("GET", address)
    assert (str(again.url), again.text) == (str(page.url), page.text)
    assert [each.status_code for each in again.history] == [303]


def test_a_page_grows_with_its_address_and_not_faster(get: Get) -> None:
    """Each link to another card holds the address once, so a page is at most a dozen times as long."""
    recipe = "100 g butter\n" + "Keep it cool and dry.\n" * 190
    answer = get("weigh", recipe=recipe)
    assert answer.status_code == 200
    assert len(answer.text) < 20 * len(str(answer.url))


def test_no_card_loads_anything_from_elsewhere(get: Get) -> None:
    for card in CARDS:
        answer = get(card, PARKIN)
        policy = answer.headers["content-security-policy"]
        assert policy.startswith("default-src 'none'")
        assert not re.search(r"https?:|\*|unsafe", policy)
        assert not re.search(r'(?:src|href|action)="(?:https?:)?//', answer.text)
