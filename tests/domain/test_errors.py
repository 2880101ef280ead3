"""Errors carry a message, a path and a code; several are collected and reported together."""

import pickle
from typing import Any

import pytest

from domain import errors
from domain.errors import (
    AmbiguousError,
    DomainError,
    DomainErrors,
    ErrorCollector,
    OutOfRangeError,
    UnknownError,
    at_path,
)
from domain.notices import Notice

LEAVES = [
    value
    for value in vars(errors).values()
    if isinstance(value, type) and issubclass(value, DomainError) and value is not DomainError
]


@pytest.mark.parametrize("leaf", LEAVES, ids=lambda leaf: leaf.__name__)
def test_every_error_class_has_its_own_code_and_can_be_pickled(leaf: type[DomainError]) -> None:
    figures: dict[str, Any] = {"value": 7.0, "limit": 5.0} if leaf is OutOfRangeError else {}
    refusal = leaf("Say it.", path=("lines", 0), candidates=("us_cup",), code="narrow", **figures)
    assert str(refusal) == refusal.detail == "Say it."
    assert (leaf("x", **figures).code, refusal.code) == (leaf.code, "narrow")
    again = pickle.loads(pickle.dumps(refusal))  # noqa: S301 - our own bytes
    assert type(again) is leaf
    assert (again.detail, again.path, again.candidates, again.code) == ("Say it.", ("lines", 0), ("us_cup",), "narrow")
    assert (again.value, again.limit) == (figures.get("value"), figures.get("limit"))
    assert isinstance(refusal, ValueError)


def test_codes_are_unique() -> None:
    assert len({leaf.code for leaf in LEAVES}) == len(LEAVES) >= 6


def test_several_errors_can_be_pickled() -> None:
    several = DomainErrors([UnknownError("a", path=("x",)), AmbiguousError("b")])
    again = pickle.loads(pickle.dumps(several))  # noqa: S301 - our own bytes
    assert [(type(error), error.path) for error in again.errors] == [(UnknownError, ("x",)), (AmbiguousError, ())]


def test_the_collector_continues_after_an_error_and_raises_all_in_order() -> None:
    findings, reached = ErrorCollector(), []
    for index in range(3):
        with findings.at("lines", index):
            reached.append(index)
            raise UnknownError(f"no {index}", path=("unit",))
    findings.errors[0].detail = "kept"
    with pytest.raises(DomainErrors) as refusals:
        findings.raise_if_any()
    assert reached == [0, 1, 2]
    assert [error.path for error in refusals.value.errors] == [("lines", i, "unit") for i in range(3)]


def test_an_empty_collector_raises_nothing() -> None:
    findings = ErrorCollector()
    with findings.at("lines", 0):
        pass
    findings.raise_if_any()
    assert findings.errors == []


def test_the_collector_does_not_catch_other_exceptions() -> None:
    findings = ErrorCollector()
    with pytest.raises(ZeroDivisionError), findings.at("lines"):
        raise ZeroDivisionError
    assert findings.errors == []


def test_outer_levels_are_put_before_the_path() -> None:
    with pytest.raises(UnknownError) as refusal, at_path("formula"), at_path("lines", 2):
        raise UnknownError("no", path=("unit",))
    assert refusal.value.path == ("formula", "lines", 2, "unit")
    with pytest.raises(DomainErrors) as refusals, at_path("formula"):
        raise DomainErrors([UnknownError("a"), UnknownError("b", path=("x",))])
    assert [error.path for error in refusals.value.errors] == [("formula",), ("formula", "x")]
    with pytest.raises(KeyError), at_path("formula"):
        raise KeyError


def test_a_notice_gets_the_path_of_the_outer_level() -> None:
    notice = Notice(code="analogy", message="x", path=("lines", 0))
    assert notice.within("formula", "components", 1).path == ("formula", "components", 1, "lines", 0)
    assert notice.path == ("lines", 0)
