"""The operation on a day's formulas and orders, whose requests take longest to generate: see `conformance`."""

from typing import Any

from schemathesis import Case

from tests.contract.conformance import ORDERS, check_answer, often, only


@only(*ORDERS).parametrize()
@often
def test_answers_conform_to_the_contract(case: Case[Any]) -> None:
    check_answer(case)
