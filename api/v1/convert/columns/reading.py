"""From the columns of `POST /v1/convert/columns` to the amount and the question of each row."""

from collections import defaultdict
from collections.abc import Container, Iterable, Mapping
from contextlib import suppress
from itertools import repeat
from typing import NamedTuple

from api.v1.convert.columns.schemas import ConversionColumnsRequest
from api.v1.convert.reading import Question, Ratio
from api.wire.reading import MAX_WORDED
from domain.errors import DomainError, ErrorCollector, MismatchError, OutOfRangeError, UnreadableError
from domain.measures.quantities import amount_ratio
from domain.reading.quantities import read_comma, read_number
from domain.things.conversion import MAX_DENSITY, check_density

MAX_QUESTIONS = 400  # our own limit: different conversions in one table
MAX_SLOW_AMOUNTS = 1_000  # our own limit: different amounts that are temperatures or out of range, which are slow
# The field of a question for each column of the request, in the order of the keys by which rows are grouped.
COLUMNS = {
    "units": "unit",
    "to": "to",
    "ingredients": "ingredient",
    "packings": "packing",
    "g_per_ml": "g_per_ml",
    "egg_classes": "egg_class",
}
Cells = tuple[str, ...]


class Rows(NamedTuple):
    """The rows of a table that have the same question: an amount each, and the rows whose amount is unreadable."""

    rows: list[int]
    amounts: list[Ratio]
    unreadable: list[int]


class Group(NamedTuple):
    """Rows with the same question; `errors` is what is wrong with the question itself, as far as it cannot be read."""

    question: Question
    rows: Rows
    errors: list[DomainError]


def row_count(body: ConversionColumnsRequest) -> int:
    """The number of rows: the length of the longest column."""
    return max(len(body.amounts), *(len(getattr(body, name)) for name in COLUMNS))


def read_rows(body: ConversionColumnsRequest, errors: dict[int, list[DomainError]]) -> list[Group]:
    """The rows of a table, grouped by their question: a table has few different ones. Empty rows are left out.

    Args:
        body: the table.
        errors: takes the error of each row whose amount cannot be read.
    Raises:
        DomainErrors: columns of different lengths.
        OutOfRangeError: too many different conversions or unreadable amounts for one request.
    """
    count = row_count(body)
    _check_lengths(body, count)
    columns = {name: getattr(body, name) for name in COLUMNS}
    constants = {name: column[0] for name, column in columns.items() if len(column) == 1}
    varying = {name: column for name, column in columns.items() if len(column) > 1}
    rows_of = defaultdict[Cells, list[int]](list)
    all_cells: Iterable[Cells] = zip(*varying.values(), strict=True) if varying else repeat(())
    written = body.amounts if len(body.amounts) == count else list(repeat(body.amounts[0], count))
    amounts = _amounts(written, errors)
    for row, cells in zip(range(count), all_cells, strict=False):
        rows_of[cells].append(row)
    groups = {cells: _with_amounts(rows, amounts, errors) for cells, rows in rows_of.items()}
    groups = {cells: rows for cells, rows in groups.items() if rows.rows or rows.unreadable}
    if len(groups) > MAX_QUESTIONS:
        message = f"A table has at most {MAX_QUESTIONS} different conversions: send it in parts."
        raise OutOfRangeError(message, value=len(groups), limit=MAX_QUESTIONS)
    return [_group(constants | dict(zip(varying, cells, strict=True)), rows, body) for cells, rows in groups.items()]


def _with_amounts(rows: list[int], amounts: list[Ratio | None], errors: Container[int]) -> Rows:
    """The rows of one question with their amounts, without the empty ones."""
    of_rows = [amounts[row] for row in rows]
    if None not in of_rows:
        return Rows(rows, of_rows, [])  # type: ignore[arg-type]
    readable = [(row, amount) for row, amount in zip(rows, of_rows, strict=True) if amount is not None]
    return Rows(
        [row for row, _ in readable], [amount for _, amount in readable], [row for row in rows if row in errors]
    )


def _check_lengths(body: ConversionColumnsRequest, count: int) -> None:
    errors = ErrorCollector()
    for name in ("amounts", *COLUMNS):
        length = len(getattr(body, name))
        with errors.at(name):
            if length not in {0, 1, count}:
                raise MismatchError(
                    f"This column has {length:,} rows and the longest has {count:,}: give one text for each row, or"
                    " one for all.",
                    code="rows_differ",
                )
    errors.raise_if_any()


def _amounts(cells: list[str], errors: dict[int, list[DomainError]]) -> list[Ratio | None]:
    if "," not in "".join(cells):
        with suppress(DomainError):  # all in figures, the usual column, which takes half the time
            return [amount_ratio(cell) for cell in cells]
    amounts, worded, refused = list[Ratio | None](), dict[str, Ratio | DomainError](), dict[str, DomainError]()
    for row, cell in enumerate(cells):
        amount: Ratio | DomainError | None = None
        if cell in refused:
            amount = refused[cell]
        elif cell in worded:
            amount = worded[cell]
        elif cell and not cell.isspace():
            try:
                amount = amount_ratio(cell) if "," not in cell else _with_comma(cell)
            except UnreadableError:
                amount = worded[cell] = _in_words(cell)
                _check_count(worded, MAX_WORDED, "are not in figures", cells)
            except DomainError as error:
                amount = error.within("amounts")
        if isinstance(amount, DomainError):
            refused[cell] = amount
            _check_count(refused, MAX_SLOW_AMOUNTS, "cannot be read", cells)
            errors[row] = [amount]
            amount = None
        amounts.append(amount)
    return amounts


def _with_comma(cell: str) -> Ratio:
    """An amount with a decimal comma as two integers; other amounts with a comma are unreadable here."""
    comma = read_comma(cell)
    if comma is None:
        raise UnreadableError("Not an amount in figures.")
    return comma.as_integer_ratio()


def _in_words(cell: str) -> Ratio | DomainError:
    try:
        return read_number(cell).as_integer_ratio()
    except DomainError as error:
        return error.within("amounts")


def _check_count(amounts: Mapping[str, Ratio | DomainError], limit: int, fault: str, cells: list[str]) -> None:
    """Refuse a table with more different amounts of a slow kind than *limit*."""
    if len(amounts) <= limit:
        return
    written, amount = next(iter(amounts.items()))
    row = cells.index(written)
    reason = f": {amount.detail}" if isinstance(amount, DomainError) else "."
    raise OutOfRangeError(
        f"More than {limit:,} different amounts {fault}; the first is in row {row}{reason}",
        path=("amounts", row),
        value=len(amounts),
        limit=limit,
    )


def _group(cells: dict[str, str], rows: Rows, body: ConversionColumnsRequest) -> Group:
    errors, g_per_ml = ErrorCollector(), None
    texts = {COLUMNS[name]: cell for name, cell in cells.items() if cell.strip()}
    if (density := texts.pop("g_per_ml", None)) is not None:
        g_per_ml = float(MAX_DENSITY)  # stands in for a density that cannot be read, so that none is asked for
        with errors.at("g_per_ml"):
            g_per_ml = float(check_density(read_number(density)))
    question = Question(
        unit=texts.get("unit"),
        to=texts.get("to"),
        ingredient=texts.get("ingredient"),
        packing=texts.get("packing"),
        g_per_ml=g_per_ml,
        egg_class=texts.get("egg_class"),
        measures=body.measures,
    )
    return Group(question, rows, errors.errors)
