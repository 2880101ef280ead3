"""Days of the shop: many products in many sizes, orders of every kind, packs that are hard to combine."""

from typing import Any

import orjson

from api.v1.batches.schemas import MAX_ORDERS, MAX_PRODUCTS, MAX_SIZES, MAX_STOCK
from api.v1.shop.reading import MAX_DETAILS
from api.v1.shop.schemas import MAX_OWN
from tests.load.worst.asking import Build, post
from tests.load.worst.formulas import (
    EIGHT,
    FULL,
    egg_line,
    formula,
    good_line,
    lean_line,
    line,
    rows,
    unknown_line,
)

PLAIN = (8, 12, 16, 20, 24, 30, 36, 48)
PRIMES = (997, 1009, 1013, 1019, 1021, 1031, 1033, 1039)
PRIME_CAVITIES = (941, 947, 953, 967, 971, 977, 983, 991)


CUT_SIZES = 3  # of each product; the budget of cuts ends with about 130 of them


def sizes(turn: int, counts: tuple[int, ...] = PLAIN) -> list[dict[str, Any]]:
    """As many sizes as may be, the first of them cut; prime counts are those of cavities."""
    tins = [
        {"tin": f"cavities {count} x {50 + turn} ml"}
        if count in PRIME_CAVITIES
        else {"tin": f"round {180 + 11 * s}.{turn} x 80 mm", "depth": "40 mm"}
        for s, count in enumerate(counts)
    ]
    return [
        tin
        | ({"cuts": {"wedges": count}} if s < CUT_SIZES and "depth" in tin else {})
        | {
            "label": f"size {s}",
            "bake": {"oven": f"{150 + 10 * (s % 3)} celsius", "minutes": 40 + s % 2},
            "tins_per_shelf": 3,
        }
        for s, (count, tin) in enumerate(zip(counts, tins, strict=True))
    ]


