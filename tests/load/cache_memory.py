"""Fills every cache of the service with requests, and prints how the resident memory grows.

`python -m tests.load.cache_memory` prints a JSON object: `entries`, the distinct keys requested from each cache;
`warm` and `full`, the resident bytes after the caches were filled and after many times as many keys.
"""

import asyncio
import gc
import importlib
import json
import pkgutil
import sys
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import psutil

import api
import domain
from api.app import create_app
from api.wire.reading import MAX_WORDED
from tests.load.worst.asking import HostileRequest, get, post, send

KEYS = 20_000  # distinct keys requested from every cache, unless its entries are slow to compute
LONG = "sugared plain flour of the dark soft brown and white whole grain meal"


def caches() -> dict[str, Any]:
    """Every function of the service that is cached by `functools`, by module and name."""
    by_name: dict[str, Any] = {}
    for package in (api, domain):
        for module in pkgutil.walk_packages(package.__path__, f"{package.__name__}."):
            if module.name.endswith("__main__"):
                continue
            for value in vars(importlib.import_module(module.name)).values():
                if hasattr(value, "cache_parameters") and value.__module__.startswith(("api.", "domain.")):
                    by_name[f"{value.__module__}.{value.__qualname__}"] = value

    return by_name


def padded(name: str) -> str:
    """A name of 80 characters, the most that a name may have."""
    return f"{name} {LONG}"[:80].rstrip()


def conversions(i: int) -> HostileRequest:
    """A table of different rows and different conversions."""
    rows = [
        {
            "quantity": f"{i} {row + 1}/{1733 + i} {spelling(row, i)}",
            "to": "g",
            "ingredient": "butter" if row % 3 else padded(f"{i} {row}"),
            "g_per_ml": 0.02 + (i * 1000 + row) / 1e7,
        }
        for row in range(1_000)
    ]
    return post("/v1/convert", {"items": rows})


def in_words(i: int) -> HostileRequest:
    """A table of as many different quantities as a request may have that only the reader of recipes can read."""
    rows = [{"quantity": f"{i + 1} lb {row + 1} oz", "to": "g"} for row in range(MAX_WORDED)]
    return post("/v1/convert", {"items": rows})


def spelling(row: int, i: int) -> str:
    """One of the many ways to write a unit in upper and lower case."""
    number = row + 1_000 * i
    letters = "usfluidounces"
    cased = "".join(letter.upper() if number >> place & 1 else letter for place, letter in enumerate(letters))
    return f"{cased[:2]} {cased[2:7]} {cased[7:]}"


def formula(i: int) -> HostileRequest:
    """A formula of the caller's own lines, each with a different name, amount and density."""
    lines = [
        {
            "ingredient": padded(f"{i} {row}"),
            "own": True,
            "quantity": f"{row + 1}.{i:04d} g" if i % 2 else f"{row + 1}.{i:04d} ml",
            "g_per_ml": 0.3 + (i * 200 + row) / 1e6,
        }
        for row in range(200)
    ]
    components = [{"name": f"part {part}", "lines": lines[part * 50 : part * 50 + 50]} for part in range(4)]
    return post("/v1/rescale", {"formula": {"name": "x", "components": components}, "targets": [{"factor": 2}]})


def goods(i: int) -> HostileRequest:
    """A costing in which no line of the formula is one of the goods, so that each line is looked up."""
    rows = [{"name": padded(f"good {i}"), "currency": "GBP", "packs": [{"size": "1 kg", "price": "1"}]}]
    lines = [
        {"ingredient": padded(f"{row} {i}"), "own": True, "quantity": f"{row + 1}.{i:04d} g"} for row in range(200)
    ]
    made = {"name": "x", "components": [{"name": f"part {n}", "lines": lines[n * 50 : n * 50 + 50]} for n in range(4)]}
    return post("/v1/cost", {"formula": made, "shop": {"currency": "GBP", "own_ingredients": rows}})


def bake(i: int) -> HostileRequest:
    """A bake with a different tin, oven and depth."""
    batter = {
        "name": "x",
        "tin": f"square {20 + i / 1e4:.4f} x 9 cm",
        "filled_depth": "40 mm",
        "components": [{"name": "c", "lines": [{"ingredient": "plain flour", "quantity": "400 g"}]}],
        "bake": {"oven": f"{180 + i / 1e3:.3f} celsius", "minutes": 44, "rise": 1 + i / 1e4},
    }
    target = {
        "tin": f"round {20 + i / 1e4:.4f} x 9 cm",
        "depth": f"{40 + i / 1e4:.4f} mm",
        "bake": {"oven": f"{170 + i / 1e3:.3f} celsius"},
    }
    return post("/v1/bake", {"formula": batter, "targets": [target]})


