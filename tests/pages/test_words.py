"""Every message of the cards has a German one, with the same values; numbers have the sign of the language."""

import re
from html import unescape
from importlib.resources import files
from io import StringIO
from typing import Any, get_args

import pytest
from babel.messages.catalog import Catalog
from babel.messages.pofile import read_po

from api.pages.cards.words import LANGUAGES, language_of, words_of
from domain.notices import NoticeCode
from domain.things.eggs import EGG_CLASSES
from tests.pages.conftest import EXAMPLES, PARKIN, Get
from tests.pages.messages import messages, messages_of_answers

TRANSLATED = [language for language in LANGUAGES if language != "en"]
VALUE = re.compile(r"%\((\w+)\)s")


def catalogue(language: str) -> Catalog:
    text = (files("api.pages") / "locale" / language / "LC_MESSAGES" / "cards.po").read_text("utf-8")
    return read_po(StringIO(text), locale=language)


def forms(value: object) -> list[str]:
    return [str(each) for each in value] if isinstance(value, tuple | list) else [str(value)]


def test_german_is_there_and_says_that_it_is_to_be_reviewed() -> None:
    assert "de" in TRANSLATED
    assert (
        "reviewed"
        in (files("api.pages") / "locale" / "de" / "LC_MESSAGES" / "cards.po").read_text("utf-8")[:300].lower()
    )


@pytest.mark.parametrize("language", TRANSLATED)
def test_every_message_is_translated(language: str) -> None:
    translated = catalogue(language)
    there = {text for each in translated if not each.context and all(forms(each.string)) for text in forms(each.id)}
    assert not sorted(messages() - there)


@pytest.mark.parametrize("language", TRANSLATED)
def test_every_translation_is_of_a_message_that_is_shown(language: str) -> None:
    translated = {forms(each.id)[0] for each in catalogue(language) if each.id and not each.context}
    assert not sorted(translated - messages() - messages_of_answers())


@pytest.mark.parametrize("language", TRANSLATED)
def test_a_translation_names_the_values_of_its_message(language: str) -> None:
    for message in catalogue(language):
        if not message.id or message.context:
            continue
        values = set(VALUE.findall(" ".join(forms(message.id))))
        for text in forms(message.string):
            # The singular may say "one" in words.
            assert set(VALUE.findall(text)) | {"count"} == values | {"count"}, message.id
            if values:
                assert text % dict.fromkeys(values, "x")


@pytest.mark.parametrize("language", TRANSLATED)
def test_a_message_of_a_code_names_only_what_warnings_have(language: str) -> None:
    for message in catalogue(language):
        if message.context:
            assert message.context in {"warning", "remark", "problem", "question"}
            assert set(VALUE.findall(str(message.string))) <= {"value", "limit", "names"}
            assert str(message.string) % {"value": 1, "limit": 2, "names": "x"}


# Their sentences name what was taken, or the allergens, and stay in English.
IN_ENGLISH = {"taken", "disagreement", "allergens_depend"}


@pytest.mark.parametrize("language", TRANSLATED)
def test_every_warning_has_a_sentence(language: str) -> None:
    sentences = {message.id for message in catalogue(language) if message.context == "warning"}
    assert set(get_args(NoticeCode)) - sentences == IN_ENGLISH


# RFC 9110, 12.5.4: the language with the highest weight that there is; a language range fits its more general tag.
@pytest.mark.parametrize(
    ("accepted", "language"),
    [
        ("", "en"),
        ("de", "de"),
        ("de-AT,en;q=0.5", "de"),
        ("en,de;q=0.9", "en"),
        ("fr;q=0.9,de;q=0.8,en;q=0.1", "de"),
        ("it", "en"),
        ("de;q=0", "en"),
        ("*", "en"),
        ("de;q=nonsense,en", "en"),
        (";;;,=,\x00," + 9_000 * "x,", "en"),
    ],
)
def test_the_language_is_negotiated(accepted: str, language: str) -> None:
    assert language_of(None, accepted) == language
    assert language_of("en", accepted) == "en"
    assert language_of("tlh", accepted) == language


def test_the_page_says_its_language(get: Get) -> None:
    page = get("weigh", PARKIN, lang="de")
    assert page.headers["content-language"] == "de"
    assert '<html lang="de"' in page.text
    assert "Abwiegen" in page.text


@pytest.mark.parametrize("job", EXAMPLES.values(), ids=EXAMPLES)
@pytest.mark.parametrize("card", ["start", "weigh"])
def test_a_german_card_has_no_english_words_but_those_of_its_recipe(get: Get, card: str, job: dict[str, Any]) -> None:
    """Whatever is the same on both pages is a name of the recipe, a number, or marked as English."""
    english, german = (texts(get(card, job, lang=language).text) for language in ("en", "de"))
    recipe = unescape(" ".join(str(value) for value in job.values())) + " ".join(EXAMPLES)
    same = {text for text in english & german if re.search(r"[A-Za-z]{3}", text) and text not in recipe}
    assert same <= {"English", "Deutsch", "black treacle", *of_egg_classes()}


def of_egg_classes() -> set[str]:
    """Labels of egg classes as they stand on the box, with regions that have one name in both languages."""
    return {f"{each.label}, {each.region}" for each in EGG_CLASSES.values()} | {
        each.region for each in EGG_CLASSES.values()
    }


def texts(page: str) -> set[str]:
    """The texts of a page, without those that are marked as of another language."""
    body = re.sub(r'<span lang="en">.*?</span>', "", page, flags=re.DOTALL)
    body = re.sub(r"<(?:textarea|svg)\b.*?</(?:textarea|svg)>", "", body, flags=re.DOTALL)
    return {" ".join(unescape(text).split()) for text in re.findall(r">([^<]+)<", body)} - {""}


def test_numbers_have_the_sign_of_the_language_and_no_groups() -> None:
    english, german = words_of("en"), words_of("de")
    assert (english.number(1478.25, 1), german.number(1478.25, 1)) == ("1478.2", "1478,2")
    assert (english.number(7.0), german.number(0.4), english.number(-0.01, 1)) == ("7", "0,4", "0")
    assert english.number(100.0, 0) == "100"


def test_a_message_without_a_translation_keeps_its_language() -> None:
    item = {"code": "no_such_code", "message": "Something happened."}
    assert words_of("de").by_code("warning", item) == ("Something happened.", "en")
    warning = {"code": "low_fill", "message": "English", "value": 12.34, "limit": 20.0}
    text, language = words_of("de").by_code("warning", warning)
    assert (language, "12,3" in text) == ("de", True)
    assert words_of("de").by_code("warning", {"code": "low_fill", "message": "English"}) == ("English", "en")


@pytest.mark.parametrize(
    "hint",
    ["quadratisch 20 x 5 cm", "rechteckig 30 x 20 x 5 cm", "rund 26 x 6 cm", "Springform 26 cm", "cavities 12 x 80 ml"],
)
def test_a_tin_can_be_written_as_the_german_hints_say(get: Get, hint: str) -> None:
    assert get("weigh", PARKIN, want=[hint], lang="de", want_depth=None).status_code == 200


def test_a_tin_has_the_decimal_sign_of_the_language() -> None:
    assert words_of("en").tin("27,5 x 18 cm") == words_of("en").tin("27.5 x 18 cm") == "27.5 × 18 cm"
    assert words_of("de").tin("27.5 x 18 cm") == "27,5 × 18 cm"
