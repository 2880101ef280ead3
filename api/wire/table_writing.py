"""Writes the rows of a table as CSV or XML, within a limit on cells and bytes.

CSV follows RFC 4180: CRLF line ends, a header, numbers with a decimal point. Every text is quoted, and a text that a
spreadsheet could run as a formula is neutralised with an apostrophe, wherever the formula would start: at the start of
the cell and after `;`, a tab or a line break, since a spreadsheet may be set to any of these separators.

XML, `text` and `cell` are not neutralised. Spreadsheets read them with WEBSERVICE and FILTERXML, whose results are
values and are never evaluated; tests/clients shows it in LibreOffice.
"""

import csv
import io
import re
from collections.abc import Iterable, Sequence
from xml.sax.saxutils import escape

from api.wire.figures import plain, readable
from domain.errors import OutOfRangeError

Cell = str | float | bool | None
MAX_CELLS = 20_000  # our own limit: no table takes longer to write than the largest answer takes to compute
MAX_ANSWER_BYTES = 8_000_000  # our own limit, for every format
# A formula could start at the start of the text or after a separator, perhaps behind spaces and quotes. The signs count
# in full width too. Two patterns, because the search for a separator alone is fast.
_FORMULA = re.compile(r"[\s\"']*[=+\-@＝＋－＠]")
_BEFORE_FORMULA = re.compile(rf"([;\t\r\n])(?={_FORMULA.pattern})")


class _PlainNumber(float):
    """A number whose text has no exponent; the csv module writes a number as `str` does."""

    def __str__(self) -> str:
        return plain(float(self))


def as_csv(header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> bytes:
    """The table as CSV.

    Raises:
        OutOfRangeError: the text is longer than any answer may be.
    """
    out = io.BytesIO()
    encoded = io.TextIOWrapper(out, encoding="utf-8", newline="")
    writer = csv.writer(encoded, quoting=csv.QUOTE_STRINGS)
    writer.writerow(header)
    for row in rows:
        writer.writerow([None if cell is None else _csv_cell(cell) for cell in row])
        if out.tell() > MAX_ANSWER_BYTES:
            raise too_large(out.tell())
    encoded.flush()
    return out.getvalue()


def as_xml(header: Sequence[str], rows: Iterable[Sequence[Cell]]) -> bytes:
    """The table as XML: `answer` holds a `row` for each row, a row an element for each column.

    Raises:
        OutOfRangeError: the text is longer than any answer may be.
    """
    out = io.BytesIO()
    out.write(b"<?xml version='1.0' encoding='utf-8'?>\n<answer>")
    tags = [(f"<{name}>", f"</{name}>") for name in header]
    for row in rows:
        line = "".join(
            [
                f"{start}{end}" if cell is None else f"{start}{escape(cell_text(cell))}{end}"
                for (start, end), cell in zip(tags, row, strict=True)
            ]
        )
        out.write(f"<row>{line}</row>".encode())
        if out.tell() > MAX_ANSWER_BYTES:
            raise too_large(out.tell())
    out.write(b"</answer>")
    return out.getvalue()


def check_cells(rows: int, columns: int) -> None:
    """Refuse a table before it is built.

    Raises:
        OutOfRangeError: it has more cells than any answer may have.
    """
    if rows * columns > MAX_CELLS:
        raise OutOfRangeError(
            f"This table would have {rows:,} rows of {columns} columns; a table has at most {MAX_CELLS:,} cells. Split "
            "the request, or choose a part of the answer with `field`.",
            code="answer_too_large",
            value=rows * columns,
            limit=MAX_CELLS,
        )


def too_large(size: int) -> OutOfRangeError:
    """The refusal of an answer that has too many bytes."""
    return OutOfRangeError(
        f"The answer would be larger than {MAX_ANSWER_BYTES:,} bytes. Split the request, or choose a part of the "
        "answer with `format=csv` and `field`.",
        code="answer_too_large",
        value=size,
        limit=MAX_ANSWER_BYTES,
    )


def cell_text(cell: Cell) -> str:
    """A cell as text; empty for a missing value."""
    if cell is None:
        return ""
    if isinstance(cell, bool):
        return str(cell).lower()
    return readable(cell) if isinstance(cell, str) else plain(cell)


def neutralised(value: str) -> str:
    """A text in which no spreadsheet finds a formula, whatever its separator is.

    >>> neutralised("=1+1"), neutralised("rye; -plum"), neutralised("1 1/2 us_cup")
    ("'=1+1", "rye;' -plum", '1 1/2 us_cup')
    """
    if value.isprintable() and value[:1].isalnum() and ";" not in value:
        return value
    text = _BEFORE_FORMULA.sub(r"\1'", readable(value))
    return f"'{text}" if _FORMULA.match(text) else text


def _csv_cell(cell: Cell) -> Cell:
    if isinstance(cell, str):
        return neutralised(cell)
    if isinstance(cell, float):
        if cell.is_integer():
            return int(cell)
        return cell if 1e-4 <= abs(cell) < 1e16 else _PlainNumber(cell)
    return str(cell).lower() if isinstance(cell, bool) else cell
