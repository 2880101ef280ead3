"""Parsing of amounts and quantities: `1.5`, `1/3`, `1 1/2`, `1½`, `1 1/2 cup`."""

import math
import re
import unicodedata
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from domain.errors import OutOfRangeError, UnreadableError
from domain.measures.units import Dimension, Measures, Unit, expect, resolve_unit

MAX_AMOUNT = 1_000_000  # our own limit, no source: a larger amount is a typing error
MIN_AMOUNT = Fraction(1, 10**9)  # our own limit, no source: a smaller amount above 0 is an error
_MIN_FLOAT = float(MIN_AMOUNT)  # the nearest double, which is how 1e-9 is read
SHORT = 4  # decimals; reducing longer fractions takes more time than it saves
MAX_DIGITS = 15  # our own limit: a double holds this many exactly

# The single-character fractions of Unicode, each as "n/d" (¼ decomposes to 1 ⁄ 4).
_VULGAR = {
    chr(code): unicodedata.normalize("NFKC", chr(code)).replace("\u2044", "/")
    for code in (*range(0xBC, 0xBF), *range(0x2150, 0x215F))
}
_PLAIN = re.compile(r"(?P<sign>-?)(?P<whole>[0-9]*)(?:\.(?P<part>[0-9]+))?(?<=[0-9])")
_FRACTION = re.compile(r"(?P<sign>-?)(?:(?P<whole>[0-9]+) )?(?P<top>[0-9]+) ?/ ?(?P<bottom>[0-9]+)")
_FRACTIONS = "".join(_VULGAR)
# Possessive quantifiers, so that long text is rejected in linear time.
_AMOUNT_THEN_UNIT = re.compile(
    rf"\s*+(?P<amount>-?[0-9.{_FRACTIONS}][0-9 ./\u2044{_FRACTIONS}]*+)(?P<unit>(?:°|[^\W0-9{_FRACTIONS}])[\w .°²-]*+)"
)
_GAS_MARK = re.compile(r"\s*+gas(?:[ _]?mark)?\s++(?P<amount>[^a-z]++)", re.IGNORECASE)
HOW_TO_WRITE_AN_AMOUNT = "Write an amount as 1.5, 1/3, 1 1/2, 1½ or ½."
HOW_TO_WRITE_A_QUANTITY = f"Write an amount and a unit, such as 200 g, 1 1/2 us_cup or 4 each. {HOW_TO_WRITE_AN_AMOUNT}"


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """An exact amount of a unit; its absolute value is 0, or from a billionth to a million."""

    amount: Fraction
    unit: Unit

    def __post_init__(self) -> None:
        """Reject amounts that can only be a typing slip."""
        check_amount(self.amount.numerator, self.amount.denominator)

    @property
    def base(self) -> Fraction:
        """The exact amount in base units (g, ml, mm, mm², K, each)."""
        scaled = self.amount * self.unit.factor
        return scaled + self.unit.offset if self.unit.offset else scaled

    @property
    def base_float(self) -> float:
        """The double nearest to `base`."""
        if self.unit.offset:
            return float(self.base)
        amount, factor = self.amount, self.unit.factor  # one division of integers takes a fifth of a product's time
        return amount.numerator * factor.numerator / (amount.denominator * factor.denominator)


def parse_amount(written: str | float) -> Fraction:
    """The exact value of an amount.

    Args:
        written: a number, or text with a decimal, a fraction or a mixed number; never an expression. A
            float is read as the decimal that it prints as: 0.1 is one tenth.
    Returns:
        The exact rational.
    Raises:
        UnreadableError: the text is not an amount.
        OutOfRangeError: not finite, more than 15 digits, or below a billionth and not 0.

    >>> parse_amount("1½"), parse_amount("1 1/2"), parse_amount(0.1)
    (Fraction(3, 2), Fraction(3, 2), Fraction(1, 10))
    """
    if isinstance(written, str):
        return _parse_text(written)
    return Fraction(*amount_ratio(written))


@lru_cache(maxsize=4096)  # kitchens use few different amounts
def amount_ratio(written: str | float) -> tuple[int, int]:
    """An amount as two integers, which is faster than `parse_amount`.

    Args:
        written: as for `parse_amount`.
    Returns:
        Numerator and denominator, in lowest terms if they have few digits.
    Raises:
        UnreadableError, OutOfRangeError: as `parse_amount`.

    >>> amount_ratio(1.5), amount_ratio("1½")
    ((3, 2), (3, 2))
    """
    if isinstance(written, str):
        return _parse_text(written).as_integer_ratio()
    if written and abs(written) < _MIN_FLOAT:
        raise _too_little(written)
    if not abs(written) < 10**MAX_DIGITS:  # in this form the test also rejects NaN
        message = f"The amount must be a finite number of at most {MAX_DIGITS} digits."
        raise OutOfRangeError(message, value=_double(written), limit=float(10**MAX_DIGITS))
    whole, _, part = repr(float(written)).partition(".")
    if "e" in whole or "e" in part:
        return Fraction(repr(written)).as_integer_ratio()
    top, bottom = int(whole + part), 10 ** len(part)
    if len(part) > SHORT:
        return top, bottom
    common = math.gcd(top, bottom)
    return top // common, bottom // common


