"""The form of a job: it needs no script, asks what the recipe leaves open, and keeps what was filled in."""

import re
from html import unescape
from html.parser import HTMLParser
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl, urlencode

import pytest
from starlette.datastructures import QueryParams

from api.contract.examples import FOLDER
from api.pages.cards.fields import CardQuery, entered_in, pairs_of
from api.pages.cards.form import SHOWN
from api.settings import Settings
from tests.api.conftest import Call
from tests.pages.conftest import EXAMPLES, PARKIN, Get
from tests.standing.keyed import TABLET, Ask, basic, service_with_keys

ASKED = "Plum slab\n2 cups flour\n2 eggs\n3 tbsp rübensirup\n200 g butter"


class Form(HTMLParser):
    """The form of a page as a browser without script sends it."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.pairs = list[tuple[str, str]]()
        self.choices = dict[str, list[str]]()
        self.action = ""
        self._form = self._select = self._area = ""
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = {name: value or "" for name, value in attrs}
        if tag == "form" and values.get("id") == "job":
            self._form, self.action = "job", values["action"]
            assert values["method"] == "get"
        if self._form != "job":
            return
        name = values.get("name", "")
        if tag == "input" and values.get("type") in {"radio", "checkbox"}:
            self.choices.setdefault(name, []).append(values["value"])
            if "checked" in values:
                self.pairs.append((name, values["value"]))
        elif tag == "input":
            self.pairs.append((name, values.get("value", "")))
        elif tag == "select":
            self._select = name
        elif tag == "option":
            self.choices.setdefault(self._select, []).append(values["value"])
            if "selected" in values:
                self.pairs.append((self._select, values["value"]))
        elif tag == "textarea":
            self._area = name
            self.pairs.append((name, ""))

    def handle_endtag(self, tag: str) -> None:
        self._form = "" if tag == "form" else self._form
        self._area = "" if tag == "textarea" else self._area

    def handle_data(self, data: str) -> None:
        if self._area:
            name, text = self.pairs.pop()
            self.pairs.append((name, text + data))

    def address(self, **filled: str) -> str:
        """The address that the form leads to, with these fields filled in; lines end as a browser sends them."""
        pairs = [(name, value) for name, value in self.pairs if name not in filled] + list(filled.items())
        return f"{self.action}?{urlencode([(name, value.replace(chr(10), '\r\n')) for name, value in pairs])}"


def sent(form: Form) -> dict[str, str | list[str]]:
    """The fields that the form sends as they are."""
    return entered_in(QueryParams(form.pairs))


@pytest.mark.parametrize("job", EXAMPLES.values(), ids=EXAMPLES)
def test_the_form_sends_the_job_that_it_was_filled_with(get: Get, call: Call, job: dict[str, Any]) -> None:
    form = Form(get("start", job).text)
    assert form.action == "/cards/weigh"
    assert sorted(pairs_of(sent(form))) == sorted(pairs_of(job))
    assert call("GET", form.address()).text == get("weigh", job).text


def test_every_field_of_the_address_goes_through_the_form(get: Get) -> None:
    """A field that the form has no input for is hidden in it."""
    job = {name: "1" for name in CardQuery.model_fields if name not in {"lang", "answer"}}
    job |= {"measures": "uk", "language": "en", "decimal": "point", "eggs": "eu_m", "egg_class": "eu_l"}
    form = Form(get("start", job).text)
    names = {name for name, value in form.pairs if value}
    assert names >= set(job) - {"dough"}
    assert CardQuery.model_fields.keys() >= SHOWN


def test_dough_pieces_are_given_by_number_or_by_weight(get: Get) -> None:
    form = get("start", PARKIN).text
    assert 'name="pieces"' in form
    assert 'name="piece_grams"' in form
    fields = {name: value for name, value in PARKIN.items() if name != "pieces"}
    assert "pieces of" in get("weigh", fields, piece_grams="20 g", want=["square 23 x 5 cm"]).text


def test_an_empty_form_asks_for_the_recipe(get: Get, call: Call) -> None:
    page = call("GET", Form(get("start").text).address())
    assert page.status_code == 422
    assert "Paste the recipe" in page.text


def test_questions_are_choices_and_their_answers_travel_in_the_address(get: Get, call: Call) -> None:
    """The whole way of the baker without script: three questions, then one that an answer leads to."""
    page = get("weigh", recipe=ASKED)
    assert page.status_code == 422
    form = Form(page.text)
    assert form.action == "/cards/weigh"
    assert {"eu_m", "us_large"} <= set(form.choices["egg_class"])
    assert "2 cup plain flour" in form.choices["answer.2"]
    assert ("other.4", "3 tbsp rübensirup") in form.pairs
    address = form.address(**{"egg_class": "eu_m", "answer.2": "2 cup plain flour", "other.4": "3 tbsp golden syrup"})
    page = call("GET", address)
    form = Form(page.text)
    assert {"us", "metric"} <= set(form.choices["measures"])
    assert {("answer", "2:2 cup plain flour"), ("answer", "4:3 tbsp golden syrup")} <= set(form.pairs)
    page = call("GET", form.address(measures="us"))
    assert page.status_code == 200
    assert [name for name in ("plain flour", "egg", "golden syrup", "butter") if f"<b>{name}</b>" in page.text]
    # The links to the other cards carry the answers.
    link = unescape(re.findall(r'href="(/cards/start\?[^"]+)"', page.text)[0])
    fields = dict(parse_qsl(link.partition("?")[2]))
    assert (fields["measures"], fields["egg_class"]) == ("us", "eu_m")
    assert call("GET", link.replace("start", "weigh")).text == page.text


def test_words_of_the_bakers_own_replace_a_choice(get: Get, call: Call) -> None:
    form = Form(get("weigh", recipe="200 g flour").text)
    page = call("GET", form.address(**{"answer.1": "200 g plain flour", "other.1": "180 g spelt flour"}))
    assert "<b>spelt flour</b>" in page.text


def test_an_answer_that_asks_again_is_asked_again(get: Get, call: Call) -> None:
    form = Form(get("weigh", recipe="200 g flour", answer=["1:200 g moondust"]).text)
    assert "answer" not in dict(form.pairs)
    assert call("GET", form.address(**{"other.1": "200 g plain flour"})).status_code == 200


def test_the_part_that_is_divided_is_asked(get: Get, call: Call) -> None:
    form = Form(get("weigh", PARKIN, dough=None).text)
    assert form.choices["dough"] == ["Parkin batter", "Nuggets"]
    assert call("GET", form.address(dough="Nuggets")).text == get("weigh", PARKIN).text


@pytest.mark.parametrize("card", ["start", "weigh"])
def test_the_form_and_its_questions_are_a_tap_away_in_each_language(call: Call, card: str) -> None:
    query = urlencode({"recipe": ASKED, "lang": "en"})
    english = call("GET", f"/cards/{card}?{query}").text
    switch = english.split('<nav aria-label="Language">', maxsplit=1)[1].split("</nav>", maxsplit=1)[0]
    links = {title: unescape(link) for link, title in re.findall(r'href="([^"]*)"[^>]*>([^<]*)<', switch)}
    assert list(links) == ["English", "Deutsch"]
    assert re.findall(r'aria-current="page">([^<]*)<', switch) == ["English"]
    german = call("GET", links["Deutsch"]).text
    assert '<html lang="de"' in german
    assert dict(Form(german).pairs)["recipe"] == ASKED
    assert Form(call("GET", links["English"]).text).pairs == Form(english).pairs


def test_the_tins_of_the_shop_are_choices() -> None:
    call = Ask(Settings(shop_file=FOLDER / "shop" / "halfmoon-wharf.csv"))
    form = Form(call("GET", "/cards/start").text)
    assert form.choices["want"][:2] == ["square 23 x 5 cm", "rectangle 20 x 30 x 5 cm"]
    form = Form(call("GET", "/cards/start?own_tin=big+tray:+rectangle+60+x+40+cm&own_tin=round+20+cm").text)
    assert form.choices["want"][:3] == ["rectangle 60 x 40 cm", "round 20 cm", "square 23 x 5 cm"]
    wanted = Form(call("GET", "/cards/start?want=square+23+x+5+cm&want=round+30+cm").text)
    assert [value for name, value in wanted.pairs if name == "want"] == ["square 23 x 5 cm", "round 30 cm"]


def test_a_key_in_the_address_stays_in_forms_and_goes_into_no_link(tmp_path: Path) -> None:
    key, call = TABLET, service_with_keys(tmp_path)
    query = urlencode([*pairs_of(PARKIN), ("access_token", key)])
    for card in ("start", "weigh"):
        page = call("GET", f"/cards/{card}?{query}")
        assert page.status_code == 200
        assert f'name="access_token" value="{key}"' in page.text
        assert not [link for link in re.findall(r'(?:href|src)="([^"]*)"', page.text) if key in link]
        without = call("GET", f"/cards/{card}?{urlencode(list(pairs_of(PARKIN)))}", headers=basic("tablet", key))
        assert without.status_code == 200
        assert key not in without.text
        qr = re.findall(r'<div class="qr".*?</div>', page.text, re.DOTALL)
        assert qr == re.findall(r'<div class="qr".*?</div>', without.text, re.DOTALL)
    assert call("GET", "/static/cards.css").status_code == 200  # a page's own files need no key


@pytest.mark.parametrize(
    ("language", "label"),
    [("en", "7.5 g in one, as it is sold in France"), ("de", "7,5 g je Packung, wie in Frankreich üblich")],
)
def test_what_a_pack_holds_is_said_in_the_language_of_the_page(call: Call, language: str, label: str) -> None:
    recipe = "Käsekuchen\n\n1 kg Magerquark\n1 Päckchen Vanillezucker"
    page = call("GET", f"/cards/weigh?{urlencode({'recipe': recipe, 'lang': language})}")
    assert page.status_code == 422
    assert f"<span>{label}</span>" in page.text
    assert "common practice" not in page.text


def test_an_empty_form_takes_the_recipe_to_be_in_the_language_of_the_page(call: Call) -> None:
    german = call("GET", "/cards/start?lang=de").text
    assert '<option value="de" selected>' in german
    assert "language=de" not in german  # the link to the English page
    assert '<option value="de" selected>' not in call("GET", "/cards/start?lang=en").text
    written = "/cards/start?lang=de&recipe=200+g+butter"
    assert '<option value="de" selected>' not in call("GET", written).text


@pytest.mark.parametrize(
    ("written", "tin"),
    [
        ("12-hole muffin tin", "cavities 12 x 100 ml"),
        ("2lb loaf tin", "rectangle 21 x 11 x 7 cm"),
        ("9x13", "9 x 13 in"),
    ],
)
def test_the_field_for_the_tin_answers_the_question_about_it(call: Call, written: str, tin: str) -> None:
    recipe = f"Cake\n{written} tin\n\n250 g plain flour\n150 g caster sugar"
    form = call("GET", f"/cards/weigh?{urlencode({'recipe': recipe})}")
    assert form.status_code == 422
    answered = call("GET", f"/cards/weigh?{urlencode({'recipe': recipe, 'tin': tin, 'want': 'x 2'})}")
    assert answered.status_code == 200
    assert "500" in answered.text


@pytest.mark.parametrize(
    ("written", "shown"), [("12-hole muffin tin", "Mulden 12 × 100 ml"), ("2lb loaf tin", "rechteckig 23 × 13 × 7 cm")]
)
def test_a_nominal_tin_is_offered_in_the_language_of_the_page(call: Call, written: str, shown: str) -> None:
    recipe = f"Cake\n{written}\n\n250 g plain flour"
    page = call("GET", f"/cards/weigh?{urlencode({'recipe': recipe, 'lang': 'de'})}").text
    assert shown in page
    assert "in the trade" not in page
