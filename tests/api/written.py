"""Fields of the contract that hold what people write: how each is asked, and the figure that repeats what was read."""

from collections.abc import Callable
from typing import Any
from urllib.parse import quote_plus

import pytest

from tests.api.conftest import Call

Outcome = tuple[float | None, list[dict[str, Any]]]
Ask = Callable[[Call, str], Outcome]
INCH_MM, POUND_G, OUNCE_G = 25.4, 453.59237, 28.349523125  # exact: international yard and pound agreement, 1959
FORMULA: dict[str, Any] = {
    "name": "shortbread",
    "tin": "square 20 x 5 cm",
    "filled_depth": "30 mm",
    "egg_class": "eu_m",
    "components": [{"name": "dough", "lines": [{"ingredient": "butter", "quantity": "1000 g"}]}],
}
BAKE = {"oven": "180 C", "minutes": 40}
COOL = {
    "tin": "square 20 cm",
    "depth": "3 cm",
    "place": "fridge",
    "start_temperature": "96 C",
    "core_temperature": "30 C",
}


def posted(path: str, figure: str, body: Callable[[str], dict[str, Any]]) -> Ask:
    """A field of a body, and the figure of the answer that repeats what was read."""
    return lambda call, text: outcome(call("POST", path, json=body(text)).json(), figure)


def queried(address: str, figure: str) -> Ask:
    """A parameter of an address; {} stands for its value."""
    return lambda call, text: outcome(call("GET", address.format(quote_plus(text))).json(), figure)


def outcome(answer: Any, figure: str) -> Outcome:
    """The figure at a path, or the errors of the answer or of its only row or target."""
    for part in figure.split("."):
        if isinstance(answer, dict):
            if "problem" in answer:
                answer = answer["problem"]
            if answer.get("problems"):
                answer = answer["problems"][0]["problem"]
            if "errors" in answer:
                return None, answer["errors"]
        answer = answer[int(part)] if part.isdigit() else answer.get(part, 0)
    return float(answer) if isinstance(answer, int | float) else 0.0, []


def of_a_line(**line: str) -> dict[str, Any]:
    return {"formula": {**FORMULA, "components": [{"name": "dough", "lines": [{"ingredient": "butter", **line}]}]}}


def of_a_bake(**bake: str) -> dict[str, Any]:
    return {"formula": {**FORMULA, "bake": {**BAKE, **bake}}, "targets": [{"tin": "square 23 cm"}]}


def of_a_good(size: str, price: str) -> dict[str, Any]:
    butter = {"name": "butter", "packs": [{"size": size, "price": price}]}
    return {"formula": FORMULA, "shop": {"currency": "EUR", "own_ingredients": [butter]}}


def of_a_tin(text: str) -> dict[str, Any]:
    return {"grams": 3000, "g_per_ml": 1, "tins": [{"tin": "square 20 cm"}], "depth_low": text, "depth_high": "25 cm"}


def of_the_stock(text: str) -> dict[str, Any]:
    product = {"name": "slab", "formula": FORMULA, "targets": [{"label": "whole", "tin": "square 20 cm"}]}
    order = {"product": "slab", "label": "whole", "tins": 1}
    return {"products": [product], "orders": [order], "stock": [{"ingredient": "butter", "quantity": text}]}


def each(fields: dict[str, Ask]) -> pytest.MarkDecorator:
    return pytest.mark.parametrize("ask", fields.values(), ids=fields.keys())
