"""`POST /v1/convert/columns`: a long table by columns, in which what many rows share is said once."""

import csv
import io
from collections.abc import Sequence
from copy import copy
from itertools import repeat
from typing import Any
from xml.sax.saxutils import escape

from fastapi import APIRouter

from api.figures import plain
from api.formats import CSV, MEDIA_TYPES, XML, OwnFormat, shown_as
from api.problems import RESPONSES, domain_problem
from api.routing import PureRoute
from api.v1.convert_columns_schemas import MOST_PROBLEMS, ConvertColumnsAnswer, ConvertColumnsRequest
from api.v1.convert_plans import Plan, Ratio, converted_together, plan_of, rows_by_plan
from domain.errors import DomainError, DomainErrors, MismatchError, NeededError, OutOfRangeError
from domain.quantities import amount_ratio
from domain.units import Measures

MOST_SHOWN = 4_000  # our own limit: as CSV and XML, in which a row takes thrice as long to write
MOST_RATES = 400  # our own limit: so many different conversions are worked out in as short a time
_HEADER = ("amount", "unit", "low", "high", "problem")
_KEYS = ("unit", "to", "ingredient", "packing", "g_per_ml", "egg_class")


class _Table:
    """The answer while it is filled in: the rows that ask the same are converted together."""

    def __init__(self, rows: int) -> None:
        """Start with gaps."""
        self.amount: list[float | None] = [None] * rows
        self.low: list[float | None] = [None] * rows
        self.high: list[float | None] = [None] * rows
        self.rate: list[int | None] = [None] * rows
        self.plans: list[Plan] = []
        self.problems: dict[int, DomainError] = {}


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
    table, constant, columns = _Table(len(body.amount)), *_columns(body)
    amounts = _ratios(body.amount, table.problems)
    asked = zip(*columns.values(), strict=True) if columns else repeat((), len(amounts))
    rows_of = rows_by_plan(zip(asked, amounts, strict=True))
    if len(rows_of) > MOST_RATES:
        raise OutOfRangeError(f"At most {MOST_RATES} different conversions in one table: send it in parts.")
    amount, low, high, rate = table.amount, table.low, table.high, table.rate
    for varying, rows in rows_of.items():
        try:
            plan = _plan(constant | dict(zip(columns, varying, strict=True)), body.measures)
        except DomainError as error:
            table.problems |= dict.fromkeys(rows.positions, error)
            continue
        number = len(table.plans)
        table.plans.append(plan)
        for row, found, least, most, _ in converted_together(plan, rows, table.problems):
            amount[row], low[row], high[row], rate[row] = found, least, most, number
    return table


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
