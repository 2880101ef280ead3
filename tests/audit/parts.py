"""Check the USDA's rows of usable_yields.csv and borrowed_cells.csv against the raw files of its release.

`python -m tests.audit.parts FOLDER` prints every row that the raw files do not have. FOLDER holds FOOD_DES.txt and
NUT_DATA.txt, as the USDA publishes them; records that they lack are left out.
"""

import re
import sys
from collections.abc import Iterator
from pathlib import Path

from domain.reference import rows
from domain.shop.reference_compositions import RECORDS
from tests.audit.usda import SOURCE, records
from tests.published.printed import half_a_digit

REFUSE_FIELD = 8  # the place of the inedible share, in percent, in FOOD_DES
TRANS = "trans_fat_g"


def failures(folder: Path) -> Iterator[str]:
    """Every usable yield that the refuse does not leave, and every borrowed figure that its record does not have."""
    refuse = _refuse(folder)
    for row in rows("usable_yields"):
        number = _number_of(row)
        if number in refuse and float(row["percent"]) != 100 - refuse[number]:
            yield f"usable_yields: {row['ingredient']}: NDB {number} has {refuse[number]:g} % of refuse"
    cells = records(folder, set(refuse))
    for row in rows("borrowed_cells"):
        record = cells.get(_number_of(row), {})
        printed = record.get(row["nutrient"], "")
        if "water_g" not in record or ":" in row["record"]:  # a share worked out from the record, which its test checks
            continue
        candidates = [float(printed)] if printed else []
        if printed and row["nutrient"] == TRANS:
            # Of milk and egg, the share in the record's fat counts.
            of_market = [each for each in RECORDS[row["ingredient"]] if each.market == row["market"]]
            candidates.append(float(printed) * of_market[0].printed.per_100g["fat_g"] / float(record["fat_g"]))
        if not any(abs(float(row["value"]) - each) <= half_a_digit(row["value"]) + 1e-9 for each in candidates):
            yield f"borrowed_cells: {row['ingredient']}, {row['nutrient']}: {row['record']} gives {candidates}"


def _refuse(folder: Path) -> dict[str, float]:
    """The inedible share of each record in percent; 0 where the field is empty."""
    shares = {}
    with (folder / "FOOD_DES.txt").open(encoding="latin-1") as lines:
        for line in lines:
            fields = [field.strip("~") for field in line.strip().split("^")]
            shares[fields[0]] = float(fields[REFUSE_FIELD] or 0)
    return shares


def _number_of(row: dict[str, str]) -> str:
    match = re.match(r"NDB (\d{5})", row["record"]) if row["source"] == SOURCE else None
    return match[1] if match else ""


def main(folder: Path) -> int:
    """Print the failures; returns the exit status."""
    wrong = list(failures(folder))
    sys.stdout.write("".join(f"{failure}\n" for failure in wrong))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main(Path(sys.argv[1])))
