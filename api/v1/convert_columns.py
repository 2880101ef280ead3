"""`POST /v1/convert/columns`: a long table by columns, in which what many rows share is said once."""

import csv
import io
from collections.abc import Iterable
from copy import copy
from itertools import repeat
from typing import Annotated, Any
from xml.sax.saxutils import escape

from fastapi import APIRouter
from pydantic import Field, Tag
from typing_extensions import TypeAliasType

from api.answers import known
from api.figures import plain
from api.formats import CSV, MEDIA_TYPES, XML, OwnFormat, shown_as
from api.problems import RESPONSES, Problem, domain_problem
from api.routing import PureRoute
from api.schemas import (
    FIRST_THAT_FITS,
    LIST_TAG,
    ONE_TAG,
    Amount,
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
from api.v1.convert_plans import Plan, converted, plan_of
from domain.errors import DomainError, DomainErrors, MismatchError, OutOfRangeError
from domain.quantities import amount_ratio
from domain.units import Measures

MAX_ROWS = 10_000  # our own limit: so many hold a worker for a few hundredths of a second
MOST_SHOWN = 4_000  # our own limit: as CSV and XML, in which a row takes thrice as long to write
MOST_RATES = 400  # our own limit: so many different conversions are worked out in as short a time
MOST_PROBLEMS = 100  # our own limit: a table with more is not the one that was meant
_HEADER = ("amount", "unit", "low", "high", "problem")
_KEYS = ("unit", "to", "ingredient", "packing", "g_per_ml", "egg_class")


_MANY = Field(min_length=1, max_length=MAX_ROWS)
_ABOUT = Field(description="One for each row, in order, or one for all of them.")
UnitColumn = TypeAliasType(
    "UnitColumn",
    Annotated[
        Annotated[list[UnitName], _MANY, Tag(LIST_TAG)] | Annotated[UnitName, Tag(ONE_TAG)], FIRST_THAT_FITS, _ABOUT
    ],
)
IngredientColumn = TypeAliasType(
    "IngredientColumn",
    Annotated[
        Annotated[list[IngredientName | None], _MANY, Tag(LIST_TAG)] | Annotated[IngredientName, Tag(ONE_TAG)],
        FIRST_THAT_FITS,
        _ABOUT,
    ],
)
PackingColumn = TypeAliasType(
    "PackingColumn",
    Annotated[
        Annotated[list[PackingName | None], _MANY, Tag(LIST_TAG)] | Annotated[PackingName, Tag(ONE_TAG)],
        FIRST_THAT_FITS,
        _ABOUT,
    ],
)
DensityColumn = TypeAliasType(
    "DensityColumn",
    Annotated[
        Annotated[list[Density | None], _MANY, Tag(LIST_TAG)] | Annotated[Density, Tag(ONE_TAG)],
        FIRST_THAT_FITS,
        _ABOUT,
    ],
)
EggClassColumn = TypeAliasType(
    "EggClassColumn",
    Annotated[
        Annotated[list[EggClassName | None], _MANY, Tag(LIST_TAG)] | Annotated[EggClassName, Tag(ONE_TAG)],
        FIRST_THAT_FITS,
        _ABOUT,
    ],
)


class ConvertColumnsRequest(Schema):
    """A table by columns: `amount` has one figure a row, every other column one a row or one for all of them."""

    amount: list[Amount] = Field(min_length=1, max_length=MAX_ROWS)
    unit: UnitColumn
    to: UnitColumn
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
    sources: list[SourceRef]
    warnings: list[Warned]


class RowProblem(Answer):
    """A row that could not be answered."""

    row: int = Field(ge=0, description="Its position in the columns, from 0.")
    problem: Problem


Figures = Annotated[list[float | None], Field(description="One a row; null where `problems` says why.")]


class ConvertColumnsAnswer(Answer):
    """The columns of the answer, in the order of the rows; a bad row leaves a gap and the others go through."""

    amount: Figures
    low: Figures
    high: Figures
    rate: list[int | None] = Field(description="Which of `rates` each row went by.")
    rates: list[RateAnswer]
    problem_count: int
    problems: list[RowProblem] = Field(description=f"The first {MOST_PROBLEMS}.")


class _Table:
    """The answer while it grows."""

    def __init__(self) -> None:
        """Start without rows."""
        self.figures: list[tuple[float | None, float | None, float | None]] = []
        self.rate: list[int | None] = []
        self.plans: list[Plan] = []
        self.problems: list[tuple[int, DomainError]] = []

    def refuse(self, row: int, error: DomainError) -> None:
        """Leave a gap, and keep why."""
        self.figures.append((None, None, None))
        self.rate.append(None)
        self.problems.append((row, error))


router = APIRouter(prefix="/v1/convert/columns", tags=["convert"], responses=RESPONSES, route_class=PureRoute)


def _as_csv(body: ConvertColumnsRequest) -> bytes:
    out = io.StringIO(newline="")
    writer = csv.writer(out)
    writer.writerow(_HEADER)
    writer.writerows(_rows_of(body))
    return out.getvalue().encode()


def _as_xml(body: ConvertColumnsRequest) -> bytes:
    form = "<row>" + "".join(f"<{name}>%s</{name}>" for name in _HEADER) + "</row>"
    rows = [form % (*figures, escape(problem)) for *figures, problem in _rows_of(body)]
    return f"<?xml version='1.0' encoding='utf-8'?>\n<answer>{''.join(rows)}</answer>".encode()


@router.post(
    "",
    operation_id="convert_columns",
    summary="A table of conversions, by columns",
    response_model=ConvertColumnsAnswer,
)
@shown_as(
    csv=OwnFormat(MEDIA_TYPES[CSV], _as_csv),
    xml=OwnFormat(MEDIA_TYPES[XML], _as_xml),
)
async def post_convert_columns(body: ConvertColumnsRequest) -> dict[str, Any]:
    """The same conversions as `/v1/convert`, for up to 10,000 rows: what rows share is said once, in `rates`.

    A calculation; nothing is stored, and repeating it is safe. POST only because the question is a table.
    """
    table = _convert(body)
    amount, low, high = zip(*table.figures, strict=True)
    return {
        "amount": amount,
        "low": low,
        "high": high,
        "rate": table.rate,
        "rates": [_rate_answer(plan) for plan in table.plans],
        "problem_count": len(table.problems),
        "problems": [_problem(row, error, body) for row, error in table.problems[:MOST_PROBLEMS]],
    }


def _convert(body: ConvertColumnsRequest) -> _Table:
    table, measures = _Table(), body.measures
    by_key: dict[tuple[Any, ...], int | DomainError] = {}
    for row, (written, asked) in enumerate(zip(body.amount, zip(*_columns(body), strict=True), strict=True)):
        found = by_key.get(asked)
        if found is None:
            if len(by_key) == MOST_RATES:
                raise OutOfRangeError(f"At most {MOST_RATES} different conversions in one table: send it in parts.")
            found = by_key[asked] = _planned(table.plans, asked, measures)
        try:
            amount = amount_ratio(written)
            figures = None if isinstance(found, DomainError) else converted(amount, table.plans[found])[0]
        except DomainError as error:
            error.path = error.path or ("amount",)
            table.refuse(row, error)
            continue
        if isinstance(found, DomainError):
            table.refuse(row, found)  # as every row that asks the same
        elif figures is not None:
            table.figures.append(figures)
            table.rate.append(found)
    return table


def _planned(plans: list[Plan], asked: tuple[Any, ...], measures: Measures | None) -> int | DomainError:
    try:
        plans.append(plan_of(*asked, measures))
    except DomainError as error:
        return error
    return len(plans) - 1


def _columns(body: ConvertColumnsRequest) -> list[Iterable[Any]]:
    """Every column but the amounts, as long as they are."""
    rows, columns, errors = len(body.amount), list[Iterable[Any]](), list[DomainError]()
    for name in _KEYS:
        given = getattr(body, name)
        if isinstance(given, list) and len(given) != rows:
            message = f"This column has {len(given):,} rows, and amount {rows:,}: give one for each, or one for all."
            errors.append(MismatchError(message, path=(name,), code="rows-differ"))
        columns.append(given if isinstance(given, list) else repeat(given, rows))
    if errors:
        raise DomainErrors(errors)
    return columns


def _rate_answer(plan: Plan) -> dict[str, Any]:
    rate, ingredient = plan.rate, plan.thing.ingredient
    return known(
        unit=plan.unit.id,
        to=plan.to.id,
        ingredient_id=None if ingredient is None else ingredient.id,
        factor=None if rate is None else float(rate.factor),
        low=None if rate is None else float(rate.low),
        high=None if rate is None else float(rate.high),
        sources=plan.sources,
        warnings=plan.warnings,
    )


def _problem(row: int, error: DomainError, body: ConvertColumnsRequest) -> dict[str, Any]:
    path = error.path
    if path and isinstance(getattr(body, str(path[0]), None), list):
        path = (path[0], row)
    placed = copy(error)  # which other rows share
    placed.path = path
    return {"row": row, "problem": domain_problem([placed], in_query=False)}


def _rows_of(body: ConvertColumnsRequest) -> list[tuple[str, str, str, str, str]]:
    """The table as texts: a figure as the other tables write it, nothing where there is none."""
    if len(body.amount) > MOST_SHOWN:
        message = f"As CSV or XML at most {MOST_SHOWN:,} rows: ask as JSON, or in parts."
        raise OutOfRangeError(message, path=("amount",))
    table = _convert(body)
    told, others = table.problems[:MOST_PROBLEMS], table.problems[MOST_PROBLEMS:]
    why = {row: error.detail for row, error in told} | {row: error.brief().detail for row, error in others}
    units = [plan.to.id for plan in table.plans]
    return [
        ("", "", "", "", why[row])
        if rate is None or amount is None or low is None or high is None
        else (plain(amount), units[rate], plain(low), plain(high), "")
        for row, ((amount, low, high), rate) in enumerate(zip(table.figures, table.rate, strict=True))
    ]
