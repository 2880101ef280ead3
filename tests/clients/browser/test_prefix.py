"""A person below a path prefix behind nginx: links, the card's form, and requests sent from the documentation."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, expect

from api.settings import Settings
from tests.clients.browser.conftest import watched
from tests.clients.server import free_port
from tests.standing.proxying import Fleet, needs_nginx

pytestmark = [pytest.mark.browser, needs_nginx]
PREFIX = "/bake/tinwright"


@pytest.fixture(scope="module")
def root() -> Iterator[str]:
    port = free_port()
    url = f"http://127.0.0.1:{port}{PREFIX}"
    options = {"port": port, "prefix": PREFIX, "settings": Settings(public_url=url)}
    with Fleet(1, environment={"TINWRIGHT_PUBLIC_URL": url}, **options):
        yield url


def test_the_form_draws_a_card(chromium: Browser, root: str) -> None:
    with watched() as complaints:
        page = chromium.new_page()
        page.on("console", lambda message: complaints.append(message.text))
        page.goto(f"{root}/")
        page.get_by_role("link", name="Cut card: Ginger parkin slab").click()
        expect(page.locator("h1")).to_have_text("Ginger parkin slab")
        page.get_by_label("So many pieces").fill("12")
        page.get_by_role("button", name="Draw the card").first.click()
        expect(page.locator(".facts")).to_contain_text("12 pieces")
        assert page.url.startswith(f"{root}/cards/cuts?")
        page.close()


def test_the_documentation_sends_its_requests_below_the_prefix(chromium: Browser, root: str) -> None:
    with watched() as complaints:
        page = chromium.new_page()
        page.on("console", lambda message: complaints.append(message.text))
        page.goto(f"{root}/docs")
        block = page.locator(".opblock", has_text="/v1/units").first
        block.locator(".opblock-summary-control").click()
        block.get_by_role("button", name="Execute").click()
        status = block.locator(".live-responses-table .response .response-col_status").first
        expect(status).to_have_text(re.compile("^200"))
        expect(block.locator(".request-url")).to_contain_text(f"{root}/v1/units")
        page.close()


def test_the_documentation_links_to_the_page_of_changes(chromium: Browser, root: str) -> None:
    page = chromium.new_page()
    page.goto(f"{root}/docs")
    links = page.locator(".info a", has_text=re.compile("change"))
    expect(links.first).to_be_visible()
    assert {link.evaluate("link => link.href") for link in links.all()} == {f"{root}/changes"}
    page.close()


def test_cards_are_kept_below_the_prefix(chromium: Browser, root: str) -> None:
    address = f"{root}/cards/weigh?recipe=200+g+plain+flour"
    page = chromium.new_context().new_page()
    page.goto(address)
    assert page.evaluate("navigator.serviceWorker.ready.then((worker) => worker.scope)") == f"{root}/cards/"
    page.reload()
    kept = page.wait_for_function("(address) => caches.match(address).then((kept) => kept && kept.text())", arg=address)
    assert '<td class="key">200' in kept.json_value()
    assert page.evaluate("caches.keys().then((names) => names.every((name) => name.startsWith('tinwright /bake/')))")
    page.context.close()
