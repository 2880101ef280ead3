"""Columns of conversions: valid rows, invalid rows, and bodies that are no columns."""

from typing import Any

from api.v1.convert.columns.answers import MAX_SHOWN
from api.v1.convert.columns.reading import MAX_QUESTIONS, MAX_SLOW_AMOUNTS
from api.v1.convert.columns.schemas import MAX_ROWS
from api.v1.convert.schemas import MAX_ITEMS
from api.wire.reading import MAX_WORDED
from tests.load.worst.asking import Build, HostileRequest, get, post
from tests.load.worst.formulas import LONG, WEIGHABLE, line, unknown_line

TOO_SMALL = b'{"quantity":"1 us_cup","g_per_ml":1e-400,"to":"kg"}'
DEEP = b"[" * 400_000 + b"]" * 400_000


def convert(make: Any, show: str = "json") -> Build:
    """A column of the maximum number of rows."""
    return lambda turn: post("/v1/convert", {"items": [make(i, turn) | {"to": "g"} for i in range(MAX_ITEMS)]}, show)


def ambiguous(i: int, turn: int) -> dict[str, Any]:
    """A row with an ambiguous ingredient."""
    return {"ingredient": "sugar", "quantity": f"{turn}.{i} us_cup"}


def worded_unit(i: int, turn: int) -> dict[str, Any]:
    """A row with a unit that differs by country."""
    return {"ingredient": "butter", "quantity": f"{turn}.{i} cup"}


def no_packing(i: int, turn: int) -> dict[str, Any]:
    """A row with an unknown packing."""
    return {"ingredient": "plain flour", "quantity": f"{turn}.{i} us_cup", "packing": f"packing {i} {turn}"}


def texts(i: int, turn: int) -> dict[str, Any]:
    """A row given as text, with an ingredient and an amount that is a fraction."""
    ingredient = WEIGHABLE[i % len(WEIGHABLE)]
    return {"ingredient": ingredient.american.upper(), "quantity": f"{turn + 1} {i + 1}⁄1733 US-cups"}


def convert_items(rows: int, text: str, **more: object) -> Build:
    """The same column in a query."""
    return lambda turn: get("/v1/convert/rows", *(("item", text.format(turn=turn, i=i)) for i in range(rows)), **more)


def table(show: str, **columns: Any) -> Build:
    """A table of the maximum number of rows, with new amounts at each turn."""
    rows = MAX_ROWS if show == "json" else MAX_SHOWN
    cut = {name: column[:rows] if isinstance(column, list) else column for name, column in columns.items()}
    amounts = [i / 1_733 for i in range(rows)]
    return lambda turn: post(
        "/v1/convert/columns",
        {"amounts": [str(turn + amount) for amount in amounts], "units": ["us_cup"], "to": ["g"], **cut},
        show,
    )


def amounts(make: Any, unit: str, to: str, show: str = "json") -> Build:
    """A table with the maximum number of different amounts that are slow to convert, new at each turn."""
    rows = MAX_ROWS if show == "json" else MAX_SHOWN
    return lambda turn: post(
        "/v1/convert/columns",
        {"amounts": [make(i % MAX_SLOW_AMOUNTS, turn) for i in range(rows)], "units": [unit], "to": [to]},
        show,
    )


def gas_mark(i: int, turn: int) -> dict[str, Any]:
    """A row between two gas marks."""
    return {"amount": f"{i + 1}/{turn + 251}", "unit": "gas_mark", "to": "celsius"}


# As many different conversions as a table may have.
MANY = [str(0.02 + i % MAX_QUESTIONS / 10_000) for i in range(MAX_ROWS)]
NAMES = [f"{LONG} {i % MAX_QUESTIONS}"[-79:] for i in range(MAX_ROWS)]

