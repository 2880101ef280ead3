"""Requests and answers of `/v1/convert`."""

from typing import Annotated, NotRequired

from pydantic import Field
from typing_extensions import TypedDict

from api.wire.problems import Problem
from api.wire.schemas import (
    AmountText,
    Answer,
    Density,
    EggClassName,
    IngredientName,
    MeasuresName,
    PackingName,
    QuantityText,
    Query,
    Schema,
    SourceRef,
    TopicAnswer,
    UnitName,
    Warned,
)

MAX_ITEMS = 1_000  # our own limit: a table of this size takes a few milliseconds

RowText = Annotated[
    str,
    Field(
        min_length=1,
        max_length=300,
        examples=["1.5|us_cup|plain-flour", "200|g|butter|us_tbsp", "1/3|us_cup|dark-brown-sugar||packed"],
        description="`amount|unit|ingredient|to|packing`; an empty part is taken from the parameter of that name.",
    ),
]
TargetUnit = Annotated[UnitName, Field(description="The unit to convert to, as in `/v1/units`.", examples=["g", "ml"])]
Converted = Annotated[float, Field(examples=[187.5])]


class ConversionQuery(Query):
    """One conversion."""

    amount: AmountText
    unit: UnitName
    to: TargetUnit = "g"
    ingredient: IngredientName | None = None
    packing: PackingName | None = None
    g_per_ml: Density | None = None
    egg_class: EggClassName | None = None
    measures: MeasuresName | None = None


class ConversionRowsQuery(Query):
    """One `item` for each row of a table, and what the rows leave out."""

    item: list[RowText] = Field(
        min_length=1,
        max_length=MAX_ITEMS,
        description="A row of the table, in order: `amount|unit|ingredient|to|packing`.",
        examples=[["1.5|us_cup|plain-flour", "200|g|butter|us_tbsp"]],
    )
    unit: UnitName | None = None
    to: TargetUnit = "g"
    ingredient: IngredientName | None = None
    packing: PackingName | None = None
    g_per_ml: Density | None = None
    egg_class: EggClassName | None = None
    measures: MeasuresName | None = None


class ConversionItemRequest(TypedDict):
    """One row: `quantity`, or `amount` and `unit`, and the unit to convert to."""

    # A dictionary, because models are slower to validate.
    __pydantic_config__ = Schema.model_config  # type: ignore[misc]  # as pydantic has it

    quantity: NotRequired[QuantityText | None]
    amount: NotRequired[AmountText | None]
    unit: NotRequired[UnitName | None]
    to: TargetUnit
    ingredient: NotRequired[IngredientName | None]
    packing: NotRequired[PackingName | None]
    g_per_ml: NotRequired[Density | None]
    egg_class: NotRequired[EggClassName | None]


class ConversionsRequest(Schema):
    """A table of conversions. A bad row is answered with a problem in its place; the others are converted."""

    items: list[ConversionItemRequest] = Field(
        min_length=1,
        max_length=MAX_ITEMS,
        description="The rows, in order.",
        examples=[[{"quantity": "1 1/2 us_cup", "to": "g", "ingredient": "plain flour"}]],
    )
    measures: MeasuresName | None = None


class ConversionAnswer(TopicAnswer):
    """The amount in the requested unit, with its range."""

    amount: Converted = Field(description="The central figure.")
    unit: str = Field(description="The id of the requested unit.", examples=["g"])
    amount_low: Converted = Field(description="The least that published figures support.")
    amount_high: Converted = Field(description="The most that published figures support.")
    cited: list[SourceRef] = Field(description="Where the figures were published.")
    warnings: list[Warned] = Field(description="What to know before using the amount.")


class ConversionItem(Answer):
    """The answer to one row, or the problem that it has."""

    ingredient: str | None = Field(default=None, description="As it was sent.", examples=["plain flour"])
    answer: ConversionAnswer | None = Field(default=None, description="Left out if the row has a problem.")
    problem: Problem | None = Field(default=None, description="Why the row could not be converted.")


class ConversionsAnswer(TopicAnswer):
    """One answer or problem for each row, in order."""

    items: list[ConversionItem] = Field(description="One for each row, in order.")
    problem_count: int = Field(description="How many rows could not be converted.", examples=[0])
