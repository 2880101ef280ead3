"""The shipped workbook: `python -m tests.clients.build_workbook` writes openapi-examples/halfmoon-wharf.xlsx.

Every cell formula works in any locale. Answers arrive as a whole mantissa with an exponent (`format=cell`). A decimal
comma is replaced by a point in requests. The address of the service stands in one cell.
"""

from datetime import UTC, datetime
from pathlib import Path

from openpyxl import Workbook
from openpyxl.styles import Alignment, Font, PatternFill
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

from api.contract.examples import FOLDER
from tests.examples import load_formulas

FILE = FOLDER / "halfmoon-wharf.xlsx"
ADDRESS = "http://127.0.0.1:8000"
PARKIN = load_formulas()["Ginger parkin slab with oat-and-treacle nuggets"]


def line_cells() -> tuple[tuple[str, str, str, str], ...]:
    """The parkin's lines as ingredient, amount, unit and packing; eggs have a row of their own."""
    lines = [line for component in PARKIN["components"] for line in component["lines"] if line["ingredient"] != "egg"]
    return tuple((line["ingredient"], *line["quantity"].rsplit(" ", 1), line.get("packing", "")) for line in lines)


LINES = line_cells()
SETTINGS: tuple[tuple[str, str | int | None, str], ...] = (
    ("Service", ADDRESS, "The one cell with an address."),
    ("Made in", PARKIN["tin"], "Inner sizes, depth last; also round 23 x 7 cm, ring 25 x 8 x 9 cm."),
    ("Wanted", "rectangle 20 x 30 x 5 cm", "The tin to make it in."),
    ("Measures", "uk", "Whose cups and spoons: us, uk, metric, au or jp."),
    ("Eggs written", 2, "Whole eggs of the formula."),
    ("Their class", PARKIN["egg_class"], "The class the formula was written for."),
    ("Eggs at hand", "eu_l", "The class in the box this morning."),
    ("Try again", None, "After an outage: type another number here, and every cell sends its request again."),
)
FIRST_LINE = 16
LAST_LINE = FIRST_LINE + len(LINES) - 1
EGGS_ROW, TOTAL_ROW, BOX_ROW, LINK_ROW = LAST_LINE + 1, LAST_LINE + 2, LAST_LINE + 4, LAST_LINE + 9
NOTES = (
    "Calls are made only from a place you trust. LibreOffice: Tools > Options > Security > Macro Security",
    "  > Trusted Sources, add this file's folder, open it again and allow the update. Excel (Windows): enable content.",
    "The service must run at the address in the first cell; the lines of the formula travel there in each address.",
    "After an outage, type another number beside Try again. Recalculating does not help: LibreOffice keeps an answer",
    "  that failed, and asks again only where an address has changed.",
    "Columns H and I are hidden: the answers (1875E-1 is 187.5 in every locale) and the rows of the link below.",
    "A total is shown only when every line has a figure; column G says why one has none.",
    "Amounts are formatted as text, because a sheet makes a date of 1/2. Format a column of your own in the same way.",
    "Grams of spoons and cups are central figures; the service's JSON answer gives the range and the sources of each.",
    "It computes, it does not certify: weigh what matters, and check the core of a bake with a probe.",
    "Raw flour and raw egg are not ready to eat.",
)
_BOLD, _INPUT = Font(bold=True), PatternFill("solid", fgColor="E8EEF0")
_WIDTHS = {"A": 24, "B": 26, "C": 10, "D": 10, "E": 16, "F": 18, "G": 60, "H": 30, "I": 52}
_NO_COUNT = "# The eggs written or the factor is no number."
_NO_ANSWER = "# The service gave no answer. When it runs again, type another number in B10."


def build() -> Workbook:
    """The workbook, with nothing in it of the time or the machine."""
    book = Workbook()
    book.properties.creator = "Halfmoon Wharf Bakehouse"
    book.properties.created = book.properties.modified = datetime(2026, 1, 1, tzinfo=UTC).replace(tzinfo=None)
    sheet = book.active
    assert isinstance(sheet, Worksheet)
    sheet.title = "Parkin"
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    for column, width in _WIDTHS.items():
        sheet.column_dimensions[column].width = width
        sheet.column_dimensions[column].hidden = column in "HI"
    _settings(sheet)
    _lines(sheet)
    _eggs(sheet)
    _column_link(sheet)
    for row, note in enumerate(NOTES, start=LINK_ROW + 4):
        sheet[f"A{row}"] = note
    return book


