"""No request takes more than 40 MB of memory above rest: the worst known requests, in every format."""

from collections.abc import Iterator

import pytest

from api.app import create_app
from tests.load.worst.asking import Build, existing_objects_frozen, peak_bytes
from tests.load.worst.cases import CASES

pytestmark = pytest.mark.benchmark
MAX_MEMORY = 40_000_000
APP = create_app()


@pytest.fixture(scope="module", autouse=True)
def _frozen() -> Iterator[None]:
    with existing_objects_frozen():
        yield


@pytest.mark.parametrize("build", CASES)
def test_the_worst_request_takes_little_memory(build: Build, request: pytest.FixtureRequest) -> None:
    status, peak, size = peak_bytes(APP, build)
    print(f"{request.node.callspec.id}: {peak / 1e6:.1f} MB at most; status {status}, {size:,} bytes")
    assert status < 500
    assert peak < MAX_MEMORY
