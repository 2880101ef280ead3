"""What people write means the same in every field of the contract that takes it, or is asked about alike."""

from urllib.parse import quote_plus

import pytest

from api.wire.reading import MAX_WORDED
from tests.api.conftest import Call
from tests.api.written import (
    COOL,
    FORMULA,
    INCH_MM,
    OUNCE_G,
    POUND_G,
    Ask,
    each,
    of_a_good,
    of_a_line,
    of_a_tin,
    of_the_stock,
    posted,
    queried,
)

LINE_GRAMS = "targets.0.components.0.lines.0.grams"
MASSES = {
    "line": posted("/v1/rescale", LINE_GRAMS, lambda text: of_a_line(quantity=text)),
    "target": posted("/v1/rescale", "targets.0.grams", lambda text: {"formula": FORMULA, "targets": [{"mass": text}]}),
    "wish of a query": queried("/v1/rescale?line=1000+g+butter&want={}", LINE_GRAMS),
    "row": posted("/v1/convert", "items.0.answer.amount", lambda text: {"items": [{"quantity": text, "to": "g"}]}),
}
# Fields whose answer does not repeat them: that they are read alike shows in what they refuse.
MASSES_NOT_REPEATED = {
    "scale step": posted("/v1/rescale", "factor", lambda text: {"formula": FORMULA, "scale_step": text}),
    "scale step of a query": queried("/v1/rescale?line=1000+g+butter&scale_step={}", "factor"),
    "pack": posted("/v1/cost", "factor", lambda text: of_a_good(text, "3")),
    "stock": posted("/v1/batches", "factor", of_the_stock),
    "heaviest portion": queried("/v1/cuts?slab=30+x+20+cm&portions=12&slab_grams=500&largest_mass={}", "factor"),
}
NUMBERS = {
    "line": posted("/v1/rescale", LINE_GRAMS, lambda text: of_a_line(amount=text, unit="g")),
    "conversion": queried("/v1/convert?amount={}&unit=g&to=g", "amount"),
    "row of a query": queried("/v1/convert/rows?item={}%7Cg%7C%7Cg", "items.0.answer.amount"),
    "row": posted(
        "/v1/convert", "items.0.answer.amount", lambda text: {"items": [{"amount": text, "unit": "g", "to": "g"}]}
    ),
    "column": posted("/v1/convert/columns", "amounts.0", lambda text: {"amounts": [text], "units": ["g"], "to": ["g"]}),
    "density of a column": posted(
        "/v1/convert/columns",
        "amounts.0",
        lambda text: {"amounts": ["1"], "units": ["ml"], "to": ["g"], "g_per_ml": [text]},
    ),
    "density of a query": queried("/v1/convert?amount=1&unit=ml&to=g&g_per_ml={}", "amount"),
    "grams of a query": queried("/v1/pieces?grams={}&count=1", "grams_each"),
    "fan offset of a query": queried("/v1/oven?setting=180+C&fan_offset_celsius={}", "fan_offset_celsius"),
    "factor of a wish": queried("/v1/rescale?line=1000+g+butter&want=x+{}", "targets.0.factor"),
    "eggs": posted("/v1/eggs", "parts.0.asked_count", lambda text: {"whole": text, "egg_class": "eu_m"}),
    "eggs of a query": queried("/v1/eggs?whole={}&egg_class=eu_m", "parts.0.asked_count"),
}
DEPTHS = {
    "formula": posted(
        "/v1/rescale", "targets.0.filled_depth_mm", lambda text: {"formula": {**FORMULA, "filled_depth": text}}
    ),
    "target": posted(
        "/v1/rescale",
        "targets.0.filled_depth_mm",
        lambda text: {"formula": FORMULA, "targets": [{"tin": "square 23 cm", "depth": text}]},
    ),
    "query": queried("/v1/tins/measure?tin=square+20+cm&filled_depth={}", "filled_depth_mm"),
    "shape": posted(
        "/v1/tins/measure", "depth_mm", lambda text: {"tin_shape": {"shape": "square", "side": "20 cm", "depth": text}}
    ),
    "choice": posted("/v1/tins/choose", "depth_low_mm", of_a_tin),
}
LENGTHS_NOT_REPEATED = {
    "trim of a query": queried("/v1/cuts?slab=90+x+90+cm&portions=4&trim={}", "factor"),
    "knife": posted("/v1/cuts", "factor", lambda text: {"slab": "90 x 90 cm", "portions": 4, "knife_width": text}),
    "spacing of a query": queried("/v1/pieces?grams=100&count=1&tray=60+x+40+cm&diameter=4+cm&spacing={}", "factor"),
    "cooling": posted("/v1/cool", "factor", lambda text: {**COOL, "depth": text}),
}


@each(MASSES)
@pytest.mark.parametrize(
    ("text", "grams"),
    [
        ("812,5 g", 812.5),
        ("1,5 kg", 1500),
        ("½ kg", 500),
        ("1 lb 4 oz", POUND_G + 4 * OUNCE_G),
        ("2 x 400 g", 800),
        ("1 Pfund", 500),
        ("1.234,5 g", 1234.5),
    ],
)
def test_a_mass_is_read_as_people_write_it(call: Call, ask: Ask, text: str, grams: float) -> None:
    figure, errors = ask(call, text)
    assert not errors
    assert figure == pytest.approx(grams, rel=1e-12)


@each({**MASSES, **MASSES_NOT_REPEATED})
def test_a_mass_whose_sign_may_separate_thousands_is_asked_about(call: Call, ask: Ask) -> None:
    for text in ("1.500 g", "1,500 g"):
        (error,) = ask(call, text)[1]
        assert (error["code"], error["candidates"]) == ("ambiguous_number", ["1500 g", "1.5 g"])


