"""The card of the bake: its figures are those of `/v1/bake` and `/v1/cool`, and its errors name fields."""

import re

import pytest

from api.pages.cards.bake import gas_mark
from tests.api.conftest import Call
from tests.pages.bench import address, answer, api_formula, figures_of, text_of

ROUND = "round 23 x 7 cm"
CUT = {"portions": "16", "bake_loss_percent": "11"}


def test_figures_are_those_of_the_api(call: Call) -> None:
    bake = answer(call, "/v1/bake", formula=api_formula(call), targets=[{"tin": ROUND}])["targets"][0]["bake"]
    shown = figures_of(call("GET", address("bake", want=ROUND)).text)
    assert shown["Check from"] == f"{bake['check_from_minutes']} min"
    assert shown["Likely done"] == f"{bake['minutes_low']} to {bake['minutes_high']} min"
    assert shown["Core when done"] == f"{bake['core_celsius']:.0f} °C"


def test_oven_stands_in_the_units_of_every_oven(call: Call) -> None:
    shown = figures_of(call("GET", address("bake")).text)
    # 150 °C fan is 20 °C under a conventional oven, as common practice has it; °F by their definition.
    assert (shown["Fan"], shown["No fan"]) == ("150 °C 302 °F", "170 °C 338 °F")
    assert shown["Gas mark"] == "3½"  # between mark 3 (325 °F) and mark 4 (350 °F), as tables of gas marks print them


def test_american_measures_put_fahrenheit_first(call: Call) -> None:
    assert figures_of(call("GET", address("bake", measures="us")).text)["No fan"] == "338 °F 170 °C"


def test_oven_word_stands_as_it_is_written(call: Call) -> None:
    html = call("GET", address("bake", oven="moderate")).text
    assert figures_of(html)["As written"] == "moderate"
    assert "give degrees or a gas mark" in text_of(html)


@pytest.mark.parametrize(("mark", "dial"), [(0.25, "¼"), (0.5, "½"), (1.0, "1"), (3.5, "3½"), (10.0, "10")])
def test_gas_marks_are_written_as_on_a_dial(mark: float, dial: str) -> None:
    assert gas_mark(mark) == dial


def test_timer_counts_to_check_from_and_is_said_without_script(call: Call) -> None:
    html = call("GET", address("bake")).text
    minutes = figures_of(html)["Check from"].removesuffix(" min")
    assert f'data-timer-minutes="{minutes}"' in html
    assert f"Set a timer to {minutes} min." in text_of(html)


def test_level_of_the_window_and_the_probe_are_said(call: Call) -> None:
    text = text_of(call("GET", address("bake")).text)
    assert "80 of 100 bakes should be done in this window." in text
    assert (
        "The probe decides, not the clock: 96 °C in the middle of the slab, and in the middle of a dough piece" in text
    )
    without = text_of(call("GET", address("bake", "pieces", "dough")).text)
    assert "96 °C in the middle of the slab." in without
    assert "dough piece" not in without


CUPS = "cavities 12 x 100 ml x 38 mm"


@pytest.mark.parametrize(
    ("language", "cup", "slab"),
    [
        ("en", "96 °C in the middle of a cup from the middle of the tray", "in the middle of the slab"),
        ("de", "96 °C in der Mitte einer Mulde aus der Mitte des Blechs", "in der Mitte der Platte"),
    ],
)
def test_the_probe_goes_into_a_cup_of_a_tray(call: Call, language: str, cup: str, slab: str) -> None:
    plain = text_of(call("GET", address("bake", "pieces", "dough", want=CUPS, lang=language)).text)
    assert f"{cup}." in plain
    divided = text_of(call("GET", address("bake", want=CUPS, lang=language, pieces_per_cavity="1")).text)
    assert cup in divided
    assert ("in the middle of a dough piece there" in divided) is (language == "en")
    assert slab not in plain + divided


@pytest.mark.parametrize(("language", "rule"), [("en", "rule of thumb"), ("de", "Faustregel")])
def test_the_rule_of_thumb_is_left_out_from_a_slab_to_cups(call: Call, language: str, rule: str) -> None:
    assert rule in text_of(call("GET", address("bake", want=ROUND, lang=language)).text)
    html = call("GET", address("bake", "pieces", "dough", want=CUPS, lang=language)).text
    assert "data-timer-minutes" in html  # there is a window
    assert rule not in text_of(html)