def _double(number: float) -> float:
    """The nearest double; infinite for an integer beyond all doubles."""
    try:
        return float(number)
    except OverflowError:
        return math.copysign(math.inf, number > 0 or -1)


def check_amount(top: int, bottom: int) -> None:
    """Reject amounts that can only be a typing slip, whatever they measure.

    Args:
        top: the amount's numerator.
        bottom: its denominator, above 0.
    Raises:
        OutOfRangeError: above a million, or below a billionth and not 0; the sign does not matter.
    """
    # Integers, because comparing fractions costs as much as a conversion.
    if abs(top) > MAX_AMOUNT * bottom:
        raise OutOfRangeError(
            f"The amount must be at most {MAX_AMOUNT:,}.", path=("amount",), value=top / bottom, limit=MAX_AMOUNT
        )
    if top and abs(top) * MIN_AMOUNT.denominator < bottom:
        raise _too_little(top / bottom, "amount")


def _too_little(value: float, *path: str) -> OutOfRangeError:
    return OutOfRangeError("The amount must be 0 or at least a billionth.", path=path, value=value, limit=_MIN_FLOAT)


def _too_long(digits: int) -> OutOfRangeError:
    return OutOfRangeError(f"An amount has at most {MAX_DIGITS} digits.", value=digits, limit=MAX_DIGITS)


@lru_cache(maxsize=1024)
def _parse_text(written: str) -> Fraction:
    value = _value_of(written)
    if value and abs(value) < MIN_AMOUNT:
        raise _too_little(float(value))
    return value


def _value_of(written: str) -> Fraction:
    spaced = "".join(f" {_VULGAR[c]}" if c in _VULGAR else c for c in written).replace("\u2044", "/")
    text = " ".join(spaced.split()).replace("- ", "-")
    if plain := _PLAIN.fullmatch(text):
        sign, whole, part = plain["sign"], plain["whole"], plain["part"] or ""
        if (digits := len((whole + part).lstrip("0"))) > MAX_DIGITS:
            raise _too_long(digits)
        return Fraction(f"{sign}{whole or 0}.{part or 0}")
    if mixed := _FRACTION.fullmatch(text):
        whole, top, bottom = mixed["whole"] or "0", mixed["top"], mixed["bottom"]
        if (digits := len(whole) + len(top) + len(bottom)) > MAX_DIGITS:
            raise _too_long(digits)
        if int(bottom) == 0:
            raise UnreadableError("The denominator of a fraction must be above 0.")
        value = int(whole) + Fraction(int(top), int(bottom))
        return -value if mixed["sign"] else value
    if "," in text:
        message = f"Write decimals with a point, and thousands without a separator. {HOW_TO_WRITE_AN_AMOUNT}"
        raise UnreadableError(message)
    raise UnreadableError(f"Not an amount. {HOW_TO_WRITE_AN_AMOUNT}")


@lru_cache(maxsize=1024)
def parse_quantity(written: str, measures: Measures | None = None) -> Quantity:
    """A quantity from text.

    Args:
        written: an amount and a unit: `200 g`, `1 1/2 cup`, `4 each`; or `gas mark 4`.
        measures: the set of measures that kitchen words belong to.
    Returns:
        The exact quantity.
    Raises:
        UnreadableError: not an amount and a unit.
        AmbiguousError, UnknownError: the unit needs `measures`, or is unknown.
        OutOfRangeError: see `check_amount`.

    >>> parse_quantity("1 1/2 cup", "us").base == Fraction(3, 2) * 473176473 / 2000000
    True
    """
    if gas := _GAS_MARK.fullmatch(written):
        return Quantity(amount=parse_amount(gas["amount"]), unit=resolve_unit("gas_mark"))
    match = _AMOUNT_THEN_UNIT.fullmatch(written)
    if not match:
        raise UnreadableError(HOW_TO_WRITE_A_QUANTITY)
    return Quantity(amount=parse_amount(match["amount"]), unit=resolve_unit(match["unit"], measures))


def positive(quantity: Quantity, *dimensions: Dimension) -> Quantity:
    """The same quantity, if it is above zero and has one of the expected dimensions.

    Args:
        quantity: the quantity to check.
        dimensions: the expected dimensions.
    Returns:
        The quantity.
    Raises:
        MismatchError: it measures something else.
        OutOfRangeError: it is not above zero.
    """
    expect(quantity.unit, *dimensions)
    if quantity.amount.numerator <= 0:
        raise OutOfRangeError(
            "The amount must be above 0.", value=float(quantity.amount), limit=0, unit=quantity.unit.id
        )
    return quantity
