"""Formulas as large and as expensive as the schema allows."""

from typing import Any

import orjson

from api.v1.job.schemas import MAX_COMPONENTS, MAX_LINES, MAX_TARGETS
from api.v1.shop.reading import MAX_DETAILS, MAX_LINES_OF_JOB
from api.v1.shop.schemas import MAX_OWN
from domain.shop.packs import MAX_SIZES
from domain.things.ingredients import INGREDIENTS
from tests.load.worst.asking import Build, HostileRequest, get, post

LONG = "sugared plain flour of the dark soft brown and white whole grain"
TIN = "square 20 x 5 cm"
SHOP_LINES = MAX_LINES_OF_JOB // MAX_COMPONENTS  # of each component, in requests of the shop
FULL = MAX_DETAILS // 23  # goods with every field set
WEIGHABLE = [ingredient for ingredient in INGREDIENTS.values() if ingredient.densities]
UNITS = ("us_cup", "us_tbsp", "uk_pint", "ml", "g", "oz", "us_tsp", "au_tbsp")


def line(i: int, turn: int) -> dict[str, Any]:
    """A line of a known ingredient, with its longest name and an amount that is not cached."""
    ingredient = WEIGHABLE[i % len(WEIGHABLE)]
    return {
        "ingredient": max((ingredient.id, ingredient.british, ingredient.american, *ingredient.other_names), key=len),
        "quantity": f"{turn + 1} {i + 1}/1733 {UNITS[i % len(UNITS)]}",
    }


def worded_line(i: int, turn: int) -> dict[str, Any]:
    """A line whose quantity only the reader of recipes can read."""
    return {"ingredient": "butter", "quantity": f"{i}.{turn} lb 4 oz or {i} oz plus 2 tsp (3 oz"}


def unknown_line(i: int, turn: int) -> dict[str, Any]:
    """A line of an unknown ingredient, with a long name that is similar to many names."""
    return {
        "ingredient": f"{turn} {i} sugared plain flour of the dark soft brown and white whole grain",
        "quantity": "1 us_cup",
    }


def own_line(i: int, turn: int) -> dict[str, Any]:
    """A line of the caller's own ingredient, which causes a warning."""
    return {
        "ingredient": f"own {turn} {i} sugared plain flour of the dark soft brown",
        "own": True,
        "quantity": f"{i + 1}.{turn:04d} g",
    }


def egg_line(i: int, turn: int) -> dict[str, Any]:
    """A line of eggs by number."""
    part = ("egg", "egg yolk", "egg white")[i % 3]
    return {"ingredient": part, "quantity": f"{turn + 1} {i + 1}/1733 each"}


def formula(
    make: Any = line, turn: int = 0, components: int = MAX_COMPONENTS, lines: int = MAX_LINES
) -> dict[str, Any]:
    """A formula with this number of components and lines."""
    return {
        "name": f"formula {turn}",
        "tin": TIN,
        "filled_depth": "32 mm",
        "egg_class": "eu_m",
        "components": [
            {"name": f"part {c}", "lines": [make(c * lines + i, turn) for i in range(lines)]} for c in range(components)
        ],
    }


def good(i: int, turn: int, packs: int = MAX_SIZES) -> dict[str, Any]:
    """A good of the shop with every field set."""
    return {
        "name": f"good {turn} {i} sugared plain flour of the dark soft brown",
        "label_name": "a name for the list " * 4,
        "g_per_ml": 0.5 + i / 1e5,
        "grams_each": 50,
        "currency": "GBP",
        "packs": [{"size": f"{997 + 2 * p + i + turn} g", "price": f"{p + 1}.{i % 90 + 10}"} for p in range(packs)],
        "usable_yield_percent": 97.5,
        "contains": ["milk", "wheat", "egg", "almond"],
        "may_contain": ["peanuts", "sesame"],
        "parts": [{"name": f"part {p} of it", "percent": 10} for p in range(8)],
        "nutrition": {"fat_g": 10, "saturates_g": 3, "carbohydrate_g": 60, "sugars_g": 20, "protein_g": 8, "salt_g": 1},
    }


