"""`/v1/pieces` over HTTP: the fixed fields, lines, scoops, trays, patterns, drawings and errors."""

import math
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter

from api.v1.pieces.schemas import PiecesResult
from tests.api.conftest import Call
from tests.strategies import LAW


def fits(answer: Any) -> Any:
    """The answer, after validation by its declared model."""
    TypeAdapter(PiecesResult).validate_json(answer.content, strict=True)
    return answer.json()


def test_the_fields_that_other_programs_depend_on(call: Call) -> None:
    answer = fits(call("GET", "/v1/pieces", params={"grams": 1_000, "grams_each": 45}))
    assert (answer["count"], answer["grams_each"], answer["leftover_grams"]) == (22, 1_000 / 22, 10)
    assert answer["division"]["written_grams_each"] == 45
    assert (answer["division"]["below"]["count"], answer["division"]["above"]["count"]) == (21, 23)


def test_lines_are_weighed_and_carry_their_range(call: Call) -> None:
    lines = [
        {"ingredient": "rolled oats", "quantity": "1 cup"},
        {"ingredient": "butter", "quantity": "30 g"},
        {"ingredient": "egg", "quantity": "1 each"},
    ]
    body = {"lines": lines, "measures": "us", "egg_class": "us_large", "count": 10}
    answer = fits(call("POST", "/v1/pieces", json=body))
    assert answer["mix"]["grams_low"] < answer["mix"]["grams"] < answer["mix"]["grams_high"]
    assert answer["grams_each"] == pytest.approx(answer["mix"]["grams"] / 10)
    assert answer["grams_low"] < answer["grams_each"] < answer["grams_high"]
    assert {source["source"] for source in answer["mix"]["cited"]} >= {"usda-sr28"}


def test_a_scoop_has_its_measures_and_sources(call: Call) -> None:
    answer = fits(call("GET", "/v1/pieces", params={"grams": 1_000, "scoop": 30, "g_per_ml": 1}))
    scoop = answer["scoop"]
    # 1/30 US quart; 2 tablespoons by one source, 2.2 by the other: reference/scoops.csv.
    assert (scoop["ml"], scoop["ml_low"], scoop["ml_high"]) == pytest.approx((31.545, 29.574, 32.531), abs=0.0005)
    assert {source["source"] for source in scoop["cited"]} == {"icn-glance", "libre-gm"}
    assert (answer["count"], answer["count_low"], answer["count_high"]) == (31, 30, 33)


def test_a_tray_is_filled_in_square_and_in_staggered_rows(call: Call) -> None:
    tray_asked = {"tray": "rectangle 60 x 40 cm", "diameter": "4 cm", "spacing": "3 cm", "tray_margin": "2 cm"}
    tray = fits(call("GET", "/v1/pieces", params={"grams": 1_800, "grams_each": 30, **tray_asked}))["tray"]
    # 8 pieces fit in 56 cm at 7 cm from middle to middle (the last needs no gap), and 5 in 36 cm. Staggered rows are
    # 6.06 cm apart.
    assert (tray["square"]["row_counts"], tray["square"]["trays"], tray["square"]["on_last_tray"]) == ([8] * 5, 2, 20)
    assert (tray["staggered"]["row_counts"], tray["staggered"]["per_tray"]) == ([8, 7, 8, 7, 8, 7], 45)


def test_pieces_set_into_a_batter_have_positions_and_a_caution(call: Call) -> None:
    params = {"grams": 192, "count": 16, "tin": "square 20 cm", "g_per_ml": 1.05}
    answer = fits(call("GET", "/v1/pieces", params=params))
    assert [row["count"] for row in answer["pattern"]["piece_rows"]] == [4, 4, 4, 4]
    assert answer["pattern"]["positions"][0] == pytest.approx({"x_mm": 25, "y_mm": 25})
    assert [warning["code"] for warning in answer["warnings"]] == ["pieces_cook_last"]
    drawn = call("GET", "/v1/pieces", params={**params, "format": "svg"})
    assert drawn.headers["content-type"].startswith("image/svg+xml")
    assert fits(call("POST", "/v1/pieces", json={**params, "drawing": True}))["drawing"] == drawn.text


