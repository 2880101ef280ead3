"""From the shop of a request to the domain's product as sold."""

from dataclasses import dataclass

from api.v1.shop.schemas import Shop
from domain.errors import ErrorCollector, NeededError
from domain.shop.allergens import MARKETS, Market, check_allergens


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelQuestion:
    """What the label of every target has in common."""

    product_name: str
    market: Market
    quantified: tuple[str, ...] | None
    may_contain: tuple[str, ...]
    estimate: bool


def read_label(shop: Shop, formula_name: str, errors: ErrorCollector) -> LabelQuestion:
    """What the label of every target has in common.

    Args:
        shop: of the request.
        formula_name: name of the product, if the shop gives none.
        errors: collects the errors.
    Returns:
        The question, to be used only if there are no errors.
    """
    with errors.at("shop", "market"):
        if shop.market is None:
            raise NeededError("Give market: eu, uk or us.", code="market_needed", candidates=MARKETS)
    with errors.at("shop"):
        check_allergens(tuple(shop.may_contain), "may_contain")
    return LabelQuestion(
        product_name=shop.product_name or formula_name,
        market=shop.market or MARKETS[0],
        quantified=None if shop.quantified is None else tuple(shop.quantified),
        may_contain=tuple(shop.may_contain),
        estimate=shop.estimate,
    )
