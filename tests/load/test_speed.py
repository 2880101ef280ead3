"""Speed as ratios within one run; the figures are printed with `-s`."""

import subprocess
import sys
from collections.abc import Callable, Iterator
from typing import Any

import orjson
import pint
import pytest

from api.app import create_app
from api.contract.examples import load_examples
from domain.measures.units import UNITS
from tests.load.benchmark.floors import plain
from tests.load.benchmark.measures import naive
from tests.load.benchmark.requests import (
    BenchmarkRequest,
    Row,
    column_requests,
    columns,
    rescale_requests,
    row_requests,
)
from tests.load.clock import best_ms, best_request_ms, compare_requests_ms

pytestmark = pytest.mark.benchmark
APP = create_app()


def rescale_body(targets: int) -> bytes:
    """A formula of 25 lines in three components, as objects, for so many targets."""
    request = load_examples()["rescale-parkin"]["request"]
    lines = [line for component in request["formula"]["components"] for line in component["lines"]]
    lines = [dict(line, quantity=f"{1.5 + i} g") for i, line in enumerate((lines * 2)[:25])]
    components: list[dict[str, Any]] = [
        {"name": "base", "lines": lines[:10]},
        {"name": "batter", "lines": lines[10:20]},
        {"name": "nuggets", "lines": lines[20:], "pieces": {"count": 16}},
    ]
    request["formula"]["components"] = components
    request["targets"] = [{"tin": f"rectangle 20 x {30 + i} x 5 cm"} for i in range(targets)]
    return orjson.dumps(request)


def convert_body(rows: int) -> bytes:
    """A column of cups of four things."""
    things = ("plain flour", "granulated sugar", "whole milk", "ground ginger")
    items = [
        {"amount": str(1.5 + i / 7), "unit": "us_cup", "to": "g", "ingredient": things[i % 4]} for i in range(rows)
    ]
    return orjson.dumps({"items": items})


# The default route of the framework issues this warning about its own field at its first request.
@pytest.mark.filterwarnings("ignore::pydantic.warnings.UnsupportedFieldAttributeWarning")
def test_rescaling_costs_at_most_three_times_the_framework() -> None:
    """Compared with a default route that has the same models and computes nothing: the cost of the framework."""
    body = next(rescale_requests(1)).body
    ours, floors = compare_requests_ms([APP, plain()], "/v1/rescale", body, 10)
    print(f"\nrescale {ours:.2f} ms, default route without any computing {floors:.2f} ms: {floors / ours:.2f} x")
    assert ours < 3 * floors  # about 2.1 in a quiet run


def test_a_further_target_costs_less_than_the_first() -> None:
    single, fifty = (best_request_ms(APP, "/v1/rescale", rescale_body(n)) for n in (1, 50))
    print(f"\none target {single:.2f} ms, fifty {fifty:.2f} ms: {fifty / 50 / single:.2f} of the first each")
    assert fifty / 50 < single


@pytest.mark.parametrize(
    ("made", "least"),
    [(row_requests, 2.5), (column_requests, 6)],  # a third of the measured ratio, because machines are noisy
)
def test_a_column_is_many_times_faster_than_a_script_with_pint(
    made: Callable[[list[list[Row]]], Iterator[BenchmarkRequest]], least: float
) -> None:
    """A thousand rows with range, sources and warnings, compared with bare quantities."""
    tables = columns(1)
    (request,) = made(tables)
    ours = best_request_ms(APP, request.path, request.body)
    loop = best_ms(lambda: naive(tables[0]))
    print(f"\n1,000 rows by {request.path}: ours {ours:.1f} ms, pint row by row {loop:.1f} ms: {loop / ours:.1f} x")
    assert ours < loop / least


def test_a_row_costs_no_more_in_a_long_column() -> None:
    short, long = (best_request_ms(APP, "/v1/convert", convert_body(rows)) / rows for rows in (100, 1_000))
    print(f"\na row of 100: {short * 1000:.1f} µs, of 1,000: {long * 1000:.1f} µs")
    assert long < 2 * short  # the garbage collector takes longer with more rows


def test_a_thousand_bad_rows_cost_little() -> None:
    items = [{"quantity": "1 us_cup", "to": "g", "ingredient": f"mystery powder {i}"} for i in range(1_000)]
    bad = best_request_ms(APP, "/v1/convert", orjson.dumps({"items": items}))
    print(f"\n1,000 rows with unknown names: {bad:.0f} ms")
    good = best_request_ms(APP, "/v1/convert", convert_body(1_000))
    assert bad < 40 * good


def test_a_stored_factor_is_much_faster_than_a_conversion_by_pint() -> None:
    """tests/domain/test_units.py shows that the results are equal for every pair of units."""
    registry: Any = pint.UnitRegistry()
    cup = UNITS["us_cup"].factor
    ours = best_ms(lambda: 3 * cup.numerator / cup.denominator, 10_000)
    with_pint = best_ms(lambda: registry.Quantity(3, "cup").to("ml"), 200)
    print(f"\nstored factor {ours * 1e6:.0f} ns, pint {with_pint * 1e6:.0f} ns: {with_pint / ours:.0f} x")
    assert with_pint > 50 * ours


def test_the_service_imports_nothing_heavy() -> None:
    """Pint imports numpy if it is installed, so numpy is hidden here, as in an installation of the service alone."""
    heavy = ["numpy", "scipy", "pandas", "ortools", "shapely"]
    code = (
        "import sys; sys.modules.update(dict.fromkeys(sys.argv[1:])); import api.app; api.app.create_app();"
        "print([name for name in sys.argv[1:] if sys.modules.get(name)])"
    )
    done = subprocess.run([sys.executable, "-c", code, *heavy], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"
