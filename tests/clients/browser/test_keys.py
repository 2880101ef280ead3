"""A service with keys in a real browser: one login, then the form and the links work."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, HttpCredentials, Page, expect

from api.serving.keys.keyring import new_key
from tests.clients.browser.cards import CARDS
from tests.clients.browser.conftest import WAIT_MS
from tests.clients.server import serving

pytestmark = pytest.mark.browser
SECRET, KEY = new_key("tablet")
PRIME = CARDS["prime"]


@pytest.fixture(scope="module")
def guarded(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The address of a service with one key."""
    path = tmp_path_factory.mktemp("keys") / "keys"
    path.write_text(f"{KEY.line}\n", "utf-8")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("TINWRIGHT_KEYS_FILE", str(path))
        with serving() as address:
            yield address


def page_of(chromium: Browser, **more: HttpCredentials) -> Page:
    context = chromium.new_context(java_script_enabled=True, **more)  # type: ignore[arg-type]
    context.set_default_timeout(WAIT_MS)
    return context.new_page()


def draw_another(page: Page) -> None:
    """Follow the link of an alternative, then send the form."""
    page.locator(".other-ways a, .other-ways button").first.click()
    page.wait_for_url("**rows=**")
    for field, value in (("rows", ""), ("columns", ""), ("portions", "12")):
        page.fill(f"#{field}", value)
    page.get_by_role("button", name="Draw the card").first.click()
    page.wait_for_url("**portions=12**")
    assert page.locator(".figures dd").first.inner_text() == "12"


def test_a_browser_asks_for_the_key_once(chromium: Browser, guarded: str) -> None:
    page = page_of(chromium, http_credentials={"username": "tablet", "password": SECRET})
    page.goto(guarded + PRIME)
    draw_another(page)
    assert SECRET not in page.url
    assert SECRET not in page.content()


def test_links_keep_the_key_of_the_address(chromium: Browser, guarded: str) -> None:
    page = page_of(chromium)
    page.goto(f"{guarded}{PRIME}&access_token={SECRET}")
    draw_another(page)
    assert SECRET not in "".join(
        page.locator("a").evaluate_all("links => links.map((link) => link.getAttribute('href'))")
    )


def test_without_a_key_there_is_no_card(chromium: Browser, guarded: str) -> None:
    page = page_of(chromium)
    # A headless browser shows no login dialog.
    answer = page.request.get(guarded + PRIME)
    assert (answer.status, "Basic realm" in answer.headers["www-authenticate"]) == (401, True)


def test_the_docs_send_an_entered_key(chromium: Browser, guarded: str) -> None:
    page = page_of(chromium)
    page.goto(f"{guarded}/docs")
    page.locator(".auth-wrapper > .authorize").click()
    form = page.locator(".auth-container", has_text="http, Bearer")
    form.locator("input").fill(SECRET)
    form.get_by_role("button", name="Apply credentials").click()
    page.get_by_role("button", name="Close").first.click()
    block = page.locator("#operations-convert-get_conversion")
    block.locator(".opblock-summary-control").click()
    block.get_by_role("button", name="Execute").click()
    expect(block.locator(".live-responses-table .response .response-col_status").first).to_contain_text("200")
