"""The reference data as CSV files, with a source and a record on every row; read once, at import."""

import csv
from importlib.resources import files


def rows(table: str) -> list[dict[str, str]]:
    """Rows of one table of this folder, in file order.

    Args:
        table: the file's name without its ending.
    Returns:
        One dictionary for each row, keyed by the header; `#` lines are left out.
    Raises:
        ValueError: a row has more or fewer cells than the header; the service does not start.
    """
    text = (files("domain.reference") / f"{table}.csv").read_text("utf-8")
    reader = csv.DictReader(line for line in text.splitlines() if not line.startswith("#"))
    records = list(reader)
    for number, row in enumerate(records, start=1):
        if None in row or None in row.values():
            raise ValueError(f"{table}.csv: row {number} does not fit the header: {row}")
    return records


def words(cell: str) -> tuple[str, ...]:
    """The entries of a cell that holds several, separated by semicolons."""
    return tuple(word.strip() for word in cell.split(";") if word.strip())
