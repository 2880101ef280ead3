"""A check of a single amount: more than any kitchen measures, such as a date that a spreadsheet made of 1/2."""

import math
from collections.abc import Iterable

from domain.formulas.weighing import EXACTING
from domain.measures.units import Unit
from domain.notices import Notice
from domain.reading.plausible import greatest_plausible

# Our own limit, no source: 25 kg of a raising agent, salt, gum or yeast raise tonnes.
MAX_EXACTING_GRAMS = 25_000
# Days since 1899-12-30, which spreadsheets count dates by: the years 2000 to 2099.
FIRST_DATE, LAST_DATE = 36_526, 73_050


def largest_likely_amount(unit: Unit, ingredient: str | None) -> float | None:
    """The largest amount of a unit that a kitchen uses in one line.

    Args:
        unit: of the amount.
        ingredient: its id; None for an ingredient of no table.
    Returns:
        The amount, above 0; None for units that are no mass, volume or count.
    """
    if unit.dimension not in {"mass", "volume", "count"}:
        return None
    most = greatest_plausible(unit.id)
    if ingredient in EXACTING and unit.dimension == "mass":
        most = min(most, MAX_EXACTING_GRAMS / unit.factor)
    return float(most)


def amount_notice(amount: float, unit: Unit, ingredient: str | None) -> Notice | None:
    """The warning about an amount beyond any kitchen.

    Args:
        amount: of the unit, 0 or more.
        unit: of the amount.
        ingredient: its id; None for an ingredient of no table.
    Returns:
        The warning, which names the figure and the limit; None for a likely amount.
    """
    most = largest_likely_amount(unit, ingredient)
    if most is None or amount <= most:
        return None
    message = f"{amount:,.10g} {unit.id} is more than a kitchen uses at once, {most:,.6g} {unit.id}: check the amount."
    if amount.is_integer() and FIRST_DATE <= amount <= LAST_DATE:
        message += " A spreadsheet may have made a date of what was typed, such as 1/2: format the cell as text."
    return Notice("unlikely_amount", message, (), amount, most, unit.id)


def unlikely_amounts(
    amounts: Iterable[tuple[int, int]], unit: Unit, ingredient: str | None
) -> list[tuple[int, Notice]]:
    """The warnings about the amounts of a column.

    Args:
        amounts: the numerator and the denominator of each.
        unit: of all of them.
        ingredient: its id; None for an ingredient of no table.
    Returns:
        The index of each amount beyond any kitchen, with its warning.
    """
    most = largest_likely_amount(unit, ingredient)
    if most is None:
        return []
    whole = math.floor(most)  # integers are compared three times as fast as floats, and a column has thousands
    beyond = [(index, top / bottom) for index, (top, bottom) in enumerate(amounts) if top > whole * bottom]
    notices = [(index, amount_notice(amount, unit, ingredient)) for index, amount in beyond]
    return [(index, notice) for index, notice in notices if notice is not None]
