"""Drawings in a real browser: no labels overlap or leave the sheet, and all are large enough to read."""

from collections.abc import Iterator
from typing import Any

import pytest

from tests.chromium import launched
from tests.drawings.cases import CUTS, MORE, PIECES, draw_case

pytestmark = pytest.mark.browser
SCREENS = {
    "tablet": (1280, 800),
    "tablet upright": (800, 1280),
    "A4": (718, 1047),
}  # A4 minus 10 mm margins, at 96 px per inch
MIN_PX = {"tablet": 12.0, "tablet upright": 12.0, "A4": 11.0}  # 2 mm on a 10 in tablet, 2.9 mm on A4
MEASURE = """() => [...document.querySelectorAll('text')].map(one => {
    const box = one.getBoundingClientRect();
    const scale = one.ownerSVGElement.getScreenCTM().a;
    return [one.textContent, box.left, box.top, box.right, box.bottom, one.getAttribute('font-size') * scale];
})"""
TOUCH = 0.5  # px: the boxes of glyphs are slightly larger than the glyphs


@pytest.fixture(scope="module")
def page() -> Iterator[Any]:
    with launched() as browser:
        yield browser.new_page()


@pytest.mark.parametrize("screen", SCREENS)
@pytest.mark.parametrize("name", [*CUTS, *PIECES, *MORE])
def test_labels_do_not_overlap_and_are_legible(page: Any, name: str, screen: str) -> None:
    width, height = SCREENS[screen]
    page.set_viewport_size({"width": width, "height": height})
    svg = draw_case(name).replace("<svg ", '<svg style="display:block;width:100vw;height:100vh" ', 1)
    page.set_content(f'<!doctype html><body style="margin:0">{svg}')
    boxes = page.evaluate(MEASURE)
    assert boxes
    for label, left, top, right, bottom, size in boxes:
        assert -TOUCH <= left <= right <= width + TOUCH, label
        assert -TOUCH <= top <= bottom <= height + TOUCH, label
        assert size >= MIN_PX[screen], (label, size)
    for i, (label, left, top, right, bottom, _) in enumerate(boxes):
        for earlier_label, left2, top2, right2, bottom2, _ in boxes[:i]:
            across = min(right, right2) - max(left, left2)
            down = min(bottom, bottom2) - max(top, top2)
            assert across <= TOUCH or down <= TOUCH, f"{label!r} and {earlier_label!r} overlap"


def test_no_script_in_a_label_runs(page: Any) -> None:
    dialogs: list[str] = []

    def dismiss(dialog: Any) -> None:
        dialogs.append(dialog.message)
        dialog.dismiss()

    page.on("dialog", dismiss)
    page.set_content(draw_case("hostile-label"))
    assert page.evaluate("document.querySelectorAll('script').length") == 0
    assert dialogs == []