def called(address: str) -> str:
    """A formula that calls the service; *address* is a formula text that joins the rest of the address.

    A new fragment makes a new address, which LibreOffice asks for; a fragment is not sent to the service.
    """
    return f'=IFERROR(_xlfn.WEBSERVICE($B$3&{address}&IF($B$10="","","#"&$B$10)),"{_NO_ANSWER}")'


def written(cell: str) -> str:
    """The text of a cell: a number of a comma-decimal locale with a point, a text as it was typed."""
    return f'IF(ISNUMBER({cell}),SUBSTITUTE({cell}&"",",","."),{cell}&"")'


def sent(cell: str) -> str:
    """A cell as part of an address; ENCODEURL of nothing is an error in LibreOffice, so nothing is sent as it is."""
    return f'IF({cell}="","",_xlfn.ENCODEURL({written(cell)}))'


def sent_if_filled(name: str, cell: str) -> str:
    """A parameter of an address that is left out with an empty cell."""
    return f'IF({cell}="","","&{name}="&{sent(cell)})'


def read(cell: str) -> str:
    """A formula that makes a number of an answer; the answer itself says why there is none."""
    return f'=IFERROR(VALUE({cell}),"")'


def reason(cell: str) -> str:
    """A formula that shows why there is no figure."""
    return f'=IF(LEFT({cell},1)="#",MID({cell},3,400),"")'


def _explained(sheet: Worksheet, row: int) -> None:
    """The reason in the cell beside the figures of a row."""
    sheet[f"G{row}"] = reason(f"H{row}")
    sheet[f"G{row}"].alignment = Alignment(wrap_text=True, vertical="top")


def _settings(sheet: Worksheet) -> None:
    sheet["A1"] = "Halfmoon Wharf Bakehouse: ginger parkin for another tin"
    sheet["A1"].font = Font(bold=True, size=14)
    for row, (name, value, hint) in enumerate(SETTINGS, start=3):
        sheet[f"A{row}"], sheet[f"B{row}"], sheet[f"C{row}"] = name, value, hint
        _typed(sheet, f"B{row}", as_text=isinstance(value, str))
    sheet["A11"], sheet["H11"], sheet["E11"] = "Factor", "answer of the service", "number"
    sheet["E11"].alignment = Alignment(horizontal="right")
    sheet["H12"] = called(f'"/v1/tins/factor?format=cell&have="&{sent("$B$4")}&"&want="&{sent("$B$5")}')
    sheet["A12"], sheet["E12"] = "Multiply every line by", read("H12")
    _explained(sheet, 12)
    sheet["A11"].font = _BOLD


def _lines(sheet: Worksheet) -> None:
    titles = (
        *("Ingredient", "Amount", "Unit", "Packing", "Grams"),
        *("Grams for the tin", "Why there is no figure", "answer of the service, grams", "as a row of a column"),
    )
    for column, title in zip("ABCDEFGHI", titles, strict=True):
        sheet[f"{column}{FIRST_LINE - 1}"] = title
        sheet[f"{column}{FIRST_LINE - 1}"].font = _BOLD
        sheet[f"{column}{FIRST_LINE - 1}"].alignment = Alignment(horizontal="right" if column in "EF" else "left")
    for row, line in enumerate(LINES, start=FIRST_LINE):
        for column, value in zip("ABCD", line, strict=True):
            sheet[f"{column}{row}"] = value or None
            _typed(sheet, f"{column}{row}")
        sheet[f"H{row}"] = called(
            f'"/v1/convert?format=cell&to=g&measures="&$B$6&"&amount="&{sent(f"B{row}")}&"&unit="&{sent(f"C{row}")}'
            f"&{sent_if_filled('ingredient', f'A{row}')}&{sent_if_filled('packing', f'D{row}')}"
        )
        parts = f'{written(f"B{row}")}&"|"&C{row}&"|"&A{row}&"||"&D{row}'
        sheet[f"I{row}"] = f'="&item="&_xlfn.ENCODEURL({parts})'
        _grams(sheet, row)
    sheet[f"A{EGGS_ROW}"] = "egg"
    sheet[f"H{EGGS_ROW}"] = called(f'"/v1/eggs?format=cell&whole="&{sent("$B$7")}&"&egg_class="&{sent("$B$8")}')
    _grams(sheet, EGGS_ROW)
    sheet[f"A{TOTAL_ROW}"], sheet[f"A{TOTAL_ROW}"].font = "Total", _BOLD
    for column in "EF":
        lines = f"{column}{FIRST_LINE}:{column}{EGGS_ROW}"
        # A sum passes over text in silence, so a line without a figure would make a light total.
        sheet[f"{column}{TOTAL_ROW}"] = f'=IF(COUNT({lines})=ROWS({lines}),SUM({lines}),"a line is missing")'
        _weighed(sheet, f"{column}{TOTAL_ROW}")