@pytest.mark.parametrize(
    ("language", "message"), [("en", "more than the depth of a cup"), ("de", "die Tiefe einer Mulde")]
)
def test_a_bake_higher_than_its_cup_is_said_in_the_language_of_the_page(
    call: Call, language: str, message: str
) -> None:
    fields = {"want": "cavities 12 x 30 ml x 15 mm", "baked_depth": "36 mm", "lang": language}
    assert message in text_of(call("GET", address("bake", "pieces", "dough", **fields)).text)


def test_without_minutes_the_card_has_the_oven_but_no_window(call: Call) -> None:
    recipe = "Parkin\nTin: square 20 x 5 cm\nBake at 150 °C fan\n200 g plain flour\n200 g butter"
    response = call("GET", address("bake", "pieces", "dough", "depth", recipe=recipe))
    shown = figures_of(response.text)
    assert response.status_code == 200
    assert shown["Fan"].startswith("150 °C")
    assert "Check from" not in shown
    assert "data-timer-minutes" not in response.text
    text = text_of(response.text)
    assert "Of the bake that works, the card has to know: Minutes in the oven Filled to" in text
    assert "No window" not in text  # the API's own words for the same


def test_without_a_depth_the_card_has_the_minutes_of_the_recipe_and_asks_for_the_depth(call: Call) -> None:
    html = call("GET", address("bake", "depth")).text
    assert figures_of(html)["As made"] == "48 min in the recipe's own tin"
    assert 'name="depth"' in html
    assert 'name="minutes"' not in html
    filled = figures_of(call("GET", address("bake", depth="26 mm")).text)
    assert "Check from" in filled


def test_how_to_weigh_is_left_to_the_weigh_card(call: Call) -> None:
    small = answer(call, "/v1/rescale", formula=api_formula(call), targets=[{"tin": "square 5 x 5 cm"}])["targets"][0]
    assert "weighing_error" in {warning["code"] for warning in small["warnings"]}
    assert "the scale shows" not in text_of(call("GET", address("bake", want="square 5 x 5 cm")).text)


@pytest.mark.parametrize(("language", "label"), [("en", "Oven: Say how"), ("de", "Ofen: Geben Sie an")])
def test_recipe_without_an_oven_is_asked_for_it(call: Call, language: str, label: str) -> None:
    recipe = "Parkin\nTin: square 20 x 5 cm\n200 g plain flour\n200 g butter"
    response = call("GET", address("bake", "pieces", "dough", recipe=recipe, lang=language))
    assert response.status_code == 422
    assert label in text_of(response.text)


def test_coldest_piece_is_that_of_the_api(call: Call) -> None:
    cuts = {"portions": 16, "bake_loss_percent": 11}
    formula = api_formula(call) | {"cuts": cuts}
    formula["bake"] |= {"doneness": {}}
    doneness = answer(call, "/v1/bake", formula=formula)["targets"][0]["bake"]["doneness"]
    coldest = min(doneness["portions"], key=lambda portion: portion["coldest_celsius"])
    html = call("GET", address("bake", **CUT)).text
    assert f"Probe piece {coldest['portion']}: it is the coldest, about {coldest['coldest_celsius']:.0f} °C" in text_of(
        html
    )
    assert html.count("<svg") >= 2  # the curve and the plan


def test_cooling_is_that_of_the_api(call: Call) -> None:
    formula = api_formula(call)
    slab = answer(call, "/v1/rescale", formula=formula | {"cuts": {"portions": 16, "bake_loss_percent": 11}})
    cooled = answer(
        call,
        "/v1/cool",
        tin=formula["tin"],
        depth="36 mm",
        grams=slab["targets"][0]["cuts"]["slab"]["grams"],
        start_temperature="96 celsius",
        place="bench",
        cut_temperature="28 celsius",
    )["milestones"][0]
    fields = CUT | {"baked_depth": "36 mm", "cut_temperature": "28 °C", "cool_place": "bench"}
    shown = figures_of(call("GET", address("bake", **fields)).text)
    assert shown["Cut after"] == f"{cooled['minutes_low']} to {cooled['minutes_high']} min core at 28 °C"


