"""No text of an answer becomes a formula in LibreOffice: in a CSV with any separator, and in a cell by WEBSERVICE."""

import asyncio
import csv
import io
from pathlib import Path
from typing import Any

import httpx
import pytest

from api.app import create_app
from api.settings import Settings
from tests.clients.calc import drive, require_calc

pytestmark = pytest.mark.libreoffice
TEXTS = (
    "=40+2",
    "+40+2",
    "-40+2",
    "@SUM(40;2)",
    "x;=SUM(40+2);y",
    "x; =40+2",
    'x;"=40+2',
    "x\t=40+2",
    "x\r\n=40+2",
    'x";=40+2;"y',
    "a,=40+2",
    '","=40+2',
    "';=40+2",
    "x;'=40+2",
)
# Character codes for LibreOffice's import: comma, semicolon, tab, and the preselected ones of its dialog together.
SEPARATORS = {"comma": "44", "semicolon": "59", "tab": "9", "all": "44/59/9"}


def answer_as_csv(path: str, body: dict[str, Any]) -> bytes:
    """The answer of a POST as CSV."""

    async def ask() -> httpx.Response:
        transport = httpx.ASGITransport(app=create_app(Settings()))
        async with httpx.AsyncClient(transport=transport, base_url="http://tinwright") as client:
            return await client.post(f"{path}?format=csv", json=body)

    answer = asyncio.run(ask())
    assert answer.status_code == 200, answer.text
    return answer.content


def rescaling() -> dict[str, Any]:
    """A rescaling with these texts as names."""
    line = {"ingredient": "butter", "quantity": "40 g"}
    components = [{"name": text, "lines": [line]} for text in TEXTS]
    return {"formula": {"name": "x", "components": components}, "targets": [{"label": "=1+1", "factor": 2}]}


def columns() -> dict[str, Any]:
    """A table with a good row, and with these texts as amounts, units and ingredients."""
    rows = [("1", "kg", ""), *((text, text, text) for text in TEXTS), *(("1", "us_cup", text) for text in TEXTS)]
    amount, unit, ingredient = zip(*rows, strict=True)
    return {"amounts": amount, "units": unit, "ingredients": ingredient, "to": ["g"]}


def test_no_cell_is_a_formula(tmp_path: Path) -> None:
    require_calc()
    file, table = tmp_path / "answer.csv", tmp_path / "table.csv"
    file.write_bytes(answer_as_csv("/v1/rescale", rescaling()))
    table.write_bytes(answer_as_csv("/v1/convert/columns", columns()))
    naive = tmp_path / "naive.csv"
    out = io.StringIO(newline="")
    csv.writer(out).writerows([["name", "grams"], *([text, 80] for text in TEXTS)])
    naive.write_text(out.getvalue(), "utf-8", newline="")
    steps = [
        step
        for kind, path in (("answer", file), ("table", table), ("naive", naive))
        for name, codes in SEPARATORS.items()
        for step in (["link", f"{kind} {name}", path.as_uri(), "A1:H3", codes], ["formulas", f"{kind} {name}"])
    ]
    sheets = drive(tmp_path, "de-DE", steps)
    shown, formulas = sheets[0::2], sheets[1::2]
    count = len(SEPARATORS)
    assert [{place: cell.text for place, cell in cells.items()} for cells in formulas[: 2 * count]] == [{}] * 2 * count
    # Written by the csv module, the same texts are formulas, so this test can fail.
    assert all(formulas[2 * count :])
    # With the file's own separator, numbers are numbers and texts are texts.
    assert shown[0]["A2"].text == "'=1+1"
    assert shown[0]["B2"].number == 2
    assert (shown[count]["B2"].number, shown[count]["C2"].text) == (1000, "g")  # the row has no ingredient


def test_the_result_of_webservice_is_a_text(tmp_path: Path, service: str) -> None:
    require_calc()
    address = f"{service}/v1/cuts?tin=square%2020%20cm&portions=4&label=%3D40%2B2"
    steps = [
        ["set", "Sheet1", "A1", f'=WEBSERVICE("{address}&format=cell&field=label")'],
        ["set", "Sheet1", "A2", f'=FILTERXML(WEBSERVICE("{address}&format=xml");"//label")'],
        ["set", "Sheet1", "A3", "=40+2"],
        ["calculate"],
        ["read", "Sheet1", "A1:A3"],
    ]
    (cells,) = drive(tmp_path, "en-US", steps)
    assert [(cells[name].text, cells[name].number) for name in ("A1", "A2", "A3")] == [
        ("=40+2", None),
        ("=40+2", None),
        ("42", 42),  # so a formula would show
    ]
