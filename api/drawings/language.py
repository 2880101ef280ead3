"""The language of the words and figures in a drawing."""

from dataclasses import dataclass
from gettext import NullTranslations

from api.drawings import svg


@dataclass(frozen=True, slots=True, kw_only=True)
class Language:
    """A message catalogue and a decimal sign. Without a catalogue, messages stay in English."""

    translations: NullTranslations
    decimal_sign: str = "."

    def gettext(self, message: str, **values: str | float) -> str:
        """A message, with `%(name)s` replaced by the values."""
        translated = self.translations.gettext(message)
        return translated % values if values else translated

    def ngettext(self, singular: str, plural: str, count: int, **values: str | float) -> str:
        """A message about a count, which stands in it as `%(count)s`."""
        return self.translations.ngettext(singular, plural, count) % {"count": count, **values}

    def figure(self, value: float) -> str:
        """A figure with one decimal, which is left out if it is 0."""
        return svg.figure(value).replace(".", self.decimal_sign)


ENGLISH = Language(translations=NullTranslations())
