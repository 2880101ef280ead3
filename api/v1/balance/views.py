"""The answer of `/v1/balance`: the balance of each target, and a second formula beside the first."""

from typing import Any

from api.v1.balance.answers import balance_cited, compared_answer
from api.v1.balance.schemas import BalanceRequest
from api.v1.job.views import compute_sold_job
from api.v1.shop.reading import check_work, read_weighed_formula
from api.v1.shop.schemas import Shop
from api.v1.shop.selling import BALANCE, balance_of, read_selling
from api.v1.shop.views import sold_answer
from domain.errors import ErrorCollector
from domain.shop.balance import Balance, balance
from domain.shop.goods import Book


def balance_view(body: BalanceRequest, file: Book) -> dict[str, Any]:
    """The balance of each target, and the second formula if there is one.

    Args:
        body: the request.
        file: the book of the shop file.
    Raises:
        DomainErrors: everything that is wrong with the formulas and the shop.
    """
    errors, other_errors = ErrorCollector(), ErrorCollector()
    sizes = max(1, len(body.targets))
    check_work(body.shop or Shop(), (body.formula, ("formula",), sizes), (body.compare_with, ("compare_with",), 1))
    selling = read_selling(body, file, frozenset((BALANCE,)), errors, base=body.base, component=body.component)
    other = None
    if body.compare_with is not None:
        other = read_weighed_formula(body.compare_with, body.measures, selling.book, other_errors, at=("compare_with",))
    errors.errors += other_errors.errors
    question, results = compute_sold_job(body, selling, errors)
    first: Balance | None = None
    second: Balance | None = None
    with errors.at():
        first = balance_of(question.weighed, selling)
    with errors.at("compare_with"):
        second = None if other is None else balance(other, selling.book, market=selling.market)
    errors.raise_if_any()
    if first is None or second is None or other is None:
        return sold_answer(body, question, results, selling)
    notices = [notice.within("compare_with") for notice in (*other.notices, *second.notices)]
    answer = sold_answer(body, question, results, selling, notices=notices, cited=balance_cited(second))
    return answer | {"compared": compared_answer(first, second, other.formula.name)}
