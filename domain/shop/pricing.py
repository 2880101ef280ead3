"""From cost to price and from price to margin. No tax is assumed: a rate may be given."""

from dataclasses import dataclass
from fractions import Fraction

from domain.errors import OutOfRangeError
from domain.shop.money import Currency


@dataclass(frozen=True, slots=True, kw_only=True)
class Priced:
    """A price for one piece, tin or batch, without and with tax, and what it leaves.

    Amounts are in smallest units. `margin_percent` is (price - cost) / price; `ingredient_cost_percent` is the
    ingredients' cost / price, and None where no ingredient cost is meant. Both are of the rounded price without tax,
    and None at a price of 0.
    """

    units: int
    with_tax_units: int
    tax_percent: Fraction
    margin_units: Fraction
    margin_percent: float | None
    ingredient_cost_percent: float | None


def price_for_margin(cost: Fraction, margin_percent: Fraction) -> Fraction:
    """The price that leaves a margin.

    Args:
        cost: all costs of what is sold, in money.
        margin_percent: of the price, from 0 to below 100.
    Returns:
        The exact price without tax.
    Raises:
        OutOfRangeError: a margin that no price leaves.

    >>> price_for_margin(Fraction(3), Fraction(70))
    Fraction(10, 1)
    """
    if not 0 <= margin_percent < 100:
        raise OutOfRangeError("A margin is from 0 to below 100 % of the price.", path=("margin_percent",))
    return cost / (1 - margin_percent / 100)


def price_for_cost_percent(ingredient_cost: Fraction, percent: Fraction) -> Fraction:
    """The price of which the ingredients are a share.

    Args:
        ingredient_cost: of what is sold, in money.
        percent: of the price, above 0 and at most 100.
    Returns:
        The exact price without tax.
    Raises:
        OutOfRangeError: a share that no price has.

    >>> price_for_cost_percent(Fraction(3), Fraction(30))
    Fraction(10, 1)
    """
    if not 0 < percent <= 100:
        raise OutOfRangeError("A cost percent is above 0 and at most 100.", path=("ingredient_cost_percent",))
    return ingredient_cost / (percent / 100)


def priced(
    price: Fraction, *, cost: Fraction, ingredient_cost: Fraction, currency: Currency,
    tax_percent: Fraction = Fraction(0), step: Fraction | None = None,
) -> Priced:  # fmt: skip
    """A price as it can be asked, and what it leaves.

    Args:
        price: without tax, exact.
        cost: all costs of what is sold, in money.
        ingredient_cost: the ingredients' part of it.
        currency: whose smallest unit both prices are rounded to, half to even.
        tax_percent: what is added on the bill.
        step: if given, the price without tax is rounded up to a multiple of it instead.
    Returns:
        The rounded price and what it leaves.
    Raises:
        OutOfRangeError: a step of nothing, or finer than the currency's smallest unit.
    """
    units = currency.units(price) if step is None else _stepped(price, step, currency)
    asked = currency.amount(units)
    return Priced(
        units=units,
        with_tax_units=currency.units(asked * (1 + tax_percent / 100)),
        tax_percent=tax_percent,
        margin_units=(asked - cost) / currency.amount(1),
        margin_percent=float((asked - cost) / asked * 100) if asked else None,
        ingredient_cost_percent=float(ingredient_cost / asked * 100) if asked else None,
    )


def without_tax(price: Fraction, tax_percent: Fraction) -> Fraction:
    """A price that holds tax, without it.

    Args:
        price: with tax.
        tax_percent: of the price without tax, at least 0.
    Returns:
        The exact price without tax.
    """
    return price / (1 + tax_percent / 100)


def _stepped(price: Fraction, step: Fraction, currency: Currency) -> int:
    units = step / currency.amount(1)
    if units < 1 or units.denominator != 1:
        raise OutOfRangeError(
            f"A step is a whole number of {currency.code}'s smallest units, at least one.", path=("price_step",)
        )
    return -(-price // step) * int(units)
