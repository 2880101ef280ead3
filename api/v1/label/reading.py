"""From a label request to the domain's formula and product, with every error at once."""

from dataclasses import dataclass

from api.v1.label.schemas import LabelRequest
from api.v1.shop.reading import check_work, read_shop, read_weighed_formula
from domain.errors import DomainErrors, ErrorCollector, NeededError
from domain.formulas.formula import WeighedFormula
from domain.shop.allergens import MARKETS
from domain.shop.goods import Book
from domain.shop.label import Sold


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelQuestion:
    """A label request in the domain's types."""

    weighed: WeighedFormula
    sold: Sold
    book: Book


def read_label(body: LabelRequest, file: Book) -> LabelQuestion:
    """The parts of a label request.

    Args:
        body: the request.
        file: the book of the shop file.
    Returns:
        The parts.
    Raises:
        DomainErrors: everything that is wrong with the request.
    """
    shop = body.shop
    check_work(shop, (body.formula, ("formula",), 0))
    collector = ErrorCollector()
    book, _ = read_shop(shop, file, collector)
    sold: Sold | None = None
    if shop.market is None:
        with collector.at("shop", "market"):
            raise NeededError("Give market: eu, uk or us.", code="market_needed", candidates=MARKETS)
    with collector.at("shop"):
        sold = Sold(
            name=shop.product_name or body.formula.name,
            market=shop.market or MARKETS[0],
            bake_loss_percent=shop.bake_loss_percent,
            baked_grams=shop.baked_grams,
            portions=body.portions,
            portion_grams=body.portion_grams,
            quantified=None if shop.quantified is None else tuple(shop.quantified),
            may_contain=tuple(shop.may_contain),
        )
    weighed = read_weighed_formula(body.formula, body.measures, book, collector, at=("formula",))
    if weighed is None or sold is None or collector.errors:
        raise DomainErrors(collector.errors)
    return LabelQuestion(weighed=weighed, sold=sold, book=book)