WORST: dict[str, Build] = {
    **{
        f"compute_conversion_columns: {name}, {show}": table(show, **columns)
        for show in ("json", "csv", "xml")
        for name, columns in (
            ("one conversion", {"ingredients": ["butter"]}),
            ("many densities", {"g_per_ml": MANY}),
            ("unknown", {"ingredients": NAMES}),
            ("all different", {"g_per_ml": [str(0.02 + i / 10_000) for i in range(MAX_ROWS)]}),
        )
    },
    **{
        f"compute_conversion_columns: {name}, {show}": amounts(make, unit, to, show)
        for show in ("json", "csv")
        for name, make, unit, to in (
            ("gas marks", lambda i, turn: f"{i + 1}/{turn + 251}", "gas_mark", "celsius"),
            ("gas marks past the oven", lambda i, turn: str(40 + i + turn / 100), "gas_mark", "celsius"),
            ("below nothing", lambda i, turn: str(-1 - i - turn / 100), "oz", "g"),
            ("no amounts", lambda i, turn: f"{i % MAX_WORDED} o'clock {turn}", "oz", "g"),
            ("next to nothing", lambda i, turn: f"0.0000000{i + turn + 1}", "oz", "g"),
            ("measures", lambda i, turn: f"{i % MAX_WORDED}.{turn} tbsp ({i % MAX_WORDED} oz", "oz", "g"),
            ("thousands", lambda i, turn: f"{turn + 1},{i % 900 + 100}", "oz", "g"),
        )
    },
    "compute_conversion_columns: decimal commas": lambda turn: post(
        "/v1/convert/columns",
        {"amounts": [f"{turn}{i // 10},{i}7" for i in range(MAX_ROWS)], "units": ["oz"], "to": ["g"]},
    ),
    "compute_conversion_columns: units in words": lambda turn: post(
        "/v1/convert/columns",
        {
            "amounts": ["1"],
            "units": [f"cups ({turn} tbsp) or {i % MAX_QUESTIONS}" for i in range(MAX_ROWS)],
            "to": ["g"],
        },
    ),
    "compute_conversions: measures": convert(
        lambda i, turn: {"quantity": f"{i}.{turn} lb 4 oz or {i} oz plus 2 tsp (3 oz", "ingredient": "butter"}
    ),
    "list_conversions: 600 items in words": convert_items(600, "{i}.{turn} {i}/7 tbsp|oz"),
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
    "get_conversion: a mixed number": lambda turn: get(
        "/v1/convert", amount=f"{turn} 1/1733", unit="us_cup", to="us_tbsp", ingredient="plain-flour"
    ),
    "list_conversions: 1,000 items": convert_items(1_000, "{turn} {i}/1733|us_cup|plain-flour"),
    "list_conversions: 600 items, unknown": convert_items(600, "{turn}.{i}|us_cup|{i}{turn} " + LONG),
    "list_conversions: 600 items, unknown, CSV": convert_items(
        600, "{turn}.{i}|us_cup|{i}{turn} " + LONG, format="csv"
    ),
    "list_conversions: 4,000 items": convert_items(4_000, "{turn} {i}|g"),
    "compute_conversions: nothing right, 1 MB": lambda _: post("/v1/convert", {"items": [{}] * 300_000}),
    "compute_conversions: 1,000 items of nothing": lambda _: post(
        "/v1/convert",
        {"items": [{"q": i, "quantity": {}, "to": 1, "packing": 2, "g_per_ml": "x"} for i in range(1_000)]},
    ),
    "compute_conversions: one item, 100,000 fields": lambda _: post(
        "/v1/convert", {"items": [{f"f{i}": 1 for i in range(80_000)}]}
    ),
    "compute_conversions: deep": lambda _: HostileRequest(path="/v1/convert", body=DEEP),
    "compute_conversions: digits": lambda _: HostileRequest(
        path="/v1/convert", body=b'{"items":[{"to":"g","quantity":"1 us_cup","g_per_ml":' + b"9" * 900_000 + b"}]}"
    ),
    "compute_conversions: a long string": lambda _: HostileRequest(
        path="/v1/convert", body=b'{"items":[{"to":"g","quantity":"' + b"9" * 900_000 + b'"}]}'
    ),
    "compute_conversions: a megabyte of tiny numbers": lambda _: HostileRequest(
        path="/v1/convert", body=b'{"items":[' + b",".join([b"1e-300"] * 130_000) + b"]}"
    ),
    "compute_conversions: numbers too small": lambda _: HostileRequest(
        path="/v1/convert", body=b'{"items":[' + b",".join([TOO_SMALL] * 18_000) + b"]}"
    ),
    "compute_conversions: not JSON": lambda _: HostileRequest(
        path="/v1/convert", body=b'{"items":[' + b'{"to":"g","quantity":"1 g"},' * 30_000
    ),
}
