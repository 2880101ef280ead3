"""Money: exact decimals as input, whole minor units as output, and shares that add up to the rounded total.

A sum stays an exact fraction until it is rounded once, half to even, to the currency's minor unit (a penny, a cent).
The parts of a rounded sum are whole minor units that add up to it: each part is rounded down, and the remaining units
go to the parts that lost most, the earlier part first (`domain.measures.whole_shares`).
"""

import re
from dataclasses import dataclass
from fractions import Fraction
from types import MappingProxyType

from domain.errors import AmbiguousError, OutOfRangeError, UnknownError, UnreadableError
from domain.measures.quantities import parse_amount
from domain.reading.numbers import plain_number
from domain.reading.settings import decimal_text
from domain.reference import rows
from domain.sources import Cited, cited

_DECIMAL = re.compile(r"[0-9]++(?:[.,'’\u00a0\u202f\u2009][0-9]++)*+")
_WITH_SIGN = re.compile(
    r"(?:[^\W\d]{1,3}|[^\w\s.,'-])?+ ?+(?P<amount>[0-9]++(?:[.,][0-9]{2})?+) ?+(?:[^\W\d]{1,3}|[^\w\s.,'-])?+"
)
MAX_PRICE = 1_000_000  # our own limit, no source: a higher price of a pack or a portion is a typing slip


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)  # compared by identity: one object per code
class Currency:
    """An ISO 4217 currency. `places` is the number of decimals of its minor unit."""

    code: str
    places: int
    cited: Cited

    def units(self, amount: Fraction) -> int:
        """The amount in minor units, rounded half to even."""
        return round(amount * self._one())

    def amount(self, units: int) -> Fraction:
        """The exact amount of a number of minor units."""
        return units / self._one()

    def text(self, units: int) -> str:
        """Minor units as a decimal without sign or symbol: `12.30`."""
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
        UnknownError: the code is not in our table.

    >>> find_currency("gbp").places, find_currency("JPY").places, find_currency("KWD").text(12345)
    (2, 0, '12.345')
    """
    try:
        return CURRENCIES[code.strip().upper()]
    except KeyError:
        raise UnknownError(
            "This currency code is not in our table of ISO 4217 codes.", code="unknown_currency"
        ) from None


def parse_money(written: str | float) -> Fraction:
    """An amount of money as written, exactly.

    Args:
        written: a number, or a decimal as text such as `1.29`, `1,29` or `1.234,50`. A point before three digits is a
            decimal point, as in a number of JSON. A fraction is rejected: nobody writes a price so.
    Returns:
        The exact amount, at least 0.
    Raises:
        UnreadableError: the text is not a decimal.
        AmbiguousError: its comma may separate thousands.
        OutOfRangeError: the amount is below zero or above a million.

    >>> parse_money("1,29") == parse_money("1.29"), parse_money("1.234,50")
    (True, Fraction(2469, 2))
    """
    amount = _decimal(written) if isinstance(written, str) else parse_amount(written)
    if not 0 <= amount <= MAX_PRICE:
        raise OutOfRangeError(
            f"An amount of money is from 0 to {MAX_PRICE:,}.",
            value=float(amount),
            limit=0 if amount < 0 else MAX_PRICE,
        )
    return amount


def _decimal(written: str) -> Fraction:
    text = written.strip()
    if text.isascii() and text.replace(".", "", 1).isdecimal():
        return parse_amount(text)
    values = _DECIMAL.fullmatch(text) and plain_number(text, None)
    if values and len(values) > 1:
        candidates = tuple(decimal_text(value) for value in values)
        message = f"The comma in this amount may separate thousands or decimals: write {' or '.join(candidates)}."
        raise AmbiguousError(message, candidates=candidates, code="ambiguous_number")
    if values:
        return values[0]
    number = _WITH_SIGN.fullmatch(text)
    raise UnreadableError(
        "Write money as a decimal such as 1.29, without a sign, a symbol or a fraction; the currency has a field of its"
        " own.",
        candidates=() if number is None else (number["amount"],),
    )


def even_split(total: int, count: int) -> tuple[tuple[int, int], ...]:
    """Divide a total into equal parts, as equal as whole units allow.

    Args:
        total: minor units, at least 0.
        count: number of parts, at least 1.
    Returns:
        Pairs of a count and the units of each of that many parts, the higher amount first. Counts and units add up.

    >>> even_split(1000, 3)
    ((1, 334), (2, 333))
    """
    lower, number_higher = divmod(total, count)
    groups = ((number_higher, lower + 1), (count - number_higher, lower))
    return tuple((number, units) for number, units in groups if number)


def exact_text(amount: Fraction) -> str:
    """An exact amount as a decimal with six places, rounded half to even.

    Args:
        amount: in money; may be negative.
    Returns:
        The decimal, with a minus sign if it is negative.

    >>> exact_text(Fraction(1, 3)), exact_text(Fraction(-5, 2))
    ('0.333333', '-2.500000')
    """
    millionths = round(amount * 1_000_000)
    sign = "-" if millionths < 0 else ""
    return f"{sign}{abs(millionths) // 1_000_000}.{abs(millionths) % 1_000_000:06d}"


CURRENCIES = MappingProxyType(
    {row["code"]: Currency(code=row["code"], places=int(row["places"]), cited=cited(row)) for row in rows("currencies")}
)
