"""Every card of two jobs in both languages, by touch, by sight and on paper."""

import io
import re
from collections.abc import Iterator
from dataclasses import dataclass

import pytest
import zxingcpp
from axe_playwright_python.sync_playwright import Axe
from PIL import Image
from playwright.sync_api import Browser, Page
from pypdf import PdfReader

from tests.clients.browser.cards import STANDING, TABLET
from tests.clients.browser.conftest import WAIT_MS, watched
from tests.clients.browser.jobs import JOBS, address

pytestmark = pytest.mark.browser
A4_PT = (595.28, 841.89)  # ISO 216: 210 mm x 297 mm, at 72 points to the inch
PAPER = (711, 1040)  # A4 within margins of 11 mm, at 96 CSS pixels to the inch
PIXELS = 4  # of the screen for each CSS pixel: the code is taken from the screen as sharp as from paper
TARGET_PX, TEXT_PX, KEY_PX = 48, 20, 40  # our own limits, for floury hands and a reader at one metre
# The height and width of everything to tap; a box or circle counts with its label, a link inside a sentence does not.
TARGETS = """() => [...document.querySelectorAll("a, button, summary, select, input:not([type=hidden]), textarea")]
  .filter((element) => element.checkVisibility() && !element.closest("p, li, svg")?.textContent.trim().replace(
    element.textContent.trim(), ""))
  .map((element) => {
    const box = (element.labels?.[0]?.contains(element) ? element.labels[0] : element).getBoundingClientRect();
    return [element.outerHTML.slice(0, 80), box.width, box.height];
  })"""
SIZES = """(selector) => [...document.querySelectorAll(selector)].filter((element) => element.checkVisibility())
  .map((element) => [element.outerHTML.slice(0, 80), parseFloat(getComputedStyle(element).fontSize)])"""
# How much of the texts and drawings that come after a drawing it covers, in square pixels, as the page is scrolled.
COVERED = """() => {
  const drawing = document.querySelector("main > .drawing svg");
  const later = [...document.querySelectorAll("main > .doneness, main > .doneness ~ *")];
  let covered = 0;
  for (let top = 0; top < document.documentElement.scrollHeight; top += 50) {
    window.scrollTo(0, top);
    const over = drawing.getBoundingClientRect();
    for (const element of later) {
      const under = element.getBoundingClientRect();
      const across = Math.min(over.right, under.right) - Math.max(over.left, under.left);
      const down = Math.min(over.bottom, under.bottom) - Math.max(over.top, under.top);
      covered = Math.max(covered, Math.max(0, across) * Math.max(0, down));
    }
  }
  return covered;
}"""
# Without the heads of columns, hints below fields, and the line that names the figures.
BODY_TEXT = "main p:not(footer p), main li, main td, main tbody th, main label, main dt, main dd"
WIDTHS = "[document.documentElement.scrollWidth, document.documentElement.clientWidth]"
CARDS = [
    (f"{job} {card} {lang}", path, lang)
    for job, of_job in JOBS.items()
    for card, path in of_job.items()
    for lang in ("en", "de")
]


@dataclass(frozen=True, slots=True)
class Card:
    """A card on the screen."""

    name: str
    path: str
    page: Page


@pytest.fixture(scope="module")
def tablet(chromium: Browser, service: str) -> Iterator[Page]:
    with watched() as complaints:
        context = chromium.new_context(has_touch=True, base_url=service, device_scale_factor=PIXELS)
        context.set_default_timeout(WAIT_MS)
        page = context.new_page()
        page.on("request", lambda request: None if request.url.startswith(service) else complaints.append(request.url))
        page.on("pageerror", lambda error: complaints.append(str(error)))
        page.on("console", lambda message: complaints.append(message.text))
        yield page
        context.close()


@pytest.fixture(scope="module", params=CARDS, ids=[name for name, _, _ in CARDS])
def card(tablet: Page, request: pytest.FixtureRequest) -> Card:
    """Each card is loaded once for all tests of this file."""
    name, path, lang = request.param
    path = f"{path}&lang={lang}"
    tablet.set_viewport_size({"width": TABLET[0], "height": TABLET[1]})
    answer = tablet.goto(path)
    assert answer is not None
    assert answer.status == 200
    return Card(name, path, tablet)


def test_axe_finds_nothing(card: Card) -> None:
    results = Axe().run(card.page)
    assert results.response["testEngine"]["name"] == "axe-core"
    assert not results.violations_count, results.generate_report()


