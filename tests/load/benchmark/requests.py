"""The requests of the benchmark: generated from a seed, every body different."""

import random
from collections.abc import Iterator
from typing import Any, NamedTuple
from urllib.parse import urlencode

import orjson

SEED = 20_261_125
ROWS = 1_000


class BenchmarkRequest(NamedTuple):
    """One request."""

    method: str
    path: str
    body: bytes = b""


# ingredient, unit, step and largest number of steps: amounts as kitchens write them
_THINGS = (
    ("plain flour", "us_cup", 1 / 8, 64),
    ("granulated sugar", "us_cup", 1 / 8, 40),
    ("butter", "g", 1, 900),
    ("rolled oats", "us_cup", 1 / 4, 40),
    ("ground ginger", "us_tsp", 1 / 8, 48),
    ("black treacle", "us_tbsp", 1 / 4, 60),
    ("whole milk", "ml", 5, 200),
    ("egg", "each", 1, 12),
    ("salt", "us_tsp", 1 / 8, 24),
    ("baking powder", "us_tsp", 1 / 8, 48),
)
# The same units in the names of pint's own registry, and a density for it to multiply with.
COLUMN_THINGS = (("plain flour", 0.53), ("granulated sugar", 0.85), ("whole milk", 1.03), ("ground ginger", 0.36))
COLUMN_UNITS = {"us_cup": "cup", "us_tbsp": "tablespoon", "us_tsp": "teaspoon"}
Row = tuple[float, str, str, float]


def rescale_requests(number: int) -> Iterator[BenchmarkRequest]:
    """Formulas of 25 lines in three components, with volumes, eggs and pieces, for one tin each."""
    draw = random.Random(SEED)  # noqa: S311 - repeatable, not secret
    for _ in range(number):
        lines = [_line(draw, *_THINGS[i % len(_THINGS)]) for i in range(25)]
        components: list[dict[str, Any]] = [
            {"name": "base", "lines": lines[:10]},
            {"name": "batter", "lines": lines[10:18]},
            {"name": "nuggets", "lines": lines[18:], "pieces": {"count": 16}},
        ]
        formula = {"name": "Halfmoon slab", "tin": "square 20 cm", "filled_depth": "4 cm", "egg_class": "us_large"}
        tin = {"shape": "rectangle", "depth": "6 cm"} | {
            name: f"{draw.randint(150, 450)} mm" for name in ("length", "width")
        }
        body = {
            "formula": formula | {"components": components},
            "targets": [{"label": "for the shop", "tin_shape": tin}],
            "available_egg_classes": ["eu_m", "eu_l"],
        }
        yield BenchmarkRequest("POST", "/v1/rescale", orjson.dumps(body))


def column(draw: random.Random, rows: int = ROWS) -> list[Row]:
    """Rows of amount, unit and ingredient, and the density for the pint loop."""
    units = list(COLUMN_UNITS)
    return [(draw.randint(1, 800) / 8, draw.choice(units), *draw.choice(COLUMN_THINGS)) for _ in range(rows)]


def columns(number: int, rows: int = ROWS) -> list[list[Row]]:
    """Different columns, the same for every variant."""
    draw = random.Random(SEED)  # noqa: S311 - repeatable, not secret
    return [column(draw, rows) for _ in range(number)]


def row_requests(tables: list[list[Row]]) -> Iterator[BenchmarkRequest]:
    """The columns as one item per row."""
    for table in tables:
        items = [
            {"amount": str(amount), "unit": unit, "to": "g", "ingredient": name} for amount, unit, name, _ in table
        ]
        yield BenchmarkRequest("POST", "/v1/convert", orjson.dumps({"items": items}))


def column_requests(tables: list[list[Row]]) -> Iterator[BenchmarkRequest]:
    """The same columns as lists."""
    for table in tables:
        amount, unit, ingredient, _ = zip(*table, strict=True)
        body = {"amounts": [str(each) for each in amount], "units": unit, "to": ["g"], "ingredients": ingredient}
        yield BenchmarkRequest("POST", "/v1/convert/columns", orjson.dumps(body))


def convert_requests(number: int) -> Iterator[BenchmarkRequest]:
    """Single conversions with GET."""
    draw = random.Random(SEED)  # noqa: S311 - repeatable, not secret
    for amount, unit, name, _ in column(draw, number):
        yield BenchmarkRequest(
            "GET", "/v1/convert?" + urlencode({"amount": amount, "unit": unit, "to": "g", "ingredient": name})
        )


def cut_requests(number: int, shown: str) -> Iterator[BenchmarkRequest]:
    """Where to cut a slab, as JSON or as a drawing."""
    draw = random.Random(SEED)  # noqa: S311 - repeatable, not secret
    for _ in range(number):
        tin = f"rectangle {draw.randint(200, 450)} x {draw.randint(150, 350)} x 50 mm"
        query = {"tin": tin, "portions": draw.randint(6, 40), "slab_grams": draw.randint(800, 3_000), "format": shown}
        yield BenchmarkRequest("GET", "/v1/cuts?" + urlencode(query))


def _line(draw: random.Random, name: str, unit: str, step: float, most: int) -> dict[str, Any]:
    return {"ingredient": name, "quantity": f"{draw.randint(1, most) * step} {unit}"}
