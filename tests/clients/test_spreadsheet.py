"""The shipped workbook in LibreOffice Calc with a running service, in an English and a German locale."""

import math
import re
import shutil
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from openpyxl import load_workbook

from api.wire.figures import locale_proof
from tests.clients.build_workbook import EGGS_ROW, FILE, FIRST_LINE, LINES, LINK_ROW, TOTAL_ROW, build
from tests.clients.calc import Cells, drive, require_calc

calc = pytest.mark.libreoffice
SHEET, WHOLE = "Parkin", "A1:I55"
CUP_ML = 236.5882365  # exact: NIST Handbook 44, appendix C
# Grams of each line, from the grams of one measure in USDA-SR28 (NDB number beside each); lines in grams as written.
GRAMS = (
    165,
    140,
    337 / CUP_ML * 5 * 15,  # 19304, molasses, one cup; five metric tablespoons
    341 / CUP_ML * 6 * 15,  # 19350, light corn syrup, one cup; six metric tablespoons
    1.75 * 125,  # 20081, one cup
    210,
    5.2 / (CUP_ML / 16) * 4 * 5,  # 02021, one tablespoon; four metric teaspoons
    4.6 / (CUP_ML / 48) * 1.25 * 5,  # 18372, one teaspoon
    292 / CUP_ML * 0.5 * 5,  # 02047, one cup
    244 / CUP_ML * 175,  # 01077, one cup
    96,
    44,
    36,
    32,
    292 / CUP_ML * 0.31,  # 02047; a pinch is about a sixteenth of a teaspoon (common practice)
)
FACTOR = 20 * 30 / 23**2  # from 23 x 23 cm to 20 x 30 cm at the same depth
FLOUR = FIRST_LINE + 4
TABLE_ROWS = range(FIRST_LINE, EGGS_ROW)
# Doubles that need 17 digits, and both ends of what a bakery meets.
NUMBERS = (0.1 + 0.2, 2 / 3, 236.5882365, 1e-7, 123456.789, 1500.0, 1 / 3 * 1e5, 5.839973224593705, -17.77777777777778)
README_CELLS = dict(
    re.findall(r"^([DE])2: (=.*)$", (Path(__file__).parents[2] / "README.md").read_text("utf-8"), re.MULTILINE)
)
# What people type as amount, unit and ingredient; the grams (USDA-SR28, NDB 20081: a cup of flour is 125 g), or a part
# of the reason why there are none.
TYPED: tuple[tuple[str | float, str, str, float | str], ...] = (
    ("1/2", "cup", "plain flour", 62.5),
    ("1,5", "cup", "plain flour", 187.5),
    (1.5, "cup", "plain flour", 187.5),
    (1.125, "kg", "butter", 1125),
    ("1,500", "g", "butter", "write 1500 or 1.5"),
    ("2 Tassen", "cup", "plain flour", "Write the number alone, such as 2"),
    ("2", "Tassen", "plain flour", "'Tassen' has no fixed size"),
    (46054, "cup", "plain flour", "made a date of what was typed"),
    ("", "cup", "plain flour", ""),
    ("2", "", "plain flour", "# unit: This is empty"),
    ("2", "cup", "", "Give the ingredient"),
    ("2", "cup", "moon dust", "No ingredient of that name"),
)
Run = Callable[[str], list[Cells]]


