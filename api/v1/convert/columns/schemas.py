"""The request and the answer of a table by columns."""

from typing import Annotated

from pydantic import Field, Tag

from api.wire.problems import Problem
from api.wire.schemas import (
    FIRST_THAT_FITS,
    LIST_TAG,
    NUMBER_TAG,
    ONE_TAG,
    TEXT_TAG,
    Answer,
    Density,
    EggClassName,
    IngredientName,
    MeasuresName,
    PackingName,
    Schema,
    SourceRef,
    UnitName,
    Warned,
)
from domain.measures.quantities import MAX_DIGITS

MAX_ROWS = 10_000  # our own limit: so many hold a worker for a few hundredths of a second
MAX_PROBLEMS = 100  # our own limit: a table with more is not the one that was meant

_MANY = Field(min_length=1, max_length=MAX_ROWS)
_ABOUT = Field(description="One for each row, in order (null or empty where there is none), or one for all of them.")
_CELL_LENGTH = 80  # our own limit: of what no name is longer
_MOST = 10.0**MAX_DIGITS  # of which far less is an amount: that is said of the row, and costs it alone
Cell = Annotated[str, Field(max_length=_CELL_LENGTH)]
EmptyCell = Annotated[str, Field(max_length=0)]
CellNumber = Annotated[float, Field(ge=-_MOST, le=_MOST)]
type AmountCell = Annotated[
    Annotated[CellNumber, Tag(NUMBER_TAG)] | Annotated[Cell, Tag(TEXT_TAG)],
    FIRST_THAT_FITS,
    Field(description="A number or text, as elsewhere; empty text, or null, leaves the row empty."),
]
type DensityCell = Annotated[
    Annotated[Density, Tag(NUMBER_TAG)] | Annotated[EmptyCell, Tag(TEXT_TAG)],
    FIRST_THAT_FITS,
    Field(description="A density, or empty text where there is none."),
]
type UnitColumn = Annotated[
    Annotated[list[Cell | None], _MANY, Tag(LIST_TAG)] | Annotated[UnitName, Tag(ONE_TAG)], FIRST_THAT_FITS, _ABOUT
]
# A name of its own: of one that two fields share, a generated Python client makes the same variable twice.
type ToColumn = Annotated[
    Annotated[list[Cell | None], _MANY, Tag(LIST_TAG)] | Annotated[UnitName, Tag(ONE_TAG)], FIRST_THAT_FITS, _ABOUT
]
type IngredientColumn = Annotated[
    Annotated[list[Cell | None], _MANY, Tag(LIST_TAG)] | Annotated[IngredientName, Tag(ONE_TAG)],
    FIRST_THAT_FITS,
    _ABOUT,
]
type PackingColumn = Annotated[
    Annotated[list[Cell | None], _MANY, Tag(LIST_TAG)] | Annotated[PackingName, Tag(ONE_TAG)],
    FIRST_THAT_FITS,
    _ABOUT,
]
type DensityColumn = Annotated[
    Annotated[list[DensityCell | None], _MANY, Tag(LIST_TAG)] | Annotated[Density, Tag(ONE_TAG)],
    FIRST_THAT_FITS,
    _ABOUT,
]
type EggClassColumn = Annotated[
    Annotated[list[Cell | None], _MANY, Tag(LIST_TAG)] | Annotated[EggClassName, Tag(ONE_TAG)],
    FIRST_THAT_FITS,
    _ABOUT,
]


class ConvertColumnsRequest(Schema):
    """A table by columns: `amount` has one figure a row, every other column one a row or one for all of them."""

    amount: list[AmountCell | None] = Field(min_length=1, max_length=MAX_ROWS)
    unit: UnitColumn
    to: ToColumn
    ingredient: IngredientColumn | None = None
    packing: PackingColumn | None = None
    g_per_ml: DensityColumn | None = None
    egg_class: EggClassColumn | None = None
    measures: MeasuresName | None = None


class RateAnswer(Answer):
    """What the rows that share it have in common; `factor` is the unit wanted in one of the unit given."""

    unit: str
    to: str
    ingredient_id: str | None = None
    factor: float | None = Field(default=None, description="Left out where a temperature is read off a scale.")
    low: float | None = None
    high: float | None = None
    sources: list[SourceRef] = Field(description="Of all its rows together.")
    warnings: list[Warned]


class RowProblem(Answer):
    """A row that could not be answered."""

    row: int = Field(ge=0, description="Its position in the columns, from 0.")
    problem: Problem


Figures = Annotated[
    list[float | None],
    Field(description="One a row; null where `problems` says why, and where no amount was given."),
]


class ConvertColumnsAnswer(Answer):
    """The columns of the answer, in the order of the rows; a bad row leaves a gap and the others go through."""

    amount: Figures
    low: Figures
    high: Figures
    rate: list[int | None] = Field(description="Which of `rates` each row went by.")
    rates: list[RateAnswer]
    problem_count: int
    problems: list[RowProblem] = Field(description=f"The first {MAX_PROBLEMS}.")
