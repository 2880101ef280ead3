"""German cards hold no English text: what stands on both pages is data, or is the same word in both languages."""

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from importlib.resources import files
from io import StringIO
from urllib.parse import parse_qsl, urlsplit

import pytest
from babel.messages.pofile import read_po

from api.pages.cards.start import examples
from api.pages.cards.words import LANGUAGES, SHAPES, words_of
from api.pages.cards.written import read_written
from domain.tins.text import parse_tin
from tests.api.conftest import Call
from tests.clients.browser.jobs import JOBS

CARDS = {f"{job} {card}": path for job, of_job in JOBS.items() for card, path in of_job.items()}
CARDS |= {"empty start": "/cards/start?", "offline": "/cards/offline?", "cut form": "/cards/cuts?"}
# Attributes that a person sees or hears, or that the script shows.
SHOWN = (
    "alt",
    "aria-label",
    "placeholder",
    "title",
    "data-confirm",
    "data-kept-text",
    "data-timer-due",
    "data-timer-label",
)
UNSEEN = {"style", "script", "option"}  # egg classes and languages are offered under their own names
# Symbols and names that every language has.
SAME = {"g", "kg", "mm", "cm", "ml", "l", "min", "in", "x", "C", "F", "Tinwright", "English", "Deutsch"}
WORD = re.compile("[A-Za-zÄÖÜäöüßà-ÿ]+")


class Texts(HTMLParser):
    """The texts of a page, each without its numbers; and those that are marked as English."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: set[str] = set()
        self.english: set[str] = set()
        self._open: list[tuple[str, str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        values = dict(attrs)
        self._open.append((tag, values.get("lang") or (self._open[-1][1] if self._open else "")))
        if tag in {"meta", "link", "input", "br", "img"}:
            self._open.pop()
        self.texts |= {_without_numbers(values[name] or "") for name in SHOWN if name in values}

    def handle_endtag(self, tag: str) -> None:
        while self._open and self._open.pop()[0] != tag:
            pass

    def handle_data(self, data: str) -> None:
        if not data.strip() or not self._open or self._open[-1][0] in UNSEEN:
            return
        self.texts.add(_without_numbers(data))
        if self._open[-1][1] == "en":
            self.english.add(data.strip())


def _without_numbers(text: str) -> str:
    return " ".join(WORD.findall(text))


def texts_of(html: str) -> Texts:
    texts = Texts()
    texts.feed(html)
    return texts


def same_words() -> Iterator[str]:
    """Words of messages that are the same in German."""
    catalogue = files("api.pages") / "locale" / "de" / "LC_MESSAGES" / "cards.po"
    for message in read_po(StringIO(catalogue.read_text("utf-8"))):
        if message.id and message.id == message.string:
            yield from WORD.findall(str(message.id))


@pytest.mark.parametrize("name", CARDS)
def test_a_german_card_holds_no_english_text(call: Call, name: str) -> None:
    path = CARDS[name]
    pages = {lang: call("GET", f"{path}&lang={lang}".replace("?&", "?")) for lang in ("en", "de")}
    assert {page.status_code for page in pages.values()} == {200}
    english, german = (texts_of(pages[lang].text) for lang in ("en", "de"))
    assert len(german.texts) >= 4
    data = {word for _, value in parse_qsl(urlsplit(path).query) for word in WORD.findall(value)}
    data |= {word for example in examples() for word in example.split()}
    allowed = data | SAME | set(same_words())
    untranslated = {text for text in english.texts & german.texts if set(text.split()) - allowed}
    if name.endswith(" label"):  # the label itself and its rules are in the language of the market
        untranslated -= {_without_numbers(text) for text in german.english}
    else:
        assert not german.english
    assert not untranslated


def test_the_check_finds_an_untranslated_text() -> None:
    page = '<html lang="de"><p>Fill to 26 mm</p><p><span lang="en">Check it.</span></p><b aria-label="Cut"></b></html>'
    texts = texts_of(page)
    assert {"Fill to mm", "Cut"} <= texts.texts
    assert texts.english == {"Check it."}


TINS = [
    "square 20 x 5.5 cm",
    "rectangle 30 x 20 x 5 cm",
    "round 26 cm",
    "ring 25 x 8 x 7 cm",
    "hexagon 24 x 5 cm",
    "octagon 24 x 5 cm",
    "cavities 24 x 110 ml x 38 mm",
]


@pytest.mark.parametrize("tin", TINS)
@pytest.mark.parametrize("language", LANGUAGES)
def test_a_tin_is_read_as_the_page_shows_it(tin: str, language: str) -> None:
    """What a card calls a tin, a baker types into its field."""
    shown = words_of(language).tin(tin)
    assert parse_tin(read_written({"tin": shown.replace("×", "x")}, "comma")[0]["tin"]) == parse_tin(tin)  # type: ignore[arg-type]
    assert {tin.partition(" ")[0] for tin in TINS} == set(SHAPES)