def steps(service: str) -> list[list[Any]]:
    """One session: open the workbook, recalculate, change cells, link a table, write own formulas."""
    column = "item=2%7Ccup%7Cplain%20flour%7C%7Cspooned&item=1%7Ccup%7Cmoon%20dust&item=1%201%2F2%7Ccup%7Crolled%20oats"
    table = f"{service}/v1/convert/rows?measures=us&{column}"
    quarter = f"{service}/v1/convert?amount=1.5&unit=kg&to=kg"
    own = [
        f'=VALUE(WEBSERVICE("{quarter}&format=cell"))',
        f'=WEBSERVICE("{quarter}&format=cell")*1',
        f'=NUMBERVALUE(WEBSERVICE("{quarter}&format=text");".";",")',
        f'=NUMBERVALUE(FILTERXML(WEBSERVICE("{table}&format=xml");"//row[3]/amount");".";",")',
        f'=FILTERXML(WEBSERVICE("{table}&format=xml");"//row[2]/problem.detail")',
        f'=WEBSERVICE("{service}/v1/convert?amount=1&unit=cup&to=ml&format=text")',
        f'=WEBSERVICE("{service}/v1/convert?amount=1&unit=cup&to=ml&format=cell")',
        f'=VALUE(WEBSERVICE("{service}/v1/convert?amount=1&unit=cup&to=ml&format=cell"))',
        f'=WEBSERVICE("{service}/v1/convert?amount=1½&unit=us_cup&to=ml&format=cell")*1',
        '=VALUE("1.500")',
    ]
    typed = [
        ["set", "Own", f"{column}{row}", value]
        for row, (amount, unit, ingredient, _) in enumerate(TYPED, start=2)
        for column, value in zip("ABC", (amount, unit, ingredient), strict=True)
    ]
    typed += [
        ["set", "Own", f"{column}{row}", re.sub(r"\b([A-D])2\b", rf"\g<1>{row}", formula)]
        for row in range(2, len(TYPED) + 2)
        for column, formula in README_CELLS.items()
    ]
    return [
        ["set", SHEET, "B3", service],
        ["calculate"],
        ["read", SHEET, WHOLE],
        ["set", SHEET, "B5", "round 23 x 7 cm"],
        ["set", SHEET, "B9", "us_medium"],
        ["set", SHEET, f"B{FIRST_LINE}", 2.5],  # a number: 2,5 on the screen of a German office
        ["set", SHEET, f"B{FIRST_LINE + 1}", "1,5"],
        ["set", SHEET, f"A{FIRST_LINE + 2}", "moon dust"],
        ["calculate"],
        ["read", SHEET, WHOLE],
        ["link", "Column", f"{table}&format=csv", "A1:K5"],
        *(["set", SHEET, f"K{row}", formula] for row, formula in enumerate(own, start=1)),
        *(["set", SHEET, f"L{row}", f'=VALUE("{locale_proof(x)}")'] for row, x in enumerate(NUMBERS, start=1)),
        ["calculate"],
        ["read", SHEET, "K1:L20"],
        ["set", SHEET, f"B{FIRST_LINE}", ""],
        ["set", SHEET, f"C{FIRST_LINE + 1}", ""],
        ["set", SHEET, "B5", "Springform 26"],
        ["set", SHEET, "B7", ""],
        ["sheet", "Own"],
        ["set", "Own", "B1", service],
        *typed,
        ["calculate"],
        ["read", SHEET, WHOLE],
        ["read", "Own", f"A1:E{len(TYPED) + 1}"],
    ]


@pytest.fixture(scope="module")
def sitting(service: str, tmp_path_factory: pytest.TempPathFactory) -> Run:
    """The cells after each reading step, by locale; LibreOffice starts once for each locale."""
    require_calc()
    done: dict[str, list[Cells]] = {}

    def run(locale: str) -> list[Cells]:
        if locale not in done:
            folder = tmp_path_factory.mktemp(locale)
            document = Path(shutil.copy(FILE, folder))
            done[locale] = drive(folder, locale, steps(service), document=document)
        return done[locale]

    return run


LOCALES = pytest.mark.parametrize(("locale", "comma"), [("en-US", "."), ("de-DE", ",")])


