"""Pages in Chromium; a page must load nothing from other hosts."""

import re
from collections.abc import Callable, Iterator
from contextlib import contextmanager

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.chromium import launched

WAIT_MS = 60_000  # usually one second; more while all tests run at once
expect.set_options(timeout=WAIT_MS)

Open = Callable[..., Page]


@pytest.fixture(scope="module")
def chromium() -> Iterator[Browser]:
    """One browser for each test file: the event loop of Playwright would disturb other tests."""
    with launched() as browser:
        yield browser


@pytest.fixture
def open_page(chromium: Browser, service: str) -> Iterator[Open]:
    """`open_page("/docs", 1280, 800)` opens a page; it fails on requests to other hosts and on browser errors."""
    with watched() as complaints:
        contexts = []

        def _open(path: str, width: int = 1280, height: int = 800, *, script: bool = True) -> Page:
            context = chromium.new_context(viewport={"width": width, "height": height}, java_script_enabled=script)
            contexts.append(context)
            context.set_default_timeout(WAIT_MS)
            page = context.new_page()
            page.on(
                "request", lambda request: complaints.append(request.url) if _foreign(request.url, service) else None
            )
            page.on("pageerror", lambda error: complaints.append(str(error)))
            page.on("console", lambda message: complaints.append(message.text) if _wrong(message.text) else None)
            page.goto(service + path)
            return page

        yield _open
        for context in contexts:
            context.close()


@contextmanager
def watched() -> Iterator[list[str]]:
    """Errors that the browser reports; there must be none."""
    complaints: list[str] = []
    yield complaints
    assert not complaints


def _foreign(url: str, service: str) -> bool:
    return not url.startswith((f"{service}/", "data:", "blob:"))


def _wrong(message: str) -> bool:
    # Some tests open pages with status 404 and 422; everything else, such as a policy violation, is an error. Swagger
    # UI has no input of its own for a list of numbers with a format, says so, and takes its input for text.
    harmless = r"status of (404|422) \([\w ]+\)$|^Could not find component: JsonSchema_\w+$"
    return not re.search(harmless, message)
