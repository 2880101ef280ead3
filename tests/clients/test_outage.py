"""An outage of the service in LibreOffice Calc: what the cells show, and the step after which they ask again."""

import re
import shutil
import time
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from tests.clients.build_workbook import FILE, FIRST_LINE, TOTAL_ROW
from tests.clients.calc import Cells, drive, require_calc
from tests.clients.server import free_port, serving

pytestmark = pytest.mark.libreoffice
ROOT = Path(__file__).parents[2]
README_CELLS = dict(re.findall(r"^([DE]2): (=.*)$", (ROOT / "README.md").read_text("utf-8"), re.MULTILINE))
LOCALES = ("en-US", "de-DE")
BOOK, OWN = "Parkin", "Own"


@pytest.fixture(scope="module", params=LOCALES)
def sitting(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> list[Cells]:
    """The workbook's cells and those of the README's formulas: before, in the outage, recalculated, healed."""
    require_calc()
    folder = tmp_path_factory.mktemp(request.param)
    document = Path(shutil.copy(FILE, folder))
    outage, end = folder / "outage", folder / "end"
    port = free_port()
    address = f"http://127.0.0.1:{port}"
    read = [["read", BOOK, "A1:I55"], ["read", OWN, "A1:E2"]]
    own = {"B1": address, "A2": "1 1/2", "B2": "cup", "C2": "plain flour", **README_CELLS}
    steps = [
        ["set", BOOK, "B3", address],
        *(["set", OWN, cell, value] for cell, value in own.items()),
        ["calculate"],
        *read,
        ["hold", str(outage)],
        ["set", BOOK, "B5", "round 23 x 7 cm"],
        ["set", OWN, "A2", "3"],
        *read,
        ["hold", str(end)],
        ["calculate"],
        *read,
        ["set", BOOK, "B10", 1],
        ["set", OWN, "C1", 1],
        *read,
    ]
    with ThreadPoolExecutor(1) as pool:
        with serving(port):
            session = pool.submit(drive, folder, request.param, [["sheet", OWN], *steps], document=document)
            _wait_for(outage)
        outage.unlink()
        _wait_for(end)
        with serving(port):
            end.unlink()
            return session.result()


def _wait_for(file: Path) -> None:
    for _ in range(900):
        if file.exists():
            return
        time.sleep(0.1)
    pytest.fail(f"{file.name} was not reached")


def test_in_an_outage_the_reason_stands_beside_the_figure(sitting: list[Cells]) -> None:
    book, own = sitting[2:4]
    assert book["G12"].text == "The service gave no answer. When it runs again, type another number in B10."
    assert book["E12"].text == book[f"F{FIRST_LINE}"].text == ""
    assert book[f"F{TOTAL_ROW}"].text == "a line is missing"
    assert (own["D2"].text, own["E2"].text) == ("# no answer: change C1", "")
    assert not [name for cells in (book, own) for name, cell in cells.items() if cell.error]


def test_recalculating_does_not_bring_back_failed_cells(sitting: list[Cells]) -> None:
    book, own = sitting[4:6]
    assert (book["E12"].number, own["E2"].number) == (None, None)


def test_another_number_heals_every_cell(sitting: list[Cells]) -> None:
    (before, before_own), (book, own) = sitting[:2], sitting[6:8]
    factor = 3.141592653589793 * 11.5**2 / 23**2  # round 23 cm over square 23 cm, as made
    assert book["E12"].number == pytest.approx(factor)
    assert book[f"E{TOTAL_ROW}"].number == pytest.approx(before[f"E{TOTAL_ROW}"].number)
    assert book[f"F{TOTAL_ROW}"].number == pytest.approx(factor * (before[f"E{TOTAL_ROW}"].number or 0))
    assert book["G12"].text == ""
    assert (before_own["E2"].number, own["E2"].number) == (1.5 * 125, 3 * 125)  # USDA-SR28, NDB 20081: one cup
