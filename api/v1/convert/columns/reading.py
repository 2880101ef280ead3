"""From the columns of `POST /v1/convert/columns` to the amount and the question of each row."""

from collections import defaultdict
from collections.abc import Iterable
from itertools import repeat
from typing import Any, NamedTuple

from api.v1.convert.columns.schemas import ConvertColumnsRequest
from api.v1.convert.reading import Question, Ratio
from domain.errors import DomainError, ErrorCollector, MismatchError, OutOfRangeError
from domain.measures.quantities import amount_ratio

MAX_QUESTIONS = 400  # our own limit: different conversions in one table
MAX_SLOW_AMOUNTS = 1_000  # our own limit: different amounts that are temperatures or unreadable, which are slow
_FIELDS = ("unit", "to", "ingredient", "packing", "g_per_ml", "egg_class")


class Rows(NamedTuple):
    """The rows of a table that have the same question: an amount each, and the rows whose amount is unreadable."""

    rows: list[int]
    amounts: list[Ratio]
    unreadable: list[int]


def read_rows(body: ConvertColumnsRequest, errors: dict[int, list[DomainError]]) -> list[tuple[Question, Rows]]:
    """The rows of a table, grouped by their question: a table has few different ones. Empty rows are left out.

    Args:
        body: the table.
        errors: takes the error of each row whose amount cannot be read.
    Raises:
        DomainErrors: columns of different lengths.
        OutOfRangeError: too many different conversions or unreadable amounts for one request.
    """
    constants, columns = _columns(body)
    groups = defaultdict[tuple[Any, ...], Rows](lambda: Rows([], [], []))
    all_cells: Iterable[tuple[Any, ...]] = zip(*columns.values(), strict=True) if columns else repeat(())
    for row, (cells, amount) in enumerate(zip(all_cells, _amounts(body.amount, errors), strict=False)):
        if amount is not None:
            rows, amounts, _ = groups[cells]
            rows.append(row)
            amounts.append(amount)
        elif row in errors:
            groups[cells].unreadable.append(row)
    if len(groups) > MAX_QUESTIONS:
        raise OutOfRangeError(f"A table has at most {MAX_QUESTIONS} different conversions: send it in parts.")
    return [
        (_question(constants | dict(zip(columns, cells, strict=True)), body), rows) for cells, rows in groups.items()
    ]


def _columns(body: ConvertColumnsRequest) -> tuple[dict[str, Any], dict[str, list[Any]]]:
    """The fields with one value for all rows, and the columns, which must be as long as `amount`."""
    fields = {name: getattr(body, name) for name in _FIELDS}
    columns = {name: value for name, value in fields.items() if isinstance(value, list)}
    rows, errors = len(body.amount), ErrorCollector()
    for name, column in columns.items():
        with errors.at(name):
            if len(column) != rows:
                raise MismatchError(
                    f"This column has {len(column):,} rows and amount has {rows:,}: give one value for each row, or"
                    " one for all.",
                    code="rows_differ",
                )
    errors.raise_if_any()
    return {name: value for name, value in fields.items() if name not in columns}, columns


def _amounts(cells: list[Any], errors: dict[int, list[DomainError]]) -> list[Ratio | None]:
    amounts, unreadable = list[Ratio | None](), dict[str | float, DomainError]()
    for row, cell in enumerate(cells):
        amount = None
        if cell in unreadable:
            errors[row] = [unreadable[cell]]
        elif isinstance(cell, float) or not _is_empty(cell):
            try:
                amount = amount_ratio(cell)
            except DomainError as error:
                errors[row] = [error.within("amount")]
                unreadable[cell] = error
                if len(unreadable) > MAX_SLOW_AMOUNTS:
                    first = min(errors)
                    raise OutOfRangeError(
                        f"More than {MAX_SLOW_AMOUNTS:,} different amounts cannot be read; the first is in row {first}:"
                        f" {errors[first][0].detail}",
                        path=("amount", first),
                    ) from None
        amounts.append(amount)
    return amounts


def _question(cells: dict[str, Any], body: ConvertColumnsRequest) -> Question:
    return Question(**{name: None if _is_empty(cell) else cell for name, cell in cells.items()}, measures=body.measures)


def _is_empty(cell: object) -> bool:
    """Whether a cell is null, empty or blank, as an empty cell of a spreadsheet is."""
    return cell is None or (isinstance(cell, str) and not cell.strip())
