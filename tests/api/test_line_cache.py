"""Lines read from a request are cached by value: equal requests hit the cache, and other topics do not evict it."""

from typing import Any

from api.v1.job.reading import formula_line
from domain.formulas.formula import Component, Formula, Line, weigh_formula
from domain.measures.quantities import parse_quantity
from domain.things.conversion import Thing
from domain.things.ingredients import INGREDIENTS
from tests.api.conftest import Call


def test_equal_requests_read_each_line_once(call: Call, formula: dict[str, Any]) -> None:
    body = {"formula": formula, "targets": [{"factor": 2}]}
    lines = sum(len(component["lines"]) for component in formula["components"])
    formula_line.cache_clear()
    answers = [call("POST", "/v1/rescale", json=body).content for _ in range(20)]
    assert set(answers) == {answers[0]}
    assert formula_line.cache_info().misses == lines
    assert formula_line.cache_info().hits == 19 * lines


def test_pieces_do_not_evict_the_lines_of_a_formula(call: Call, formula: dict[str, Any]) -> None:
    body = {"formula": formula, "targets": [{"factor": 2}]}
    formula_line.cache_clear()
    assert call("POST", "/v1/rescale", json=body).status_code == 200
    misses = formula_line.cache_info().misses
    for i in range(30):
        lines = [{"ingredient": "salt", "quantity": f"{i + 1}.{j:02} g"} for j in range(40)]
        assert call("POST", "/v1/pieces", json={"lines": lines, "count": 10}).status_code == 200
    assert call("POST", "/v1/rescale", json=body).status_code == 200
    assert formula_line.cache_info().misses == misses


def test_lines_are_equal_by_value_and_a_cached_line_weighs_the_same() -> None:
    thing = Thing(ingredient=INGREDIENTS["butter"])
    first, second = (Line(name="butter", thing=thing, quantity=parse_quantity("150 g")) for _ in range(2))
    assert first == second
    assert hash(first) == hash(second)
    masses = [
        weigh_formula(Formula(name="x", components=(Component(name="mix", lines=(line,)),))).mass
        for line in (first, second, first)
    ]
    assert masses[0] == masses[1] == masses[2]
