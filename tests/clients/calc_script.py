"""Runs in the system's Python, which has LibreOffice's bridge: drives one document and prints the text of its cells.

Reads from standard input a JSON object: `port` of the office, `document` (a path, or "" for an empty one) and `steps`:
`["set", sheet, cell, value]` (text, number, or a formula that starts with =), `["calculate"]`,
`["read", sheet, range]`, `["link", sheet, url, range]`, the last with the character codes of the separators if they are
not the comma (`"59"`, `"44/59/9"`), `["formulas", sheet]`, which reads only the cells that are formulas,
`["sheet", name]`, which adds a sheet, and `["hold", file]`, which writes the file and waits until it is
removed. Prints a list, a dictionary of cells for each step that reads.
"""

import json
import sys
import time
from pathlib import Path
from typing import Any

import uno
from com.sun.star.beans import PropertyValue
from com.sun.star.connection import NoConnectException
from com.sun.star.sheet.SheetLinkMode import NORMAL

FULL_UPDATE = 3  # com.sun.star.document.UpdateDocMode: links are followed if the location is trusted
# Separator comma, text delimiter ", UTF-8, from line 1, language en-US (so that a point is a point), detect numbers.
CSV_FILTER = "{separators},34,76,1,,1033,false,true"
COMMA = "44"
FORMULA = 16  # com.sun.star.sheet.CellFlags.FORMULA
NUMBER = 1  # com.sun.star.sheet.FormulaResult.VALUE


def main() -> None:
    """Run the steps of one request, then close the office."""
    request = json.load(sys.stdin)
    desktop = connect(request["port"])
    try:
        json.dump(run(desktop, request), sys.stdout)
    finally:
        desktop.terminate()


def connect(port: int) -> Any:
    """The desktop of an office that may still be starting."""
    local = uno.getComponentContext()
    resolver = local.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", local)
    for _ in range(300):
        try:
            context = resolver.resolve(f"uno:socket,host=127.0.0.1,port={port};urp;StarOffice.ComponentContext")
            return context.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", context)
        except NoConnectException:
            time.sleep(0.2)
    raise SystemExit("the office did not start")


def run(desktop: Any, request: dict[str, Any]) -> list[dict[str, Any]]:
    """Open the document and carry out the steps."""
    url = uno.systemPathToFileUrl(request["document"]) if request["document"] else "private:factory/scalc"
    options = (PropertyValue("Hidden", 0, True, 0), PropertyValue("UpdateDocMode", 0, FULL_UPDATE, 0))
    document = desktop.loadComponentFromURL(url, "_blank", 0, options)
    results = []
    for name, *arguments in request["steps"]:
        if name == "set":
            put(document, *arguments)
        elif name == "calculate":
            document.calculateAll()
        elif name == "link":
            link(document, *arguments[:2], *arguments[3:])
            results.append(cells(document, arguments[0], arguments[2]))
        elif name == "sheet":
            document.Sheets.insertNewByName(*arguments, document.Sheets.Count)
        elif name == "hold":
            hold(Path(*arguments))
        elif name == "formulas":
            results.append(formulas(document, *arguments))
        else:
            results.append(cells(document, *arguments))
    document.close(True)
    return results


def hold(file: Path) -> None:
    """Say by a file that this step is reached, and go on when somebody has removed it."""
    file.touch()
    for _ in range(600):
        if not file.exists():
            return
        time.sleep(0.1)
    raise SystemExit(f"nobody removed {file}")


def put(document: Any, sheet: str, cell: str, value: Any) -> None:
    """Write one cell."""
    place = document.Sheets.getByName(sheet).getCellRangeByName(cell)
    if isinstance(value, str):
        place.setFormula(value) if value.startswith("=") else place.setString(value)
    else:
        place.setValue(value)


def link(document: Any, sheet: str, url: str, separators: str = COMMA) -> None:
    """A sheet of that name, linked to a CSV at an address."""
    if not document.Sheets.hasByName(sheet):
        document.Sheets.insertNewByName(sheet, document.Sheets.Count)
    document.Sheets.getByName(sheet).link(
        url, "", "Text - txt - csv (StarCalc)", CSV_FILTER.format(separators=separators), NORMAL
    )


def cells(document: Any, sheet: str, area: str) -> dict[str, Any]:
    """Every cell of an area that is not empty: its text, its number if it has one, its error."""
    by_name = {}
    block = document.Sheets.getByName(sheet).getCellRangeByName(area)
    for row in range(block.Rows.Count):
        for column in range(block.Columns.Count):
            cell = block.getCellByPosition(column, row)
            kind = cell.Type.value
            if kind == "EMPTY":
                continue
            is_number = kind == "VALUE" or (kind == "FORMULA" and cell.FormulaResultType2 == NUMBER)
            by_name[cell.AbsoluteName.rpartition(".")[2].replace("$", "")] = {
                "text": cell.String,
                "number": cell.Value if is_number else None,
                "error": cell.getError(),
            }
    return by_name


def formulas(document: Any, sheet: str) -> dict[str, Any]:
    """Every cell of a sheet that is a formula."""
    by_name: dict[str, Any] = {}
    areas = document.Sheets.getByName(sheet).queryContentCells(FORMULA)
    for address in areas.RangeAddresses:
        for row in range(address.StartRow, address.EndRow + 1):
            for column in range(address.StartColumn, address.EndColumn + 1):
                place = document.Sheets.getByName(sheet).getCellByPosition(column, row)
                name = place.AbsoluteName.rpartition(".")[2].replace("$", "")
                by_name[name] = {"text": place.String, "number": None, "error": place.getError()}
    return by_name


if __name__ == "__main__":
    main()