def good_line(i: int, turn: int, goods: int = FULL) -> dict[str, Any]:
    """A line of one of the shop's goods."""
    return {"ingredient": good(i % goods, turn)["name"], "quantity": f"{i + 1}.{turn:04d} g"}


def rows(count: int, turn: int) -> list[dict[str, Any]]:
    """Goods of the shop: full ones as far as they are allowed, otherwise goods with few fields and three packs."""
    if count <= FULL:
        return [good(i, turn) for i in range(count)]
    return [{key: good(i, turn, 3)[key] for key in ("name", "currency", "packs", "g_per_ml")} for i in range(count)]


def lean_line(i: int, turn: int) -> dict[str, Any]:
    """A line of one of many goods with few fields."""
    return good_line(i, turn, MAX_OWN)


def rescale(make: Any, targets: int, lines: int = MAX_LINES, components: int = MAX_COMPONENTS, **more: Any) -> Build:
    """Rescaling to many tins."""

    def build(turn: int) -> HostileRequest:
        wanted = [{"tin": f"rectangle {200 + i}.{turn} x 300 x 50 mm"} for i in range(targets)]
        return post("/v1/rescale", {"formula": formula(make, turn, components, lines), "targets": wanted, **more})

    return build


def balance(make: Any, **more: Any) -> Build:
    """A comparison of two formulas."""
    half = SHOP_LINES // 2
    return lambda turn: post(
        "/v1/balance",
        {"formula": formula(make, turn, lines=half), "compare_with": formula(make, turn + 100, lines=half), **more},
    )


def label(make: Any, goods: int = 0, market: str = "eu", show: str = "json") -> Build:
    """A label with the maximum number of lines and goods."""

    def build(turn: int) -> HostileRequest:
        shop = {
            "market": market,
            "bake_loss_percent": 12,
            "may_contain": ["milk", "almond"],
            "currency": "GBP",
            "own_ingredients": rows(goods, turn),
        }
        request = {"formula": formula(make, turn, lines=SHOP_LINES) | {"cuts": {"portions": 24}}, "shop": shop}
        return post("/v1/label", request, show)

    return build


def cost(make: Any, goods: int = 0, show: str = "json") -> Build:
    """A costing with the maximum number of lines and goods."""

    def build(turn: int) -> HostileRequest:
        extras = [{"name": f"extra {i}", "amount": f"{i}.1{turn}", "per": "portion"} for i in range(40)]
        shop = {
            "currency": "GBP",
            "pack_choice": "cheapest",
            "packaging": extras,
            "labour": [{"minutes": 10 + i / 7, "rate_per_hour": f"{i}.37", "per": "tin"} for i in range(40)],
            "other": extras,
            "target_price": {"margin_percent": 33.3, "price_step": "0.05"},
            "asked_price": {"amount": "3.10"},
            "own_ingredients": rows(goods, turn),
        }
        request = {
            "formula": formula(make, turn, lines=SHOP_LINES) | {"cuts": {"rows": 10, "columns": 10}},
            "shop": shop,
        }
        return post("/v1/cost", request, show)

    return build


