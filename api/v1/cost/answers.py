"""From the domain's costs to the answer of `/v1/cost`."""

from collections.abc import Iterable
from typing import Any

from api.wire.answers import source_refs, sources, warnings, without_none
from api.wire.problems import pointer_to
from domain.formulas.formula import WeighedFormula
from domain.shop.costing import ComponentCost, Cost, EachCost, LineCost
from domain.shop.money import Currency, exact_text
from domain.shop.pricing import PriceFigures
from domain.sources import Cited

ROUNDING = (
    "Sums are exact. The total is rounded once, half to even, to the minor unit of the currency. Each line gets its"
    " share of the rounded total: it is rounded down, and the remaining units go to the lines that lost most, the"
    " earlier line first."
)


def cost_answer(
    costs: Cost, weighed: WeighedFormula, target: PriceFigures | None, asked: PriceFigures | None
) -> dict[str, Any]:
    """The answer of `/v1/cost`.

    Args:
        costs: of the formula.
        weighed: the formula in grams.
        target: the price that reaches the target, if one was asked for.
        asked: what the shop's price leaves, if there is one.
    Returns:
        The answer.
    """
    currency = costs.costing.currency
    notices = [notice.within("formula") for notice in (*weighed.notices, *costs.notices)]
    each_portion = costs.each_portion
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
        per_tin=_each(costs.each_tin, currency),
        per_portion=None if each_portion is None else _each(each_portion, currency),
        target_price=None if target is None else _price(target, currency),
        asked_price=None if asked is None else _price(asked, currency),
        warnings=warnings(notices),
        sources=sources((*_cited(costs.lines), currency.cited)),
    )


def _component(component: ComponentCost, currency: Currency) -> dict[str, Any]:
    return {
        "name": component.name,
        "cost": currency.text(component.units),
        "complete": component.complete,
        "lines": [_line(line, currency) for line in component.lines],
    }


def _line(line: LineCost, currency: Currency) -> dict[str, Any]:
    ingredient = line.good.ingredient if line.good is not None else line.line.line.thing.ingredient
    return without_none(
        ingredient=line.line.line.name,
        ingredient_id=None if ingredient is None else ingredient.id,
        grams=line.line.mass.grams,
        grams_low=line.line.mass.low,
        grams_high=line.line.mass.high,
        usable_yield_percent=line.usable_yield_percent,
        purchased_grams=line.purchased_g,
        pack=None if line.pack is None else line.pack.text,
        price_per_kg=None if line.price_per_kg is None else exact_text(line.price_per_kg),
        cost=None if line.units is None else currency.text(line.units),
        cost_exact=None if line.exact is None else exact_text(line.exact),
        cited=source_refs(_line_cited(line)),
    )


def _missing(line: LineCost) -> dict[str, Any]:
    return {
        "ingredient": line.line.line.name,
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


def _line_cited(line: LineCost) -> tuple[Cited, ...]:
    return (*line.line.cited, *((line.yield_cited,) if line.yield_cited is not None else ()))


def _cited(lines: Iterable[LineCost]) -> list[Cited]:
    return [cited for line in lines for cited in _line_cited(line)]
