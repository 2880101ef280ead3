"""The language of a card: its message catalogue, and its numbers.

A further language is one folder in `api/pages/locale` with a catalogue `LC_MESSAGES/cards.po`.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from io import BytesIO, StringIO
from typing import Any

from babel import Locale, negotiate_locale
from babel.messages.mofile import write_mo
from babel.messages.pofile import read_po
from babel.numbers import get_decimal_symbol
from babel.support import NullTranslations, Translations

from api.pages.cards.fields import N_
from domain.errors import DomainError
from domain.reading.names import name_in
from domain.reading.values import LANGUAGES as NAMED
from domain.things.ingredients import find_ingredient

NBSP = "\N{NO-BREAK SPACE}"
DOMAIN = "cards"
SOURCE = "en"  # the language of the messages in the code
SHAPES = {
    "square": N_("square"),
    "rectangle": N_("rectangle"),
    "round": N_("round"),
    "ring": N_("ring"),
    "hexagon": N_("hexagon"),
    "octagon": N_("octagon"),
    "cavities": N_("cavities"),
}
_DECIMAL_SIGN = re.compile(r"(?<=[0-9])[.,](?=[0-9]{1,2}(?![0-9]))")  # before three digits it may separate thousands
_BETWEEN_SIZES = re.compile(r"(?<=[0-9a-z]) x (?=[0-9])")
MAX_RANGES = 20  # our own limit: languages of an Accept-Language header that are read
_LOCALES = files("api.pages") / "locale"
LANGUAGES = (SOURCE, *sorted(folder.name for folder in _LOCALES.iterdir() if folder.is_dir()))


@dataclass(frozen=True, slots=True, kw_only=True)
class Words:
    """The words and the numbers of one language."""

    language: str
    catalogue: NullTranslations
    decimal_sign: str

    def text(self, message: str, **values: object) -> str:
        """A message of the catalogue, with its values filled in; with values, a percent sign is written `%%`."""
        translated = self.catalogue.gettext(message)
        return translated % values if values else translated

    def count(self, singular: str, plural: str, count: int, **values: object) -> str:
        """A message in the plural form for a count, which it may name as `%(count)s`."""
        return self.catalogue.ngettext(singular, plural, count) % {"count": count, **values}

    def by_code(self, kind: str, item: Mapping[str, Any], names: str = "") -> tuple[str, str]:
        """The message of a warning, remark, problem or question, and its language.

        The messages of the API are English and have codes; the catalogue has a sentence for a code.

        Args:
            kind: `warning`, `remark`, `problem` or `question`, the context of the message in the catalogue.
            item: with `code` and `message`, and perhaps `value` and `limit`, which the message may name.
            names: of the ingredients that it is about, which the message may name as `%(names)s`.
        Returns:
            The message in this language, or the English one of the item where the catalogue has none that fits.
        """
        code = item["code"]
        message = str(self.catalogue.pgettext(kind, code))
        values = {name: self.number(item[name], 1) for name in ("value", "limit") if name in item}
        values |= {"names": names} if names else {}
        english = str(item["message"])
        if names and not any(name in english for name in names.split(", ")):
            english = f"{names}: {english}"
        try:
            return (english, SOURCE) if message == code else (message % values, self.language)
        except KeyError:  # the message names something that this item does not have
            return english, SOURCE

    def tin(self, written: str) -> str:
        """A tin as it is shown: shape and decimal sign of this language, and a sign of multiplication between sizes."""
        shape, _, sizes = written.partition(" ")
        shown = f"{self.text(SHAPES[shape])} {sizes}" if shape in SHAPES else written
        return _BETWEEN_SIZES.sub(" × ", self.decimals(shown))

    def decimals(self, written: str) -> str:
        """A text of the API, such as 7.5 g, with the decimal sign of this language."""
        return _DECIMAL_SIGN.sub(self.decimal_sign, written)

    def ingredient(self, written: str, identity: str | None = None) -> str:
        """The usual name of an ingredient in this language.

        Args:
            written: its name in the formula, which stays in English, or where the language has no name for it.
            identity: its id, if it is known.
        """
        if self.language == SOURCE or self.language not in NAMED:
            return written
        try:
            identity = identity or find_ingredient(written).id
        except DomainError:
            return written
        return name_in(identity, self.language) or written

    def number(self, value: float, decimals: int = 3) -> str:
        """A number with the decimal sign of the language, without zeros at its end and without groups of thousands.

        Groups are left out because `1.478 g` can be read as about one and a half grams.
        """
        digits = f"{value:.{decimals}f}"
        if "." in digits:
            digits = digits.rstrip("0").rstrip(".")
        return ("0" if digits == "-0" else digits).replace(".", self.decimal_sign)

    def grams(self, value: float, decimals: int = 1) -> str:
        """A mass in grams with its unit; `decimals` at most."""
        return f"{self.number(value, decimals)}{NBSP}g"

    def mm(self, value: float) -> str:
        """A length in millimetres with its unit."""
        return f"{self.number(value, 0)}{NBSP}mm"


@cache  # as many entries as there are catalogues
def words_of(language: str) -> Words:
    """The words of one of `LANGUAGES`."""
    sign = get_decimal_symbol(Locale.parse(language))
    return Words(language=language, catalogue=_catalogue(language), decimal_sign=sign)


def language_titles() -> tuple[tuple[str, str], ...]:
    """The languages of the cards, each with its own name for itself."""
    return tuple((name, str(Locale.parse(name).display_name)) for name in LANGUAGES)


def language_of(chosen: str | None, accept_language: str) -> str:
    """The language of a page.

    Args:
        chosen: the page's parameter `lang`; other values than those of `LANGUAGES` do not count.
        accept_language: the header field of the request.
    """
    if chosen in LANGUAGES:
        return chosen
    preferred = [name for _, name in sorted(_ranges(accept_language), key=lambda each: -each[0])]
    return negotiate_locale(preferred, LANGUAGES, sep="-") or SOURCE


def _ranges(accept_language: str) -> Iterator[tuple[float, str]]:
    for each in accept_language.split(",")[:MAX_RANGES]:
        name, _, weight = each.partition(";q=")
        name = name.strip()
        try:
            quality = float(weight or 1)
        except ValueError:
            continue
        if quality > 0 and name.isascii() and name.replace("-", "").isalpha():
            yield quality, name


def _catalogue(language: str) -> NullTranslations:
    if language == SOURCE:
        return NullTranslations()
    text = (_LOCALES / language / "LC_MESSAGES" / f"{DOMAIN}.po").read_text("utf-8")
    compiled = BytesIO()
    write_mo(compiled, read_po(StringIO(text), locale=language))
    compiled.seek(0)
    return Translations(compiled)
