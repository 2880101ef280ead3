"""What every client needs: the real service."""

from collections.abc import Iterator

import pytest

from tests.clients.server import serving

collect_ignore = ["calc_script.py"]  # runs in the system's Python only


@pytest.fixture(scope="session")
def service() -> Iterator[str]:
    """The address of the service, on a port of its own."""
    with serving() as address:
        yield address
