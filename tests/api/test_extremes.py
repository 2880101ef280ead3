"""Extreme doubles: the answer fits its model, or is an error; no figure is infinite."""

from collections.abc import Iterator
from typing import Any

import pytest
from pydantic import TypeAdapter

from api.contract.examples import load_examples
from api.wire.problems import Problem
from tests.api.conftest import Call
from tests.api.test_examples import answer_model

# IEEE 754: the smallest positive double, the smallest normal one, a typing error, the largest, and their negatives.
EXTREMES = (5e-324, 2.2250738585072014e-308, 1e-12, 1.7976931348623157e308, 1e16, 0, -5e-324, -1e16)
POSTED = {
    name: (example["path"].partition("?")[0], example["request"])
    for name, example in load_examples().items()
    if example["method"] == "POST" and example["status"] == 200
} | {
    "rescale by factor and mass": (
        "/v1/rescale",
        {
            "formula": {
                "name": "Halfmoon slab",
                "components": [
                    {"name": "base", "lines": [{"ingredient": "butter", "quantity": "250 g"}]},
                    {
                        "name": "nuggets",
                        "lines": [{"ingredient": "plain flour", "quantity": "1 us_cup"}],
                        "pieces": {"grams_each": 10},
                    },
                ],
            },
            "targets": [{"factor": 2}, {"grams": 900}],
        },
    ),
    "pieces by mass": ("/v1/pieces", {"grams": 900, "grams_each": 45, "g_per_ml": 1.1}),
    "pieces by number": ("/v1/pieces", {"grams": 900, "count": 20, "g_per_ml": 1.1}),
    "cuts by mass": ("/v1/cuts", {"tin": "square 20 x 5 cm", "portion_grams": 60, "slab_grams": 900}),
}


def with_extremes(body: Any, extreme: float) -> Iterator[Any]:
    """Copies of the body with one number replaced by an extreme one, including numbers in texts such as `500 g`."""
    if isinstance(body, dict):
        for key, value in body.items():
            for changed in with_extremes(value, extreme):
                yield {**body, key: changed}
    elif isinstance(body, list):
        for index, value in enumerate(body):
            for changed in with_extremes(value, extreme):
                yield [*body[:index], changed, *body[index + 1 :]]
    elif isinstance(body, int | float) and not isinstance(body, bool):
        yield extreme
    elif isinstance(body, str) and body[:1].isdigit() and " " in body:
        unit = body.partition(" ")[2]
        if unit.isalpha():
            yield f"{extreme} {unit}"


def all_at(body: Any, extreme: float) -> Any:
    """The body with all its numbers replaced by an extreme one."""
    if isinstance(body, dict):
        return {key: all_at(value, extreme) for key, value in body.items()}
    if isinstance(body, list):
        return [all_at(value, extreme) for value in body]
    return extreme if isinstance(body, int | float) and not isinstance(body, bool) else body


@pytest.mark.parametrize("name", POSTED)
def test_an_extreme_number_gives_a_valid_answer_or_an_error(call: Call, name: str) -> None:
    path, request = POSTED[name]
    assert call("POST", path, json=request).status_code == 200
    model, problem = TypeAdapter(answer_model("POST", path)), TypeAdapter(Problem)
    tried = 0
    for extreme in EXTREMES:
        for body in (*with_extremes(request, extreme), all_at(request, extreme)):
            answer = call("POST", path, json=body)
            assert answer.status_code in {200, 422}, (body, answer.text)
            (model if answer.is_success else problem).validate_json(answer.content, strict=True)
            tried += 1
    assert tried >= len(EXTREMES)