def _grams(sheet: Worksheet, row: int) -> None:
    sheet[f"E{row}"] = read(f"H{row}")
    _explained(sheet, row)
    sheet[f"F{row}"] = f'=IF(AND(ISNUMBER(E{row}),ISNUMBER($E$12)),E{row}*$E$12,"")'
    for column in "EF":
        _weighed(sheet, f"{column}{row}")


def _weighed(sheet: Worksheet, cell: str) -> None:
    sheet[cell].number_format, sheet[cell].alignment = "0.0", Alignment(horizontal="right")


def _eggs(sheet: Worksheet) -> None:
    sheet[f"A{BOX_ROW - 1}"], sheet[f"A{BOX_ROW - 1}"].font = "Eggs at hand, for the tin", _BOLD
    # Nine decimals: a cell's full digits may be more than an amount can have, and no egg is cut so fine.
    count = 'SUBSTITUTE(ROUND($B$7*$E$12,9)&"",",",".")'
    query = (
        f'"/v1/eggs?format=cell&whole="&{count}&"&egg_class="&{sent("$B$8")}&"&available_egg_classes="&{sent("$B$9")}'
    )
    figures = (
        ("exact_count", "exactly"),
        ("count", "nearest whole"),
        ("whole_eggs", "or whole"),
        ("beaten_grams", "and grams of beaten egg"),
    )
    for row, (name, title) in enumerate(figures, start=BOX_ROW):
        sheet[f"A{row}"] = title
        answered = called(f'{query}&"&field=parts.whole.counts.0.{name}"').removeprefix("=")
        sheet[f"H{row}"] = f'=IF(AND(ISNUMBER($B$7),ISNUMBER($E$12)),{answered},"{_NO_COUNT}")'
        sheet[f"E{row}"] = read(f"H{row}")
        _explained(sheet, row)
        sheet[f"E{row}"].number_format = "0" if name in {"count", "whole_eggs"} else "0.0##"


def _column_link(sheet: Worksheet) -> None:
    rows = "&".join(f"I{row}" for row in range(FIRST_LINE, LAST_LINE + 1))
    sheet[f"A{LINK_ROW}"] = "The whole column in one call, as CSV for a linked sheet"
    sheet[f"A{LINK_ROW}"].font = _BOLD
    sheet[f"A{LINK_ROW + 1}"] = f'=$B$3&"/v1/convert/rows?format=csv&measures="&$B$6&{rows}'
    sheet.merge_cells(f"A{LINK_ROW + 1}:G{LINK_ROW + 1}")
    sheet[f"A{LINK_ROW + 1}"].alignment = Alignment(wrap_text=True, vertical="top")
    sheet.row_dimensions[LINK_ROW + 1].height = 48
    sheet[f"A{LINK_ROW + 2}"] = (
        f"=LEN(A{LINK_ROW + 1})&\" characters; a formula's address may have 2,048. LibreOffice: Sheet > Link to"
        ' External Data. Excel: Data > From Web."'
    )


def _typed(sheet: Worksheet, cell: str, *, as_text: bool = True) -> None:
    """A cell for people to type in; an amount is text, so that 1/2 stays one and does not become a date."""
    sheet[cell].fill = _INPUT
    if as_text:
        sheet[cell].number_format = "@"


def write(path: Path = FILE) -> Path:
    """Write the workbook."""
    build().save(path)
    return path


if __name__ == "__main__":
    write()