def filled_up(path: str, **row: Any) -> Build:
    """A small request, but for as many rows of one's own as a body holds."""
    shop = {"currency": "GBP", "own_ingredients": [row] * (980_000 // len(orjson.dumps(row)))}
    return lambda turn: post(path, {"formula": formula(line, turn, 1, 2), "shop": shop})


def junk(path: str, item: bytes) -> Build:
    """A megabyte of one repeated item."""
    body = b"[" + b",".join([item] * (980_000 // (len(item) + 1))) + b"]"
    return lambda _: HostileRequest(path=path, body=body)


PACKS: dict[str, Any] = {"name": "g", "packs": [{"size": "1 g", "price": "1"}] * MAX_SIZES}
PARTS: dict[str, Any] = {"name": "g", "parts": [{"name": "p", "percent": 1}] * 40}
EIGHT = ["eu_m", "eu_l", "eu_s", "eu_xl", "us_large", "us_medium", "us_jumbo", "us_small"]
WORST: dict[str, Build] = {
    "compute_rescale: unknown names in 1,200 lines": rescale(unknown_line, 1),
    "compute_rescale: 1,200 lines of one's own": rescale(own_line, 8),
    "compute_rescale: quantities in words": rescale(worded_line, 1),
    "compute_rescale: 200 lines, 50 tins": rescale(line, MAX_TARGETS, 20, 10),
    "compute_rescale: 1,200 lines, 8 tins": rescale(line, 8),
    "compute_rescale: 1,200 lines of eggs, 8 classes": rescale(egg_line, 1, available_egg_classes=EIGHT),
    "compute_rescale: 200 lines of eggs, 50 tins": rescale(egg_line, MAX_TARGETS, 20, 10),
    "compute_rescale: 50 lines, 50 tins": rescale(line, MAX_TARGETS, 5, 10),
    "compute_rescale: 50 lines of one's own, 50 tins": rescale(own_line, MAX_TARGETS, 5, 10),
    "compute_rescale: 33 lines of one's own, 50 tins": rescale(own_line, MAX_TARGETS, 3, 11),
    "compute_rescale: 50 lines of eggs, 50 tins": rescale(egg_line, MAX_TARGETS, 5, 10),
    "compute_rescale: 300 lines of eggs, 8 classes": rescale(egg_line, 1, 30, 10, available_egg_classes=EIGHT),
    "compute_rescale: 80 lines of one's own, 50 tins": rescale(own_line, MAX_TARGETS, 40, 2),
    "compute_rescale: 660 lines of one's own, 6 tins": rescale(own_line, 6, 60, 11),
    "compute_rescale: 1,200 lines of one's own, 1 tin": rescale(own_line, 1),
    "compute_rescale: 1,200 lines of one's own, 3 tins": rescale(own_line, 3),
    "compute_rescale: two faults in as much as is read twice": rescale(line, 40, 12, 10, surprise=1),
    "compute_rescale: goods of the shop": rescale(good_line, 8, shop={"own_ingredients": rows(FULL, 0)}),
    "compute_balance: known": balance(line),
    "compute_balance: unknown": balance(unknown_line),
    "compute_balance: own": balance(own_line),
    "compute_formula_grams: as many percentages as fit": lambda turn: post(
        "/v1/balance/grams",
        {
            "percentages": [{"ingredient": f"thing {i}", "percent": 1 + (i + turn) / 1733} for i in range(MAX_LINES)],
            "grams": 1_000 + turn,
        },
    ),
    "compute_label: known, EU": label(line),
    "compute_cost: own": cost(own_line),
    "compute_label: unknown": label(unknown_line),
    "compute_label: goods": label(good_line, FULL),
    "compute_label: goods, XML": label(good_line, FULL, show="xml"),
    "compute_label: lean goods": label(lean_line, MAX_OWN),
    "compute_label: own": label(own_line),
    "compute_cost: known": cost(line),
    "compute_cost: unknown": cost(unknown_line),
    "compute_cost: goods": cost(good_line, FULL),
    "compute_cost: goods, CSV": cost(good_line, FULL, show="csv"),
    "compute_cost: lean goods": cost(lean_line, MAX_OWN),
    **{
        f"{path}: {name}": filled_up(f"/v1/{path}", **row)
        for path in ("cost", "label")
        for name, row in (
            ("a megabyte of packs", PACKS),
            ("a megabyte of parts", PARTS),
            ("a megabyte of names", {"name": "a name for the list " * 4}),
            ("a megabyte of goods", good(0, 0)),
        )
    },
    **{
        f"{path}: a megabyte of {item.decode()}": junk(f"/v1/{path}", item)
        for path in ("label", "balance", "rescale")
        for item in (b"[]", b"[[[]]]", b"{}", b'{"a":{}}')
    },
}
WORST["get_rescale: 55 lines, 40 tins"] = lambda turn: get(
    "/v1/rescale",
    *[("line", f"{i + 1}.{turn:04d} g butter") for i in range(55)],
    *[("want", f"round {20 + i}.{turn} x 5 cm") for i in range(40)],
    tin="square 20 x 5 cm",
)