@calc
@LOCALES
def test_the_shipped_workbook_rescales_through_the_service(sitting: Run, locale: str, comma: str) -> None:
    cells = sitting(locale)[0]
    assert cells["E12"].number == pytest.approx(FACTOR, rel=1e-14)
    shown = [(cells[f"E{row}"].number, cells[f"F{row}"].number) for row in TABLE_ROWS]
    assert [grams for grams, _ in shown] == pytest.approx(GRAMS, rel=1e-14)
    assert [scaled for _, scaled in shown] == pytest.approx([FACTOR * grams for grams in GRAMS], rel=1e-14)
    eggs = cells[f"E{EGGS_ROW}"].number
    assert eggs is not None
    assert (
        2 * 53 * 0.85 < eggs < 2 * 63 * 0.9
    )  # EU class M weighs 53 to 63 g in its shell, of which 85 to 90 % is edible
    assert cells[f"E{TOTAL_ROW}"].number == pytest.approx(math.fsum([*GRAMS, eggs]), rel=1e-14)
    assert cells[f"F{TOTAL_ROW}"].number == pytest.approx(FACTOR * math.fsum([*GRAMS, eggs]), rel=1e-14)
    assert not [(name, cell) for name, cell in cells.items() if cell.error]
    assert cells[f"E{FLOUR}"].text == f"218{comma}8"  # 218.75 g shown with one decimal


@calc
@LOCALES
def test_eggs_of_the_class_at_hand(sitting: Run, locale: str, comma: str) -> None:  # noqa: ARG001 - the same cells
    first, second = sitting(locale)[:2]
    exact, count, whole, beaten = (first[f"E{TOTAL_ROW + 2 + i}"].number for i in range(4))
    # Two eggs of class M (53 to 63 g) for the larger tin, counted in class L (63 to 73 g).
    assert (count, whole) == (2, 1)
    assert exact is not None
    assert beaten is not None
    assert 2 * FACTOR * 53 / 73 < exact < 2 * FACTOR * 63 / 63
    needed = first[f"F{EGGS_ROW}"].number
    assert needed is not None
    assert beaten == pytest.approx((exact - 1) * needed / exact)
    # USDA-SR28, NDB 01123: a medium egg holds 44 g.
    needed = second[f"E{EGGS_ROW}"].number
    assert needed is not None
    needed *= math.pi * 11.5**2 / 23**2
    exact, count, whole, beaten = (second[f"E{TOTAL_ROW + 2 + i}"].number for i in range(4))
    assert exact == pytest.approx(needed / 44, rel=1e-8)  # the workbook sends nine decimals
    assert (count, whole) == (round(needed / 44), math.floor(needed / 44))
    assert beaten == pytest.approx(needed - math.floor(needed / 44) * 44, rel=1e-6)


@calc
@LOCALES
def test_changed_cells_are_recalculated_and_errors_are_explained(sitting: Run, locale: str, comma: str) -> None:
    cells = sitting(locale)[1]
    factor = math.pi * 11.5**2 / 23**2  # round 23 cm over square 23 cm
    assert cells["E12"].number == pytest.approx(factor, rel=1e-14)
    assert cells[f"B{FIRST_LINE}"].text == f"2{comma}5"
    assert cells[f"E{FIRST_LINE}"].number == 2.5
    # A decimal comma typed as text goes out with a point.
    assert cells[f"E{FIRST_LINE + 1}"].number == pytest.approx(1.5)
    bad = cells[f"H{FIRST_LINE + 2}"]
    assert (bad.number, bad.error) == (None, 0)
    assert cells[f"E{FIRST_LINE + 2}"].text == ""
    assert bad.text.startswith("# ingredient: No ingredient of that name")
    assert cells[f"G{FIRST_LINE + 2}"].text == bad.text.removeprefix("# ")  # beside the figure that is missing
    assert cells[f"G{FIRST_LINE}"].text == ""
    assert cells[f"F{FIRST_LINE + 2}"].text == ""
    # A total without that line would be a light one.
    assert cells[f"E{TOTAL_ROW}"].text == cells[f"F{TOTAL_ROW}"].text == "a line is missing"


