"""Money: exact decimals in, whole smallest units out, and shares that add up to the last of them.

Sums stay exact fractions until one rounding, half to even, to the smallest unit of the currency. What a sum is made
of is then given in smallest units that add up to the rounded sum: every share is rounded down and the units left over
go to the shares that lost most, the earlier first (the method of largest remainders).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from domain.errors import OutOfRangeError, UnknownError, UnreadableError
from domain.measures.quantities import parse_amount
from domain.reference import rows
from domain.sources import Cited, cited

MAX_PRICE = 1_000_000  # our own limit, no source: more for a pack or a piece is a typing slip


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)  # one object a code: identity will do
class Currency:
    """An ISO 4217 currency; `places` is how many decimals its smallest unit has."""

    code: str
    places: int
    cited: Cited

    def units(self, amount: Fraction) -> int:
        """The amount in smallest units, rounded half to even."""
        return round(amount * self._one())

    def units_up(self, amount: Fraction) -> int:
        """The amount in smallest units, rounded up."""
        return math.ceil(amount * self._one())

    def amount(self, units: int) -> Fraction:
        """So many smallest units, exactly."""
        return units / self._one()

    def text(self, units: int) -> str:
        """Smallest units as a decimal: `12.30`; no sign, no symbol, a point."""
        digits = str(units).zfill(self.places + 1)
        return f"{digits[: -self.places]}.{digits[-self.places :]}" if self.places else digits

    def _one(self) -> Fraction:
        return Fraction(10) ** self.places


def find_currency(code: str) -> Currency:
    """The currency of an ISO 4217 code.

    Args:
        code: three letters, in any case.
    Returns:
        The currency with its decimal places.
    Raises:
        UnknownError: not a code known here.

    >>> find_currency("gbp").places, find_currency("JPY").places, find_currency("KWD").text(12345)
    (2, 0, '12.345')
    """
    try:
        return CURRENCIES[code.strip().upper()]
    except KeyError:
        raise UnknownError("Not a currency code of ISO 4217 known here.", code="unknown-currency") from None


def parse_money(written: str | float) -> Fraction:
    """An amount of money as written, exactly.

    Args:
        written: a number or a decimal such as `1.29`; a fraction is refused, since no price is written so.
    Returns:
        The exact amount, at least 0.
    Raises:
        UnreadableError: not a decimal.
        OutOfRangeError: below zero or above a million.
    """
    if isinstance(written, str) and not written.strip().replace(".", "", 1).isdecimal():
        raise UnreadableError("Write money as a decimal with a point, without a sign or a symbol, such as 1.29.")
    amount = parse_amount(written)
    if not 0 <= amount <= MAX_PRICE:
        raise OutOfRangeError(f"An amount of money is from 0 to {MAX_PRICE:,}.")
    return amount


def shares(total: int, parts: Sequence[Fraction]) -> list[int]:
    """A total in smallest units divided as its exact parts are.

    Args:
        total: the rounded sum of the parts, in smallest units.
        parts: each part in smallest units, exact, at least 0.
    Returns:
        Whole units that add up to *total*, each less than one away from its part.
    Source:
        The method of largest remainders; ties go to the earlier part.

    >>> shares(100, [Fraction(100, 3)] * 3)
    [34, 33, 33]
    """
    floors = [part.numerator // part.denominator for part in parts]
    left = total - sum(floors)
    by_loss = sorted(range(len(parts)), key=lambda i: (floors[i] - parts[i], i))
    for i in by_loss[:left]:
        floors[i] += 1
    return floors


def even_split(total: int, count: int) -> tuple[tuple[int, int], ...]:
    """A total over equal parts: how many get how many units, the dearer first.

    Args:
        total: smallest units, at least 0.
        count: parts, at least 1.
    Returns:
        Pairs of count and units; the counts add up, and so do the units.

    >>> even_split(1000, 3)
    ((1, 334), (2, 333))
    """
    each, dearer = divmod(total, count)
    return tuple((n, units) for n, units in ((dearer, each + 1), (count - dearer, each)) if n)


CURRENCIES = MappingProxyType(
    {row["code"]: Currency(code=row["code"], places=int(row["places"]), cited=cited(row)) for row in rows("currencies")}
)
