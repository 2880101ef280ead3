"""From the domain's plan of a day to the answer of `/v1/batches`."""

from collections.abc import Sequence
from typing import Any

from api.v1.eggs.answers import egg_count_answer
from api.wire.answers import source_refs, sources, warnings, without_none
from domain.baking.oven import Oven, nearest_half_mark, read_oven
from domain.notices import Notice
from domain.shop.buying import Needed, PacksToBuy, day_bill
from domain.shop.mixes import EggsNeeded, Mix
from domain.shop.money import Currency
from domain.shop.tin_plan import OvenGroup, Product, ProductPlan, TinsOfSize, plan_notices
from domain.things.ingredients import Ingredient


def batches_answer(
    products: Sequence[Product],
    plans: Sequence[ProductPlan],
    mixes: Sequence[Mix],
    totals: Sequence[Needed],
    pack_notices: Sequence[Notice],
    *,
    eggs: Sequence[EggsNeeded],
    loads: Sequence[OvenGroup] | None,
) -> dict[str, Any]:
    """The answer of `/v1/batches`.

    Args:
        products: of the request.
        plans: their tins.
        mixes: of the day.
        totals: of every ingredient.
        pack_notices: warnings about packs.
        eggs: in each class.
        loads: of the oven; None if they were not asked for.
    Returns:
        The answer.
    """
    bill = day_bill(totals)
    formula_notices = [
        notice.within("products", plan.product, "formula")
        for plan in plans
        for notice in products[plan.product].weighed.notices
    ]
    return without_none(
        products=[_product(products[plan.product], plan) for plan in plans],
        mixes=[_mix(mix, products) for mix in mixes],
        ingredients=[_needed(needed) for needed in totals],
        eggs=[_eggs(of_class) for of_class in eggs],
        oven_loads=None if loads is None else [_load(group) for group in loads],
        to_buy_cost=None if bill is None else bill.currency.text(bill.units),
        to_buy_currency=None if bill is None else bill.currency.code,
        warnings=warnings([*formula_notices, *plan_notices(plans), *pack_notices]),
        sources=sources(cited for needed in totals for cited in needed.cited),
    )


def _product(product: Product, plan: ProductPlan) -> dict[str, Any]:
    return {
        "product": product.name,
        "portions_ordered": plan.ordered,
        "portions_needed": plan.needed,
        "portions_made": plan.made,
        "portions_over": plan.over,
        "tins": [_tins(product, tins) for tins in plan.tins],
    }


def _tins(product: Product, tins: TinsOfSize) -> dict[str, Any]:
    size = product.sizes[tins.size]
    return without_none(
        label=size.name or product.name,
        tins=tins.tins,
        portions_per_tin=size.portions_per_tin,
        portions_made=tins.portions_made,
        factor=tins.factor,
        filled_depth_mm=tins.scaled.filled_depth_mm,
        grams_per_tin=tins.scaled.mass.grams,
        portion_grams=tins.portion_g,
        dough_pieces=[
            {
                "component": pieces.component,
                "per_tin": pieces.per_tin,
                "count": pieces.count,
                "grams_each": pieces.grams_each,
                "leftover_grams": pieces.leftover_g,
            }
            for pieces in tins.dough_pieces
        ],
    )


def _mix(mix: Mix, products: Sequence[Product]) -> dict[str, Any]:
    return {
        "name": mix.name,
        "parts": [
            {"product": products[part.product].name, "component": part.component, "grams": part.mass.grams}
            for part in mix.parts
        ],
        "grams": mix.mass.grams,
        "bowls": mix.bowls,
        "bowl_grams": mix.bowl_g,
        "lines": [
            without_none(
                ingredient=line.name,
                ingredient_id=_id(line.line.thing.ingredient),
                grams=line.mass.grams,
                grams_low=line.mass.low,
                grams_high=line.mass.high,
                grams_per_bowl=mix.in_one_bowl(line.mass.grams),
                cited=source_refs(line.line.cited),
            )
            for line in mix.lines
        ],
    }


def _needed(needed: Needed) -> dict[str, Any]:
    return without_none(
        ingredient=needed.name,
        ingredient_id=_id(needed.ingredient),
        grams=needed.mass.grams,
        grams_low=needed.mass.low,
        grams_high=needed.mass.high,
        usable_yield_percent=needed.usable_yield_percent,
        purchased_grams=needed.purchased_g,
        stock_grams=needed.stock_g,
        to_buy_grams=needed.to_buy_g,
        to_buy=None if needed.packs is None else _packs(needed.packs, needed.currency),
        cited=source_refs(needed.cited),
    )


def _packs(bought: PacksToBuy, currency: Currency | None) -> dict[str, Any]:
    cost = None if bought.cost is None or currency is None else currency.text(currency.units(bought.cost))
    return without_none(
        packs=[
            {"pack": pack.text, "count": count}
            for pack, count in zip(bought.packs, bought.counts, strict=True)
            if count
        ],
        grams=bought.grams,
        grams_over=bought.over_g,
        cost=cost,
        currency=None if cost is None or currency is None else currency.code,
    )


def _eggs(eggs: EggsNeeded) -> dict[str, Any]:
    return {
        "egg_class": eggs.egg_class.id,
        "parts": [egg_count_answer(count) for count in eggs.parts],
        "crack": eggs.crack,
        "trays": eggs.trays,
        "spare_white_grams": eggs.spare_white_g,
        "spare_yolk_grams": eggs.spare_yolk_g,
    }


def _load(group: OvenGroup) -> dict[str, Any]:
    return without_none(
        **({} if group.oven is None else _oven(group.oven)),
        bake_minutes=group.bake_minutes,
        tins=group.tins,
        shelves=group.shelves,
        loads=group.loads,
        minutes=group.minutes,
    )


def _oven(oven: Oven) -> dict[str, Any]:
    reading = read_oven(oven)
    celsius, fan_celsius, mark = reading.celsius.amount, reading.fan_celsius.amount, reading.gas_mark
    return {
        "celsius": None if celsius is None else float(celsius),
        "fan_celsius": None if fan_celsius is None else float(fan_celsius),
        "gas_mark": None if mark is None or mark.amount is None else float(nearest_half_mark(mark.amount)),
        "word": oven.word or None,
    }


def _id(ingredient: Ingredient | None) -> str | None:
    return None if ingredient is None else ingredient.id
