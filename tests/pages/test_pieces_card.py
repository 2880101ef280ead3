"""The card of the dough pieces: its figures are those of `/v1/pieces` and `/v1/rescale`."""

import re
from html import unescape

import pytest

from tests.api.conftest import Call
from tests.pages.bench import address, answer, api_formula, figures_of, rows_of, text_of

ROUND = "round 23 x 7 cm"


def test_figures_are_those_of_the_api(call: Call) -> None:
    formula, targets = api_formula(call), [{"tin": ROUND}]
    pieces = answer(call, "/v1/pieces", formula=formula, targets=targets)["targets"][0]["pieces"][0]
    html = call("GET", address("pieces", want=ROUND)).text
    shown = figures_of(html)
    assert shown["Pieces"] == str(pieces["count"])
    assert shown["Each weighs"].startswith(f"{pieces['grams_each']:.1f} g")
    ring = pieces["pattern"]["piece_rings"][0]
    first = [f"{ring['radius_mm']:.1f} mm", f"{ring['first_degrees']:.0f}°", f"{ring['step_degrees']:.0f}°"]
    assert rows_of(html)["1"] == [str(ring["count"]), *first]


def test_rows_in_a_rectangle_are_those_of_the_api(call: Call) -> None:
    pattern = answer(call, "/v1/pieces", formula=api_formula(call))["targets"][0]["pieces"][0]["pattern"]
    rows = rows_of(call("GET", address("pieces")).text)
    for number, row in enumerate(pattern["piece_rows"], start=1):
        places = [f"{row[name]:.1f}".removesuffix(".0") + " mm" for name in ("at_mm", "first_mm", "pitch_mm")]
        assert rows[str(number)] == [str(row["count"]), *places]


def test_lift_of_the_batter_is_that_of_the_api(call: Call) -> None:
    lift = answer(call, "/v1/rescale", formula=api_formula(call))["targets"][0]["batter_lift"]
    shown = f"{lift['lift_mm']:.1f}".removesuffix(".0")
    text = text_of(call("GET", address("pieces")).text)
    assert f"The pieces lift the batter by {shown} mm. It stands at 26 mm with them in it" in text


def test_another_count_is_one_tap_away(call: Call) -> None:
    html = call("GET", address("pieces")).text
    links = [unescape(link) for link in re.findall(r'href="([^"]*pieces_per_tin=[^"]*)"', html)]
    counts = [figures_of(call("GET", link).text)["Pieces"] for link in links]
    assert counts == ["15", "17"]


def test_pieces_of_several_tins_are_said_for_each_tin(call: Call) -> None:
    shown = figures_of(call("GET", address("pieces", want="square 23 x 5 cm", tins="2")).text)
    assert (shown["Pieces in all"], shown["In each tin"]) == ("32 in 2 tins", "16")


def test_pieces_follow_the_cuts(call: Call) -> None:
    html = call("GET", address("pieces", portions="16")).text
    assert "every cut piece gets the same number of dough pieces" in text_of(html)
    assert "<svg" in html


def test_cavities_get_whole_pieces_and_no_drawing(call: Call) -> None:
    response = call("GET", address("pieces", want="cavities 12 x 120 ml", pieces_per_cavity="1"))
    assert response.status_code == 200
    assert figures_of(response.text)["In each cavity"] == "1"
    assert "<svg" not in response.text.partition("<main>")[2].partition("<header")[0]


@pytest.mark.parametrize(
    ("language", "label"), [("en", "Dough pieces in the recipe:"), ("de", "Teigstücke im Rezept:")]
)
def test_recipe_without_pieces_is_asked_for_them(call: Call, language: str, label: str) -> None:
    response = call("GET", address("pieces", "pieces", "dough", lang=language))
    assert response.status_code == 422
    assert label in text_of(response.text)


def test_the_pieces_card_is_shown_in_german(call: Call) -> None:
    html = call("GET", address("pieces", want=ROUND, lang="de")).text
    assert re.match(r"\d+,\d g", figures_of(html)["Jedes wiegt"])
    assert "Die Stücke heben die Masse um" in text_of(html)


@pytest.mark.parametrize("tins", ["1", "2"])
def test_a_count_that_the_cut_pieces_share_is_one_tap_away(call: Call, tins: str) -> None:
    """In 12 cut pieces, 12 or 24 of the 16 dough pieces of a tin go evenly, and the dough is the same."""
    fields = {"want": "square 23 x 5 cm", "portions": "12", "tins": tins}
    page = call("GET", address("pieces", **fields)).text
    count = figures_of(page).get("In each tin", figures_of(page).get("Pieces"))
    each = float(figures_of(page)["Each weighs"].split()[0])
    assert count == "16"
    assert "do not go evenly into 12 portions" in text_of(page)
    links = re.findall(r'href="([^"]*pieces_per_tin=(12|24)[^"]*)"[^>]*>\s*\d+ of ([\d.]+)', page)
    assert [link[1] for link in links] == ["12", "24"]
    for path, of_tin, grams in links:
        assert float(grams) == pytest.approx(16 * each / int(of_tin), rel=0.01)
        followed = call("GET", unescape(path)).text
        assert figures_of(followed).get("In each tin", figures_of(followed).get("Pieces")) == of_tin
        assert "every cut piece gets the same number of dough pieces" in text_of(followed)


def test_pieces_that_the_portions_do_not_share_are_counted_in_german_too(call: Call) -> None:
    page = text_of(call("GET", address("pieces", want="square 23 x 5 cm", portions="12", lang="de")).text)
    assert "16 Teigstücke lassen sich nicht gleichmäßig durch 12 teilen." in page
    assert "auf die Formen" not in page
