"""From a cost request to the domain's formula, costing and prices, with every error at once."""

from dataclasses import dataclass
from fractions import Fraction

from api.v1.cost.schemas import CostRequest, ExtraIn, LabourIn, PriceIn, TargetPriceIn
from api.v1.shop.reading import check_work, read_book, read_money, read_weighed_formula
from domain.errors import DomainErrors, ErrorCollector
from domain.formulas.formula import WeighedFormula
from domain.measures.quantities import parse_amount
from domain.shop.costing import Costing, Extra, ExtraKind, check_per, chosen_pack, labour_cost
from domain.shop.goods import Book
from domain.shop.money import Currency, find_currency
from domain.shop.pricing import PriceAsked, PriceTarget, check_price_step


@dataclass(frozen=True, slots=True, kw_only=True)
class CostQuestion:
    """A cost request in the domain's types."""

    weighed: WeighedFormula
    costing: Costing
    book: Book
    target: PriceTarget | None
    asked: PriceAsked | None
    tax_percent: Fraction


def read_cost(body: CostRequest, shop: Book) -> CostQuestion:
    """The parts of a cost request.

    Args:
        body: the request.
        shop: the book of the shop file.
    Returns:
        The parts.
    Raises:
        DomainErrors: everything that is wrong with the request.
    """
    check_work(body.own_ingredients, (body.formula, ("formula",), 0))
    collector = ErrorCollector()
    currency: Currency | None = None
    with collector.at("currency"):
        currency = find_currency(body.currency)
    book = read_book(body.own_ingredients, shop, currency, collector, priced=currency is not None)
    extras = _extras(body, collector)
    target = None if body.target is None else _target(body.target, body.pieces, currency, collector)
    asked = None if body.price is None else _asked(body.price, body.pieces, collector)
    costing = (
        None
        if currency is None
        else Costing(
            currency=currency,
            tins=body.formula.tins,
            pieces=body.pieces,
            pack_choice=body.pack_choice,
            extras=extras,
        )
    )
    weighed = read_weighed_formula(
        body.formula,
        body.measures,
        book,
        collector,
        at=("formula",),
        check_good=None if costing is None else lambda good, egg_class: chosen_pack(good, costing, egg_class),
    )
    if weighed is None or costing is None or collector.errors:
        raise DomainErrors(collector.errors)
    return CostQuestion(
        weighed=weighed,
        costing=costing,
        book=book,
        target=target,
        asked=asked,
        tax_percent=parse_amount(body.tax_percent),
    )


def _extras(body: CostRequest, collector: ErrorCollector) -> tuple[Extra, ...]:
    rows: list[tuple[ExtraKind, int, ExtraIn | LabourIn]] = [
        *(("packaging", i, row) for i, row in enumerate(body.packaging)),
        *(("labour", i, row) for i, row in enumerate(body.labour)),
        *(("other", i, row) for i, row in enumerate(body.other)),
    ]
    extras = []
    for kind, i, row in rows:
        with collector.at(kind, i):
            extras.append(Extra(name=row.name, kind=kind, amount=_amount(row), per=row.per))
        with collector.at(kind, i):
            check_per(row.per, body.pieces)
    return tuple(extras)


def _amount(row: ExtraIn | LabourIn) -> Fraction:
    if isinstance(row, LabourIn):
        return labour_cost(read_money(row.rate_per_hour, "rate_per_hour"), parse_amount(row.minutes))
    return read_money(row.amount, "amount")


def _target(
    target: TargetPriceIn, pieces: int | None, currency: Currency | None, collector: ErrorCollector
) -> PriceTarget:
    price_step: Fraction | None = None
    with collector.at("target"):
        check_per(target.per, pieces)
    with collector.at("target"):
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


def _asked(price: PriceIn, pieces: int | None, collector: ErrorCollector) -> PriceAsked | None:
    with collector.at("price"):
        check_per(price.per, pieces)
    with collector.at("price"):
        amount = read_money(price.amount, "amount")
        return PriceAsked(per=price.per, amount=amount, includes_tax=price.includes_tax)
    return None
