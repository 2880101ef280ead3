"""Drawings match the reviewed files, and are valid SVG without scripts or links."""

from xml.etree import ElementTree as ET

import pytest

from tests.drawings.cases import CUTS, GOLDEN, PIECES, PLANS, draw_case

SVG = "{http://www.w3.org/2000/svg}"
KEPT = [*CUTS, *PIECES, *PLANS]
TAGS = {
    "svg",
    "title",
    "desc",
    "defs",
    "pattern",
    "clipPath",
    "g",
    "rect",
    "line",
    "path",
    "circle",
    "polygon",
    "text",
}


@pytest.mark.parametrize("name", KEPT)
def test_drawings_match_the_reviewed_files(name: str) -> None:
    assert draw_case(name) + "\n" == (GOLDEN / f"{name}.svg").read_text("utf-8")


def test_every_reviewed_file_has_a_case() -> None:
    assert {path.stem for path in GOLDEN.iterdir()} == set(KEPT)


@pytest.mark.parametrize("name", KEPT)
def test_drawings_are_valid_svg_without_scripts_or_animation(name: str) -> None:
    drawing = draw_case(name)
    root = ET.fromstring(drawing)  # noqa: S314 - our own text
    assert root.tag == f"{SVG}svg"
    assert {element.tag.removeprefix(SVG) for element in root.iter()} <= TAGS
    names = [key for element in root.iter() for key in element.attrib]
    assert not [key for key in names if key.startswith("on") or "href" in key or key == "style"]
    assert "data:" not in drawing
    assert "javascript" not in drawing


@pytest.mark.parametrize("name", KEPT)
def test_drawings_have_a_name_and_a_white_background(name: str) -> None:
    root = ET.fromstring(draw_case(name))  # noqa: S314
    title, desc, ground = list(root)[:3]
    assert root.get("role") == "img"
    assert root.get("aria-labelledby") == f"{title.get('id')} {desc.get('id')}"
    assert title.text
    assert desc.text
    _, _, width, height = (root.get("viewBox") or "").split()
    assert (ground.tag, ground.get("fill")) == (f"{SVG}rect", "#ffffff")
    assert (ground.get("width"), ground.get("height")) == (width, height)


@pytest.mark.parametrize("name", ["square-16", "sheet-200"])
def test_drawings_are_to_scale(name: str) -> None:
    root = ET.fromstring(draw_case(name))  # noqa: S314
    outline = next(rect for rect in root.iter(f"{SVG}rect") if rect.get("fill") == "none")
    size = float(outline.get("width", "0")), float(outline.get("height", "0"))
    assert size == {"square-16": (200, 200), "sheet-200": (660.4, 457.2)}[name]


def test_two_drawings_on_one_page_have_different_ids() -> None:
    ids = [element.get("id") for name in KEPT for element in ET.fromstring(draw_case(name)).iter()]  # noqa: S314
    named = [name for name in ids if name]
    assert len(set(named)) == len(named)