def test_height_of_the_bake_alone_gives_a_cooling_time(call: Call) -> None:
    assert "Cut after" in figures_of(call("GET", address("bake", baked_depth="36 mm")).text)
    assert "Cut after" not in figures_of(call("GET", address("bake")).text)


@pytest.mark.parametrize(
    ("fields", "label"),
    [
        ({"cool_place": "cellar"}, "Where it cools:"),
        ({"cut_temperature": "warm"}, "Cut when the core is at:"),
        ({"cut_temperature": "300 °C"}, "Cut when the core is at:"),
        ({"baked_depth": "4 m"}, "Height of the baked"),
    ],
)
def test_errors_of_the_cooling_name_their_fields(call: Call, fields: dict[str, str], label: str) -> None:
    response = call("GET", address("bake", **{"baked_depth": "36 mm"} | fields))
    assert response.status_code == 422
    assert label in text_of(response.text)


def test_the_bake_card_is_shown_in_german(call: Call) -> None:
    html = call("GET", address("bake", lang="de", baked_depth="36 mm")).text
    shown = figures_of(html)
    assert re.fullmatch(r"\d+ bis \d+ min", shown["Wohl fertig"])
    assert re.fullmatch(r"\d+ bis \d+ min Kern bei 30 °C", shown["Schneiden nach"])
    assert "Kerntemperatur, °C" in text_of(html)  # on the axis of the curve


@pytest.mark.parametrize(
    ("language", "message"), [("en", "The recipe bakes in steps"), ("de", "in mehreren Schritten")]
)
def test_a_bake_in_steps_is_asked_for_and_its_first_step_is_no_window(call: Call, language: str, message: str) -> None:
    recipe = "Cheesecake\nround 23 x 7 cm\n\n900 g cream cheese\n\nBake 10 mins at 200C then 25 mins at 110C"
    form = call("GET", address("bake", "pieces", "dough", recipe=recipe, depth="5 cm", lang=language))
    assert form.status_code == 422
    assert message in text_of(form.text)
    fields = {"recipe": recipe, "depth": "5 cm", "oven": "140 C", "minutes": "60"}
    filled = call("GET", address("bake", "pieces", "dough", **fields))
    assert "Check from" in figures_of(filled.text)


@pytest.mark.parametrize(("written", "shown"), [("75 °C", "75 °C"), ("93,5 C", "94 °C"), ("165 F", "74 °C")])
def test_the_core_is_the_one_that_the_baker_fills_in(call: Call, written: str, shown: str) -> None:
    """165 °F are 73.9 °C, by the definition of the scale."""
    html = call("GET", address("bake", core=written)).text
    assert figures_of(html)["Core when done"] == shown
    assert "Core temperature: Not given" not in text_of(html)


def test_a_core_that_no_oven_reaches_is_said_at_its_field(call: Call) -> None:
    page = call("GET", address("bake", core="hot"))
    assert page.status_code == 422
    assert "Core when done:" in text_of(page.text)


def test_buns_are_probed_in_a_bun_and_not_in_a_slab(call: Call) -> None:
    recipe = "Milk buns\n\n500 g strong white flour\n300 ml milk\n7 g instant yeast\n\nBake at 200 °C for 16 minutes"
    fields = {"recipe": recipe, "piece_grams": "60 g", "want": "x 3"}
    for language, middle in (("en", "96 °C in the middle of a piece."), ("de", "96 °C in der Mitte eines Stücks.")):
        text = text_of(call("GET", address("bake", "pieces", "dough", "depth", lang=language, **fields)).text)
        assert middle in text
        assert "slab, and" not in text
        assert "Dough pieces cook last" not in text


def test_pieces_that_stick_out_are_said_once(call: Call) -> None:
    """The pieces of the recipe and those of the tin wanted differ by tenths of a millimetre."""
    text = text_of(call("GET", address("bake", depth="15 mm", want="square 25 x 5 cm")).text)
    assert text.count("it sticks out") == 1
