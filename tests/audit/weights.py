"""Check the USDA's rows of densities.csv and piece_weights.csv against the raw file of its release, by record number.

`python -m tests.audit.weights FOLDER` prints every row that the raw file does not have. FOLDER holds WEIGHT.txt, as
the USDA publishes it.
"""

import re
import sys
from collections.abc import Iterator
from pathlib import Path

from domain.reference import rows
from tests.audit.usda import SOURCE
from tests.published.printed import half_a_digit

_RECORD = re.compile(r"NDB (\d{5}) WEIGHT seq (\d+)")
_UNITS = {"cup": "us_cup", "tbsp": "us_tbsp", "tablespoon": "us_tbsp", "tsp": "us_tsp", "fl oz": "us_fl_oz"}
_CUP_FL_OZ = 8
# "serving 2 tbsp" and "serving (5 fl oz)" hold the measure in the text; "serving 1/4 cup" its fraction.
_SERVING = re.compile(r"serving \(?(?P<amount>\d+(?:/\d+)?) (?P<unit>cup|tbsp|fl oz)\)?", re.IGNORECASE)


def failures(folder: Path) -> Iterator[str]:
    """Every cited portion that the raw file has otherwise, or not at all; records that it lacks are left out."""
    portions = _portions(folder)
    known_foods = {number for number, _ in portions}
    for table in ("densities", "piece_weights"):
        for row in rows(table):
            match = _RECORD.fullmatch(row["record"]) if row["source"] == SOURCE else None
            if match is None or match[1] not in known_foods:
                continue
            portion = portions.get((match[1], match[2]))
            if portion is None or not (_measure_fits if table == "densities" else _piece_fits)(row, *portion):
                yield f"{table}: {row['ingredient']}: {row['record']} is {portion}"


def _measure_fits(row: dict[str, str], amount: float, measure: str, grams: float) -> bool:
    if serving := _SERVING.match(measure):
        top, _, bottom = serving["amount"].partition("/")
        amount, measure = amount * int(top) / int(bottom or 1), serving["unit"].lower()
    unit = next((ours for theirs, ours in _UNITS.items() if measure.startswith(theirs)), "")
    # Gelatine's portion is "envelope (1 tbsp)".
    unit = unit or ("us_tbsp" if "1 tbsp" in measure else "")
    if (amount, unit, row["unit"]) == (_CUP_FL_OZ, "us_fl_oz", "us_cup"):
        amount, unit = 1, "us_cup"
    return (float(row["grams"]), row["unit"]) == (grams, unit) and abs(float(row["amount"]) - amount) < 1e-6


def _piece_fits(row: dict[str, str], amount: float, measure: str, grams: float) -> bool:
    counts = (amount, *(int(number) for number in re.findall(r"(\d+) halves", measure)))
    return any(abs(grams / count - float(row["grams"])) <= half_a_digit(row["grams"]) for count in counts)


def _portions(folder: Path) -> dict[tuple[str, str], tuple[float, str, float]]:
    portions = {}
    with (folder / "WEIGHT.txt").open(encoding="latin-1") as lines:
        for line in lines:
            number, sequence, amount, measure, grams = [field.strip("~") for field in line.strip().split("^")][:5]
            portions[number, sequence] = (float(amount), measure, float(grams))
    return portions


def main(folder: Path) -> int:
    """Print the failures; returns the exit status."""
    wrong = list(failures(folder))
    sys.stdout.write("".join(f"{failure}\n" for failure in wrong))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
