"""From the shop of a request to the domain's costing and prices, with every error at once."""

from dataclasses import dataclass
from fractions import Fraction

from api.v1.shop.reading import GoodCheck, once_for_each_good, read_money
from api.v1.shop.schemas import AskedPriceIn, ExtraIn, LabourIn, Shop, TargetPriceIn
from domain.errors import ErrorCollector, Path
from domain.measures.quantities import parse_amount
from domain.shop.costing import Costing, Extra, ExtraKind, chosen_pack, labour_cost
from domain.shop.goods import Good
from domain.shop.money import Currency
from domain.shop.pricing import PriceAsked, PriceTarget, check_price_step
from domain.things.eggs import EggClass


@dataclass(frozen=True, slots=True, kw_only=True)
class CostQuestion:
    """How the shop costs a bake. `extra_paths` are the places of the extras in the request."""

    costing: Costing
    extra_paths: tuple[Path, ...]
    target: PriceTarget | None
    price_asked: PriceAsked | None
    tax_percent: Fraction

    def place(self, path: Path) -> Path:
        """The path of an error of `domain.shop.costing.cost`, in the request."""
        return (*self.extra_paths[int(path[1])], *path[2:]) if path[:1] == ("extras",) else ("formula", *path)


def read_cost(shop: Shop, currency: Currency | None, errors: ErrorCollector) -> CostQuestion | None:
    """How the shop costs a bake.

    Args:
        shop: of the request.
        currency: of the shop; None if it could not be read.
        errors: collects the errors.
    Returns:
        The question, to be used only if there are no errors; None without a currency.
    """
    extras, paths = _extras(shop, errors)
    target = None if shop.target_price is None else _target_price(shop.target_price, currency, errors)
    price_asked = None if shop.asked_price is None else _asked_price(shop.asked_price, errors)
    if currency is None:
        return None
    return CostQuestion(
        costing=Costing(currency=currency, pack_choice=shop.pack_choice, extras=extras),
        extra_paths=paths,
        target=target,
        price_asked=price_asked,
        # A number of JSON, read as the decimal that it prints as.
        tax_percent=parse_amount(shop.tax_percent),
    )


def pack_check(question: CostQuestion) -> GoodCheck:
    """A check of the good of a line: its packs have prices in the currency, and can be weighed."""

    def check(good: Good, egg_class: EggClass | None) -> None:
        chosen_pack(good, question.costing, egg_class)

    return once_for_each_good(check)


def _extras(shop: Shop, errors: ErrorCollector) -> tuple[tuple[Extra, ...], tuple[Path, ...]]:
    rows: list[tuple[ExtraKind, int, ExtraIn | LabourIn]] = [
        *(("packaging", i, row) for i, row in enumerate(shop.packaging)),
        *(("labour", i, row) for i, row in enumerate(shop.labour)),
        *(("other", i, row) for i, row in enumerate(shop.other)),
    ]
    extras = []
    for kind, i, row in rows:
        with errors.at("shop", kind, i):
            extras.append(Extra(name=row.name, kind=kind, amount=_amount(row), per=row.per))
    return tuple(extras), tuple(("shop", kind, i) for kind, i, _ in rows)


def _amount(row: ExtraIn | LabourIn) -> Fraction:
    if isinstance(row, LabourIn):
        # A number of JSON, read as the decimal that it prints as.
        return labour_cost(read_money(row.rate_per_hour, "rate_per_hour"), parse_amount(row.minutes))
    return read_money(row.amount, "amount")


def _target_price(target: TargetPriceIn, currency: Currency | None, errors: ErrorCollector) -> PriceTarget:
    price_step: Fraction | None = None
    with errors.at("shop", "target_price"):
        if target.price_step is not None:
            price_step = read_money(target.price_step, "price_step")
            if currency is not None:
                check_price_step(price_step, currency)
    margin, share = target.margin_percent, target.ingredient_cost_percent
    return PriceTarget(
        per=target.per,
        # Numbers of JSON, read as the decimals that they print as.
        margin_percent=None if margin is None else parse_amount(margin),
        ingredient_cost_percent=None if share is None else parse_amount(share),
        price_step=price_step,
    )


def _asked_price(price: AskedPriceIn, errors: ErrorCollector) -> PriceAsked | None:
    with errors.at("shop", "asked_price"):
        amount = read_money(price.amount, "amount")
        return PriceAsked(per=price.per, amount=amount, includes_tax=price.includes_tax)
    return None