@pytest.mark.parametrize("text", ["1.500 g", "1,500 g"])
def test_the_measures_of_a_job_say_whose_sign_it_is(call: Call, text: str) -> None:
    grams = 1.5 if "." in text else 1500
    job = {"formula": FORMULA, "targets": [{"mass": text}], "measures": "uk", "scale_step": text}
    assert call("POST", "/v1/rescale", json=job).json()["targets"][0]["grams"] == grams
    address = f"/v1/rescale?line=1000+g+butter&measures=uk&want={quote_plus(text)}"
    assert call("GET", address).json()["targets"][0]["grams"] == grams


@each({name: MASSES_NOT_REPEATED[name] for name in ("scale step", "pack", "heaviest portion")} | MASSES_NOT_REPEATED)
def test_a_mass_in_every_form_is_taken(call: Call, ask: Ask) -> None:
    for text in ("812,5 g", "1,5 kg", "½ kg", "1 lb 4 oz", "2 x 400 g"):
        assert not ask(call, text)[1]


@each({name: ask for name, ask in MASSES_NOT_REPEATED.items() if name not in {"stock", "pack"}})
def test_a_mass_without_a_unit_offers_units(call: Call, ask: Ask) -> None:
    (error,) = ask(call, "65")[1]
    assert (error["code"], error["candidates"]) == ("unreadable", ["65 g", "65 kg"])
    assert not ask(call, error["candidates"][0])[1]


@each(NUMBERS)
@pytest.mark.parametrize(
    ("text", "number"), [("12,5", 12.5), ("½", 0.5), ("1-3/4", 1.75), ("1 1/2", 1.5), ("1.5", 1.5)]
)
def test_a_number_is_read_as_people_write_it(call: Call, ask: Ask, text: str, number: float) -> None:
    assert ask(call, text) == (number, [])


@each(NUMBERS)
def test_a_number_whose_comma_may_separate_thousands_is_asked_about(call: Call, ask: Ask) -> None:
    (error,) = ask(call, "1,500")[1]
    assert (error["code"], error["candidates"]) == ("ambiguous_number", ["1500", "1.5"])


@each({name: ask for name, ask in NUMBERS.items() if "query" not in name and name != "factor of a wish"})
def test_a_number_with_its_unit_or_a_range_says_what_to_write(call: Call, ask: Ask) -> None:
    (unit,), (two,) = ask(call, "20 g")[1], ask(call, "2-3")[1]
    assert unit["candidates"] == ["20"]
    assert two["candidates"] == ["2", "2.5", "3"]


@each(DEPTHS)
@pytest.mark.parametrize(
    ("text", "mm"),
    [("20,5 mm", 20.5), ("2,5 cm", 25), ("1 1/4 in", 1.25 * INCH_MM), ('3/4"', 0.75 * INCH_MM), ("1 Zoll", INCH_MM)],
)
def test_a_length_is_read_as_people_write_it(call: Call, ask: Ask, text: str, mm: float) -> None:
    figure, errors = ask(call, text)
    assert not errors
    assert figure == pytest.approx(mm, rel=1e-12)


@each({**DEPTHS, **LENGTHS_NOT_REPEATED})
def test_a_length_that_leaves_something_open_is_asked_about(call: Call, ask: Ask) -> None:
    (bare,), (two,), (foot,), (sizes,) = (ask(call, text)[1] for text in ("25", "2 to 3 cm", "1 foot", "2 x 3 cm"))
    assert bare["candidates"] == ["25 cm", "25 mm", "25 in"]
    assert two["candidates"] == ["2 cm", "2.5 cm", "3 cm"]
    assert (foot["code"], foot["candidates"]) == ("unknown_unit", ["cm", "mm", "in"])
    assert "one length" in sizes["message"]


def test_a_price_has_a_point_or_a_comma(call: Call) -> None:
    costs = [call("POST", "/v1/cost", json=of_a_good("1 kg", price)).json()["targets"][0] for price in ("3.29", "3,29")]
    assert costs[0] == costs[1]
    error = call("POST", "/v1/cost", json=of_a_good("1 kg", "1,290")).json()["errors"][0]
    assert (error["code"], error["candidates"]) == ("ambiguous_number", ["1290", "1.29"])


@pytest.mark.parametrize(
    ("unit", "code", "candidates"),
    [("Tassen", "unknown_unit", ["us_cup", "metric_cup", "jp_cup"]), ("Pfund", "unknown_unit", ["g"])],
)
def test_a_unit_of_no_table_says_what_to_write(call: Call, unit: str, code: str, candidates: list[str]) -> None:
    error = call("GET", f"/v1/convert?amount=2&unit={unit}&to=g&ingredient=plain+flour").json()["errors"][0]
    assert (error["code"], error["candidates"]) == (code, candidates)
    assert unit in error["message"]


def test_a_request_has_few_different_quantities_in_words(call: Call) -> None:
    quantities = [f"1 lb {row + 1} oz" for row in range(MAX_WORDED + 5)]
    rows = [{"quantity": quantity, "to": "g"} for quantity in quantities]
    items = call("POST", "/v1/convert", json={"items": rows}).json()["items"]
    assert ["problem" in item for item in items] == [False] * MAX_WORDED + [True] * 5
    assert items[-1]["problem"]["errors"][0]["limit"] == MAX_WORDED
    lines = [{"ingredient": "butter", "quantity": quantity} for quantity in quantities]
    parts = [{"name": f"part {at}", "lines": lines[at : at + 50]} for at in range(0, len(lines), 50)]
    errors = call("POST", "/v1/rescale", json={"formula": {**FORMULA, "components": parts}}).json()["errors"]
    assert [error["pointer"] for error in errors] == [
        f"/formula/components/{MAX_WORDED // 50}/lines/{row}/quantity" for row in range(5)
    ]
