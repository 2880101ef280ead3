"""From the domain's costs to the `cost` of a target."""

from typing import Any

from api.wire.answers import source_refs, without_none
from api.wire.problems import pointer_to
from domain.shop.costing import ComponentCost, Cost, EachCost, LineCost
from domain.shop.money import Currency, exact_text
from domain.shop.pricing import PriceFigures
from domain.sources import Cited

ROUNDING = (
    "Sums are exact. The total is rounded once, half to even, to the minor unit of the currency. Each line gets its"
    " share of the rounded total: it is rounded down, and the remaining units go to the lines that lost most, the"
    " earlier line first."
)


def cost_figures(costs: Cost, target: PriceFigures | None, price_asked: PriceFigures | None) -> dict[str, Any]:
    """The cost of one target.

    Args:
        costs: of the formula for the target.
        target: the price that reaches the shop's target, if there is one.
        price_asked: what the shop's price leaves, if there is one.
    Returns:
        The figures, without those that are not known.
    """
    currency = costs.costing.currency
    each_tin, each_portion = costs.each_tin, costs.each_portion
    return without_none(
        currency=currency.code,
        rounding=ROUNDING,
        cost=currency.text(costs.units),
        cost_exact=exact_text(costs.exact),
        cost_low=exact_text(costs.low),
        cost_high=exact_text(costs.high),
        ingredient_cost=currency.text(costs.ingredient_units),
        complete=costs.complete,
        missing_prices=[_missing(line) for line in costs.missing],
        components=[_component(component, currency) for component in costs.components],
        extras=[
            {
                "name": extra_cost.extra.name,
                "kind": extra_cost.extra.kind,
                "cost": currency.text(extra_cost.units),
                "cost_exact": exact_text(extra_cost.exact),
            }
            for extra_cost in costs.extras
        ],
        per_tin=None if each_tin is None else _each(each_tin, currency),
        per_portion=None if each_portion is None else _each(each_portion, currency),
        target_price=None if target is None else _price(target, currency),
        asked_price=None if price_asked is None else _price(price_asked, currency),
        cited=source_refs((currency.cited,)),
    )


def cost_cited(costs: Cost) -> list[Cited]:
    """The sources of a cost, besides those of the masses."""
    yields = [line.yield_cited for line in costs.lines if line.yield_cited is not None]
    return [costs.costing.currency.cited, *yields]


def _component(component: ComponentCost, currency: Currency) -> dict[str, Any]:
    return {
        "name": component.name,
        "cost": currency.text(component.units),
        "complete": component.complete,
        "lines": [_line(line, currency) for line in component.lines],
    }


def _line(line: LineCost, currency: Currency) -> dict[str, Any]:
    return without_none(
        ingredient=line.line.name,
        grams=line.line.mass.grams,
        grams_low=line.line.mass.low,
        grams_high=line.line.mass.high,
        usable_yield_percent=line.usable_yield_percent,
        purchased_grams=line.purchased_g,
        pack=None if line.pack is None else line.pack.text,
        price_per_kg=None if line.price_per_kg is None else exact_text(line.price_per_kg),
        cost=None if line.units is None else currency.text(line.units),
        cost_exact=None if line.exact is None else exact_text(line.exact),
        cited=None if line.yield_cited is None else source_refs((line.yield_cited,)),
    )


def _missing(line: LineCost) -> dict[str, Any]:
    return {
        "ingredient": line.line.name,
        "component": line.component,
        "grams": line.purchased_g,
        "pointer": pointer_to(("formula", *line.path)),
    }


def _each(each: EachCost, currency: Currency) -> dict[str, Any]:
    return {
        "count": each.count,
        "cost": currency.text(each.units),
        "cost_exact": exact_text(each.exact),
        "split": [{"count": count, "cost": currency.text(units)} for count, units in each.split],
    }


def _price(figures: PriceFigures, currency: Currency) -> dict[str, Any]:
    price = figures.priced
    return without_none(
        per=figures.per,
        price=currency.text(price.units),
        price_with_tax=currency.text(price.with_tax_units),
        tax_percent=float(price.tax_percent),
        cost_exact=exact_text(figures.cost),
        margin=exact_text(figures.margin),
        margin_percent=price.margin_percent,
        ingredient_cost_percent=price.ingredient_cost_percent,
    )
