"""From a label request to the domain's formula and product, with every error at once."""

from dataclasses import dataclass

from api.v1.label.schemas import LabelRequest
from api.v1.shop.reading import check_work, read_book, read_weighed_formula
from domain.errors import DomainErrors, ErrorCollector
from domain.formulas.formula import WeighedFormula
from domain.shop.goods import Book
from domain.shop.label import Sold


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelQuestion:
    """A label request in the domain's types."""

    weighed: WeighedFormula
    sold: Sold
    book: Book


def read_label(body: LabelRequest, shop: Book) -> LabelQuestion:
    """The parts of a label request.

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
    book = read_book(body.own_ingredients, shop, None, collector)
    sold: Sold | None = None
    with collector.at():
        sold = Sold(
            name=body.product_name or body.formula.name,
            market=body.market,
            bake_loss_percent=body.bake_loss_percent,
            baked_grams=body.baked_grams,
            pieces=body.pieces,
            piece_grams=body.piece_grams,
            quantified=None if body.quantified is None else tuple(body.quantified),
            may_contain=tuple(body.may_contain),
        )
    weighed = read_weighed_formula(body.formula, body.measures, book, collector, at=("formula",))
    if weighed is None or sold is None or collector.errors:
        raise DomainErrors(collector.errors)
    return LabelQuestion(weighed=weighed, sold=sold, book=book)
