"""Settings of all tests."""

import os

from hypothesis import settings

# The same examples in every run, so that a change fails for its own faults only; long runs look for new ones.
settings.register_profile("repeatable", derandomize=True)
if not os.environ.get("TINWRIGHT_LONG_TESTS"):
    settings.load_profile("repeatable")
