"""The whole way of a baker by touch: from a pasted recipe to weighing, baking and cutting."""

import time
from collections.abc import Iterator
from importlib.resources import files

import pytest
from playwright.sync_api import Browser, Page, expect

from tests.clients.browser.cards import STANDING, TABLET
from tests.clients.browser.conftest import WAIT_MS, watched

pytestmark = pytest.mark.browser
RECIPE = (files("openapi-examples") / "recipes" / "ginger-parkin.txt").read_text("utf-8")
SCREENS = {"landscape": TABLET, "portrait": STANDING}
# Our own limit: three fields with two taps each, two questions, and two buttons that lead on.
MAX_TAPS = 10


class Walk:
    """Taps on a page, counted."""

    def __init__(self, page: Page) -> None:
        self.page, self.taps, self.start = page, 0, time.monotonic()

    def tap(self, selector: str) -> None:
        target = self.page.locator(selector).first
        box = target.bounding_box()
        assert box is not None
        target.tap()
        self.taps += 1

    def paste(self, selector: str, text: str) -> None:
        """Two taps: into the field, and on "paste" or on the keyboard's last key."""
        self.tap(selector)
        self.page.fill(selector, text)
        self.taps += 1

    @property
    def seconds(self) -> float:
        return time.monotonic() - self.start


@pytest.fixture(params=SCREENS)
def walk(chromium: Browser, service: str, request: pytest.FixtureRequest) -> Iterator[Walk]:
    width, height = SCREENS[request.param]
    with watched() as complaints:
        viewport = {"width": width, "height": height}
        context = chromium.new_context(viewport=viewport, has_touch=True, base_url=service, locale="en-GB")  # type: ignore[arg-type]
        context.set_default_timeout(WAIT_MS)
        page = context.new_page()
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.goto("/cards/start")
        yield Walk(page)
        context.close()


def test_from_the_pasted_recipe_to_the_cut_slab(walk: Walk) -> None:
    page = walk.page
    walk.paste("#recipe", RECIPE)
    walk.paste("#want:not([type=checkbox])", "20 x 30 x 5 cm")
    walk.paste("#depth", "26 mm")
    walk.tap("form button[type=submit]")
    questions = page.locator("fieldset.question")
    expect(questions).to_have_count(2)
    walk.tap('fieldset.question label:has-text("British")')
    walk.tap('fieldset.question label:has-text("M, EU")')
    walk.tap("form button[type=submit]")
    keys = page.locator("td.key")
    expect(keys.first).to_be_visible()
    print(f"weigh card: {walk.taps} taps, {walk.seconds:.1f} s")  # shown by `pytest -s`
    assert walk.taps <= MAX_TAPS
    # 165 g of butter for 23 cm square; the tin of 20 x 30 cm has 600 / 529 of its area, at the same depth.
    butter = page.locator("tr", has=page.get_by_text("butter", exact=True)).first.locator("td.key")
    assert butter.inner_text().replace("\u00a0", " ") == "187 g"
    lines = keys.count()
    for place in range(lines):
        page.locator("label:has(input[data-tick])").nth(place).tap()
    expect(page.locator("input[data-tick]:checked")).to_have_count(lines)

    walk.tap('nav a:has-text("Bake")')
    expect(page.locator("h1")).to_contain_text("parkin")
    assert "150 °C" in page.locator(".figures").first.inner_text().replace("\u00a0", " ")
    walk.tap("[data-timer-start]")
    expect(page.locator("[data-timer-left]")).to_be_visible()

    walk.tap('nav a:has-text("Cut")')
    expect(page.locator("#timers .left")).to_be_visible()
    walk.paste("#portions", "24")
    walk.tap("main form button[type=submit]")
    expect(page.locator(".figures dd").first).to_have_text("24")
    assert "50 × 50 mm" in page.locator(".figures").inner_text().replace("\u00a0", " ")
    assert page.locator(".drawing svg text").count() > 8
    print(f"cut card: {walk.taps} taps, {walk.seconds:.1f} s")

    page.locator("#timers button").tap()
    walk.tap('nav a:has-text("Weigh")')
    expect(page.locator("input[data-tick]:checked")).to_have_count(lines)
