"""`POST /v1/batches`: today's orders as tins, mixes, ingredients, eggs, packs to buy and oven loads."""

from collections.abc import Sequence
from fractions import Fraction
from typing import Annotated, Any

from fastapi import APIRouter, Depends

from api.v1.batches.reading import AskedDay, read_day
from api.v1.batches.schemas import BatchesAnswer, BatchesRequest
from api.v1.eggs.routes import egg_count_answer
from api.v1.shop.answers import pack_text
from api.v1.shop.file import shop_book
from api.v1.shop.reading import line_notices
from api.wire.answers import source_refs, sources, warnings, without_none
from api.wire.formats import response_formats
from api.wire.problems import RESPONSES
from api.wire.routing import PureRoute
from domain.notices import Notice
from domain.shop.goods import Book
from domain.shop.mixes import EggsNeeded, Mix, Needed, PacksToBuy, day_mixes, eggs_needed, ingredient_totals
from domain.shop.money import Currency
from domain.shop.tin_plan import OvenGroup, Product, ProductPlan, TinsOfSize, oven_loads, plan_notices, plan_tins
from domain.shop.usable_yields import usable_yield
from domain.sources import Cited
from domain.things.ingredients import Ingredient

router = APIRouter(prefix="/v1/batches", tags=["batches"], responses=RESPONSES, route_class=PureRoute)


@router.post("", operation_id="batches", summary="Today's orders as batches", response_model=BatchesAnswer)
@response_formats(rows="ingredients")
async def post_batches(body: BatchesRequest, book: Annotated[Book, Depends(shop_book)]) -> dict[str, Any]:
    """The fewest tins that cover every order, what to mix for them, what to buy, and how often the oven is filled.

    Components that are the same formula are one mix. A calculation; nothing is stored, and repeating it is safe.
    POST only because the question is structured.
    """
    day = read_day(body, book)
    plans = plan_tins(day.products, day.orders)
    mixes = day_mixes(day.products, plans, day.book, body.mixing_bowl_grams)
    needed, told = ingredient_totals(mixes, day.stock_g, day.classes[0] if day.classes else None)
    loads = None if body.oven_shelves is None else oven_loads(day.products, plans, body.oven_shelves)
    return without_none(
        products=[_product(day.products[plan.product], plan) for plan in plans],
        mixes=[_mix(mix, day.products) for mix in mixes],
        ingredients=[_needed(one) for one in needed],
        eggs=[_eggs(one) for one in eggs_needed(mixes, day.classes)],
        oven_loads=None if loads is None else [_load(group) for group in loads],
        **_bill(needed),
        warnings=warnings(_notices(day, plans, told)),
        sources=sources(cited for one in needed for cited in _cited(one)),
    )


def _product(product: Product, plan: ProductPlan) -> dict[str, Any]:
    return {
        "product": product.name,
        "pieces_ordered": plan.ordered,
        "pieces_needed": plan.needed,
        "pieces_made": plan.made,
        "pieces_over": plan.over,
        "tins": [_tins(product, of_size) for of_size in plan.tins],
    }


def _tins(product: Product, of_size: TinsOfSize) -> dict[str, Any]:
    size = product.sizes[of_size.size]
    return without_none(
        size=size.name,
        tins=of_size.tins,
        pieces_per_tin=size.pieces_per_tin,
        pieces_made=of_size.pieces_made,
        factor=of_size.factor,
        filled_depth_mm=of_size.scaled.filled_depth_mm,
        grams_per_tin=of_size.scaled.mass.grams,
        piece_grams=of_size.pieces_each_g,
        dough_pieces=[
            {
                "component": component.weighed.component.name,
                "per_tin": component.pieces.count,
                "count": component.pieces.count * of_size.tins,
                "grams_each": component.pieces.grams_each,
            }
            for component in of_size.scaled.components
            if component.pieces is not None
        ],
    )


def _mix(mix: Mix, products: Sequence[Product]) -> dict[str, Any]:
    return {
        "name": " / ".join(dict.fromkeys(part.component for part in mix.parts)),
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
                ingredient_id=_id(line.line.line.thing.ingredient),
                grams=line.mass.grams,
                low=line.mass.low,
                high=line.mass.high,
                grams_per_bowl=line.mass.grams / mix.bowls,
                sources=source_refs(line.line.cited),
            )
            for line in mix.lines
        ],
    }


def _needed(one: Needed) -> dict[str, Any]:
    return without_none(
        ingredient=one.name,
        ingredient_id=_id(one.ingredient),
        grams=one.mass.grams,
        low=one.mass.low,
        high=one.mass.high,
        usable_yield_percent=one.usable_yield_percent,
        purchased_grams=one.purchased_g,
        stock_grams=one.stock_g,
        to_buy_grams=one.to_buy_g,
        to_buy=None if one.packs is None else _packs(one.packs, one.good.currency if one.good is not None else None),
        sources=source_refs(_cited(one)),
    )


def _packs(bought: PacksToBuy, currency: Currency | None) -> dict[str, Any]:
    cost = None if bought.cost is None or currency is None else currency.text(currency.units(bought.cost))
    return without_none(
        packs=[
            {"pack": pack_text(pack), "count": count}
            for pack, count in zip(bought.packs, bought.counts, strict=True)
            if count
        ],
        grams=bought.grams,
        grams_over=bought.over_g,
        cost=cost,
        currency=None if cost is None or currency is None else currency.code,
    )


def _bill(needed: Sequence[Needed]) -> dict[str, Any]:
    """What all packs cost, if everything that is to be bought has its price, and in one currency."""
    total, currencies = Fraction(0), set()
    for one in needed:
        if one.to_buy_g == 0:
            continue
        if one.packs is None or one.packs.cost is None or one.good is None:
            return {}
        total += one.packs.cost
        currencies.add(one.good.currency)
    (currency, *others) = currencies or {None}
    if currency is None or others:
        return {}
    return {"to_buy_cost": currency.text(currency.units(total)), "to_buy_currency": currency.code}


def _eggs(one: EggsNeeded) -> dict[str, Any]:
    return {
        "class": one.egg_class.id,
        "parts": [egg_count_answer(count) for count in one.parts],
        "crack": one.crack,
        "trays": one.trays,
        "spare_white_grams": one.spare_white_g,
        "spare_yolk_grams": one.spare_yolk_g,
    }


def _load(group: OvenGroup) -> dict[str, Any]:
    return {
        "oven": group.oven,
        "bake_minutes": group.bake_minutes,
        "tins": group.tins,
        "shelves": group.shelves,
        "loads": group.loads,
        "minutes": group.minutes,
    }


def _notices(day: AskedDay, plans: Sequence[ProductPlan], told: Sequence[Notice]) -> list[Notice]:
    of_lines = [
        notice.within("products", plan.product, "formula")
        for plan in plans
        for notice in line_notices(day.products[plan.product].weighed, day.book)
    ]
    return [*of_lines, *plan_notices(plans), *told]


def _cited(one: Needed) -> tuple[Cited, ...]:
    _, of_yield = usable_yield(one.good, one.ingredient)
    return (*one.line.cited, *((of_yield,) if of_yield is not None else ()))


def _id(ingredient: Ingredient | None) -> str | None:
    return None if ingredient is None else ingredient.id
