"""`POST /v1/cost`: what a formula costs, line by line, and what a price leaves."""

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Annotated, Any

from fastapi import APIRouter, Depends

from api.v1.cost.schemas import CostAnswer, CostRequest, ExtraIn, LabourIn
from api.v1.shop.answers import exact_text, pack_text, pieces_needed
from api.v1.shop.file import shop_book
from api.v1.shop.reading import line_notices, read_book, read_money, read_shop_formula, weigh_all
from api.v1.shop.work import check_work
from api.wire.answers import source_refs, sources, warnings, without_none
from api.wire.formats import response_formats
from api.wire.problems import RESPONSES, pointer_to
from api.wire.routing import PureRoute
from domain.errors import ErrorCollector, at_path
from domain.formulas.formula import Formula, WeighedFormula
from domain.measures.quantities import parse_amount
from domain.shop.costing import MINUTES_PER_HOUR, Cost, Costing, Extra, LineCost, Per, cost
from domain.shop.goods import Book
from domain.shop.money import Currency, even_split, find_currency
from domain.shop.pricing import Priced, price_for_cost_percent, price_for_margin, priced, without_tax
from domain.sources import Cited

ROUNDING = (
    "Sums are exact; the total is rounded once, half to even, to the smallest unit. Each line is its share of the"
    " rounded total: rounded down, and the units left over go to those that lost most, the earlier first."
)

router = APIRouter(prefix="/v1/cost", tags=["cost"], responses=RESPONSES, route_class=PureRoute)


@router.post("", operation_id="cost", summary="What a formula costs", response_model=CostAnswer)
@response_formats(figure=("per_piece.cost", "cost"), rows="components.lines")
async def post_cost(body: CostRequest, book: Annotated[Book, Depends(shop_book)]) -> dict[str, Any]:
    """Every line, component, tin and piece in decimal money that adds up to the last unit; missing prices are listed.

    No tax is assumed. A calculation; nothing is stored, and repeating it is safe. POST only because the question
    is structured.
    """
    formula, costing, book = _read(body, book)
    (weighed,) = weigh_all([(formula, ("formula",))])
    with at_path("formula"):
        found = cost(weighed, costing, book)
    return _answer(body, found, weighed, book)


def _read(body: CostRequest, shop: Book) -> tuple[Formula, Costing, Book]:
    check_work(body.own_ingredients, (body.formula, ("formula",), 0))
    findings, extras = ErrorCollector(), []
    currency = None
    with findings.at("currency"):
        currency = find_currency(body.currency)
    book = read_book(body.own_ingredients, shop, currency, findings)
    formula = read_shop_formula(body.formula, body.measures, book, findings, ("formula",))
    beside: dict[str, Sequence[ExtraIn | LabourIn]] = {
        "packaging": body.packaging, "labour": body.labour, "other": body.other,
    }  # fmt: skip
    for field, given in beside.items():
        for i, one in enumerate(given):
            with findings.at(field, i):
                extras.append(_extra(field, one, body.pieces))
    findings.raise_if_any()
    costing = Costing(
        currency=find_currency(body.currency) if currency is None else currency,
        tins=body.formula.tins,
        pieces=body.pieces,
        pack_choice=body.pack_choice,
        extras=tuple(extras),
    )
    return formula, costing, book


def _extra(kind: str, given: ExtraIn | LabourIn, pieces: int | None) -> Extra:
    if given.per == "piece" and pieces is None:
        raise pieces_needed("per")
    if isinstance(given, LabourIn):
        amount = read_money(given.rate_per_hour, "rate_per_hour") * parse_amount(given.minutes) / MINUTES_PER_HOUR
    else:
        amount = read_money(given.amount, "amount")
    return Extra(name=given.name, kind=kind, amount=amount, per=given.per)  # type: ignore[arg-type]  # one of three


def _answer(body: CostRequest, found: Cost, weighed: WeighedFormula, book: Book) -> dict[str, Any]:
    currency = found.costing.currency
    told = [notice.within("formula") for notice in (*line_notices(weighed, book), *found.notices)]
    prices = _prices(body, found) if found.complete else {}
    return without_none(
        currency=currency.code,
        rounding=ROUNDING,
        cost=currency.text(found.units),
        cost_exact=exact_text(found.exact),
        cost_low=exact_text(found.low),
        cost_high=exact_text(found.high),
        ingredient_cost=currency.text(_units(found.lines)),
        complete=found.complete,
        missing_prices=[_missing(line) for line in found.missing],
        components=[_component(component.component.name, i, found) for i, component in enumerate(weighed.components)],
        extras=[
            {
                "name": one.extra.name,
                "kind": one.extra.kind,
                "cost": currency.text(one.units),
                "cost_exact": exact_text(one.exact),
            }
            for one in found.extras
        ],
        per_tin=_each(found, found.costing.tins),
        per_piece=None if found.costing.pieces is None else _each(found, found.costing.pieces),
        **prices,
        warnings=warnings(told),
        sources=sources((*_cited(found.lines), currency.cited)),
    )