def test_targets_are_large_enough_for_floury_hands(card: Card) -> None:
    targets = card.page.evaluate(TARGETS)
    assert targets
    assert not [target for target in targets if min(target[1:]) < TARGET_PX]


def test_figures_can_be_read_at_one_metre(card: Card) -> None:
    texts = card.page.evaluate(SIZES, BODY_TEXT)
    assert texts
    assert not [text for text in texts if text[1] < TEXT_PX]
    if "start" not in card.name and "sizes" not in card.name and "day" not in card.name and "label" not in card.name:
        key_figures = card.page.evaluate(SIZES, ".figures dd, td.key")
        assert key_figures
        assert min(size for _, size in key_figures) >= KEY_PX


def test_no_card_scrolls_sideways_even_when_enlarged(card: Card) -> None:
    # A zoom of 200 % halves the width in CSS pixels.
    sizes = [TABLET, STANDING, (TABLET[0] // 2, TABLET[1] // 2), (STANDING[0] // 2, STANDING[1] // 2)]
    for width, height in sizes:
        card.page.set_viewport_size({"width": width, "height": height})
        assert card.page.evaluate(WIDTHS) == [width, width]


def test_a_card_prints_on_one_sheet_of_a4(card: Card) -> None:
    reader = PdfReader(io.BytesIO(card.page.pdf(prefer_css_page_size=True)))
    box = reader.pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(A4_PT, abs=1)
    assert len(reader.pages) == 1
    if card.name.startswith(("parkin label", "rye label")) and card.page.locator(".proof").count():
        assert len(re.findall("PROOF|ENTWURF", "".join(reader.pages[0].extract_text().split()))) >= 6


@pytest.mark.parametrize(
    ("portions", "tin"), [("6", "30 x 20 x 5 cm"), ("100", "30 x 20 x 5 cm"), ("96", "60 x 40 x 5 cm")]
)
def test_a_cut_card_with_doneness_prints_on_one_sheet(tablet: Page, portions: str, tin: str) -> None:
    tablet.goto(address("cuts", portions=portions, want=f"rectangle {tin}"))
    assert tablet.locator(".doneness").count() == 1
    assert len(PdfReader(io.BytesIO(tablet.pdf(prefer_css_page_size=True))).pages) == 1


def test_the_drawing_of_a_cut_card_covers_nothing_that_is_read_below_it(tablet: Page) -> None:
    """Where the slab is done last stands below the cuts, and must be readable on a lying tablet."""
    tablet.set_viewport_size({"width": TABLET[0], "height": TABLET[1]})
    for portions in ("12", "40"):
        tablet.goto(address("cuts", portions=portions, want="rectangle 60 x 40 x 5 cm"))
        assert tablet.locator(".doneness").count() == 1
        assert tablet.evaluate(COVERED) <= 1


def test_the_printed_code_leads_back_to_the_card(card: Card, service: str) -> None:
    if " start " in card.name or "unordered" in card.name:  # forms, which nobody prints
        return
    assert not card.page.locator(".qr").is_visible()
    card.page.set_viewport_size({"width": PAPER[0], "height": PAPER[1]})
    card.page.emulate_media(media="print")
    image = Image.open(io.BytesIO(card.page.locator(".qr svg").screenshot()))
    card.page.emulate_media(media="null")
    codes = zxingcpp.read_barcodes(image)
    assert [code.text for code in codes] == [card.page.evaluate("location.href").replace("%27", "'")]
    assert codes[0].text.startswith(f"{service}/cards/")
    assert "access_token" not in codes[0].text


def test_a_card_works_without_script(chromium: Browser, service: str) -> None:
    context = chromium.new_context(java_script_enabled=False, base_url=service)
    page = context.new_page()
    for job in ("parkin", "rye"):
        page.goto(JOBS[job]["weigh"])
        heading = page.locator("h1").inner_text()
        for link in ("Bake", "Cut", "Weigh"):
            page.locator("nav").first.get_by_role("link", name=link, exact=True).click()
            assert page.locator("h1").inner_text() == heading
        box = page.locator("input[data-tick]").first
        page.locator("label:has(input[data-tick])").first.click()
        assert box.is_checked()
        assert not page.locator("[data-clear-ticks]").is_visible()
        page.locator("nav").first.get_by_role("link", name="Bake", exact=True).click()
        assert not page.locator("[data-timer-start]").is_visible()
        assert re.search(r"Set a timer to \d+ min", page.locator("[data-timer-plain]").inner_text())
    context.close()