UNKNOWN = "unknown_ingredient"
REFUSED: list[tuple[dict[str, Any], str, str]] = [
    ({"count": 3}, "mix_needed", "/grams"),
    ({"grams": 100}, "pieces_needed", ""),
    ({"grams": 100, "count": 3, "scoop": 16}, "pieces_needed", "/count"),
    ({"grams": 100, "scoop": 16}, "density_needed", "/g_per_ml"),
    ({"grams": 10, "grams_each": 45}, "out_of_range", "/grams_each"),
    ({"grams": 10, "lines": [{"ingredient": "butter", "quantity": "1 g"}], "count": 2}, "given_twice", "/grams"),
    ({"lines": [{"ingredient": "butter", "quantity": "1 cup"}], "count": 2}, "ambiguous_unit", "/lines/0/quantity"),
    (
        {"lines": [{"ingredient": "moon dust", "quantity": "1 g"}], "count": 2},
        "unknown_ingredient",
        "/lines/0/ingredient",
    ),
    ({"lines": [{"ingredient": "egg", "quantity": "1 each"}], "count": 2}, "egg_class_needed", "/egg_class"),
    ({"grams": 100, "count": 3, "tray": "half-sheet"}, "diameter_needed", "/diameter"),
    ({"grams": 100, "count": 3, "tray": "round 30 cm", "diameter": "3 cm"}, "tray_mismatch", "/tray"),
    ({"grams": 100, "count": 3, "tray": "square 3 cm", "diameter": "4 cm"}, "piece_too_large", "/tray"),
    ({"grams": 1_000, "count": 500, "tin": "square 20 cm"}, "out_of_range", "/count"),
    ({"grams": 1_000, "grams_each": 2, "tin": "square 20 cm"}, "out_of_range", "/grams_each"),
    ({"grams": 10_000, "scoop": 30, "g_per_ml": 1, "tin": "square 20 cm"}, "out_of_range", "/scoop"),
    ({"grams": 1_000, "count": 5, "diameter": "3 cm", "tray": "cavities 12 x 80 ml"}, "tray_mismatch", "/tray"),
]


@pytest.mark.parametrize(("body", "code", "pointer"), REFUSED, ids=[f"{c} {b}" for b, c, _ in REFUSED])
def test_errors_have_a_code_and_a_pointer(call: Call, body: dict[str, Any], code: str, pointer: str) -> None:
    answer = call("POST", "/v1/pieces", json=body)
    error = answer.json()["errors"][0]
    assert answer.status_code == 422
    assert (error["code"], error["pointer"]) == (code, pointer)


SEVERAL: list[tuple[dict[str, Any], set[str]]] = [
    (
        {
            "grams": 100,
            "count": 3,
            "tray": "moon",
            "spacing": "1 g",
            "tray_margin": "x",
            "diameter": "0 mm",
            "tin": "none",
        },
        {"tray", "spacing", "tray_margin", "diameter", "tin"},
    ),
    ({"grams": 100, "count": 3, "scoop": 16, "tray": "moon"}, {"count", "tray"}),
    (
        {"grams": 100, "count": 3, "grams_each": 4, "baked_depth": "3 g", "tin": "square 20 cm"},
        {"grams_each", "baked_depth"},
    ),
    ({"grams": 1_000, "count": 400, "tray": "half-sheet", "tin": "square 20 cm"}, {"diameter", "count"}),
    (
        {"grams": 1_000, "count": 400, "tray": "round 30 cm", "diameter": "4 cm", "tin": "square 20 cm"},
        {"tray", "count"},
    ),
]


@pytest.mark.parametrize(("request_", "names"), SEVERAL, ids=[str(sorted(names)) for _, names in SEVERAL])
def test_every_error_is_reported_at_once(call: Call, request_: dict[str, Any], names: set[str]) -> None:
    posted, got = call("POST", "/v1/pieces", json=request_), call("GET", "/v1/pieces", params=request_)
    assert (posted.status_code, got.status_code) == (422, 422)
    assert {error["pointer"] for error in posted.json()["errors"]} == {f"/{name}" for name in names}
    assert {error["parameter"] for error in got.json()["errors"]} == names


