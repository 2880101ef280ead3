"""The service in process, as for the tests of the API."""

from tests.api.conftest import call

__all__ = ["call"]
