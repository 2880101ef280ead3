"""The weigh card shows the figures of `/v1/rescale`, and says what is wrong by the labels of its fields."""

import re
from html import unescape
from itertools import accumulate
from typing import Any

import pytest

from api.contract.examples import FOLDER, load_example
from api.pages.cards.fields import LABELS
from tests.api.conftest import Call
from tests.pages.bench import figures_of
from tests.pages.conftest import EXAMPLES, PARKIN, SLAB, Get

NBSP = "\N{NO-BREAK SPACE}"
ROW = re.compile(
    r"<b>(?P<name>[^<]+)</b>(?P<notes>.*?)</label>.*?<td class=\"key\">(?P<grams>[^<]+)</td>\s*"
    r"<td class=\"bowl\">.*?</span>\s*(?P<bowl>[^<]+)</td>",
    re.DOTALL,
)


def rows(page: str) -> list[dict[str, str]]:
    """Name, notes, grams and the total in the bowl of each line of a weigh card."""
    return [
        {name: unescape(re.sub(r"<[^>]+>", "", text)).strip() for name, text in row.groupdict().items()}
        for row in ROW.finditer(page)
    ]


def grams(text: str) -> float:
    return float(text.removesuffix("\N{NO-BREAK SPACE}g").replace(",", "."))


def body_of(job: dict[str, Any], formula: str, want: str) -> dict[str, Any]:
    """The request of `/v1/rescale` for the formula that the example's recipe is written from."""
    return {
        "formula": {**load_formula(formula), "filled_depth": job["depth"]},
        "targets": [{"tin": want}],
        "measures": "uk",
        "available_egg_classes": job.get("eggs", ["eu_m"]),
    }


def load_formula(name: str) -> dict[str, Any]:
    loaded: dict[str, Any] = load_example(FOLDER / "formulas" / f"{name}.json")
    return loaded


@pytest.mark.parametrize(("job", "formula"), [(PARKIN, "ginger-parkin"), (SLAB, "rye-plum-slab")])
@pytest.mark.parametrize("want", ["rectangle 20 x 30 x 5 cm", "round 26 x 6 cm", "square 23 x 5 cm"])
def test_the_card_shows_what_the_api_answers(
    get: Get, call: Call, job: dict[str, Any], formula: str, want: str
) -> None:
    """The recipe is the formula of the demo shop in words, so the API's answer for that formula is expected."""
    answer = call("POST", "/v1/rescale", json=body_of(job, formula, want)).json()["targets"][0]
    page = get("weigh", job, want=[want])
    assert page.status_code == 200
    shown = rows(page.text)
    lines = [line for component in answer["components"] for line in component["lines"]]
    assert [grams(row["grams"]) for row in shown] == [line["weigh_grams"] for line in lines]
    for row, line in zip(shown, lines, strict=True):
        if "spoons" in line:
            assert line["spoons"]["text"] in row["notes"]
        for count in line.get("eggs", ()):
            if not count["whole_eggs"]:  # the mass of the line once more
                assert f"{line['weigh_grams']:g} g beaten" in row["notes"]
                continue
            assert re.search(rf"\b{count['whole_eggs']} (egg|white|yolk)", row["notes"])
            assert f"{count['beaten_grams']:.0f} g beaten" in row["notes"] or count["beaten_grams"] < 0.5
    assert f"{answer['filled_depth_mm']:.0f}\N{NO-BREAK SPACE}mm" in page.text
    pieces = next(component["pieces"] for component in answer["components"] if "pieces" in component)
    assert f"Divide into {pieces['count']} pieces of {pieces['grams_each']:.1f}".rstrip("0").rstrip(".") in page.text


SANDWICH = {"recipe": "Sandwich\n2 x 20 cm round sandwich tins\n\n240 g butter\n240 g caster sugar\n"}


@pytest.mark.parametrize("tin", ["round 20 x 4.5 cm", "2 x round 20 x 4.5 cm", "2 x 20 cm round"])
def test_a_tin_written_once_more_with_its_depth_keeps_the_number_of_tins(get: Get, tin: str) -> None:
    """A mix of 480 g in two tins of 20 cm: two of 25 cm hold (25/20)^2 of it, whoever says how deep the tins are."""
    of_recipe, with_depth = (
        get("weigh", {**SANDWICH, **fields}, want=["round 25 x 5 cm"], tins="2").text for fields in ({}, {"tin": tin})
    )
    assert [row["grams"] for row in rows(with_depth)] == [row["grams"] for row in rows(of_recipe)]
    assert [grams(row["grams"]) for row in rows(with_depth)] == [375, 375]
    assert "made in 2 × round 20" in with_depth