def test_every_error_of_a_mix_in_lines_is_reported_at_once(call: Call) -> None:
    lines = [
        {"ingredient": "butter", "quantity": "30 g"},
        {"ingredient": "moon dust", "quantity": "1 parsec"},
        {"ingredient": "egg", "quantity": "1 each"},
        {"ingredient": "rolled oats", "quantity": "1 cup"},
    ]
    body = {"lines": lines, "grams": 100, "egg_class": "giant", "count": 3, "tray": "moon"}
    pointers = {error["pointer"] for error in call("POST", "/v1/pieces", json=body).json()["errors"]}
    expected = {"/grams", "/egg_class", "/lines/1/ingredient", "/lines/1/quantity", "/lines/3/quantity", "/tray"}
    assert expected <= pointers
    assert pointers <= expected | {"/lines/2/egg_class"}


lengths = st.floats(1e-6, 5_000).map(lambda mm: f"{mm:.6f} mm") | st.sampled_from(["0 mm", "-1 cm", "1 cup", "x"])
wishes = st.one_of(
    st.fixed_dictionaries({"grams_each": st.floats(1e-9, 1e5)}),
    st.fixed_dictionaries({"count": st.integers(1, 300) | st.integers(1, 100_000)}),
    st.fixed_dictionaries({"scoop": st.integers(4, 120)}),
)
others = st.fixed_dictionaries(
    {"grams": st.floats(1e-9, 1e7)},
    optional={
        "g_per_ml": st.floats(0.02, 25),
        "tray": st.sampled_from(["half-sheet", "square 2000 mm", "rectangle 1 x 2000 mm", "round 20 cm"]),
        "spacing": lengths,
        "tray_margin": lengths,
        "diameter": lengths,
        "tin": st.sampled_from(
            ["square 20 cm", "round 23 cm", "ring 25 x 24.9 cm", "hexagon 1 mm", "rectangle 1 x 2000 mm"]
        ),
        "drawing": st.booleans(),
    },
)
bodies = st.tuples(wishes, others).map(lambda parts: parts[0] | parts[1])


@LAW
@given(body=bodies)
def test_no_request_causes_a_server_error(call: Call, body: dict[str, Any]) -> None:
    answer = call("POST", "/v1/pieces", json=body)
    assert answer.status_code in {200, 422}, answer.text
    if answer.status_code == 200:
        fits(answer)


def test_the_pieces_of_a_formula_are_those_of_rescale(call: Call, formula: dict[str, Any]) -> None:
    targets = [
        {"label": "two", "tin": "square 25 x 5 cm", "tins": 2},
        {"label": "round", "tin": "round 23 x 5 cm", "pieces": {"count": 12, "diameter": "2 cm", "drawing": True}},
        {"label": "muffins", "tin": "cavities 12 x 80 ml"},
        {"label": "bad", "tin": "moon"},
    ]
    body = {"formula": formula, "targets": targets}
    answer = fits(call("POST", "/v1/pieces", json=body))
    whole = call("POST", "/v1/rescale", json=body).json()
    for target, both in zip(answer["targets"][:3], whole["targets"], strict=False):
        (pieces,) = target["pieces"]
        counted = both["components"][1]["pieces"]
        assert {name: pieces[name] for name in counted} == counted
    two, cake, muffins, bad = answer["targets"]
    assert two["pieces"][0]["per_tin"] == math.ceil(two["pieces"][0]["count"] / 2)
    assert len(two["pieces"][0]["pattern"]["positions"]) == two["pieces"][0]["per_tin"]
    assert cake["pieces"][0]["drawing"].startswith("<svg ")
    assert "pattern" not in muffins["pieces"][0]
    assert muffins["pieces"][0]["per_cavity"] * 12 == muffins["pieces"][0]["count"]
    assert bad["problem"]["errors"][0]["pointer"] == "/targets/3/tin"
    drawn = call("POST", "/v1/pieces?format=svg", json=body | {"targets": targets[1:2]})
    assert drawn.status_code == 200
    assert drawn.text.startswith("<svg ")


def test_a_formula_and_a_mix_do_not_go_together(call: Call, formula: dict[str, Any]) -> None:
    answer = call("POST", "/v1/pieces", json={"formula": formula, "grams": 100, "count": 4})
    assert answer.status_code == 422
    assert {error["pointer"] for error in answer.json()["errors"]} == {"/grams", "/count"}
