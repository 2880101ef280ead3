"""Cards in a real browser: landscape, portrait, phone and paper; axe-core finds nothing."""

import io
import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Page
from pypdf import PdfReader

from tests.clients.browser.cards import CARDS, COUNTED, OTHERS, PHONE, STANDING, TABLET
from tests.clients.browser.conftest import Open

pytestmark = pytest.mark.browser
ALL = {**CARDS, **COUNTED, **OTHERS}
SIZES = {"landscape": TABLET, "portrait": STANDING, "phone": PHONE}
A4_PT = (595.28, 841.89)  # ISO 216: 210 mm x 297 mm, at 72 points to the inch
# A 10 in tablet of 1280 x 800 has about 5.9 CSS pixels per millimetre (Pythagoras). The sizes are our own choice, no
# source: 3.5 mm for text that is read with the knife in hand, 5 mm for the card's main figures.
PX_PER_MM = (1280**2 + 800**2) ** 0.5 / 254
# Figures in the drawing may be smaller, because the lists repeat them; 3.3 mm, about 20 pixels, is read from a metre.
LARGE_MM, CUT_MM, DRAWN_MM = 5, 3.5, 3.3
# Every label of the drawing with its box and font size on the screen, and the box of the drawing.
LABELS = """() => {
  const box = (element) => { const r = element.getBoundingClientRect(); return [r.left, r.top, r.right, r.bottom]; };
  const svg = document.querySelector(".drawing svg"), scale = svg.getScreenCTM().a;
  const label = (element) => [element.textContent, box(element), element.getAttribute("font-size") * scale];
  return {sheet: box(svg), labels: [...svg.querySelectorAll("text")].map(label)};
}"""
# As a share of the font size: in common fonts a line box reaches a fifth above and below its digits.
EMPTY = 0.15


def axe(page: Page) -> str:
    """What axe-core finds, as text; empty if it finds nothing."""
    results = Axe().run(page)
    assert results.response["testEngine"]["name"] == "axe-core"
    return "" if not results.violations_count else results.generate_report()


@pytest.mark.parametrize("size", SIZES)
@pytest.mark.parametrize("name", ["square", "tray", "rings", "squares of a round", *OTHERS])
def test_axe_finds_nothing(open_page: Open, name: str, size: str) -> None:
    assert axe(open_page(ALL[name], *SIZES[size])) == ""


@pytest.mark.parametrize("name", ALL)
def test_no_page_scrolls_sideways(open_page: Open, name: str) -> None:
    page = open_page(ALL[name])
    for width, height in (PHONE, STANDING, TABLET):
        page.set_viewport_size({"width": width, "height": height})
        widths = page.evaluate("[document.documentElement.scrollWidth, document.documentElement.clientWidth]")
        assert widths == [width, width]


@pytest.mark.parametrize("name", ["square", "rings", "refused", "home"])
def test_axe_finds_nothing_on_paper(open_page: Open, name: str) -> None:
    page = open_page(ALL[name])
    page.emulate_media(media="print")
    assert axe(page) == ""


def test_axe_finds_a_missing_label(open_page: Open) -> None:
    page = open_page(CARDS["square"])
    page.evaluate("document.querySelector('input').labels[0].remove()")
    assert "label" in axe(page)


@pytest.mark.parametrize("size", ["landscape", "phone"])
@pytest.mark.parametrize("name", [*CARDS, *COUNTED, "long name"])
def test_no_label_of_a_drawing_touches_another(open_page: Open, name: str, size: str) -> None:
    layout = open_page(ALL[name], *SIZES[size]).evaluate(LABELS)
    labels, (left, top, right, bottom) = layout["labels"], layout["sheet"]
    assert len(labels) >= 5
    touching = [
        (text, other)
        for i, (text, a, letters) in enumerate(labels)
        for other, b, _ in labels[:i]
        if min(a[2], b[2]) - max(a[0], b[0]) > 0 and min(a[3], b[3]) - max(a[1], b[1]) > EMPTY * letters
    ]
    assert not touching
    outside = [text for text, box, _ in labels if box[0] < left or box[1] < top or box[2] > right or box[3] > bottom]
    assert not outside


