"""From the rows of a table to the answer of `POST /v1/convert/columns`, as JSON, CSV or XML."""

from collections.abc import Iterable, Sequence
from copy import copy
from typing import Any, NamedTuple

from api.v1.convert.answers import Figures, Plan, converted_figures, plan_of, unlikely_of
from api.v1.convert.columns.reading import COLUMNS, MAX_SLOW_AMOUNTS, read_rows, row_count
from api.v1.convert.columns.schemas import MAX_PROBLEMS, ConversionColumnsRequest
from api.v1.convert.reading import Ratio
from api.wire import table_writing
from api.wire.answers import warnings
from api.wire.figures import readable
from api.wire.problems import domain_problem
from api.wire.table_writing import Cell
from domain.errors import DomainError, DomainErrors, OutOfRangeError
from domain.notices import Notice

MAX_SHOWN = 4_000  # our own limit: as CSV or XML, in which a row takes three times as long to write
_HEADER = ("ingredient", "amount", "unit", "amount_low", "amount_high", "problem")
_EMPTY_ROW: Sequence[Cell] = (None,) * (len(_HEADER) - 1)  # beside its ingredient
_COLUMN_OF = {"amount": "amounts", **{field: column for column, field in COLUMNS.items()}}


class _Columns(NamedTuple):
    """The rows of a table: for each its figures and the place of its plan; None for empty and bad rows."""

    figures: list[Figures | None]
    rate: list[int | None]
    plans: list[Plan]
    errors: dict[int, list[DomainError]]
    unlikely: dict[int, Notice]


def columns_answer(body: ConversionColumnsRequest) -> dict[str, Any]:
    """The answer as columns."""
    columns = _convert(body)
    converted = [figures for figures in columns.figures if figures is not None]
    amount, low, high = zip(*converted, strict=True) if converted else ((), (), ())
    return {
        "converted_rows": [row for row, rate in enumerate(columns.rate) if rate is not None],
        "amounts": amount,
        "amounts_low": low,
        "amounts_high": high,
        "row_rates": [rate for rate in columns.rate if rate is not None],
        "rates": [plan.rate for plan in columns.plans],
        "warnings": warnings(
            columns.unlikely[row].within("amounts", row) for row in sorted(columns.unlikely)[:MAX_PROBLEMS]
        ),
        "problem_count": len(columns.errors),
        "problems": [_problem(row, errors, body) for row, errors in sorted(columns.errors.items())[:MAX_PROBLEMS]],
    }


def as_csv(body: ConversionColumnsRequest) -> bytes:
    """The answer as CSV, one line for each row."""
    return table_writing.as_csv(_HEADER, _rows(body))


def as_xml(body: ConversionColumnsRequest) -> bytes:
    """The answer as XML, one element for each row."""
    return table_writing.as_xml(_HEADER, _rows(body))


def _convert(body: ConversionColumnsRequest) -> _Columns:
    count, plans, errors = row_count(body), list[Plan](), dict[int, list[DomainError]]()
    figures: list[Figures | None] = [None] * count
    rate: list[int | None] = [None] * count
    unlikely = dict[int, Notice]()
    slow = set[tuple[Ratio, int]]()  # temperatures and amounts out of range
    for question, (rows, amounts, unreadable), unread in read_rows(body, errors):
        refused, plan = list(unread), None
        try:
            plan = plan_of(question)
        except (DomainError, DomainErrors) as refusal:
            refused += refusal.errors if isinstance(refusal, DomainErrors) else [refusal]
        if refused or plan is None:
            errors |= {row: errors.get(row, []) + refused for row in rows + unreadable}
            continue
        if not rows:
            continue
        place = len(plans)
        if plan.conversion.rate is None:
            slow.update((amount, place) for amount in amounts)
            _check_work(slow)
        plans.append(plan)
        unlikely |= {rows[index]: notice for index, notice in unlikely_of(amounts, plan)}
        for row, ratio, converted in zip(rows, amounts, _figures(amounts, plan), strict=True):
            if isinstance(converted, DomainError):
                errors[row] = [converted]
                slow.add((ratio, place))
            else:
                figures[row], rate[row] = converted, place
        _check_work(slow)
    unlikely = {row: notice for row, notice in unlikely.items() if rate[row] is not None}
    return _Columns(figures, rate, plans, errors, unlikely)


def _check_work(slow: set[tuple[Ratio, int]]) -> None:
    if len(slow) > MAX_SLOW_AMOUNTS:
        raise OutOfRangeError(
            f"At most {MAX_SLOW_AMOUNTS:,} different amounts of a table may be temperatures or out of range: send it in"
            " parts.",
            path=("amounts",),
            value=len(slow),
            limit=MAX_SLOW_AMOUNTS,
        )


def _figures(amounts: list[Ratio], plan: Plan) -> Iterable[Figures | DomainError]:
    try:
        return converted_figures(amounts, plan)[0]
    except DomainError:  # convert each different amount by itself, to find those that are out of range
        figures = {amount: _figures_or_error(amount, plan) for amount in set(amounts)}
        return [figures[amount] for amount in amounts]


def _figures_or_error(amount: Ratio, plan: Plan) -> Figures | DomainError:
    try:
        return converted_figures([amount], plan)[0][0]
    except DomainError as error:
        return error


def _problem(row: int, errors: list[DomainError], body: ConversionColumnsRequest) -> dict[str, Any]:
    placed = [copy(error) for error in errors]  # rows share them
    for error in placed:
        if error.path:
            column = _COLUMN_OF.get(str(error.path[0]), str(error.path[0]))
            cells = len(getattr(body, column))
            error.path = (column, row if cells > 1 else 0) if cells else (column,)
    return {"row": row, "problem": domain_problem(placed, in_query=False)}


def _rows(body: ConversionColumnsRequest) -> list[Sequence[Cell]]:
    """The rows of a table, each after its ingredient as it was sent; an empty row has no other values."""
    if (count := row_count(body)) > MAX_SHOWN:
        message = f"CSV and XML have at most {MAX_SHOWN:,} rows: request JSON, or send the table in parts."
        raise OutOfRangeError(message, path=("amounts",), value=count, limit=MAX_SHOWN)
    columns = _convert(body)
    rows: list[Sequence[Cell]] = [
        _EMPTY_ROW if figures is None or rate is None else (figures[0], columns.plans[rate].unit, *figures[1:], None)
        for figures, rate in zip(columns.figures, columns.rate, strict=True)
    ]
    for row, notice in columns.unlikely.items():
        rows[row] = (*rows[row][:-1], notice.message)
    for number, (row, errors) in enumerate(sorted(columns.errors.items())):
        shown = errors if number < MAX_PROBLEMS else [error.brief() for error in errors]
        rows[row] = (*_EMPTY_ROW[:-1], " ".join(error.detail for error in shown))
    names = [readable(name) or None for name in body.ingredients or [""]]
    return [(name, *row) for name, row in zip(names * count if len(names) == 1 else names, rows, strict=True)]
