"""`POST /v1/convert/columns`: a long table by columns, in which what many rows share is said once."""

import csv
import io
from collections.abc import Iterator, Sequence
from copy import copy
from itertools import repeat
from typing import Any, NamedTuple, get_args
from xml.sax.saxutils import escape

from fastapi import APIRouter

from api.v1.convert.columns.schemas import (
    MAX_ROWS,
    MOST_PROBLEMS,
    Cell,
    CellNumber,
    ConvertColumnsAnswer,
    ConvertColumnsRequest,
    EmptyCell,
)
from api.v1.convert.plans import Plan, Ratio, converted, plan_of
from api.wire.figures import plain
from api.wire.formats import CSV, MEDIA_TYPES, XML, CustomFormat, response_formats
from api.wire.problems import RESPONSES, domain_problem
from api.wire.quick import limited, many, reader, struct
from api.wire.routing import PureRoute, read_body_with
from api.wire.schemas import Density, EggClassName, IngredientName, MeasuresName, PackingName, UnitName
from domain.errors import DomainError, DomainErrors, MismatchError, NeededError, OutOfRangeError
from domain.measures.quantities import amount_ratio
from domain.measures.units import Measures
from domain.things.conversion import Rate, at_rates

MOST_SHOWN = 4_000  # our own limit: as CSV and XML, in which a row takes thrice as long to write
MOST_RATES = 400  # our own limit: so many different conversions are worked out in as short a time
_HEADER = ("amount", "unit", "low", "high", "problem")
MOST_ODD = 1_000  # our own limit: of amounts that take ten times as long, all different
_Row = tuple[float | None, float | None, float | None, int | None]
_Asked = tuple[Any, ...]  # what the columns say in a row
_GAP: _Row = (None, None, None, None)
_KEYS = ("unit", "to", "ingredient", "packing", "g_per_ml", "egg_class")


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
        g_per_ml=many(limited(Density) | limited(EmptyCell) | None, MAX_ROWS) | limited(Density) | None,
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
@read_body_with(read_columns)
@response_formats(
    csv=CustomFormat(MEDIA_TYPES[CSV], _as_csv),
    xml=CustomFormat(MEDIA_TYPES[XML], _as_xml),
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
    asked = zip(*columns.values(), strict=True) if columns else repeat((), len(amounts))
    # What differs from row to row, numbered as it is first asked for; of a row without an amount nothing is asked.
    found = dict[_Asked, int]()
    numbers: list[int | None] = [
        None if amount is None else found.setdefault(one, len(found))
        for one, amount in zip(asked, amounts, strict=True)
    ]
    if len(found) > MOST_RATES:
        raise OutOfRangeError(f"At most {MOST_RATES} different conversions in one table: send it in parts.")
    plans, place, refused = list[Plan](), dict[int | None, int](), dict[int | None, DomainError]()
    for one, number in found.items():
        try:
            plans.append(_plan(constant | dict(zip(columns, one, strict=True)), body.measures))
            place[number] = len(plans) - 1
        except DomainError as error:
            refused[number] = error
    if refused:
        problems |= {row: refused[number] for row, number in enumerate(numbers) if number in refused}
        numbers = [place.get(number) for number in numbers]
    rates: dict[int | None, Rate] = {number: plan.rate for number, plan in enumerate(plans) if plan.rate is not None}
    given = [amount for amount in amounts if amount is not None]
    if len(given) == len(amounts) and rates.keys() >= set(numbers):
        try:
            return _Table(*at_rates(given, map(rates.__getitem__, numbers)), numbers, plans, problems)
        except OutOfRangeError:
            pass  # which one is found out by converting them singly
    amount, low, high, rate = zip(*_singly(amounts, numbers, plans, problems), strict=True)
    return _Table(amount, low, high, rate, plans, problems)


def _singly(
    amounts: Sequence[Ratio | None],
    numbers: Sequence[int | None],
    plans: Sequence[Plan],
    problems: dict[int, DomainError],
) -> Iterator[_Row]:
    """Amount, low, high and number of the plan of each row; what is the same is converted, or refused, once."""
    done: dict[tuple[Ratio, int], _Row | DomainError] = {}
    odd = 0
    for row, (amount, number) in enumerate(zip(amounts, numbers, strict=True)):
        if amount is None or number is None:
            yield _GAP
            continue
        outcome = done.get((amount, number))
        if outcome is None:
            plan = plans[number]
            try:
                outcome = (*converted(amount, plan)[0], number)
            except DomainError as error:
                error.path = error.path or ("amount",)
                outcome = error
            done[amount, number] = outcome
            odd += plan.rate is None or isinstance(outcome, DomainError)
            if odd > MOST_ODD:
                raise OutOfRangeError(
                    f"At most {MOST_ODD:,} different amounts of a table may be temperatures or out of range: send it in"
                    " parts.",
                    path=("amount", row),
                )
        if isinstance(outcome, DomainError):
            problems[row] = outcome
            yield _GAP
        else:
            yield outcome


def _ratios(written: list[Any], problems: dict[int, DomainError]) -> Sequence[Ratio | None]:
    """Every amount as two integers; none for one that is not given, or cannot be read, which becomes a problem."""
    if None not in written and "" not in written:
        try:
            return list(map(amount_ratio, written))
        except DomainError:
            pass  # which one is found out by reading them singly
    ratios, unread = list[Ratio | None](), dict[str | float, DomainError]()
    for row, one in enumerate(written):
        ratio = None
        if one in unread:
            problems[row] = unread[one]
        elif not _is_empty(one):
            try:
                ratio = amount_ratio(one)
            except DomainError as error:
                problems[row] = unread[one] = error.within("amount")
                if len(unread) > MOST_ODD:
                    raise OutOfRangeError(
                        f"More than {MOST_ODD:,} different amounts here cannot be read; the first is in row"
                        f" {min(problems)}: {problems[min(problems)].detail}",
                        path=("amount", min(problems)),
                    ) from None
        ratios.append(ratio)
    return ratios


def _is_empty(cell: object) -> bool:
    """A sheet's empty cell is an empty text, or a blank one."""
    return cell is None or (isinstance(cell, str) and not cell.strip())


def _plan(asked: dict[str, Any], measures: Measures | None) -> Plan:
    filled = {name: None if _is_empty(cell) else cell for name, cell in asked.items()}
    for name in ("unit", "to"):
        if filled[name] is None:
            raise NeededError(f"Give `{name}` in this row too.", path=(name,))
    return plan_of(*(filled[name] for name in _KEYS), measures)


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
    return {name: value for name, value in given.items() if name not in columns}, columns


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
