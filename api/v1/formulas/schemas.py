"""Requests and answers of `/v1/formulas`."""

from typing import Annotated, Literal

from pydantic import Field

from api.v1.job.schemas import Formula
from api.wire.schemas import WHOLE, Answer, EggClassName, MeasuresName, Query, Schema, TopicAnswer, Warned
from domain.reading.lines import MAX_LINE
from domain.reading.texts import MAX_LINES, MAX_TEXT

LanguageName = Annotated[
    Literal["en", "de", "fr"],
    Field(
        description="Decides the decimal sign and which words come first. Without it, words of all languages are read.",
        examples=["en"],
    ),
]
DecimalName = Annotated[
    Literal["point", "comma"],
    Field(description="The decimal sign; if left out, that of `language`.", examples=["comma"]),
]
LineNumber = Annotated[
    int, Field(ge=1, le=MAX_TEXT, description="The line's number in the text, from 1.", examples=[3]), WHOLE
]
LineText = Annotated[
    str,
    Field(
        min_length=1, max_length=MAX_LINE, description="One line of a recipe.", examples=["225 g (8 oz) butter, soft"]
    ),
]
Code = Annotated[str, Field(description="What is asked or remarked.", examples=["taken"])]
Message = Annotated[str, Field(description="The same in a sentence.", examples=["The middle of 2 to 3 is taken."])]
Amount = Annotated[str, Field(description="An amount and its unit.", examples=["225 g"])]


class AnsweredLine(Schema):
    """What to read in place of a line, such as the text of a choice."""

    line: LineNumber
    text: LineText


class ReadRequest(Schema):
    """A recipe: one of `text` and `lines`."""

    text: Annotated[
        str | None,
        Field(
            min_length=1,
            max_length=MAX_TEXT,
            description=f"A recipe as it is, headings and method included; at most {MAX_LINES} lines.",
            examples=["225 g plain flour\n2 large eggs"],
        ),
    ] = None
    lines: Annotated[
        list[Annotated[str, Field(max_length=MAX_TEXT, description="One line.", examples=["2 large eggs"])]] | None,
        Field(
            min_length=1,
            max_length=MAX_LINES,
            description="The lines of a recipe, instead of `text`.",
            examples=[["2 large eggs"]],
        ),
    ] = None
    measures: MeasuresName | None = None
    language: LanguageName | None = None
    decimal: DecimalName | None = None
    egg_class: EggClassName | None = Field(default=None, description="The class of eggs of which no size is written.")
    answers: list[AnsweredLine] = Field(
        default=[], max_length=MAX_LINES, description="Answers to the questions of an earlier reading, by line."
    )


class ReadLineQuery(Query):
    """One line, as query parameters."""

    text: LineText
    measures: MeasuresName | None = None
    language: LanguageName | None = None
    decimal: DecimalName | None = None
    egg_class: EggClassName | None = Field(default=None, description="The class of eggs of which no size is written.")


class RemarkAnswer(Answer):
    """What was taken or noticed in a line: `taken`, or `disagreement`."""

    code: Code
    message: Message


class ChoiceAnswer(Answer):
    """A text to send back in `answers`, or the value of the question's `field`."""

    text: str = Field(description="What to send back.", examples=["250 g plain flour"])
    label: str = Field(description="What it means.", examples=["plain flour"])


class QuestionAnswer(Answer):
    """What the reader does not guess."""

    code: Code
    message: Message
    choices: list[ChoiceAnswer] = Field(description="Likely answers; others are possible.")
    field: str | None = Field(
        default=None, description="The field of the request that answers it for all lines.", examples=["measures"]
    )


class PlacedQuestionAnswer(QuestionAnswer):
    """A question, with the numbers of all lines that it is about."""

    lines: list[LineNumber] = Field(description="The lines that it is about.", examples=[[2, 5]])


class ReadIngredient(Answer):
    """An ingredient with its amount."""

    ingredient: str = Field(description="A name that every endpoint takes.", examples=["butter"])
    ingredient_id: str = Field(description="Its id in `/v1/ingredients`.", examples=["butter"])
    quantity: Amount
    quantity_low: Amount | None = Field(default=None, description="The least amount that the words may mean.")
    quantity_high: Amount | None = Field(default=None, description="The largest amount that the words may mean.")
    packing: str | None = Field(default=None, description="How the measure was filled.", examples=["packed"])
    preparation: str | None = Field(default=None, description="The words left over.", examples=["soft"])
    notes: list[str] = Field(description="Words such as `plus extra for greasing`.", examples=[["optional"]])
    grams: float | None = Field(default=None, description="Of a single line only.", examples=[225.0])
    grams_low: float | None = Field(default=None, description="The least it may be.", examples=[225.0])
    grams_high: float | None = Field(default=None, description="The most it may be.", examples=[225.0])


class KeptLine(Answer):
    """A line that is no ingredient with an amount."""

    kept_as: Annotated[
        str,
        Field(
            description="Why: `no_amount`, `heading`, `title`, `yield`, `tin`, `oven`, `time` or `text`.",
            examples=["heading"],
        ),
    ]
    tin: str | None = Field(default=None, description="The tin that it names.", examples=["square 23 cm"])
    tins: int | None = Field(default=None, description="How many tins.", examples=[1])
    oven: str | None = Field(default=None, description="The oven setting that it names.", examples=["150 celsius"])
    fan: bool | None = Field(default=None, description="Whether the setting is for a fan oven.", examples=[True])
    minutes: float | None = Field(default=None, description="The bake time that it names.", examples=[47.5])
    yields: int | None = Field(default=None, description="How many the recipe makes.", examples=[24])


class LineReadingAnswer(Answer):
    """How a line was read: as `line`, `question` or `kept`; one line may have several readings."""

    number: LineNumber
    text: str = Field(description="The words that were read.", examples=["225 g (8 oz) butter, soft"])
    start: int = Field(description="Where they start in the text, in characters from 0.", examples=[0])
    end: int = Field(description="Where they end.", examples=[25])
    rule: str = Field(description="The rule of the grammar that read it.", examples=["amount"])
    line: ReadIngredient | None = Field(default=None, description="An ingredient with its amount.")
    question: QuestionAnswer | None = Field(default=None, description="What has to be answered first.")
    kept: KeptLine | None = Field(default=None, description="A line that is no ingredient with an amount.")
    remarks: list[RemarkAnswer] = Field(description="What was taken or noticed.")


class ReadAnswer(TopicAnswer):
    """A recipe as a formula, with a reading of every line."""

    formula: Formula | None = Field(default=None, description="All that could be read, as every endpoint takes it.")
    ready: bool = Field(description="Whether the formula can be sent on as it is.", examples=[True])
    lines: list[LineReadingAnswer] = Field(description="In the order of the text; together they cover it.")
    questions: list[PlacedQuestionAnswer] = Field(description="Every question once.")
    warnings: list[Warned] = Field(description="What else keeps the formula from being sent on.")


class ReadLineAnswer(TopicAnswer):
    """One line of a recipe, in grams too."""

    line: ReadIngredient
    rule: str = Field(description="The rule of the grammar that read it.", examples=["amount"])
    remarks: list[RemarkAnswer] = Field(description="What was taken or noticed.")
