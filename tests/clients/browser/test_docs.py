"""`/docs` without internet access: it renders, and its requests run."""

import re

import pytest
from playwright.sync_api import Page, expect

from api.app import create_api
from api.settings import Settings
from tests.clients.browser.conftest import Open

pytestmark = pytest.mark.browser
OPERATIONS = {
    operation["operationId"]: operation["tags"][0]
    for methods in create_api(Settings()).openapi()["paths"].values()
    for operation in methods.values()
}
# One operation of each kind, because each takes seconds in a browser. tests/api/test_docs.py sends the shown request of
# every operation.
PRESSED = ("get_conversion", "compute_rescale", "get_cuts", "get_eggs", "get_ingredient", "compute_bake")


def press(page: Page, operation: str) -> str:
    """Open an operation, send its prefilled request, and return the status."""
    block = page.locator(f"#operations-{OPERATIONS[operation]}-{operation}")
    block.locator(".opblock-summary-control").click()
    if block.get_by_role("button", name="Try it out").count():
        block.get_by_role("button", name="Try it out").click()
    block.get_by_role("button", name="Execute").click()
    status = block.locator(".live-responses-table .response .response-col_status").first
    expect(status).to_have_text(re.compile(r"^\d{3}"))
    # Close it again, so that the page does not grow with every answer.
    answered = status.inner_text().split()[0]
    block.locator(".opblock-summary-control").click()
    return answered


def test_the_contract_renders_without_other_hosts(open_page: Open) -> None:
    page = open_page("/docs")
    expect(page.locator(".opblock").first).to_be_visible()
    assert page.evaluate("document.documentElement.lang") == "en"
    assert page.locator(".opblock").count() == len(OPERATIONS)


def test_the_operations_are_listed_before_the_viewer_runs(open_page: Open) -> None:
    page = open_page("/docs", script=False)
    assert page.locator("#swagger-ui li").count() == len(OPERATIONS)
    page.get_by_role("link", name="openapi.json").click()
    assert page.url.endswith("/openapi.json")


def test_prefilled_requests_run(open_page: Open) -> None:
    page = open_page("/docs")
    expect(page.locator(".opblock").first).to_be_visible()
    assert {operation: press(page, operation) for operation in PRESSED} == dict.fromkeys(PRESSED, "200")


def test_the_front_page_links_to_each_example(open_page: Open) -> None:
    page = open_page("/")
    links = page.get_by_role("link", name="Try it")
    assert links.count() == 2
    links.nth(0).click()
    expect(page.locator("#operations-tag-rescale")).to_be_visible()
    page = open_page("/")
    page.get_by_role("link", name="Cut card: Ginger parkin slab").click()
    expect(page.locator("h1")).to_have_text("Ginger parkin slab")
