"""The request and the answer of a table by columns."""

from typing import Annotated

from pydantic import Field

from api.wire.problems import Problem
from api.wire.schemas import Answer, MeasuresName, Schema, SourceRef, TopicAnswer, Warned

MAX_ROWS = 10_000  # our own limit: this many rows take some hundredths of a second
MAX_PROBLEMS = 100  # our own limit: a table with more problems is the wrong table
_CELL_LENGTH = 80  # our own limit: no name is longer

Cell = Annotated[str, Field(max_length=_CELL_LENGTH)]
Column = Annotated[list[Cell], Field(min_length=1, max_length=MAX_ROWS)]
OptionalColumn = Annotated[list[Cell], Field(max_length=MAX_ROWS)]


class ConversionColumnsRequest(Schema):
    """A table by columns. Each column has one text for each row, or one text for all rows; empty text is none."""

    amounts: Column = Field(
        description="Amounts as text: a decimal, `1/3`, `1 1/2`, `1½`. Empty text leaves its row empty.",
        examples=[["1 1/2", "200", ""]],
    )
    units: Column = Field(description="The unit of each amount, as in `/v1/units`.", examples=[["us_cup", "g", "g"]])
    to: Column = Field(description="The unit to convert to.", examples=[["g"]])
    ingredients: OptionalColumn = Field(
        default=[], description="Names of ingredients.", examples=[["plain flour", "butter", ""]]
    )
    packings: OptionalColumn = Field(
        default=[], description="How each measure was filled.", examples=[["spooned", "", ""]]
    )
    g_per_ml: OptionalColumn = Field(
        default=[],
        description="Densities measured by the caller, in grams per millilitre.",
        examples=[["0.55"]],
    )
    egg_classes: OptionalColumn = Field(
        default=[], description="Egg classes, for rows that count eggs.", examples=[["eu_m"]]
    )
    measures: MeasuresName | None = None


class RateAnswer(Answer):
    """What several rows have in common; one `unit` is `factor` of the unit `to`."""

    unit: str = Field(description="The unit of the amounts.", examples=["us_cup"])
    to: str = Field(description="The unit of the answer.", examples=["g"])
    ingredient_id: str | None = Field(default=None, description="The ingredient.", examples=["plain-flour"])
    factor: float | None = Field(
        default=None, description="Left out for temperatures, which have no constant factor.", examples=[125.0]
    )
    factor_low: float | None = Field(default=None, description="The least factor.", examples=[112.1])
    factor_high: float | None = Field(default=None, description="The largest factor.", examples=[159.7])
    cited: list[SourceRef] = Field(description="Where the figures of all its rows were published.")
    warnings: list[Warned] = Field(description="What to know before using its rows.")


class RowProblem(Answer):
    """A row that could not be converted."""

    row: int = Field(ge=0, description="Its position in the columns, from 0.", examples=[1])
    problem: Problem = Field(description="Everything that is wrong with it.")


Figures = Annotated[list[float], Field(examples=[[187.5, 0.2]])]


class ConversionColumnsAnswer(TopicAnswer):
    """The columns of the answer, for the rows that were converted; `converted_rows` says which they are."""

    converted_rows: list[int] = Field(
        description="The position of each converted row in the request, in order. Empty and bad rows are left out.",
        examples=[[0, 1]],
    )
    amounts: Figures = Field(description="The converted amount of each of the `converted_rows`.")
    amounts_low: Figures = Field(description="The least that published figures support.")
    amounts_high: Figures = Field(description="The most that published figures support.")
    row_rates: list[int] = Field(description="The place in `rates` of the rate of each row.", examples=[[0, 1]])
    rates: list[RateAnswer] = Field(description="What rows have in common, said once.")
    warnings: list[Warned] = Field(description=f"Amounts beyond any kitchen: the first {MAX_PROBLEMS}.")
    problem_count: int = Field(description="How many rows could not be converted.", examples=[0])
    problems: list[RowProblem] = Field(description=f"The problems of bad rows: the first {MAX_PROBLEMS}.")
