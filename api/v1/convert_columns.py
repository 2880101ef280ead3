"""`POST /v1/convert/columns`: a long table by columns, in which what many rows share is said once."""

import csv
import io
from collections.abc import Callable, Sequence
from copy import copy
from typing import Any, NamedTuple, get_args
from xml.sax.saxutils import escape

from fastapi import APIRouter

from api.figures import plain
from api.formats import CSV, MEDIA_TYPES, XML, OwnFormat, shown_as
from api.problems import RESPONSES, domain_problem
from api.quick import limited, many, reader, struct
from api.routing import PureRoute, read_by
from api.schemas import Density, EggClassName, IngredientName, MeasuresName, PackingName, UnitName
from api.v1.convert_columns_schemas import (
    MAX_ROWS,
    MOST_PROBLEMS,
    Cell,
    CellNumber,
    ConvertColumnsAnswer,
    ConvertColumnsRequest,
)
from api.v1.convert_plans import Plan, Ratio, converted, plan_of
from domain.conversion import Rate, at_rates
from domain.errors import DomainError, DomainErrors, MismatchError, NeededError, OutOfRangeError
from domain.quantities import amount_ratio
from domain.units import Measures

MOST_SHOWN = 4_000  # our own limit: as CSV and XML, in which a row takes thrice as long to write
MOST_RATES = 400  # our own limit: so many different conversions are worked out in as short a time
_HEADER = ("amount", "unit", "low", "high", "problem")
_GAP = (None, None, None, None)
_KEYS = ("unit", "to", "ingredient", "packing", "g_per_ml", "egg_class")


class _Plans(dict[tuple[Any, ...], int | None]):
    """The plans of a table: by what rows ask for, the plan's number, or none where that is refused."""

    def __init__(self, plan_for: Callable[[tuple[Any, ...]], Plan]) -> None:
        """*plan_for* works one out, or refuses to."""
        super().__init__()
        self.plan_for = plan_for
        self.plans: list[Plan] = []
        self.refused: dict[tuple[Any, ...], DomainError] = {}

    def __missing__(self, asked: tuple[Any, ...]) -> int | None:
        """What is asked for the first time."""
        if len(self) == MOST_RATES:
            raise OutOfRangeError(f"At most {MOST_RATES} different conversions in one table: send it in parts.")
        try:
            self.plans.append(self.plan_for(asked))
            self[asked] = len(self.plans) - 1
        except DomainError as error:
            self.refused[asked] = error
            self[asked] = None
        return self[asked]


class _Table(NamedTuple):
    """The answer by columns; `problems` by row."""

    amount: Sequence[float | None]
    low: Sequence[float | None]
    high: Sequence[float | None]
    rate: Sequence[int | None]
    plans: Sequence[Plan]
    problems: dict[int, DomainError]


_COLUMN = many(limited(Cell) | None, MAX_ROWS)
read_columns = reader(
    struct(
        "Columns",
        amount=many(limited(CellNumber) | limited(Cell) | None, MAX_ROWS),
        unit=_COLUMN | limited(UnitName),
        to=_COLUMN | limited(UnitName),
        ingredient=_COLUMN | limited(IngredientName) | None,
        packing=_COLUMN | limited(PackingName) | None,
        g_per_ml=many(limited(Density) | None, MAX_ROWS) | limited(Density) | None,
        egg_class=_COLUMN | limited(EggClassName) | None,
        measures=get_args(MeasuresName.__value__)[0] | None,
    )
)
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
@read_by(read_columns)
@shown_as(
    csv=OwnFormat(MEDIA_TYPES[CSV], _as_csv),
    xml=OwnFormat(MEDIA_TYPES[XML], _as_xml),
)
async def post_convert_columns(body: ConvertColumnsRequest) -> dict[str, Any]:
    """The same conversions as `/v1/convert`, for up to 10,000 rows: what rows share is said once, in `rates`.

    A calculation; nothing is stored, and repeating it is safe. POST only because the question is a table.
    """
    table = _convert(body)
    return {
        "amount": table.amount,
        "low": table.low,
        "high": table.high,
        "rate": table.rate,
        "rates": [plan.said for plan in table.plans],
        "problem_count": len(table.problems),
        "problems": [_problem(row, error, body) for row, error in sorted(table.problems.items())[:MOST_PROBLEMS]],
    }