def test_a_tin_of_another_number_replaces_the_number_of_the_recipe(get: Get) -> None:
    page = get("weigh", {**SANDWICH, "tin": "3 x 20 cm round"}, want=["round 20 x 5 cm"], tins="3").text
    assert [grams(row["grams"]) for row in rows(page)] == [240, 240]


def test_what_each_of_several_tins_gets_is_said_for_each_bowl(get: Get) -> None:
    """480 g for two tins of 20 cm are 240 g in each; three tins of 10 cm hold a quarter of that each."""
    in_one = get("weigh", SANDWICH, want=["round 20 x 5 cm"]).text
    assert "in each of" not in in_one
    several = get("weigh", {**SANDWICH, "want": ["round 10 x 5 cm"], "tins": "3"}).text
    assert f"60{NBSP}g in each of 3 tins" in several
    as_written = get("weigh", SANDWICH).text
    assert f"240{NBSP}g in each of 2 tins" in as_written


@pytest.mark.parametrize(("lang", "text"), [("en", "g in each cup"), ("de", "g in jede Mulde")])
def test_what_each_cup_of_a_tray_gets_is_said(get: Get, lang: str, text: str) -> None:
    """480 g in a tray of 12 cups, filled to the same share in two trays of 6 cups: 40 g in each."""
    muffins = {"recipe": "Muffins\n\n240 g butter\n240 g caster sugar", "tin": "cavities 12 x 100 ml"}
    page = get("weigh", {**muffins, "lang": lang}, want=["cavities 6 x 100 ml"], tins="2").text
    assert f"40{NBSP}{text}" in page
    assert f"240{NBSP}g in " in page


def test_less_than_half_a_gram_of_egg_is_weighed_and_not_none(get: Get) -> None:
    page = get("weigh", PARKIN, want=["x 0.004"]).text
    eggs = [row["notes"] for row in rows(page) if "egg" in row["notes"]]
    assert eggs
    assert not any("0 eggs" in note for note in eggs)


def test_a_note_about_a_line_names_its_ingredient(get: Get) -> None:
    assert "salt: No standard fixes a pinch" in get("weigh", PARKIN).text


def test_the_sizes_of_a_tin_have_the_decimal_sign_of_the_page(get: Get) -> None:
    assert "27.5 × 18 cm" in get("weigh", PARKIN, want=["27,5 x 18 cm"]).text
    assert "27,5 × 18 cm" in get("weigh", PARKIN, want=["27.5 x 18 cm"], lang="de").text


def test_the_bowl_shows_the_sum_of_what_was_weighed(get: Get) -> None:
    """Each component has a bowl of its own; a scale with a step of 1 g shows the sum to half a gram."""
    page = get("weigh", PARKIN).text
    for section in page.split('<section class="component"')[1:]:
        shown = rows(section)
        for row, total in zip(shown, accumulate(grams(row["grams"]) for row in shown), strict=True):
            assert grams(row["bowl"]) == pytest.approx(total, abs=0.5 + 1e-9)


@pytest.mark.parametrize("job", EXAMPLES.values(), ids=EXAMPLES)
@pytest.mark.parametrize("want", ["rectangle 20 x 30 x 5 cm", "round 26 x 6 cm", "square 24 x 6 cm", "x 0.1"])
def test_the_mass_weighed_in_all_is_the_sum_of_the_bowls(get: Get, job: dict[str, Any], want: str) -> None:
    page = get("weigh", job, want=[want]).text
    bowls = [rows(part)[-1]["bowl"] for part in page.split('<section class="component"')[1:]]
    assert len(bowls) == 2
    assert grams(figures_of(page)["Weighed in all"].replace(" ", NBSP)) == pytest.approx(sum(map(grams, bowls)))


def test_every_line_has_a_box_to_tick_without_script(get: Get) -> None:
    page = get("weigh", PARKIN).text
    boxes = re.findall(r'<label for="([^"]+)"><input type="checkbox"[^>]* id="([^"]+)"', page)
    assert len(boxes) == len(rows(page)) == 16
    assert all(for_id == box_id for for_id, box_id in boxes)
    assert len({box_id for _, box_id in boxes}) == len(boxes)


