"""Columns of conversions, right, wrong, and nothing of the kind."""

from typing import Any

from api.v1.convert.columns.answers import MAX_SHOWN
from api.v1.convert.columns.reading import MAX_QUESTIONS, MAX_SLOW_AMOUNTS
from api.v1.convert.columns.schemas import MAX_ROWS
from api.v1.convert.schemas import MAX_ITEMS
from tests.load.worst.asking import Asked, Build, get, post
from tests.load.worst.formulas import LONG, WEIGHABLE, line, unknown_line

TOO_SMALL = b'{"quantity":{"amount":1e-400,"unit":"g"},"to":"kg"}'
DEEP = b"[" * 400_000 + b"]" * 400_000


def convert(make: Any, show: str = "json") -> Build:
    """A column of so many rows."""
    return lambda turn: post("/v1/convert", {"items": [make(i, turn) | {"to": "g"} for i in range(MAX_ITEMS)]}, show)


def ambiguous(i: int, turn: int) -> dict[str, Any]:
    """A row whose words mean several things."""
    return {"ingredient": "sugar", "quantity": f"{turn}.{i} us_cup"}


def worded_unit(i: int, turn: int) -> dict[str, Any]:
    """A row whose unit differs by country."""
    return {"ingredient": "butter", "quantity": f"{turn}.{i} cup"}


def no_packing(i: int, turn: int) -> dict[str, Any]:
    """A row of which no figure is known in the packing asked."""
    return {"ingredient": "plain flour", "quantity": f"{turn}.{i} us_cup", "packing": f"packing {i} {turn}"}


def texts(i: int, turn: int) -> dict[str, Any]:
    """A row that is read from text, to a tiny unit, with its range."""
    one = WEIGHABLE[i % len(WEIGHABLE)]
    return {"ingredient": one.american.upper(), "quantity": f"{turn + 1} {i + 1}⁄1733 US-cups"}


def convert_items(rows: int, text: str, **more: object) -> Build:
    """The same column in a query."""
    return lambda turn: get("/v1/convert", *(("item", text.format(turn=turn, i=i)) for i in range(rows)), **more)


def table(show: str, **columns: Any) -> Build:
    """As many rows by columns as may be, other amounts each time."""
    rows = MAX_ROWS if show == "json" else MAX_SHOWN
    cut = {name: column[:rows] if isinstance(column, list) else column for name, column in columns.items()}
    amounts = [i / 1_733 for i in range(rows)]
    return lambda turn: post(
        "/v1/convert/columns", {"amount": [turn + one for one in amounts], "unit": "us_cup", "to": "g", **cut}, show
    )


def amounts(make: Any, unit: str, to: str, show: str = "json") -> Build:
    """A table of amounts that take long, as many and as different as may be, others each time."""
    rows = MAX_ROWS if show == "json" else MAX_SHOWN
    return lambda turn: post(
        "/v1/convert/columns",
        {"amount": [make(i % MAX_SLOW_AMOUNTS, turn) for i in range(rows)], "unit": unit, "to": to},
        show,
    )


def gas_mark(i: int, turn: int) -> dict[str, Any]:
    """A row between two gas marks."""
    return {"quantity": {"amount": f"{i + 1}/{turn + 251}", "unit": "gas_mark"}, "to": "celsius"}


# As many different conversions as a table may have.
MANY = [0.02 + i % MAX_QUESTIONS / 10_000 for i in range(MAX_ROWS)]
NAMES = [f"{LONG} {i % MAX_QUESTIONS}"[-79:] for i in range(MAX_ROWS)]

WORST: dict[str, Build] = {
    **{
        f"compute_conversion_columns: {name}, {show}": table(show, **columns)
        for show in ("json", "csv", "xml")
        for name, columns in (
            ("one conversion", {"ingredient": "butter"}),
            ("many densities", {"g_per_ml": MANY}),
            ("unknown", {"ingredient": NAMES}),
            ("all different", {"g_per_ml": [0.02 + i / 10_000 for i in range(MAX_ROWS)]}),
        )
    },
    **{
        f"compute_conversion_columns: {name}, {show}": amounts(make, unit, to, show)
        for show in ("json", "csv")
        for name, make, unit, to in (
            ("gas marks", lambda i, turn: f"{i + 1}/{turn + 251}", "gas_mark", "celsius"),
            ("gas marks past the oven", lambda i, turn: 40 + i + turn / 100, "gas_mark", "celsius"),
            ("below nothing", lambda i, turn: -1 - i - turn / 100, "oz", "g"),
            ("no amounts", lambda i, turn: f"{i} o'clock {turn}", "oz", "g"),
            ("next to nothing", lambda i, turn: (i + turn + 1) * 1e-320, "oz", "g"),
        )
    },
    "compute_conversions: gas marks": lambda turn: post(
        "/v1/convert", {"items": [gas_mark(i, turn) for i in range(MAX_ITEMS)]}
    ),
    "compute_conversions: numbers": convert(line),
    "compute_conversions: texts": convert(texts),
    "compute_conversions: texts, CSV": convert(texts, "csv"),
    "compute_conversions: texts, XML": convert(texts, "xml"),
    "compute_conversions: unknown": convert(unknown_line),
    "compute_conversions: ambiguous": convert(ambiguous),
    "compute_conversions: ambiguous unit": convert(worded_unit),
    "compute_conversions: no packing": convert(no_packing),
    "get_conversion: 1,000 items": convert_items(1_000, "{turn} {i}/1733|us_cup|plain-flour"),
    "get_conversion: 600 items, unknown": convert_items(600, "{turn}.{i}|us_cup|{i}{turn} " + LONG),
    "get_conversion: 600 items, unknown, CSV": convert_items(600, "{turn}.{i}|us_cup|{i}{turn} " + LONG, format="csv"),
    "get_conversion: 4,000 items": convert_items(4_000, "{turn} {i}|g"),
    "get_conversion: nothing right, 1 MB": lambda _: post("/v1/convert", {"items": [{}] * 300_000}),
    "get_conversion: 1,000 items of nothing": lambda _: post(
        "/v1/convert",
        {"items": [{"q": i, "quantity": {}, "to": 1, "packing": 2, "g_per_ml": "x"} for i in range(1_000)]},
    ),
    "get_conversion: one item, 100,000 fields": lambda _: post(
        "/v1/convert", {"items": [{f"f{i}": 1 for i in range(80_000)}]}
    ),
    "get_conversion: deep": lambda _: Asked(path="/v1/convert", body=DEEP),
    "get_conversion: digits": lambda _: Asked(
        path="/v1/convert", body=b'{"items":[{"to":"g","quantity":{"unit":"g","amount":' + b"9" * 900_000 + b"}}]}"
    ),
    "get_conversion: a long string": lambda _: Asked(
        path="/v1/convert", body=b'{"items":[{"to":"g","quantity":"' + b"9" * 900_000 + b'"}]}'
    ),
    "get_conversion: a megabyte of tiny numbers": lambda _: Asked(
        path="/v1/convert", body=b'{"items":[' + b",".join([b"1e-300"] * 130_000) + b"]}"
    ),
    "get_conversion: numbers too small": lambda _: Asked(
        path="/v1/convert", body=b'{"items":[' + b",".join([TOO_SMALL] * 18_000) + b"]}"
    ),
    "get_conversion: not JSON": lambda _: Asked(
        path="/v1/convert", body=b'{"items":[' + b'{"to":"g","quantity":"1 g"},' * 30_000
    ),
}