def _component(name: str, place: int, found: Cost) -> dict[str, Any]:
    lines = [line for line in found.lines if line.path[1] == place]
    return {
        "name": name,
        "cost": found.costing.currency.text(_units(lines)),
        "complete": all(line.units is not None for line in lines),
        "lines": [_line(line, found.costing.currency) for line in lines],
    }


def _line(line: LineCost, currency: Currency) -> dict[str, Any]:
    ingredient = line.good.ingredient if line.good is not None else line.line.line.thing.ingredient
    return without_none(
        ingredient=line.line.line.name,
        ingredient_id=None if ingredient is None else ingredient.id,
        grams=line.line.mass.grams,
        low=line.line.mass.low,
        high=line.line.mass.high,
        usable_yield_percent=line.usable_yield_percent,
        purchased_grams=line.purchased_g,
        pack=None if line.pack is None else pack_text(line.pack),
        price_per_kg=None if line.price_per_kg is None else exact_text(line.price_per_kg),
        cost=None if line.units is None else currency.text(line.units),
        cost_exact=None if line.exact is None else exact_text(line.exact),
        sources=source_refs(_line_cited(line)),
    )


def _missing(line: LineCost) -> dict[str, Any]:
    return {
        "ingredient": line.line.line.name,
        "component": line.component,
        "grams": line.purchased_g,
        "pointer": pointer_to(("formula", *line.path)),
    }


def _each(found: Cost, count: int) -> dict[str, Any]:
    currency = found.costing.currency
    return {
        "count": count,
        "cost": currency.text(currency.units(found.exact / count)),
        "cost_exact": exact_text(found.exact / count),
        "split": [{"count": n, "cost": currency.text(units)} for n, units in even_split(found.units, count)],
    }


def _prices(body: CostRequest, found: Cost) -> dict[str, Any]:
    tax, answers = parse_amount(body.tax_percent), {}
    if (target := body.target) is not None:
        with at_path("target"):
            whole, ingredients = _share(found, target.per)
            price = (
                price_for_cost_percent(ingredients, parse_amount(target.ingredient_cost_percent))
                if target.ingredient_cost_percent is not None
                else price_for_margin(whole, parse_amount(target.margin_percent or 0.0))
            )
            step = None if target.price_step is None else read_money(target.price_step, "price_step")
            answers["target_price"] = _price(found, target.per, price, tax, step)
    if (asked := body.price) is not None:
        with at_path("price"):
            amount = read_money(asked.amount, "amount")
            price = without_tax(amount, tax) if asked.includes_tax else amount
            answers["asked_price"] = _price(found, asked.per, price, tax, None)
    return answers


def _price(found: Cost, per: Per, price: Fraction, tax: Fraction, step: Fraction | None) -> dict[str, Any]:
    currency, (whole, ingredients) = found.costing.currency, _share(found, per)
    made: Priced = priced(price, cost=whole, ingredient_cost=ingredients, currency=currency, tax_percent=tax, step=step)
    return without_none(
        per=per,
        price=currency.text(made.units),
        price_with_tax=currency.text(made.with_tax_units),
        tax_percent=float(tax),
        cost_exact=exact_text(whole),
        margin=exact_text(currency.amount(1) * made.margin_units),
        margin_percent=made.margin_percent,
        ingredient_cost_percent=made.ingredient_cost_percent,
    )


def _share(found: Cost, per: Per) -> tuple[Fraction, Fraction]:
    if per == "piece" and found.costing.pieces is None:
        raise pieces_needed("per")
    count = {"batch": 1, "tin": found.costing.tins, "piece": found.costing.pieces or 1}[per]
    return found.exact / count, found.ingredients_exact / count


def _units(lines: Iterable[LineCost]) -> int:
    return sum(line.units for line in lines if line.units is not None)


def _line_cited(line: LineCost) -> tuple[Cited, ...]:
    return (*line.line.cited, *((line.yield_cited,) if line.yield_cited is not None else ()))


def _cited(lines: Iterable[LineCost]) -> list[Cited]:
    return [cited for line in lines for cited in _line_cited(line)]
