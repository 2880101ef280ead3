"""No request costs more than 50 ms of processor time or 40 MB of memory: the worst known requests of each operation.

Every request is measured in every format that its operation offers. Times are multiples of the time to read a fixed
megabyte of JSON, so that the test does not fail on a slower machine: this takes 10 ms on the idle core for which the
limit of 50 ms is meant. A margin of two fifths allows for differences between processors and interpreters. Since noise
on a busy machine affects the two unequally, a request above the limit is measured again, and fails only if it is above
the limit every time.
"""

from typing import Any

import pytest

from api.app import create_api, create_app
from api.settings import Settings
from api.wire.table_writing import MAX_ANSWER_BYTES
from tests.load.worst import bodies, conversions, formulas, headers, orders, slabs, topics
from tests.load.worst.asking import Build, cost_ms, peak_bytes, shown_as, yardstick_ms

pytestmark = pytest.mark.benchmark
LIMIT = 1.4 * 50 / 10
MAX_MEMORY = 40_000_000
TRIES = 5
APP = create_app()
DOCUMENT: dict[str, Any] = create_api(Settings()).openapi()
OPERATIONS = {
    operation["operationId"]: operation for methods in DOCUMENT["paths"].values() for operation in methods.values()
}
WORST = {
    name: build
    for topic in (bodies, conversions, formulas, headers, orders, slabs, topics)
    for name, build in topic.WORST.items()
}


def formats_of(name: str) -> list[str]:
    """Every format of the operation that a request is for."""
    declared = OPERATIONS.get(name.partition(":")[0], {}).get("parameters", ())
    shared = DOCUMENT["components"]["parameters"]
    parameters = [shared[each["$ref"].rpartition("/")[2]] if "$ref" in each else each for each in declared]
    return next((parameter["schema"]["enum"] for parameter in parameters if parameter["name"] == "format"), ["json"])


CASES = [
    pytest.param(build if chosen == "json" else shown_as(build, chosen), id=f"{name} as {chosen}")
    for name, build in WORST.items()
    for chosen in (formats_of(name) if b"format=" not in build(0).query else ["json"])
]


def test_every_operation_is_tried() -> None:
    assert OPERATIONS.keys() <= {name.partition(":")[0] for name in WORST}


@pytest.mark.parametrize("build", CASES)
def test_the_worst_request_costs_little(build: Build, request: pytest.FixtureRequest) -> None:
    times: list[float] = []
    while len(times) < TRIES and not (times and times[-1] < LIMIT):
        status, took, answer = cost_ms(APP, build)
        times.append(took / yardstick_ms())
        print(
            f"{request.node.callspec.id}: {took:.1f} ms, {times[-1]:.2f} times the yardstick; "
            f"status {status}, {len(answer):,} bytes"
        )
        assert status < 500
        assert len(answer) <= MAX_ANSWER_BYTES
    assert min(times) < LIMIT


@pytest.mark.parametrize("build", CASES)
def test_the_worst_request_takes_little_memory(build: Build, request: pytest.FixtureRequest) -> None:
    status, peak, size = peak_bytes(APP, build)
    print(f"{request.node.callspec.id}: {peak / 1e6:.1f} MB at most; status {status}, {size:,} bytes")
    assert status < 500
    assert peak < MAX_MEMORY
