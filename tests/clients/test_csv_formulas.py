"""A CSV answer opened in LibreOffice has no formula with any separator."""

import asyncio
import csv
import io
from pathlib import Path

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


def answer_as_csv() -> bytes:
    """A rescaling with these texts as names."""

    async def ask() -> httpx.Response:
        transport = httpx.ASGITransport(app=create_app(Settings()))
        async with httpx.AsyncClient(transport=transport, base_url="http://tinwright") as client:
            line = {"ingredient": "butter", "quantity": "40 g"}
            components = [{"name": text, "lines": [line]} for text in TEXTS]
            body = {"formula": {"name": "x", "components": components}, "targets": [{"label": "=1+1", "factor": 2}]}
            return await client.post("/v1/rescale?format=csv", json=body)

    answer = asyncio.run(ask())
    assert answer.status_code == 200, answer.text
    return answer.content


def test_no_cell_is_a_formula(tmp_path: Path) -> None:
    require_calc()
    file = tmp_path / "answer.csv"
    file.write_bytes(answer_as_csv())
    naive = tmp_path / "naive.csv"
    out = io.StringIO(newline="")
    csv.writer(out).writerows([["name", "grams"], *([text, 80] for text in TEXTS)])
    naive.write_text(out.getvalue(), "utf-8", newline="")
    steps = [
        step
        for kind, path in (("answer", file), ("naive", naive))
        for name, codes in SEPARATORS.items()
        for step in (["link", f"{kind} {name}", path.as_uri(), "A1:H3", codes], ["formulas", f"{kind} {name}"])
    ]
    sheets = drive(tmp_path, "de-DE", steps)
    shown, formulas = sheets[0::2], sheets[1::2]
    count = len(SEPARATORS)
    assert [{place: cell.text for place, cell in cells.items()} for cells in formulas[:count]] == [{}] * count
    # Written by the csv module, the same texts are formulas, so this test can fail.
    assert all(formulas[count:])
    # With the file's own separator, numbers are numbers and texts are texts.
    assert shown[0]["A2"].text == "'=1+1"
    assert shown[0]["C2"].number == 2
