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

MAX_ROWS = 10_000  # our own limit: this many rows take some hundredths of a second
MAX_PROBLEMS = 100  # our own limit: a table with more problems is the wrong table

_MANY = Field(min_length=1, max_length=MAX_ROWS)
_ABOUT = Field(description="One value for each row, in order (empty text for none), or one value for all rows.")
_CELL_LENGTH = 80  # our own limit: no name is longer
_MOST = 10.0**MAX_DIGITS  # larger than any amount: an amount out of range is a problem of its row only
Cell = Annotated[str, Field(max_length=_CELL_LENGTH)]
EmptyCell = Annotated[str, Field(max_length=0)]
CellNumber = Annotated[float, Field(ge=-_MOST, le=_MOST)]
type AmountCell = Annotated[
    Annotated[CellNumber, Tag(NUMBER_TAG)] | Annotated[Cell, Tag(TEXT_TAG)],
    FIRST_THAT_FITS,
    Field(description="A number or text. Empty text leaves the row empty."),
]
type DensityCell = Annotated[
    Annotated[Density, Tag(NUMBER_TAG)] | Annotated[EmptyCell, Tag(TEXT_TAG)],
    FIRST_THAT_FITS,
    Field(description="A density, or empty text for none."),
]
type UnitColumn = Annotated[
    Annotated[list[Cell | None], _MANY, Tag(LIST_TAG)] | Annotated[UnitName, Tag(ONE_TAG)], FIRST_THAT_FITS, _ABOUT
]
# A type of its own: for a shared type, a generated Python client declares the same variable twice.
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
    """A table by columns: `amount` has one value for each row; the others have one for each row or one for all."""

    amount: list[AmountCell | None] = Field(min_length=1, max_length=MAX_ROWS)
    unit: UnitColumn
    to: ToColumn
    ingredient: IngredientColumn | None = None
    packing: PackingColumn | None = None
    g_per_ml: DensityColumn | None = None
    egg_class: EggClassColumn | None = None
    measures: MeasuresName | None = None


class RateAnswer(Answer):
    """What several rows have in common; one `unit` is `factor` of the unit `to`."""

    unit: str
    to: str
    ingredient_id: str | None = None
    factor: float | None = Field(default=None, description="Left out for temperatures, which have no constant factor.")
    low: float | None = None
    high: float | None = None
    sources: list[SourceRef] = Field(description="The sources of all its rows together.")
    warnings: list[Warned]


class RowProblem(Answer):
    """A row that could not be converted."""

    row: int = Field(ge=0, description="Its position in the columns, from 0.")
    problem: Problem


Figures = Annotated[
    list[float | None],
    Field(description="One value for each row; null for empty rows and for rows in `problems`."),
]


class ConvertColumnsAnswer(Answer):
    """The columns of the answer, in the order of the rows. A bad row has nulls; the others are converted."""

    amount: Figures
    low: Figures
    high: Figures
    rate: list[int | None] = Field(description="The position in `rates` of the rate of each row.")
    rates: list[RateAnswer]
    problem_count: int
    problems: list[RowProblem] = Field(description=f"The first {MAX_PROBLEMS}.")
