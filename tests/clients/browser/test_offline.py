"""Cards without Wi-Fi: the service worker shows what it kept, says how old it is, and keeps nothing with a key."""

from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path
from threading import Event, Thread
from typing import Any

import pytest
from playwright.sync_api import Browser, HttpCredentials, Page, expect

from api.serving.keys.keyring import new_key
from tests.clients.browser.conftest import WAIT_MS
from tests.clients.server import free_port, serving

pytestmark = pytest.mark.browser
MAX_CARDS = 50  # what the service worker promises
KEPT = """async () => {
  const addresses = {};
  for (const name of await caches.keys()) {
    const cache = await caches.open(name);
    addresses[name] = (await cache.keys()).map((request) => request.url);
  }
  return addresses;
}"""
KEEP = """async ([addresses, awaited]) => {
  const { active } = await navigator.serviceWorker.ready;
  for (const keep of addresses) active.postMessage({ keep });
  let left = 400;
  for (const address of awaited) {
    for (; left && !(await caches.match(address)); left -= 1) await new Promise((wait) => setTimeout(wait, 50));
  }
}"""


RENEWED = """async (before) => {
  const names = await caches.keys();
  return names.length === before.length && !names.every((name) => before.includes(name));
}"""


def card(number: int) -> str:
    return f"/cards/weigh?recipe=200%20g%20plain%20flour%0A100%20g%20caster%20sugar&name=Batch%20{number}"


CARDS = [card(number) for number in range(1, 6)]


def with_worker(page: Page, address: str) -> None:
    """Open a page and wait until the service worker has kept it."""
    answer = page.goto(address)
    assert answer is not None
    assert answer.status == 200
    page.evaluate(KEEP, [[], [address]])


@contextmanager
def context(chromium: Browser, **options: Any) -> Iterator[Page]:
    opened = chromium.new_context(**options)
    opened.set_default_timeout(WAIT_MS)
    yield opened.new_page()
    opened.close()


def kept_cards(page: Page) -> list[str]:
    """The addresses in the cache of cards, the oldest first."""
    return [address for name, each in page.evaluate(KEPT).items() if name.endswith(" cards") for address in each]


@contextmanager
def broken_proxy(port: int, answer: Callable[[BaseHTTPRequestHandler], object]) -> Iterator[None]:
    """A proxy whose service has stopped."""

    class Handler(BaseHTTPRequestHandler):
        def do_GET(self) -> None:
            answer(self)

        def log_message(self, *_: object) -> None:
            pass

    server = ThreadingHTTPServer(("127.0.0.1", port), Handler)
    server.daemon_threads = True
    thread = Thread(target=server.serve_forever)
    thread.start()
    yield
    server.shutdown()
    thread.join()
    server.server_close()


def test_five_cards_are_shown_after_the_service_stopped(chromium: Browser) -> None:
    port = free_port()
    with context(chromium, has_touch=True, locale="en-GB") as page:
        with serving(port) as address:
            with_worker(page, address + CARDS[0])
            headings = []
            for path in CARDS:
                page.goto(address + path)
                headings.append(page.locator("h1").inner_text())
                expect(page.locator("#kept")).to_be_hidden()
        assert len(set(headings)) == len(CARDS)
        for path, heading in zip(CARDS, headings, strict=True):
            page.goto(address + path)
            page.reload()
            assert page.locator("h1").inner_text() == heading
            assert page.locator("td.key").all_inner_texts() == ["200\xa0g", "100\xa0g"]
            note = page.locator("#kept").inner_text()
            assert "cannot be reached" in note
            assert "minute" in note
            assert "{" not in note
            assert page.evaluate("getComputedStyle(document.querySelector('.kept')).borderTopWidth") == "2px"
        page.goto(address + card(9))
        listed = page.locator("[data-kept-cards] a")
        expect(listed).to_have_count(len(CARDS))
        listed.first.click()
        assert page.locator("h1").inner_text() == headings[-1]

        with broken_proxy(port, lambda handler: handler.send_error(502)):
            page.goto(address + CARDS[0])
            expect(page.locator("#kept")).to_be_visible()
            answer = page.goto(address + card(9))
            assert answer is not None
            assert answer.status == 502
        end = Event()
        with broken_proxy(port, lambda _: end.wait(60)):  # a proxy that is silent
            page.goto(address + CARDS[0], wait_until="commit")
            expect(page.locator("#kept")).to_be_visible()
            assert not end.is_set()
            end.set()


def test_the_last_fifty_cards_are_kept(chromium: Browser, service: str) -> None:
    with context(chromium) as page:
        first, *others = [service + card(number) for number in range(MAX_CARDS + 1)]
        with_worker(page, first)
        page.evaluate(KEEP, [others, others])
        page.goto(service + card(4))
        expect(page.locator("h1")).to_be_visible()
        kept = kept_cards(page)
        assert len(kept) == MAX_CARDS
        assert first not in kept
        assert kept[-1] == service + card(4)  # opened again, so it is the newest


SECRET, KEY = new_key("tablet")


def test_nothing_with_a_key_is_kept(chromium: Browser, tmp_path: Path) -> None:
    keys = tmp_path / "keys"
    keys.write_text(f"{KEY.line}\n", "utf-8")
    with ExitStack() as stack:
        address = stack.enter_context(serving(TINWRIGHT_KEYS_FILE=str(keys)))
        credentials = HttpCredentials(username="tablet", password=SECRET)
        for options, query in (({}, f"&access_token={SECRET}"), ({"http_credentials": credentials}, "")):
            page = stack.enter_context(context(chromium, **options))
            page.goto(address + card(4) + query)
            page.evaluate("navigator.serviceWorker.ready")
            for path in CARDS:
                page.goto(address + path + query)
                assert page.locator("h1").inner_text()
            assert not kept_cards(page)
            stored = str(page.evaluate(KEPT)) + page.evaluate("JSON.stringify(localStorage)")
            assert "access_token" not in stored
            assert SECRET not in stored


def test_a_key_in_an_address_is_not_kept_by_an_open_service(chromium: Browser, service: str) -> None:
    with context(chromium) as page:
        with_worker(page, service + card(4))
        hidden = (f"&access_token={SECRET}", f"&%61ccess_token={SECRET}", f"&batch={SECRET}")
        others = [card(number) for number in (6, 7, 8)]  # a new one each time, which shows that the worker has answered
        for parameter, other in zip(hidden, others, strict=True):
            page.goto(service + card(9) + parameter)
            page.evaluate(KEEP, [[page.url, service + other], [service + other]])
        assert sorted(kept_cards(page)) == sorted(service + path for path in (card(4), *others))


def test_other_figures_replace_the_files_and_mark_the_kept_cards(chromium: Browser, tmp_path: Path) -> None:
    shop_file = tmp_path / "shop.csv"
    shop_file.write_text("name,g_per_ml\nhouse treacle,1.4\n", "utf-8")
    port = free_port()
    with context(chromium) as page:
        with serving(port) as address:
            with_worker(page, address + card(4))
            with_worker(page, address + card(9))
            before = list(page.evaluate(KEPT))
        with serving(port, TINWRIGHT_SHOP_FILE=str(shop_file)):
            page.goto(address + card(9))
            page.wait_for_function(RENEWED, arg=before)
        page.goto(address + card(9))
        expect(page.locator("#kept")).to_be_visible()
        expect(page.locator("#kept [data-kept-outdated]")).to_be_hidden()
        page.goto(address + card(4))
        expect(page.locator("#kept [data-kept-outdated]")).to_be_visible()
