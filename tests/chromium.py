"""Debian's Chromium, driven by Playwright. Without it tests fail and say so; TINWRIGHT_NO_BROWSER skips them."""

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager

import pytest
from playwright.sync_api import Browser, sync_playwright

SKIP = "TINWRIGHT_NO_BROWSER"
# Headless; the other options stop its background requests at start-up.
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]


@contextmanager
def launched() -> Iterator[Browser]:
    """A browser without a window."""
    if os.environ.get(SKIP):
        pytest.skip(f"{SKIP} is set")
    path = shutil.which("chromium")
    if path is None:
        pytest.fail(f"chromium is not there: install Debian's package chromium, or set {SKIP}=1 to leave these out.")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=path, args=ARGUMENTS)
        yield browser
        browser.close()
