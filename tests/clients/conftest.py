"""The running service, for every client test."""

from collections.abc import Iterator

import pytest

from tests.clients.server import serving

collect_ignore = ["calc_script.py"]  # runs in the system's Python only


@pytest.fixture(scope="session")
def service() -> Iterator[str]:
    """The address of the service on its own port."""
    with serving() as address:
        yield address
