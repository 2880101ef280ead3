"""Settings of all tests."""

import os

from hypothesis import settings

# Without deadlines, because a busy machine breaks them. The same examples in every run, so that a change fails for its
# own faults only; long runs look for new ones.
settings.register_profile("repeatable", deadline=None, derandomize=True)
settings.register_profile("exploring", deadline=None)
settings.load_profile("exploring" if os.environ.get("TINWRIGHT_EXPLORE") else "repeatable")
