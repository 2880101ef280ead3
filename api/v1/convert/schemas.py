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


class ConvertQuery(Query):
    """One conversion (`amount` and `unit`), or one `item` for each row of a table."""

    amount: AmountText | None = None
    unit: UnitName | None = None
    item: list[RowText] = Field(
        default=[], max_length=MAX_ITEMS, description="A row of a table: `amount|unit|ingredient|to|packing`."
    )
    to: UnitName = "g"
    ingredient: IngredientName | None = None
    packing: PackingName | None = None
    g_per_ml: Density | None = None
    egg_class: EggClassName | None = None
    measures: MeasuresName | None = None


class ConvertItem(TypedDict):
    """One row: `quantity`, or `amount` and `unit`, and the unit to convert to."""

    # A dictionary, because models are slower to validate.

    __pydantic_config__ = Schema.model_config  # type: ignore[misc]  # as pydantic has it

    quantity: NotRequired[QuantityText | None]
    amount: NotRequired[AmountText | None]
    unit: NotRequired[UnitName | None]
    to: UnitName
    ingredient: NotRequired[IngredientName | None]
    packing: NotRequired[PackingName | None]
    g_per_ml: NotRequired[Density | None]
    egg_class: NotRequired[EggClassName | None]


class ConvertRequest(Schema):
    """A table of conversions. A bad row is answered with a problem in its place; the others are converted."""

    items: list[ConvertItem] = Field(min_length=1, max_length=MAX_ITEMS)
    measures: MeasuresName | None = None


class ConvertAnswer(Answer):
    """The amount in the requested unit, with its range."""

    amount: float
    unit: str
    low: float
    high: float
    sources: list[SourceRef]
    warnings: list[Warned]


class ConvertProblem(Answer):
    """A row that could not be converted."""

    problem: Problem


type ConvertResult = ConvertAnswer | ConvertProblem


class ConvertAnswers(Answer):
    """One answer or problem for each item, in order."""

    items: list[ConvertResult]


type ConvertOneOrMany = ConvertAnswer | ConvertAnswers