def _convert(body: ConvertColumnsRequest) -> _Table:
    constant, columns = _columns(body)
    problems = dict[int, DomainError]()
    amounts = _ratios(body.amount, problems)
    asked = list(zip(*columns.values(), strict=True)) if columns else [()] * len(amounts)
    known = _Plans(lambda varying: _plan(constant | dict(zip(columns, varying, strict=True)), body.measures))
    numbers = list(map(known.__getitem__, asked))
    rates: dict[int | None, Rate] = {i: plan.rate for i, plan in enumerate(known.plans) if plan.rate is not None}
    given = [amount for amount in amounts if amount is not None]
    if len(given) == len(numbers) and rates.keys() >= set(numbers):
        try:
            return _Table(*at_rates(given, map(rates.__getitem__, numbers)), numbers, known.plans, problems)
        except OutOfRangeError:
            pass  # which one is found out by converting them singly
    rows = list[tuple[float | None, float | None, float | None, int | None]]()
    for row, (amount, number, one) in enumerate(zip(amounts, numbers, asked, strict=True)):
        rows.append(_GAP)
        if amount is None:
            continue
        if number is None:
            problems[row] = known.refused[one]
            continue
        try:
            rows[row] = (*converted(amount, known.plans[number])[0], number)
        except DomainError as error:
            error.path = error.path or ("amount",)
            problems[row] = error
    found, low, high, rate = zip(*rows, strict=True)
    return _Table(found, low, high, rate, known.plans, problems)


def _ratios(written: list[Any], problems: dict[int, DomainError]) -> Sequence[Ratio | None]:
    """Every amount as two integers; none for one that is not given, or cannot be read, which becomes a problem."""
    if None not in written and "" not in written:
        try:
            return list(map(amount_ratio, written))
        except DomainError:
            pass  # which one is found out by reading them singly
    ratios = list[Ratio | None]()
    for row, one in enumerate(written):
        try:
            ratios.append(None if one is None or not str(one).strip() else amount_ratio(one))
        except DomainError as error:
            problems[row] = error.under("amount")
            ratios.append(None)
    return ratios


def _plan(asked: dict[str, Any], measures: Measures | None) -> Plan:
    for name in ("unit", "to"):
        if asked[name] is None:
            raise NeededError(f"Give `{name}` in this row too.", path=(name,))
    return plan_of(*(asked[name] for name in _KEYS), measures)


def _columns(body: ConvertColumnsRequest) -> tuple[dict[str, Any], dict[str, list[Any]]]:
    """What is the same for all rows, and the columns that have one value a row, as many as there are amounts."""
    given = {name: getattr(body, name) for name in _KEYS}
    columns = {name: column for name, column in given.items() if isinstance(column, list)}
    rows, errors = len(body.amount), list[DomainError]()
    for name, column in columns.items():
        if len(column) != rows:
            message = f"This column has {len(column):,} rows, and amount {rows:,}: give one for each, or one for all."
            errors.append(MismatchError(message, path=(name,), code="rows-differ"))
    if errors:
        raise DomainErrors(errors)
    # A sheet's empty cell is an empty text.
    filled = {name: [cell or None for cell in column] if "" in column else column for name, column in columns.items()}
    return {name: value for name, value in given.items() if name not in columns}, filled


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
    units = [plan.to.id for plan in table.plans]
    lines = [
        ("", "", "", "", "")
        if rate is None or amount is None or low is None or high is None
        else (plain(amount), units[rate], plain(low), plain(high), "")
        for amount, low, high, rate in zip(table.amount, table.low, table.high, table.rate, strict=True)
    ]
    for number, (row, error) in enumerate(sorted(table.problems.items())):
        lines[row] = ("", "", "", "", (error if number < MOST_PROBLEMS else error.brief()).detail)
    return lines
