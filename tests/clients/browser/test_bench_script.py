"""What the script adds to the cards: ticks that survive a reload, a timer that rings on every card, decimal signs."""

from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.clients.browser.conftest import WAIT_MS, watched
from tests.clients.browser.jobs import address

pytestmark = pytest.mark.browser
# Counts the tones and the requests to keep the screen on: a headless browser has neither.
COUNTERS = """
window.tones = 0;
const create = AudioContext.prototype.createOscillator;
AudioContext.prototype.createOscillator = function () {
  window.tones += 1;
  return create.call(this);
};
window.locks = [];
const wakeLock = { request: async () => {
  const lock = new EventTarget();
  lock.release = async () => window.locks.splice(window.locks.indexOf(lock), 1);
  window.locks.push(lock);
  return lock;
} };
Object.defineProperty(navigator, "wakeLock", { get: () => wakeLock });
"""


@pytest.fixture(scope="module")
def bench(chromium: Browser, service: str) -> Iterator[Page]:
    with watched() as complaints:
        context = chromium.new_context(has_touch=True, base_url=service, locale="en-GB")
        context.set_default_timeout(WAIT_MS)
        context.add_init_script(COUNTERS)
        page = context.new_page()
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.clock.install()
        yield page
        context.close()


@pytest.fixture
def page(bench: Page) -> Iterator[Page]:
    yield bench
    bench.evaluate("localStorage.clear()")


def ticked(page: Page) -> list[str]:
    return [str(box.get_attribute("id")) for box in page.locator("input[data-tick]:checked").all()]


def tick(page: Page, place: int) -> None:
    page.locator("label:has(input[data-tick])").nth(place).tap()


def test_ticks_survive_a_reload_and_another_way_to_the_card(page: Page) -> None:
    page.goto(address("weigh"))
    assert ticked(page) == []
    clear = page.locator("[data-clear-ticks]")
    expect(clear).to_be_hidden()
    tick(page, 0)
    tick(page, 2)
    ticks = ticked(page)
    assert len(ticks) == 2
    page.reload()
    assert ticked(page) == ticks
    page.goto(address("bake"))
    page.locator("nav").first.get_by_role("link", name="Weigh").tap()
    expect(page.locator("input[data-tick]:checked")).to_have_count(2)
    # The form sends empty fields and other ends of lines; the language changes no tick.
    page.goto(f"{address('weigh').replace('%0A', '%0D%0A')}&dough=&lang=de")
    assert ticked(page) == ticks
    for changes in ({"batch": "2"}, {"tins": "2"}, {"eggs": ["eu_s"]}):
        page.goto(address("weigh", **changes))
        assert ticked(page) == []
    page.goto(address("weigh"))
    clear.tap()
    assert ticked(page) == ticks  # the first tap may be a mistake
    clear.tap()
    assert ticked(page) == []
    expect(clear).to_be_hidden()
    page.reload()
    assert ticked(page) == []


def test_yesterdays_ticks_are_gone(page: Page) -> None:
    page.goto(address("weigh"))
    tick(page, 0)
    page.clock.fast_forward("11:00:00")
    page.reload()
    assert len(ticked(page)) == 1
    page.clock.fast_forward("02:00:00")
    page.reload()
    assert ticked(page) == []


def test_a_timer_counts_to_check_from_and_rings_on_every_card(page: Page) -> None:
    page.goto(address("bake"))
    section = page.locator("[data-timer-minutes]")
    minutes = int(str(section.get_attribute("data-timer-minutes")))
    assert str(minutes) in page.locator(".figures").all_inner_texts()[1]
    left = section.locator("[data-timer-left]")
    expect(left).to_be_hidden()
    section.locator("[data-timer-start]").tap()
    expect(left).to_have_text(f"{minutes}:00")
    page.wait_for_function("window.locks.length === 1")
    page.clock.fast_forward("10:00")
    page.reload()
    expect(left).to_have_text(f"{minutes - 10}:00")
    page.locator("nav").first.get_by_role("link", name="Weigh").tap()
    bar = page.locator("#timers")
    expect(bar.locator(".left")).to_contain_text(f"{minutes - 11}:")
    expect(bar.locator(".alarm")).to_have_text("")
    stop = bar.get_by_role("button")
    stop.tap()
    expect(bar).to_be_visible()  # the first tap may be a mistake
    page.clock.fast_forward(60_000 * (minutes - 11))
    expect(bar.locator(".alarm")).to_have_text("")
    assert page.evaluate("window.tones") == 0
    page.clock.fast_forward(60_000)
    expect(bar.locator(".alarm")).to_have_text("Check now")
    page.wait_for_function("window.tones > 0")
    expect(bar.locator(".left")).to_contain_text("+")
    bar.get_by_role("link").tap()
    expect(section.locator("[data-timer-alarm]")).to_be_visible()
    section.locator("[data-timer-cancel]").tap()
    expect(section.locator("[data-timer-start]")).to_be_visible()
    page.wait_for_function("window.locks.length === 0")
    page.reload()
    expect(left).to_be_hidden()


def test_two_timers_stand_side_by_side(page: Page) -> None:
    for name in ("first", "second"):
        page.goto(address("bake", name=name))
        page.locator("[data-timer-start]").tap()
    page.goto(address("weigh"))
    entries = page.locator("#timers p")
    expect(entries).to_have_count(2)
    box = entries.last.get_by_role("button").bounding_box()
    assert box is not None
    assert min(box["width"], box["height"]) >= 48
    page.clock.fast_forward("02:00:00")
    entries.first.get_by_role("button").tap()
    expect(entries).to_have_count(1)


@pytest.mark.parametrize(
    ("lang", "typed", "shown"),
    [
        ("en", "812,5", "812.5"),
        ("de", "812.5", "812,5"),
        ("de", "1.500", "1.500"),  # a thousand and a half, or one and a half: the service asks
        ("de", "0.125", "0,125"),
        ("de", "1.234,5", "1.234,5"),
        ("en", "65 g", "65 g"),
    ],
)
def test_a_number_is_shown_with_the_decimal_sign_of_the_page(page: Page, lang: str, typed: str, shown: str) -> None:
    page.goto(f"/cards/start?lang={lang}")
    field = page.locator('input[inputmode="decimal"]').first
    field.fill(typed)
    field.blur()
    assert field.input_value() == shown


def test_nothing_that_is_stored_holds_a_key(page: Page) -> None:
    page.goto(f"{address('weigh')}&access_token=tw_secret")
    tick(page, 0)
    stored = page.evaluate("JSON.stringify(localStorage)")
    assert "tinwright.ticks" in stored
    assert "access_token" not in stored
    assert "tw_secret" not in stored
