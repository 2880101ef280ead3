"""From cost to price, and from price to margin. No tax is assumed; a rate may be given."""

from dataclasses import dataclass
from fractions import Fraction

from domain.errors import OutOfRangeError, broken_limit
from domain.shop.costing import Cost, Per, units_of
from domain.shop.money import Currency


@dataclass(frozen=True, slots=True, kw_only=True)
class Priced:
    """A price of one portion, tin or batch, without and with tax, and what it leaves.

    Amounts are in minor units. `margin_percent` is (price - cost) / price; `ingredient_cost_percent` is the cost of
    the ingredients / price. Both are of the rounded price without tax, and None at a price of 0.
    """

    units: int
    with_tax_units: int
    tax_percent: Fraction
    margin_units: Fraction
    margin_percent: float | None
    ingredient_cost_percent: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceTarget:
    """The price to work out: one that leaves a margin, or one of which the ingredients are a share.

    Exactly one of `margin_percent` and `ingredient_cost_percent` is set. `price_step`, if given, rounds the price up.
    """

    per: Per
    margin_percent: Fraction | None = None
    ingredient_cost_percent: Fraction | None = None
    price_step: Fraction | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceAsked:
    """A price that the shop asks, to see what it leaves."""

    per: Per
    amount: Fraction
    includes_tax: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class PriceFigures:
    """A price with the exact cost of what it is for."""

    per: Per
    cost: Fraction
    priced: Priced
    margin: Fraction


def target_price(cost: Cost, target: PriceTarget, tax_percent: Fraction = Fraction(0)) -> PriceFigures:
    """The price that reaches a target.

    Args:
        cost: of the batch.
        target: the margin or the ingredients' share, and for what.
        tax_percent: of the price without tax.
    Returns:
        The rounded price and what it leaves.
    Raises:
        NeededError: a price per portion, and no number of portions.
        OutOfRangeError: a target that no price reaches, or a price step that the currency does not have.
    """
    whole, ingredients = _cost_of_one(cost, target.per)
    price = (
        price_for_cost_percent(ingredients, target.ingredient_cost_percent)
        if target.ingredient_cost_percent is not None
        else price_for_margin(whole, target.margin_percent or Fraction(0))
    )
    return _figures(cost, target.per, price, tax_percent, target.price_step)


def asked_price(cost: Cost, price_asked: PriceAsked, tax_percent: Fraction = Fraction(0)) -> PriceFigures:
    """What a price leaves.

    Args:
        cost: of the batch.
        price_asked: the price.
        tax_percent: of the price without tax.
    Returns:
        The rounded price and what it leaves.
    Raises:
        NeededError: a price per portion, and no number of portions.
    """
    price = without_tax(price_asked.amount, tax_percent) if price_asked.includes_tax else price_asked.amount
    return _figures(cost, price_asked.per, price, tax_percent, None)


def price_for_margin(cost: Fraction, margin_percent: Fraction) -> Fraction:
    """The price that leaves a margin.

    Args:
        cost: all costs of what is sold, in money.
        margin_percent: of the price, from 0 to below 100.
    Returns:
        The exact price without tax.
    Raises:
        OutOfRangeError: no price leaves this margin.

    >>> price_for_margin(Fraction(3), Fraction(70))
    Fraction(10, 1)
    """
    if not 0 <= margin_percent < 100:
        percent, message = float(margin_percent), "A margin is from 0 to below 100 % of the price."
        limit = broken_limit(percent, 0, 100)
        raise OutOfRangeError(message, path=("margin_percent",), value=percent, limit=limit, unit="percent")
    return cost / (1 - margin_percent / 100)


def price_for_cost_percent(ingredient_cost: Fraction, percent: Fraction) -> Fraction:
    """The price of which the ingredients are a share.

    Args:
        ingredient_cost: of what is sold, in money.
        percent: of the price, above 0 and at most 100.
    Returns:
        The exact price without tax.
    Raises:
        OutOfRangeError: no price has this share.

    >>> price_for_cost_percent(Fraction(3), Fraction(30))
    Fraction(10, 1)
    """
    if not 0 < percent <= 100:
        share, message = float(percent), "A cost percent is above 0 and at most 100."
        limit = broken_limit(share, 0, 100)
        raise OutOfRangeError(message, path=("percent",), value=share, limit=limit, unit="percent")
    return ingredient_cost / (percent / 100)


def priced(
    price: Fraction,
    *,
    cost: Fraction,
    ingredient_cost: Fraction,
    currency: Currency,
    tax_percent: Fraction = Fraction(0),
    price_step: Fraction | None = None,
) -> Priced:
    """A price as it can be asked, and what it leaves.

    Args:
        price: without tax, exact.
        cost: all costs of what is sold, in money.
        ingredient_cost: the ingredients' part of it.
        currency: both prices are rounded to its minor unit, half to even.
        tax_percent: added on the bill.
        price_step: if given, the price without tax is rounded up to a multiple of it instead.
    Returns:
        The rounded price and what it leaves.
    Raises:
        OutOfRangeError: the step is not a whole number of minor units above 0.
    """
    units = currency.units(price) if price_step is None else _stepped(price, price_step, currency)
    rounded = currency.amount(units)
    return Priced(
        units=units,
        with_tax_units=currency.units(rounded * (1 + tax_percent / 100)),
        tax_percent=tax_percent,
        margin_units=(rounded - cost) / currency.amount(1),
        margin_percent=float((rounded - cost) / rounded * 100) if rounded else None,
        ingredient_cost_percent=float(ingredient_cost / rounded * 100) if rounded else None,
    )


def without_tax(price: Fraction, tax_percent: Fraction) -> Fraction:
    """A price that includes tax, without the tax.

    Args:
        price: with tax.
        tax_percent: of the price without tax, at least 0.
    Returns:
        The exact price without tax.
    """
    return price / (1 + tax_percent / 100)


def check_price_step(price_step: Fraction, currency: Currency) -> None:
    """Check that prices of a currency can be multiples of a step.

    Args:
        price_step: in money.
        currency: of the prices.
    Raises:
        OutOfRangeError: the step is not a whole number of minor units above 0.
    """
    units = price_step / currency.amount(1)
    if units < 1 or units.denominator != 1:
        raise OutOfRangeError(
            f"A price step is a whole number of {currency.code}'s minor units, at least one.",
            path=("price_step",),
            value=float(price_step),
            limit=float(currency.amount(1)),
            unit=currency.code,
        )


def _stepped(price: Fraction, price_step: Fraction, currency: Currency) -> int:
    check_price_step(price_step, currency)
    return -(-price // price_step) * int(price_step / currency.amount(1))


def _cost_of_one(cost: Cost, per: Per) -> tuple[Fraction, Fraction]:
    count = units_of(per, cost.costing)
    return cost.exact / count, cost.ingredients_exact / count


def _figures(cost: Cost, per: Per, price: Fraction, tax_percent: Fraction, price_step: Fraction | None) -> PriceFigures:
    whole, ingredients = _cost_of_one(cost, per)
    currency = cost.costing.currency
    figures = priced(
        price,
        cost=whole,
        ingredient_cost=ingredients,
        currency=currency,
        tax_percent=tax_percent,
        price_step=price_step,
    )
    return PriceFigures(per=per, cost=whole, priced=figures, margin=figures.margin_units * currency.amount(1))
