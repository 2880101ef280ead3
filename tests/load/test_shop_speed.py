"""The shop's answers grow in proportion to the request, and the search for packs stays within its limit of steps."""

from typing import Any

import orjson
import pytest

from api.app import create_app
from api.settings import Settings
from tests.load.clock import best_request_ms

pytestmark = pytest.mark.benchmark
APP = create_app(Settings())
NAMES = ["plain flour", "butter", "caster sugar", "salt", "rolled oats", "raisins", "dates", "honey"]
# A request four times as large may take at most six times as long: proportional growth, with a margin for noise.
TIMES_AS_MUCH, MAX_TIMES_AS_LONG = 4, 6.0
# Prime sizes with the same price per gram: no branch of the search can be left out by its cost.
EVEN_PACKS = [{"size": f"{grams} g", "price": f"{grams / 100:.2f}"} for grams in (1000, 2000, 4000, 8000)]
UNEVEN_PACKS = [
    {"size": f"{grams} g", "price": f"{grams / 100:.2f}"} for grams in (997, 1009, 1013, 1019, 1021, 1031, 1033, 1039)
]
# The limit of steps bounds the searches of one answer for any packs.
MAX_TIMES_AS_LONG_FOR_UNEVEN_PACKS = 40.0


def formula(lines: int) -> dict[str, Any]:
    rows = [{"ingredient": NAMES[i % len(NAMES)], "quantity": f"{1000 + 7 * i} g"} for i in range(lines)]
    parts = [rows[i : i + 20] for i in range(0, lines, 20)]
    return {"name": "bake", "components": [{"name": f"mix {i}", "lines": part} for i, part in enumerate(parts)]}


def day(orders: int) -> dict[str, Any]:
    products = [
        {"name": f"bun {i}", "formula": formula(10), "targets": [{"label": "tray"}]} for i in range(max(1, orders // 4))
    ]
    ordered = [{"product": f"bun {i % len(products)}", "portions": 30 + i} for i in range(orders)]
    return {"products": products, "orders": ordered}


def day_with_packs(packs: list[dict[str, Any]]) -> dict[str, Any]:
    lines = [{"ingredient": name, "quantity": f"{4321 + 7 * i} g"} for i, name in enumerate(NAMES)]
    mix = {"name": "mix", "lines": lines}
    product = {"name": "bun", "formula": {"name": "bun", "components": [mix]}}
    return {
        "products": [product | {"targets": [{"label": "one"}]}],
        "orders": [{"product": "bun", "portions": 9}],
        "shop": {"currency": "GBP", "own_ingredients": [{"name": name, "packs": packs} for name in NAMES]},
    }


def request_ms(path: str, body: dict[str, Any]) -> float:
    return best_request_ms(APP, path, orjson.dumps(body))


@pytest.mark.parametrize(
    ("path", "body"),
    [
        ("/v1/label", {"shop": {"market": "eu", "bake_loss_percent": 0}}),
        ("/v1/cost", {"shop": {"currency": "GBP"}}),
        ("/v1/balance", {}),
    ],
)
def test_the_time_grows_in_proportion_to_the_lines(path: str, body: dict[str, Any]) -> None:
    short, long = (request_ms(path, body | {"formula": formula(20 * times)}) for times in (1, TIMES_AS_MUCH))
    print(f"{path}: {long / short:.2f} times as long for {TIMES_AS_MUCH} times the lines")
    assert long / short < MAX_TIMES_AS_LONG


def test_the_time_of_a_day_grows_in_proportion_to_its_orders() -> None:
    short, long = (request_ms("/v1/batches", day(10 * times)) for times in (1, TIMES_AS_MUCH))
    print(f"/v1/batches: {long / short:.2f} times as long for {TIMES_AS_MUCH} times the orders")
    assert long / short < MAX_TIMES_AS_LONG


def test_packs_that_are_hard_to_combine_stay_within_the_limit_of_steps() -> None:
    even, uneven = (request_ms("/v1/batches", day_with_packs(packs)) for packs in (EVEN_PACKS, UNEVEN_PACKS))
    print(f"uneven packs: {uneven / even:.1f} times as long")
    assert uneven / even < MAX_TIMES_AS_LONG_FOR_UNEVEN_PACKS
