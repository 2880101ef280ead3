"""Derive the USDA's rows of nutrition.csv from the raw files of its release, by record number.

`python -m tests.audit.usda FOLDER` prints every cell that differs; with `--write` it corrects them. FOLDER holds
FOOD_DES.txt and NUT_DATA.txt, as the USDA publishes them.
"""

import csv
import io
import re
import sys
from collections.abc import Iterator
from pathlib import Path

SOURCE = "usda-sr28"
TABLE = Path(__file__).parents[2] / "domain" / "reference" / "nutrition.csv"
NUTRIENTS = {  # columns of nutrition.csv and the nutrient numbers of NUTR_DEF
    "water_g": "255",
    "protein_g": "203",
    "fat_g": "204",
    "saturates_g": "606",
    "trans_fat_g": "605",
    "cholesterol_mg": "601",
    "carbohydrate_with_fibre_g": "205",
    "fibre_g": "291",
    "sugars_g": "269",
    "sodium_mg": "307",
    "potassium_mg": "306",
    "calcium_mg": "301",
    "iron_mg": "303",
    "vitamin_d_ug": "328",
    "alcohol_g": "221",
    "energy_kcal": "208",
}
ASH, FACTOR_FIELD = "207", 10  # the nutrient number of ash; the place of the nitrogen factor in FOOD_DES
# Carbohydrate is what the other parts leave of 100 g. A row without alcohol has none if they leave less than this.
ROOM_FOR_ALCOHOL_G = 0.5


def records(folder: Path, numbers: set[str]) -> dict[str, dict[str, str]]:
    """The cells of nutrition.csv by record number."""
    cells: dict[str, dict[str, str]] = {}
    for fields in _lines(folder / "FOOD_DES.txt"):
        if fields[0] in numbers:
            factor = _number(fields[FACTOR_FIELD])
            cells[fields[0]] = {"nitrogen_factor": "" if factor == "0" else factor}
    columns = {number: column for column, number in NUTRIENTS.items()}
    ash: dict[str, float] = {}
    for fields in _lines(folder / "NUT_DATA.txt"):
        number, nutrient, value = fields[:3]
        if number not in cells:
            continue
        if nutrient == ASH:
            ash[number] = float(value)
        elif nutrient in columns:
            cells[number][columns[nutrient]] = _number(value)
    for number, row in cells.items():
        _fill_alcohol(row, ash.get(number, 0.0))
        for column in NUTRIENTS:
            row.setdefault(column, "")
    return cells


def differences(folder: Path) -> Iterator[tuple[dict[str, str], str, str]]:
    """Every cell of nutrition.csv that the raw files do not have: its row, its column and the right cell."""
    table = [row for row in _table() if row["source"] == SOURCE]
    derived = records(folder, {record_number(row) for row in table})
    for row in table:
        for column, cell in derived.get(record_number(row), {}).items():
            if cell != row[column]:
                yield row, column, cell


def record_number(row: dict[str, str]) -> str:
    """The record number that a row cites."""
    match = re.search(r"\b\d{5}\b", row["record"])
    if match is None:
        raise ValueError(f"no record number: {row}")
    return match[0]


def main(folder: Path, *, write: bool) -> int:
    """Print the differences, or correct them; returns the exit status."""
    corrections: dict[tuple[str, str, str], dict[str, str]] = {}
    for row, column, cell in differences(folder):
        corrections.setdefault(_key(row), {})[column] = cell
        sys.stdout.write(f"{row['ingredient']}, {column}: {row[column] or 'empty'} -> {cell or 'empty'}\n")
    if corrections and write:
        comments = [line for line in TABLE.read_text("utf-8").splitlines() if line.startswith("#")]
        corrected = [row | corrections.get(_key(row), {}) for row in _table()]
        text = io.StringIO()
        writer = csv.DictWriter(text, list(corrected[0]), lineterminator="\n")
        writer.writeheader()
        writer.writerows(corrected)
        TABLE.write_text("\n".join(comments) + "\n" + text.getvalue(), "utf-8")
        return 0
    return 1 if corrections else 0


def _key(row: dict[str, str]) -> tuple[str, str, str]:
    return row["ingredient"], row["market"], row["names"]


def _table() -> list[dict[str, str]]:
    return list(csv.DictReader(line for line in TABLE.read_text("utf-8").splitlines() if not line.startswith("#")))


def _lines(path: Path) -> Iterator[list[str]]:
    with path.open(encoding="latin-1") as lines:
        for line in lines:
            yield [field.strip("~") for field in line.rstrip("\r\n").split("^")]


def _number(text: str) -> str:
    """A number in its shortest form; an empty field is not known."""
    return f"{float(text):g}" if text else ""


def _fill_alcohol(row: dict[str, str], ash_g: float) -> None:
    parts = [row.get(column) for column in ("water_g", "protein_g", "fat_g", "carbohydrate_with_fibre_g")]
    if "alcohol_g" not in row and None not in parts:
        left = 100 - ash_g - sum(float(part) for part in parts if part is not None)
        if left < ROOM_FOR_ALCOHOL_G:
            row["alcohol_g"] = "0"


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1]), write="--write" in sys.argv[2:]))
