"""Drawings on cards: their words stand on the page, in its language, and their figures are large."""

import re
from gettext import NullTranslations
from xml.etree import ElementTree as ET

import pytest

from api.drawings.doneness import draw_doneness
from api.drawings.heating import CHART_ON_CARD, draw_heating
from api.drawings.language import Language
from api.drawings.pieces import draw_pieces
from api.drawings.style import ON_CARD
from api.drawings.svg import figure
from domain.baking.cases import TIN_MATERIALS, Bake
from domain.baking.doneness import doneness_by_place
from domain.baking.oven import parse_oven
from domain.baking.window import BakeEstimate, estimate_bake, heating_curve
from domain.cutting.cuts import cut_slab
from domain.cutting.layouts import Cutting
from domain.cutting.slabs import RectangleSlab, RoundSlab
from domain.cutting.wishes import CountWish
from domain.pieces.patterns import set_pieces
from domain.tins.text import parse_tin


class Shouted(NullTranslations):
    """A catalogue that turns every message into capitals, values apart."""

    def gettext(self, message: str) -> str:
        """The message in capitals, with the names of its values as they are."""
        return re.sub(r"(%\(\w+\)s)|(.)", lambda match: match[1] or match[2].upper(), message)

    def ngettext(self, msgid1: str, msgid2: str, n: int) -> str:
        """The same for a plural."""
        return self.gettext(msgid1 if n == 1 else msgid2)


SHOUTED = Language(translations=Shouted(), decimal_sign=",")


def parsed(svg: str) -> ET.Element:
    return ET.fromstring(svg)  # noqa: S314 - our own drawing


def texts(svg: str) -> list[str]:
    return [element.text or "" for element in parsed(svg).iter("{http://www.w3.org/2000/svg}text")]


@pytest.fixture(scope="module")
def estimate() -> BakeEstimate:
    oven, material = parse_oven("180 celsius"), TIN_MATERIALS["dull_metal"]
    bake = Bake(tin=parse_tin("square 20 cm"), filled_depth_mm=40, oven=oven, start_c=20.0, material=material)
    return estimate_bake(bake, 45, bake, 88.0)


def test_chart_on_a_card_has_no_heading_and_larger_figures(estimate: BakeEstimate) -> None:
    curve = heating_curve(estimate, 45)
    alone, on_card = draw_heating(estimate, 45, curve), draw_heating(estimate, 45, curve, style=CHART_ON_CARD)
    heading = f"Core temperature: done between {estimate.minutes_low} and {estimate.minutes_high} minutes"
    assert heading in texts(alone)
    assert heading not in texts(on_card)
    sizes = [float(each.attrib["font-size"]) for each in parsed(on_card).iter() if "font-size" in each.attrib]
    assert min(sizes) >= 22  # of 760 units, which fill a tablet of 800 px


def test_chart_speaks_the_language_of_its_page(estimate: BakeEstimate) -> None:
    words = texts(draw_heating(estimate, 45, heating_curve(estimate, 45), style=CHART_ON_CARD, language=SHOUTED))
    assert "TIME IN THE OVEN, MINUTES" in words
    assert not [word for word in words if word != word.upper()]


def test_plan_on_a_card_names_each_line_of_equal_temperature_in_its_key(estimate: BakeEstimate) -> None:
    layout = cut_slab(RectangleSlab(length_mm=200, width_mm=200), CountWish(portions=16), Cutting())
    doneness = doneness_by_place(estimate, layout)
    svg = draw_doneness(doneness, "Slab", style=ON_CARD, language=SHOUTED)
    assert doneness.isotherms
    shown = texts(svg)
    for isotherm in doneness.isotherms:
        assert f"{figure(isotherm.celsius).replace('.', ',')} °C" in shown
    assert "Slab" not in shown
    root = parsed(svg)
    bottom = float(root.attrib["viewBox"].split()[3])
    assert all(float(line.attrib["y1"]) < bottom for line in root.findall("{http://www.w3.org/2000/svg}line"))


@pytest.mark.parametrize("slab", [RectangleSlab(length_mm=300, width_mm=200), RoundSlab(diameter_mm=230)])
def test_pieces_on_a_card_have_one_unit_and_the_words_of_its_page(slab: RectangleSlab | RoundSlab) -> None:
    words = texts(draw_pieces(set_pieces(slab, 12, None), None, style=ON_CARD, language=SHOUTED))
    assert "MIDDLES OF PIECES, SIZE NOT KNOWN" in words
    assert "mm" in words
    assert "in" not in words