def mask(i: int) -> str:
    """A different, long selection of fields; a name may be repeated."""
    names = ("amount", "unit", "low", "high")
    return ",".join(names[i // 4**place % 4] for place in range(100))


def bakes_of_a_formula(i: int) -> HostileRequest:
    """A formula with a window for its target."""
    line = {"ingredient": "plain flour", "quantity": "400 g"}
    made = {
        "name": "x",
        "tin": "square 20 x 9 cm",
        "filled_depth": "40 mm",
        "bake": {"oven": f"{180 + i / 1e3:.3f} celsius", "minutes": 44, "rise": 1 + i / 1e4},
        "components": [{"name": "c", "lines": [line]}],
    }
    return post("/v1/rescale", {"formula": made, "targets": [{"tin": f"round {21 + i / 1e4:.4f} x 9 cm"}]})


def accepted(i: int) -> HostileRequest:
    """A request with an Accept header of 300 characters."""
    header = f"text/csv;level={i}, " + ", ".join(["application/json;q=0.123"] * 11)
    return HostileRequest(path="/v1/units", headers=[(b"accept", header[:300].encode())])


def freezing_body(i: int) -> HostileRequest:
    """A body that freezes, each of another density."""
    return post(
        "/v1/cool",
        {
            "tin": "square 20 cm",
            "depth": "20 mm",
            "grams": 640 + i / 10,
            "start_temperature": "20 celsius",
            "place": "blast_freezer",
            "core_temperature": "-10 celsius",
        },
    )


def lettered(number: int) -> str:
    """A number in letters, as part of a word."""
    return "".join(chr(ord("a") + int(digit)) for digit in str(number))


def recipe(i: int) -> HostileRequest:
    """A text of unknown names, tins and ovens, each different."""
    lines = [f"{row + 1} g {padded(f'moondust{lettered(150 * i + row)}')}" for row in range(150)]
    lines += [f"Bake in a {20 + i}.{row} cm square tin at {150 + i}.{row} C" for row in range(150)]
    return post("/v1/formulas/read", {"lines": lines})


# Requests, how many are sent before the memory is noted, and how many in all.
PROGRAMME: tuple[tuple[Callable[[int], HostileRequest], int, int], ...] = (
    (conversions, 6, 21),
    (in_words, 6, KEYS // MAX_WORDED + 1),
    (formula, 30, 210),
    (goods, 12, 101),
    (lambda i: get(f"/v1/ingredients/{padded(str(i))}"), 1_500, KEYS + 1),
    (lambda i: get("/v1/oven", setting=f"{150 + i / 1e3:.3f} celsius", fan="true"), 1_500, KEYS),
    (lambda i: get("/v1/oven", setting=f"{100 + i}/{i + 7} gas_mark"), 100, 2_000),
    (lambda i: get("/v1/convert", amount=f"1 {i + 1}/{i + 1733}", unit="gas_mark", to="celsius"), 1_500, KEYS),
    (lambda i: get("/v1/tins/measure", tin=f"rectangle {20 + i / 1e4:.4f} x 30 x 5 cm"), 1_500, KEYS),
    (accepted, 1_000, KEYS),
    (lambda i: get("/v1/ingredients", format="csv", field=f"ingredients.{i % 300}"), 40, 300),
    (lambda i: get("/v1/convert", amount="1", unit="kg", to="g", fields=mask(i)), 300, KEYS),
    (bake, 130, 400),
    (bakes_of_a_formula, 130, 1_300),
    (freezing_body, 40, 320),
    (recipe, 15, 140),
)


async def run() -> dict[str, Any]:
    """Send the requests of each part until its caches are full, then the rest of all parts."""
    app = create_app()
    process = psutil.Process()
    for build, first, _ in PROGRAMME:
        for i in range(first):
            await send(app, build(i))
    gc.collect()
    warm = process.memory_info().rss
    for build, first, total in PROGRAMME:
        for i in range(first, total):
            status, _ = await send(app, build(i))
            assert status < 500
    gc.collect()
    full = process.memory_info().rss
    entries = {name: cache.cache_info().misses for name, cache in caches().items()}
    return {"entries": entries, "warm": warm, "full": full}


def many_keys() -> Iterator[str]:
    """Names of the caches for which requests can have more keys than fit."""
    for name, cache in caches().items():
        size = cache.cache_parameters()["maxsize"]
        if size is None or size > 1:
            yield name


if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).parents[2]))
    sys.stdout.write(json.dumps(asyncio.run(run())))