@pytest.mark.parametrize("name", CARDS)
def test_figures_are_legible_at_arms_length(open_page: Open, name: str) -> None:
    page = open_page(CARDS[name], *TABLET)
    sizes = (
        "(at) => [...document.querySelectorAll(at)].map((element) => parseFloat(getComputedStyle(element).fontSize))"
    )
    assert min(page.evaluate(sizes, ".lists td")) >= CUT_MM * PX_PER_MM
    assert min(page.evaluate(sizes, ".figures dd")) >= LARGE_MM * PX_PER_MM
    assert min(letters for _, _, letters in page.evaluate(LABELS)["labels"]) >= DRAWN_MM * PX_PER_MM


def test_the_first_screen_in_landscape_shows_the_main_figures(open_page: Open) -> None:
    page = open_page(CARDS["square"], *TABLET)
    bottom = "(at) => document.querySelector(at).getBoundingClientRect().bottom"
    for part in ("h1", ".figures", ".lists", ".drawing svg"):
        assert page.evaluate(bottom, part) <= TABLET[1], part


@pytest.mark.parametrize("name", [*CARDS, *COUNTED, "long name"])
def test_a_card_prints_on_one_sheet_of_a4_or_letter(open_page: Open, name: str) -> None:
    page = open_page(ALL[name])
    assert len(PdfReader(io.BytesIO(page.pdf(format="Letter"))).pages) == 1
    reader = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True, tagged=True)))
    assert len(reader.pages) == 1
    box = reader.pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(A4_PT, abs=1)
    printed = re.sub(r"\s+", " ", reader.pages[0].extract_text())
    assert "Take care" in printed
    assert "competent person" in printed
    assert "Draw the card" not in printed
    marks = page.locator(".lists td").all_inner_texts()
    assert marks
    assert not [mark for mark in marks if mark not in printed]


def test_the_form_works_without_script(open_page: Open) -> None:
    page = open_page(CARDS["square"], *PHONE, script=False)
    assert page.locator("h1").inner_text() == "Ginger parkin"
    page.fill("#tin", "round 23 cm")
    page.fill("#portions", "")
    page.get_by_text("Other ways to cut", exact=True).click()
    page.fill("#wedges", "10")
    page.get_by_role("button", name="Draw the card").first.click()
    page.wait_for_url("**wedges=10**")
    assert page.locator(".figures dd").first.inner_text() == "10"
    page.fill("#wedges", "ten")
    page.get_by_role("button", name="Draw the card").first.click()
    page.wait_for_url("**wedges=ten**")
    assert page.locator("main h2").first.inner_text() == "This card cannot be drawn yet"
    assert "whole number" in page.locator(".faults").inner_text()
    assert page.locator("#wedges").input_value() == "ten"
    assert page.locator("#tin").input_value() == "round 23 cm"
    page.fill("#wedges", "8")
    page.get_by_role("button", name="Draw the card").first.click()
    page.wait_for_url("**wedges=8**")
    assert page.locator(".figures dd").first.inner_text() == "8"


def test_an_alternative_opens_with_one_tap(open_page: Open) -> None:
    page = open_page(CARDS["prime"])
    assert "long and thin" in page.locator(".warnings").inner_text()
    link = page.locator(".other-ways a").first
    assert link.bounding_box()["height"] >= 48  # type: ignore[index]  # a link on the page has a box
    promised = link.inner_text().split()[0]
    link.click()
    page.wait_for_url("**rows=**")
    assert page.locator(".figures dd").first.inner_text() == promised


def test_the_drawing_has_a_name_for_screen_readers(open_page: Open) -> None:
    page = open_page(CARDS["square"])
    drawing = page.get_by_role("img", name="Ginger parkin: where to cut")
    assert drawing.count() == 1
    assert "4 corner" in page.evaluate("document.querySelector('.drawing desc').textContent")