@calc
@LOCALES
def test_a_sheet_linked_to_the_csv_holds_numbers(sitting: Run, locale: str, comma: str) -> None:
    table = sitting(locale)[2]
    assert [table[f"{column}1"].text for column in "ABC"] == ["ingredient", "amount", "unit"]
    assert (table["B2"].number, table["B4"].number) == (2 * 125, 1.5 * 81)  # USDA-SR28, as above
    assert table["B4"].text == f"121{comma}5"
    assert [table[f"A{row}"].text for row in (2, 3, 4)] == ["plain flour", "moon dust", "rolled oats"]
    assert "B3" not in table
    assert "No ingredient of that name" in table["K3"].text


@calc
@LOCALES
def test_formulas_of_a_persons_own(sitting: Run, locale: str, comma: str) -> None:
    cells = sitting(locale)[3]
    assert [cells[f"K{row}"].number for row in (1, 2, 3)] == [1.5, 1.5, 1.5]
    assert cells["K4"].number == 121.5
    assert "No ingredient of that name" in cells["K5"].text
    assert cells["K6"].error  # a refusal with its status: the cell shows an error and no reason
    assert cells["K7"].text.startswith("# unit: 'cup' differs by country")
    assert cells["K8"].error  # which no sum takes for a number
    assert cells["K9"].number == pytest.approx(1.5 * 236.5882365)  # exact: NIST Handbook 44, appendix C
    # The trap that `cell` avoids, and the proof that the locale is what it says.
    assert cells["K10"].number == (1.5 if comma == "." else 1500)
    assert [cells[f"L{row}"].number for row in range(1, len(NUMBERS) + 1)] == pytest.approx(NUMBERS, rel=3e-16)


@calc
@LOCALES
def test_the_formulas_of_the_readme_show_a_figure_or_a_reason(sitting: Run, locale: str, comma: str) -> None:  # noqa: ARG001 - the same cells
    cells = sitting(locale)[5]
    for row, (_, _, _, expected) in enumerate(TYPED, start=2):
        answer, number = cells[f"D{row}"], cells[f"E{row}"]
        assert (answer.error, number.error) == (0, 0)
        if isinstance(expected, float | int):
            assert number.number == pytest.approx(expected)
        else:
            assert expected in answer.text
            assert number.text == ""


@calc
@LOCALES
def test_an_empty_cell_of_the_workbook_is_named(sitting: Run, locale: str, comma: str) -> None:  # noqa: ARG001 - the same cells
    cells = sitting(locale)[4]
    assert cells[f"G{FIRST_LINE}"].text == "amount: This is empty: fill it in, or leave it out."
    assert cells[f"G{FIRST_LINE + 1}"].text == "unit: This is empty: fill it in, or leave it out."
    assert cells["G12"].text.endswith("round 26 cm, round 26 in")
    assert cells[f"G{TOTAL_ROW + 2}"].text == "The eggs written or the factor is no number."
    assert not [name for name, cell in cells.items() if cell.error]


def test_the_shipped_workbook_is_what_the_script_builds() -> None:
    shipped = [[(cell.coordinate, cell.value) for cell in row] for row in load_workbook(FILE)[SHEET].iter_rows()]
    built = [[(cell.coordinate, cell.value) for cell in row] for row in build()[SHEET].iter_rows()]
    assert shipped == built


def test_the_address_stands_in_one_cell_and_every_call_is_locale_proof() -> None:
    cells = [cell for row in load_workbook(FILE)[SHEET].iter_rows() for cell in row if cell.value is not None]
    assert [cell.coordinate for cell in cells if "http" in str(cell.value)] == ["B3"]
    calls = [str(cell.value) for cell in cells if "WEBSERVICE(" in str(cell.value)]
    assert len(calls) == len(LINES) + 6
    assert all("format=cell" in call and "IFERROR(_xlfn.WEBSERVICE($B$3&" in call for call in calls)
    assert all('IF($B$10="","","#"&$B$10)' in call for call in calls)


@calc
def test_the_workbooks_addresses_fit_the_shortest_limit(sitting: Run) -> None:
    cells = sitting("en-US")[0]
    assert len(cells[f"A{LINK_ROW + 1}"].text) < 2048
    assert cells[f"A{LINK_ROW + 1}"].text.count("&item=") == len(LINES)
