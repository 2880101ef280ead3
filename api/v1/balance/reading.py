"""From a balance request to the domain's balances, with every error at once."""

from dataclasses import dataclass

from api.v1.balance.schemas import BalanceRequest, FormulaGramsRequest
from api.v1.shop.reading import check_work, read_shop, read_weighed_formula
from domain.errors import ErrorCollector, at_path
from domain.formulas.formula import WeighedFormula
from domain.shop.balance import Balance, balance, component_places, pieces_mix_g
from domain.shop.goods import Book


@dataclass(frozen=True, slots=True, kw_only=True)
class Balanced:
    """A formula in grams with its balance."""

    weighed: WeighedFormula
    balance: Balance


def read_percentages(body: FormulaGramsRequest) -> tuple[list[float], float]:
    """The percentages of a request, and the mix that it wants in grams.

    Args:
        body: the request.
    Returns:
        Percentages and grams.
    Raises:
        OutOfRangeError: the pieces weigh too much together.
    """
    percentages = [row.percent for row in body.percentages]
    if body.pieces is None:
        return percentages, body.grams or 0.0
    with at_path("pieces"):
        return percentages, pieces_mix_g(body.pieces.count, body.pieces.grams_each)


def read_balance(body: BalanceRequest, file: Book) -> tuple[Balanced, ...]:
    """The balances that a request asks for: of its formula, and of the second one if there is one.

    Args:
        body: the request.
        file: the book of the shop file.
    Returns:
        One or two balances.
    Raises:
        DomainErrors: everything that is wrong with the request.
    """
    both = ((body.formula, ("formula",), 0), (body.compare_with, ("compare_with",), 0))
    check_work(body.shop, *both)
    collector = ErrorCollector()
    book, _ = read_shop(body.shop, file, collector)
    with collector.at():
        component_places([part.name for part in body.formula.components], body.component)
    formulas = [
        read_weighed_formula(formula, body.measures, book, collector, at=path)
        for formula, path, _ in both
        if formula is not None
    ]
    collector.raise_if_any()
    first, *others = (weighed for weighed in formulas if weighed is not None)
    balanced = []
    # Without a base of the request's own, only the formula can be at fault.
    with collector.at(*(() if body.base else ("formula",))):
        balanced.append(Balanced(weighed=first, balance=balance(first, book, body.base, body.component)))
    for weighed in others:
        with collector.at("compare_with"):
            balanced.append(Balanced(weighed=weighed, balance=balance(weighed, book)))
    collector.raise_if_any()
    return tuple(balanced)
