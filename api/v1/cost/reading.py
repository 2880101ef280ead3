"""From a cost request to the domain's formula, costing and prices, with every error at once."""

from dataclasses import dataclass
from fractions import Fraction
from functools import partial

from api.v1.cost.schemas import CostRequest
from api.v1.shop.reading import check_work, once_for_each_good, read_money, read_shop, read_weighed_formula
from api.v1.shop.schemas import AskedPriceIn, ExtraIn, LabourIn, Shop, TargetPriceIn
from domain.errors import DomainErrors, ErrorCollector
from domain.formulas.formula import WeighedFormula
from domain.measures.quantities import parse_amount
from domain.shop.costing import Costing, Extra, ExtraKind, check_per, chosen_pack, labour_cost
from domain.shop.goods import Book, Good
from domain.shop.money import Currency
from domain.shop.pricing import PriceAsked, PriceTarget, check_price_step
from domain.things.eggs import EggClass


@dataclass(frozen=True, slots=True, kw_only=True)
class CostQuestion:
    """A cost request in the domain's types."""

    weighed: WeighedFormula
    costing: Costing
    book: Book
    target: PriceTarget | None
    asked: PriceAsked | None
    tax_percent: Fraction


def read_cost(body: CostRequest, file: Book) -> CostQuestion:
    """The parts of a cost request.

    Args:
        body: the request.
        file: the book of the shop file.
    Returns:
        The parts.
    Raises:
        DomainErrors: everything that is wrong with the request.
    """
    check_work(body.shop, (body.formula, ("formula",), 0))
    collector = ErrorCollector()
    book, currency = read_shop(body.shop, file, collector, needs_currency=True)
    extras = _extras(body.shop, body.portions, collector)
    target = None
    if body.shop.target_price is not None:
        target = _target_price(body.shop.target_price, body.portions, currency, collector)
    asked = None if body.shop.asked_price is None else _asked_price(body.shop.asked_price, body.portions, collector)
    costing = (
        None
        if currency is None
        else Costing(
            currency=currency,
            tins=body.formula.tins,
            portions=body.portions,
            pack_choice=body.shop.pack_choice,
            extras=extras,
        )
    )
    check_good = None if costing is None else once_for_each_good(partial(_check_pack, costing))
    weighed = read_weighed_formula(body.formula, body.measures, book, collector, at=("formula",), check_good=check_good)
    if weighed is None or costing is None or collector.errors:
        raise DomainErrors(collector.errors)
    return CostQuestion(
        weighed=weighed,
        costing=costing,
        book=book,
        target=target,
        asked=asked,
        tax_percent=parse_amount(body.shop.tax_percent),
    )


def _check_pack(costing: Costing, good: Good, egg_class: EggClass | None) -> None:
    chosen_pack(good, costing, egg_class)


def _extras(shop: Shop, portions: int | None, collector: ErrorCollector) -> tuple[Extra, ...]:
    rows: list[tuple[ExtraKind, int, ExtraIn | LabourIn]] = [
        *(("packaging", i, row) for i, row in enumerate(shop.packaging)),
        *(("labour", i, row) for i, row in enumerate(shop.labour)),
        *(("other", i, row) for i, row in enumerate(shop.other)),
    ]
    extras = []
    for kind, i, row in rows:
        with collector.at("shop", kind, i):
            extras.append(Extra(name=row.name, kind=kind, amount=_amount(row), per=row.per))
        with collector.at("shop", kind, i):
            check_per(row.per, portions)
    return tuple(extras)


def _amount(row: ExtraIn | LabourIn) -> Fraction:
    if isinstance(row, LabourIn):
        return labour_cost(read_money(row.rate_per_hour, "rate_per_hour"), parse_amount(row.minutes))
    return read_money(row.amount, "amount")


def _target_price(
    target: TargetPriceIn, portions: int | None, currency: Currency | None, collector: ErrorCollector
) -> PriceTarget:
    price_step: Fraction | None = None
    with collector.at("shop", "target_price"):
        check_per(target.per, portions)
    with collector.at("shop", "target_price"):
        if target.price_step is not None:
            price_step = read_money(target.price_step, "price_step")
            if currency is not None:
                check_price_step(price_step, currency)
    return PriceTarget(
        per=target.per,
        margin_percent=None if target.margin_percent is None else parse_amount(target.margin_percent),
        ingredient_cost_percent=(
            None if target.ingredient_cost_percent is None else parse_amount(target.ingredient_cost_percent)
        ),
        price_step=price_step,
    )


def _asked_price(price: AskedPriceIn, portions: int | None, collector: ErrorCollector) -> PriceAsked | None:
    with collector.at("shop", "asked_price"):
        check_per(price.per, portions)
    with collector.at("shop", "asked_price"):
        amount = read_money(price.amount, "amount")
        return PriceAsked(per=price.per, amount=amount, includes_tax=price.includes_tax)
    return None
