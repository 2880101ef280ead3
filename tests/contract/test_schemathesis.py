"""Every operation except those on whole formulas: see `conformance`."""

from typing import Any

from schemathesis import Case

from tests.contract.conformance import FORMULAS, ORDERS, SCHEMA, check_answer, often


@SCHEMA.exclude(operation_id=[*FORMULAS, *ORDERS]).parametrize()
@often
def test_answers_conform_to_the_contract(case: Case[Any]) -> None:
    check_answer(case)
