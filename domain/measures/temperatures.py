"""Oven temperatures: Celsius and Fahrenheit exactly, gas marks by table."""

from bisect import bisect_left
from dataclasses import dataclass
from fractions import Fraction

from domain.errors import OutOfRangeError, at_path, broken_limit
from domain.measures.quantities import Quantity
from domain.measures.units import UNITS, Unit, expect
from domain.reference import rows
from domain.sources import Cited, cited

COLDEST_C, HOTTEST_C = Fraction(-60), Fraction(600)  # our own limits: colder than a freezer, hotter than an oven
_ZERO_C = UNITS["celsius"].offset


@dataclass(frozen=True, slots=True, kw_only=True)
class GasMark:
    """A gas mark and its published temperatures, in °C."""

    mark: Fraction
    celsius: Fraction
    low: Fraction
    high: Fraction
    cited: Cited


@dataclass(frozen=True, slots=True, kw_only=True)
class Temperature:
    """A temperature, with the range that the table of gas marks gives."""

    amount: Fraction
    low: Fraction
    high: Fraction
    cited: tuple[Cited, ...]


def convert_temperature(quantity: Quantity, to: Unit) -> Temperature:
    """The same temperature on another scale.

    Args:
        quantity: Celsius, Fahrenheit or a gas mark, halves and quarters included.
        to: the requested scale.
    Returns:
        The temperature on that scale, interpolated linearly between gas marks.
    Raises:
        MismatchError: one of the two is not a temperature.
        OutOfRangeError: outside the table of gas marks, or not a kitchen's temperature.
    Source:
        Celsius and Fahrenheit by definition; gas marks from gas_marks.csv.
    """
    with at_path("unit"):
        expect(quantity.unit, "temperature")
    with at_path("to"):
        expect(to, "temperature")
    celsius = _celsius_range(quantity)
    if not COLDEST_C <= celsius.amount <= HOTTEST_C:
        raise OutOfRangeError(
            f"A temperature must be from {COLDEST_C} to {HOTTEST_C} °C.",
            value=float(celsius.amount),
            limit=float(COLDEST_C if celsius.amount < COLDEST_C else HOTTEST_C),
            unit="celsius",
        )
    if quantity.unit is to:
        return Temperature(amount=quantity.amount, low=quantity.amount, high=quantity.amount, cited=())
    if to.id == "gas_mark":
        return _gas_mark(celsius)
    if to.id == "celsius":
        return celsius
    readings = [(c + _ZERO_C - to.offset) / to.factor for c in (celsius.amount, celsius.low, celsius.high)]
    return Temperature(amount=readings[0], low=readings[1], high=readings[2], cited=celsius.cited)


def scale_sources(*units: Unit) -> tuple[Cited, ...]:
    """The sources of conversions between these scales: gas marks have published figures, degrees are exact."""
    marks = any(unit.id == "gas_mark" for unit in units)
    return tuple(dict.fromkeys(mark.cited for mark in GAS_MARKS)) if marks else ()


def _celsius_range(quantity: Quantity) -> Temperature:
    if quantity.unit.id != "gas_mark":
        celsius = quantity.base - _ZERO_C
        return Temperature(amount=celsius, low=celsius, high=celsius, cited=())
    lower, upper = _between(_MARKS, quantity.amount)
    share = _share(lower.mark, upper.mark, quantity.amount)
    amount, low, high = (
        lower.celsius + (upper.celsius - lower.celsius) * share,
        lower.low + (upper.low - lower.low) * share,
        lower.high + (upper.high - lower.high) * share,
    )
    neighbours = (*((lower,) if share != 1 else ()), *((upper,) if share else ()))
    return Temperature(
        amount=amount,
        low=min(amount, low),
        high=max(amount, high),
        cited=tuple(dict.fromkeys(gas.cited for gas in neighbours)),
    )


def _gas_mark(celsius: Temperature) -> Temperature:
    lower, upper = _between(_CELSIUS, celsius.amount)
    share = _share(lower.celsius, upper.celsius, celsius.amount)
    mark = lower.mark * (1 - share) + upper.mark * share
    return Temperature(amount=mark, low=mark, high=mark, cited=tuple(dict.fromkeys((lower.cited, upper.cited))))


def _share(low: Fraction, high: Fraction, value: Fraction) -> Fraction:
    return (value - low) / (high - low)


def _between(column: list[Fraction], value: Fraction) -> tuple[GasMark, GasMark]:
    if column[0] <= value <= column[-1]:
        above = max(1, bisect_left(column, value))
        return GAS_MARKS[above - 1], GAS_MARKS[above]
    first, last = (f"{gas.mark} ({float(gas.celsius):.0f} °C)" for gas in (GAS_MARKS[0], GAS_MARKS[-1]))
    limit = broken_limit(float(value), float(column[0]), float(column[-1]))
    raise OutOfRangeError(f"Gas marks run from {first} to {last}.", value=float(value), limit=limit)


def _load() -> tuple[GasMark, ...]:
    fahrenheit = UNITS["fahrenheit"]
    table = []
    for row in rows("gas_marks"):
        exact = Fraction(row["fahrenheit"]) * fahrenheit.factor + fahrenheit.offset - _ZERO_C
        low, high = Fraction(row["celsius_low"]), Fraction(row["celsius_high"])
        table.append(
            GasMark(
                mark=Fraction(row["mark"]), celsius=exact, low=min(low, exact), high=max(high, exact), cited=cited(row)
            )
        )
    return tuple(table)


GAS_MARKS = _load()
_MARKS, _CELSIUS = [gas.mark for gas in GAS_MARKS], [gas.celsius for gas in GAS_MARKS]
