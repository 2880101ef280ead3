"""What reading a recipe gives: lines, questions, what was kept, and the formula."""

from dataclasses import dataclass
from typing import Literal, NamedTuple

from domain.measures.units import Measures

Language = Literal["en", "de", "fr"]
LANGUAGES: tuple[Language, ...] = ("en", "de", "fr")
Decimal = Literal["point", "comma"]
_WITH_POINT: tuple[Measures, ...] = ("us", "uk", "au", "jp")  # whose countries write a decimal point
RemarkCode = Literal["taken", "disagreement", "too_many_components", "too_many_lines"]
Kind = Literal["line", "question", "kept"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingOptions:
    """What the writer of a recipe took for granted; None where the caller has not said.

    Names of ingredients are looked up in `language` first; without one, in English and then in the other languages.
    """

    language: Language | None = None
    measures: Measures | None = None
    decimal: Decimal | None = None
    egg_class: str | None = None

    @property
    def decimal_sign(self) -> Decimal | None:
        """The decimal sign that was given, or the language's own, or that of the countries that use the measures."""
        if self.decimal is not None:
            return self.decimal
        if self.language is not None:
            return "point" if self.language == "en" else "comma"
        return "point" if self.measures in _WITH_POINT else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Remark:
    """Something that the reader took or noticed, in words."""

    code: RemarkCode
    message: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One answer to a question: the text to put in place of the line, or the value of the `field` that is asked."""

    text: str
    label: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What the reader must not guess. `field` is the option that would answer it for all lines; "" for one line."""

    code: str
    message: str
    choices: tuple[Choice, ...] = ()
    field: str = ""


class LineReading(NamedTuple):
    """How one line, or one ingredient of a line, was read; `rule` names the rule of the grammar that read it.

    `quantity`, `low` and `high` are quantities as text. `ingredient` is a name that `find_ingredient` knows.
    `kept_as` says why a kept line is no ingredient. `depth` is that of what fills the tin.

    A NamedTuple, because an answer holds hundreds of them.
    """

    text: str
    start: int
    end: int
    kind: Kind
    rule: str
    ingredient: str = ""
    ingredient_id: str = ""
    quantity: str = ""
    low: str = ""
    high: str = ""
    packing: str = ""
    preparation: str = ""
    notes: tuple[str, ...] = ()
    size: str = ""
    egg_class: str = ""
    kept_as: str = ""
    heading: str = ""
    tin: str = ""
    tins: int = 1
    depth: str = ""
    oven: str = ""
    fan: bool | None = None
    minutes: float | None = None
    yields: int | None = None
    questions: tuple[Question, ...] = ()
    remarks: tuple[Remark, ...] = ()