def test_a_line_without_an_amount_is_not_lost(get: Get) -> None:
    recipe = f"{PARKIN['recipe']}\nicing sugar to dust"
    assert "icing sugar to dust" in get("weigh", PARKIN, recipe=recipe).text


def test_assumptions_of_the_reader_are_listed(get: Get) -> None:
    page = get("weigh", recipe="100 g butter\n2-3 tbsp milk", measures="uk").text
    assert "The middle of 2 to 3 is taken." in page


def test_several_tins_wanted_are_links_and_the_first_is_weighed(get: Get, call: Call) -> None:
    wanted = ["round 23 x 5 cm", "rectangle 20 x 30 x 5 cm"]
    page = get("weigh", PARKIN, want=wanted).text
    links = re.findall(r'<a class="button" href="([^"]+)"[^>]*>([^<]*× 5 cm)</a>', page)
    assert [unescape(title) for _, title in links] == ["rectangle 20 × 30 × 5 cm", "round 23 × 5 cm"]
    first, second = (call("GET", unescape(path)).text for path, _ in links)
    assert rows(second) == rows(page)
    assert rows(first) == rows(get("weigh", PARKIN, want=wanted[1]).text)


WRONG = {
    "want": ("moon", "such as square 20 x 5 cm"),
    "tin": ("oval", ""),
    "depth": ("deep", "such as 26 mm"),
    "want_depth": ("3", "such as 26 mm"),
    "tins": ("many", "whole number"),
    "pieces": ("1.5", "whole number"),
    "eggs": ("dinosaur", "Choose a class"),
    "egg_class": ("dinosaur", "Choose a class"),
    "measures": ("martian", "say whose the recipe uses"),
    "minutes": ("-3", "Above 0"),
    "oven": ("warm-ish", "such as 150 celsius"),
    "dough": ("ganache", "no part of this name"),
    "answer": ("butter", "number of the line"),
    "candles": ("3", "no such field"),
}


@pytest.mark.parametrize("name", WRONG)
def test_an_error_names_the_field_by_its_label(get: Get, name: str) -> None:
    value, words = WRONG[name]
    page = get("weigh", PARKIN, **{name: value})
    assert (page.status_code, page.headers["content-type"]) == (422, "text/html; charset=utf-8")
    assert page.headers["cache-control"] == "no-store"
    labels = re.findall(r"<strong>([^<]+):</strong>", page.text)
    assert labels == [LABELS.get(name, name)] or name in {"dough", "measures"}  # these two are asked
    faults = page.text.partition("</form>")[0]
    assert words in unescape(faults)
    for programmers_word in ("`", "formula.", "GET /v1", "Input should", "JSON"):
        assert programmers_word not in faults


def test_everything_wrong_is_said_at_once(get: Get) -> None:
    page = get("weigh", PARKIN, want="moon", depth="deep", tins="many", candles="3").text
    labels = re.findall(r"<strong>([^<]+):</strong>", page)
    assert labels == [LABELS["depth"], LABELS["want"], LABELS["tins"], "candles"]


def test_what_a_tin_needs_is_asked_in_the_words_of_the_page(get: Get) -> None:
    page = get("weigh", recipe="100 g butter", want=["round 20 x 5 cm"])
    assert page.status_code == 422
    assert f"<strong>{LABELS['tin']}:</strong>" in page.text
    assert "Say which tin the recipe was made in" in page.text


@pytest.mark.parametrize("job", EXAMPLES.values(), ids=EXAMPLES)
def test_a_card_is_kept_like_an_answer(get: Get, call: Call, job: dict[str, Any]) -> None:
    page = get("weigh", job)
    assert page.headers["cache-control"].startswith("public, max-age=")
    again = call("GET", str(page.url), headers={"If-None-Match": page.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")
    assert "Accept-Language" in page.headers["vary"]


def test_a_warning_is_said_once(get: Get) -> None:
    """A tin without a depth is named of the recipe's tin and of the tin wanted."""
    page = get(
        "weigh", recipe="100 g butter\n3 tsp salt\n2 tsp salt", measures="uk", tin="round 20 cm", want=["round 26 cm"]
    )
    assert page.status_code == 200
    notes = re.findall(r"<li>(.*?)</li>", page.text.partition('id="warnings"')[2].partition("</ul>")[0])
    assert notes
    assert len(set(notes)) == len(notes)
