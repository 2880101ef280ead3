"""The operations on one formula: see `conformance`."""

from typing import Any

from schemathesis import Case

from tests.contract.conformance import FORMULAS, check_answer, often, only


@only(*FORMULAS).parametrize()
@often
def test_answers_conform_to_the_contract(case: Case[Any]) -> None:
    check_answer(case)
