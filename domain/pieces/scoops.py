"""Numbered scoops: what a level scoop holds, by the rule and by printed measures."""

from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from domain.errors import OutOfRangeError, broken_limit
from domain.measures.quantities import parse_amount
from domain.measures.units import UNITS
from domain.notices import Notice
from domain.reference import rows
from domain.sources import Cited, cite, cited

MIN_SCOOP, MAX_SCOOP = 4, 120  # our own limits: no source lists scoops beyond them
NEAREST = 3  # our own choice: a person compares no more
_QUART_ML = UNITS["us_quart"].factor
_QUART_RULE = cite("icn-glance", "footnote 1: number = level scoops per quart")


@dataclass(frozen=True, slots=True, kw_only=True)
class Scoop:
    """A numbered scoop: millilitres when level by the rule, and the range of printed measures."""

    number: int
    ml: Fraction
    low_ml: Fraction
    high_ml: Fraction
    cited: tuple[Cited, ...]
    notices: tuple[Notice, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class ScoopOffer:
    """A scoop for a requested mass: the grams it gives, and the difference in percent."""

    scoop: Scoop
    grams: float
    low: float
    high: float
    error_percent: float


def find_scoop(number: int) -> Scoop:
    """What a numbered scoop holds when level.

    Args:
        number: the number on the scoop, 4 to 120.
    Returns:
        1/number US quart, and the range of printed level measures. For a number in no table: the rule alone, with a
        warning.
    Raises:
        OutOfRangeError: no such scoop is sold.
    Source:
        The rule: number of level scoops in a US quart (icn-glance); ranges: `reference/scoops.csv`.

    >>> round(float(find_scoop(16).ml), 3)
    59.147
    """
    if scoop := SCOOPS.get(number):
        return scoop
    if not MIN_SCOOP <= number <= MAX_SCOOP:
        raise OutOfRangeError(
            f"Scoops are numbered {MIN_SCOOP} to {MAX_SCOOP}: a higher number is a smaller scoop.",
            path=("scoop",),
            candidates=tuple(str(scoop) for scoop in SCOOPS),
            value=number,
            limit=broken_limit(number, MIN_SCOOP, MAX_SCOOP),
        )
    message = f"We have no printed measure of a No. {number} scoop: 1/{number} US quart is assumed. Weigh one."
    ml, notice = _QUART_ML / number, Notice("scoop_by_rule", message, ("scoop",), float(_QUART_ML / number), unit="ml")
    return Scoop(number=number, ml=ml, low_ml=ml, high_ml=ml, cited=(_QUART_RULE,), notices=(notice,))


def nearest_scoops(piece_g: float, g_per_ml: float) -> tuple[ScoopOffer, ...]:
    """The scoops that come nearest to a mass, nearest first.

    Args:
        piece_g: the requested mass.
        g_per_ml: density of the mix in the scoop.
    Returns:
        Three scoops of the table.
    """
    offers = []
    for scoop in SCOOPS.values():
        grams = float(scoop.ml) * g_per_ml
        offers.append(
            ScoopOffer(
                scoop=scoop,
                grams=grams,
                low=float(scoop.low_ml) * g_per_ml,
                high=float(scoop.high_ml) * g_per_ml,
                error_percent=(grams / piece_g - 1) * 100,
            )
        )
    return tuple(sorted(offers, key=lambda offer: abs(offer.error_percent))[:NEAREST])


def _load() -> MappingProxyType[int, Scoop]:
    table = rows("scoops")
    scoops = {}
    for row in table:
        if row["use"] == "rule":
            number = int(row["number"])
            ranges = [other for other in table if other["use"] == "range" and int(other["number"]) == number]
            volumes = [_QUART_ML / number]
            volumes += [parse_amount(other["amount"]) * UNITS[other["unit"]].factor for other in ranges]
            scoops[number] = Scoop(
                number=number,
                ml=volumes[0],
                low_ml=min(volumes),
                high_ml=max(volumes),
                cited=tuple(cited(source_row) for source_row in (row, *ranges)),
            )
    return MappingProxyType(scoops)


SCOOPS = _load()
