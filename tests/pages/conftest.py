"""The service in process, and jobs of the demo shop."""

from collections.abc import Callable

import httpx
import pytest

from api.pages.cards.fields import query_string
from api.pages.cards.start import examples
from tests.api.conftest import Call, call

__all__ = ["call"]
Get = Callable[..., httpx.Response]
EXAMPLES = examples()
PARKIN, SLAB = EXAMPLES.values()


@pytest.fixture(scope="session")
def get(call: Call) -> Get:
    """`get("weigh", PARKIN, lang="de")`: a card of a job, with changed fields."""

    def _get(card: str, job: object = None, **changes: str | list[str] | None) -> httpx.Response:
        assert job is None or isinstance(job, dict)
        return call("GET", f"/cards/{card}?{query_string(job or {}, **changes)}")

    return _get
