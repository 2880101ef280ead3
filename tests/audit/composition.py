"""Plausibility of the compositions: sums, parts and wholes, energy; every ingredient has one or a reason."""

import csv
from collections.abc import Iterator
from pathlib import Path

from domain.reference import rows
from domain.shop.nutrition import MACROS, PARTS, Composition
from domain.shop.reference_compositions import RECORDS, UNKNOWN
from domain.things.ingredients import INGREDIENTS

MAX_IN_100_G = 102.0  # our own limit: figures by difference and rounding exceed 100 g by less
ENERGY_SHARE, ENERGY_KCAL = 0.15, 5.0  # our own limits: how far specific factors may lie from the general ones
SUM, ENERGY = "sum", "energy"


def failures() -> Iterator[str]:
    """Every implausible composition without a reason, every needless reason, every missing composition."""
    reasons = {(row["ingredient"], row["market"], row["check"]) for row in _reasons()}
    explained = set()
    for row, record in _table():
        for check, words in _of_row(row, record):
            key = row["ingredient"], row["market"], check
            explained.add(key)
            if key not in reasons:
                yield f"nutrition: {row['ingredient']} {row['market']}: {words}"
    for ingredient, market, check in reasons - explained:
        yield f"reasons: {ingredient} {market}: {check} needs no reason"
    for ingredient in INGREDIENTS.keys() - RECORDS.keys() - UNKNOWN.keys():
        yield f"nutrition: {ingredient}: neither a composition nor a reason for having none"


def _table() -> Iterator[tuple[dict[str, str], Composition]]:
    """Every row with its composition, once as printed and once with crude protein."""
    places: dict[str, int] = {}
    for row in rows("nutrition"):
        place = places.get(row["ingredient"], 0)
        places[row["ingredient"]] = place + 1
        record = RECORDS[row["ingredient"]][place]
        yield row, record.printed
        yield row, record.crude_protein


def _of_row(row: dict[str, str], record: Composition) -> Iterator[tuple[str, str]]:
    figures = record.per_100g
    total = sum(figures.get(nutrient, 0.0) for nutrient in MACROS)
    if total > MAX_IN_100_G + 1e-9:
        yield SUM, f"{total:.1f} g in 100 g"
    for part, whole in PARTS:
        if part in figures and whole in figures and figures[part] > figures[whole] + 1e-9:
            yield part, f"{part} {figures[part]:g} exceeds {whole} {figures[whole]:g}"
    if row["energy_kcal"] and "energy_kcal" in figures:
        printed, computed = float(row["energy_kcal"]), figures["energy_kcal"]
        if abs(computed - printed) > max(ENERGY_SHARE * printed, ENERGY_KCAL):
            yield ENERGY, f"{computed:.0f} kcal by the EU's factors, {printed:g} in the table"


def _reasons() -> list[dict[str, str]]:
    text = Path(__file__).with_name("reasons.csv").read_text("utf-8")
    return list(csv.DictReader(line for line in text.splitlines() if not line.startswith("#")))