def day(make: Any, products: int, lines: int, turn: int, **more: Any) -> dict[str, Any]:
    """Products with formulas of this number of lines, and orders for each in turn, half of them of any size."""

    def product(p: int) -> dict[str, Any]:
        product_formula = formula(lambda i, t: make(i + p, t), turn, max(1, lines // 60), min(lines, 60))
        of_it = sizes(turn, more.get("counts", PLAIN))
        return {
            "name": f"product {p}",
            "formula": product_formula,
            "targets": of_it,
            "spare_percent": 3.7,
            "bake_loss_percent": 11,
        }

    def order(o: int) -> dict[str, Any]:
        size = {"label": f"size {o % MAX_SIZES}"} if o % 2 else {}
        return {"product": f"product {o % products}", "portions": 99_991 - 7 * o - turn, **size}

    return {
        "products": [product(p) for p in range(products)],
        "orders": [order(o) for o in range(MAX_ORDERS)],
        "available_egg_classes": EIGHT,
        "mixing_bowl_grams": 997,
        "oven_shelves": 7,
        "shop": {"currency": "GBP", "own_ingredients": more.pop("own_ingredients", [])},
        **{name: value for name, value in more.items() if name != "counts"},
    }


def batches(make: Any, products: int, lines: int, goods: int = 0, show: str = "json", **more: Any) -> Build:
    """A request for such a day."""

    def build(turn: int) -> Any:
        own = {"own_ingredients": rows(goods, turn)} if goods else {}
        return post("/v1/batches", day(make, products, lines, turn, **own, **more), show)

    return build


def prime_packs(turn: int) -> Any:
    """The maximum number of goods in eight packs each, of prime sizes at one price per gram: nothing can be pruned."""
    goods = MAX_DETAILS // MAX_SIZES
    own = [
        {
            "name": f"good {i}",
            "packs": [{"size": f"{g + 2 * turn} g", "price": f"{(g + 2 * turn) / 100:.2f}"} for g in PRIMES],
        }
        for i in range(goods)
    ]

    def plain(i: int, _: int) -> dict[str, Any]:
        return {"ingredient": f"good {i % goods}", "quantity": f"{4321 + 7 * i} g"}

    return post("/v1/batches", day(plain, 1, 60, turn, own_ingredients=own))


def uneven_packs(turn: int) -> Any:
    """The same with sizes for which the search is abandoned."""
    goods, sizes = MAX_DETAILS // MAX_SIZES, (19324, 40753, 26706, 29670, 47510, 47546, 28015, 21149)
    own = [
        {"name": f"good {i}", "packs": [{"size": f"{g} g", "price": f"{g / 100:.2f}"} for g in sizes]}
        for i in range(goods)
    ]

    def plain(i: int, _: int) -> dict[str, Any]:
        return {"ingredient": f"good {i % goods}", "quantity": f"{250_001 + i + turn} g"}

    return post("/v1/batches", day(plain, 1, 60, turn, own_ingredients=own))


def nothing_right(components: int) -> Build:
    """The maximum number of lines, all of them invalid."""
    product = {"name": "a", "formula": {"name": "x", "components": [{"name": "c", "lines": [{}] * 60}] * components}}
    return lambda _: post("/v1/batches", {"orders": [1] * MAX_ORDERS, "products": [product] * MAX_PRODUCTS})


def nothing_but(**row: Any) -> Build:
    """A day without a product, and a megabyte of goods that are not needed."""
    rows = [row] * (900_000 // len(orjson.dumps(row)))
    return lambda turn: post("/v1/batches", {"oven_shelves": turn + 1, "shop": {"own_ingredients": rows}})


def stock(make: Any) -> Build:
    """A small day with a large stock."""
    return lambda turn: post("/v1/batches", day(line, 1, 1, turn, stock=[make(i, turn) for i in range(MAX_STOCK)]))


WORST: dict[str, Build] = {
    "compute_batches: 1 product of 180 lines": batches(line, 1, 180),
    "compute_batches: 40 products of 5 lines": batches(line, MAX_PRODUCTS, 5),
    "compute_batches: 40 products of 1 line": batches(line, MAX_PRODUCTS, 1),
    "compute_batches: 40 products of eggs": batches(egg_line, MAX_PRODUCTS, 5),
    "compute_batches: goods": batches(good_line, MAX_PRODUCTS, 5, FULL),
    "compute_batches: goods, XML": batches(good_line, MAX_PRODUCTS, 5, FULL, "xml"),
    "compute_batches: lean goods": batches(lean_line, MAX_PRODUCTS, 5, MAX_OWN),
    "compute_batches: unknown": batches(unknown_line, MAX_PRODUCTS, 5),
    "compute_batches: unknown with goods": batches(unknown_line, MAX_PRODUCTS, 5, MAX_OWN),
    "compute_batches: 40 products of 60 lines": batches(line, MAX_PRODUCTS, 60),
    "compute_batches: 40 products in prime sizes": batches(line, MAX_PRODUCTS, 1, counts=PRIME_CAVITIES),
    "compute_batches: prime packs": prime_packs,
    "compute_batches: nothing right": nothing_right(3),
    "compute_batches: nothing right, 48,000 lines": nothing_right(20),
    "compute_batches: nothing but parts": nothing_but(name="a", parts=[{"name": "p", "percent": 1}] * 40),
    "compute_batches: nothing but allergens": nothing_but(name="a", contains=["milk"] * 30, may_contain=["milk"] * 30),
    "compute_batches: nothing but long lists": nothing_but(name="a", contains=["milk"] * 20_000),
    "compute_batches: nothing but long names": nothing_but(name="a", label_name="a name for the list " * 500),
    "compute_batches: rows of nothing": nothing_but(name="a", packs=[{}] * 8, parts=[{}] * 8),
    "compute_batches: uneven packs": uneven_packs,
    "compute_batches: unknown stock": stock(unknown_line),
}
