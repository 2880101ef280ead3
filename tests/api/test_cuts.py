"""`/v1/cuts` over HTTP: the fixed fields, the ways to divide, drawings, several tins, and errors with their place."""

from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pydantic import TypeAdapter

from api.v1.cuts.schemas import CutsAnswer, CutsBatchAnswer
from tests.api.conftest import Call
from tests.strategies import LAW

SVG = "image/svg+xml"


def fits(answer: Any) -> Any:
    """The answer, after validation by its declared model."""
    model = CutsBatchAnswer if "targets" in answer.json() else CutsAnswer
    TypeAdapter(model).validate_json(answer.content, strict=True)
    return answer.json()


def test_the_fields_that_other_programs_depend_on(call: Call) -> None:
    answer = fits(call("GET", "/v1/cuts", params={"tin": "square 20 cm", "rows": 4, "columns": 4, "slab_grams": 960}))
    assert (answer["portions"], answer["rows"], answer["columns"]) == (16, 4, 4)
    assert (answer["corner_portions"], answer["edge_portions"], answer["centre_portions"]) == (4, 8, 4)
    assert answer["portion"] == {"length_mm": 50, "width_mm": 50, "area_mm2": 2_500, "grams": 60}
    assert [mark["mm"] for mark in answer["marks"]["length"]] == [50, 100, 150]
    assert [mark["inches"] for mark in answer["marks"]["width"]] == ["1 15/16", "3 15/16", "5 7/8"]
    assert answer["offcut"] == {"area_mm2": 0, "grams": 0, "percent": 0}


WISHES: list[tuple[dict[str, Any], dict[str, Any]]] = [
    ({"tin": "square 20 cm", "portions": 16}, {"layout": "grid", "portions": 16}),
    ({"tin": "half-sheet", "portions": 24, "portion_shape": "2:1"}, {"layout": "grid", "portions": 24}),
    ({"slab": "33 x 23 cm", "portion_size": "6 x 4 cm"}, {"layout": "grid", "portions": 25}),
    ({"tin": "square 20 cm", "portion_grams": 60, "slab_grams": 960}, {"layout": "grid", "portions": 16}),
    ({"tin": "round 23 cm", "wedges": 12}, {"layout": "wedges", "portions": 12, "edge_portions": 12}),
    ({"tin": "round 23 cm", "portions": 8}, {"layout": "wedges", "portions": 8}),
    ({"tin": "ring 25 x 8 cm", "wedges": 10, "knife_width": "2 mm"}, {"layout": "wedges", "portions": 10}),
    ({"tin": "hexagon 24 cm", "portion_size": "4 x 4 cm"}, {"layout": "grid"}),
    ({"tin": "round 23 cm", "rows": 5, "columns": 5}, {"layout": "grid", "rows": 5, "columns": 5, "portions": 9}),
]


@pytest.mark.parametrize(("fields", "expected"), WISHES, ids=[str(wish) for wish, _ in WISHES])
def test_get_and_post_answer_the_same(call: Call, fields: dict[str, Any], expected: dict[str, Any]) -> None:
    got, posted = call("GET", "/v1/cuts", params=fields), call("POST", "/v1/cuts", json=fields)
    answer = fits(posted)
    assert {name: answer[name] for name in expected} == expected
    without = {name: value for name, value in fits(got).items() if name != "warnings"}
    assert without == {name: value for name, value in answer.items() if name != "warnings"}


def test_rings_in_query_and_body(call: Call) -> None:
    query = {"tin": "round 30 cm", "rings": [1, 6, 12], "rings_by": "width", "ring_width": "5 cm"}
    answer = fits(call("GET", "/v1/cuts", params=query))
    assert answer == fits(call("POST", "/v1/cuts", json=query))
    assert [mark["mm"] for mark in answer["marks"]["radius"]] == [50, 100]
    assert "length_mm" not in answer["portion"], "rings have no one size"


def test_the_bake_loss_is_subtracted_from_the_mix(call: Call) -> None:
    query = {"tin": "square 20 cm", "portions": 16, "mix_grams": 1_000, "bake_loss_percent": 12}
    assert fits(call("GET", "/v1/cuts", params=query))["portion"]["grams"] == 55


@pytest.mark.parametrize("wish", [{"tin": "square 20 cm", "portions": 16}, {"tin": "round 23 cm", "wedges": 7}])
def test_a_drawing_alone_and_in_json(call: Call, wish: dict[str, Any]) -> None:
    drawn = call("GET", "/v1/cuts", params={**wish, "label": "Torte & <co>", "format": "svg"})
    assert (drawn.status_code, drawn.headers["content-type"].partition(";")[0]) == (200, SVG)
    assert drawn.text.startswith("<svg ")
    assert "Torte &amp; &lt;co&gt;" in drawn.text
    inside = fits(call("POST", "/v1/cuts", json={**wish, "label": "Torte & <co>", "drawing": True}))
    assert inside["drawing"] == drawn.text
    assert "drawing" not in fits(call("POST", "/v1/cuts", json=wish))


def test_a_drawing_is_cached_like_any_answer(call: Call) -> None:
    params = {"tin": "square 20 cm", "portions": 16, "format": "svg"}
    first = call("GET", "/v1/cuts", params=params)
    again = call("GET", "/v1/cuts", params=params, headers={"If-None-Match": first.headers["etag"]})
    assert (again.status_code, again.content) == (304, b"")


def test_each_of_several_tins_is_answered_in_its_place(call: Call) -> None:
    targets = [
        {"label": "small", "tin": "square 15 cm", "cuts": {"portion_grams": 60, "slab_grams": 540}},
        {"label": "muffins", "tin": "cavities 12 x 80 ml", "cuts": {"wedges": 4}},
        {"label": "ring", "tin_shape": {"shape": "ring", "diameter": "25 cm", "hole": "8 cm"}, "cuts": {"wedges": 12}},
        {"label": "lost", "tin": "square 20 cm", "cuts": {"portion_grams": 60}},
        {"label": "uncut", "tin": "square 20 cm"},
        {"label": "doubled", "factor": 2, "cuts": {"wedges": 4}},
    ]
    answer = fits(call("POST", "/v1/cuts/batch", json={"targets": targets}))
    small, muffins, ring, lost, uncut, doubled = answer["targets"]
    assert [each["target"] for each in answer["targets"]] == targets
    assert (small["label"], small["cuts"]["portions"], small["cuts"]["slab"]["grams"]) == ("small", 9, 540)
    assert ring["cuts"]["layout"] == "wedges"
    pointers = [each["problem"]["errors"][0]["pointer"] for each in (muffins, lost, uncut, doubled)]
    assert pointers == ["/targets/1/tin", "/targets/3/cuts/slab_grams", "/targets/4", "/targets/5/factor"]


def test_a_warning_says_which_face_of_a_tapered_tin_is_cut(call: Call) -> None:
    tin = {"shape": "tapered_round", "top_diameter": "24 cm", "base_diameter": "20 cm", "depth": "5 cm"}
    rim = fits(call("POST", "/v1/cuts", json={"tin_shape": tin, "wedges": 8}))
    half = fits(call("POST", "/v1/cuts", json={"tin_shape": tin, "wedges": 8, "baked_depth": "25 mm"}))
    assert (rim["portion"]["length_mm"], half["portion"]["length_mm"]) == (120, 110)
    assert [warning["code"] for warning in rim["warnings"]] == ["tapered_face"]
    assert rim["warnings"][0]["pointers"][0] == "/tin_shape"


REFUSED: list[tuple[dict[str, Any], str, str]] = [
    ({"portions": 16}, "slab_needed", "/tin"),
    ({"tin": "square 20 cm", "slab": "20 x 20 cm", "portions": 4}, "slab_needed", "/slab"),
    ({"slab": "9 x 1 m", "portions": 4}, "unreadable_size", "/slab"),
    ({"tin": "square 20 cm"}, "cut_wish_needed", ""),
    ({"tin": "square 20 cm", "rows": 4}, "cut_wish_needed", "/rows"),
    ({"tin": "square 20 cm", "portions": 4, "wedges": 4}, "cut_wish_needed", "/portions"),
    ({"tin": "square 20 cm", "wedges": 4}, "cut_mismatch", "/wedges"),
    ({"tin": "measured 2 l", "portions": 4}, "unreadable_tin", "/tin"),
    ({"tin_shape": {"shape": "measured", "volume": "2 l"}, "portions": 4}, "shape_needed", "/tin_shape"),
    ({"tin": "square 20 cm", "portions": 4, "portion_shape": "round"}, "unreadable", "/portion_shape"),
    ({"tin": "square 20 cm", "portions": 4, "portion_shape": "1:90"}, "out_of_range", "/portion_shape"),
    ({"tin": "square 20 cm", "portions": 4, "portion_shape": "0:1"}, "unreadable", "/portion_shape"),
    ({"tin": "square 20 cm", "portion_size": "5 cm"}, "unreadable_size", "/portion_size"),
    ({"tin": "square 20 cm", "portion_size": "5 x 4 x 3 cm"}, "unreadable_size", "/portion_size"),
    ({"tin": "square 20 cm", "portion_size": "5 x 400 cm"}, "unreadable_size", "/portion_size"),
    ({"tin": "square 20 cm", "portion_size": "1 x 1 mm"}, "out_of_range", "/portion_size"),
    ({"tin": "square 20 cm", "portion_grams": 60}, "slab_grams_needed", "/slab_grams"),
    ({"tin": "square 20 cm", "portions": 4, "mix_grams": 900}, "bake_loss_needed", "/bake_loss_percent"),
    ({"tin": "square 20 cm", "portions": 4, "mix_grams": 9, "slab_grams": 8}, "given_twice", "/mix_grams"),
    ({"tin": "square 20 cm", "portions": 4, "knife_width": "3 mm", "trim": "1 mm"}, "out_of_range", "/trim"),
    ({"tin": "square 20 cm", "portions": 4, "longest_side": "9 g"}, "unit_mismatch", "/longest_side"),
    ({"tin": "square 20 cm", "portions": 4, "longest_side": "5 cm"}, "limit_broken", "/longest_side"),
    ({"tin": "round 23 cm", "portions": 900}, "out_of_range", "/portions"),
    ({"tin": "round 23 cm", "wedges": 900}, "out_of_range", "/wedges"),
    ({"tin": "round 23 cm", "slab_grams": 900, "portion_grams": 0.95}, "out_of_range", "/portion_grams"),
    ({"tin": "round 23 cm", "rings": [900]}, "out_of_range", "/rings/0"),
    ({"tin": "round 23 cm", "rings": [1, 6], "rings_by": "width"}, "needed", "/ring_width"),
    ({"tin": "round 23 cm", "rows": 1, "columns": 1}, "piece_too_large", "/rows"),
    ({"tin": "round 23 cm", "portion_size": "5 x 5 cm", "largest_mass": "5 g"}, "slab_grams_needed", "/slab_grams"),
]


@pytest.mark.parametrize(("body", "code", "pointer"), REFUSED, ids=[f"{c} {b}" for b, c, _ in REFUSED])
def test_errors_have_a_code_and_a_pointer(call: Call, body: dict[str, Any], code: str, pointer: str) -> None:
    answer = call("POST", "/v1/cuts", json=body)
    problem = answer.json()
    assert (answer.status_code, answer.headers["content-type"]) == (422, "application/problem+json")
    assert (problem["errors"][0]["code"], problem["errors"][0]["pointer"]) == (code, pointer)


@pytest.mark.parametrize(
    ("params", "parameter"),
    [
        ({"portions": 4, "longest_side": "5 cm"}, "longest_side"),
        ({"portions": 4, "slab_grams": 900, "largest_mass": "50 g"}, "largest_mass"),
        ({"portions": 4, "largest_mass": "5 cm"}, "largest_mass"),
        ({"rings": [0, 6]}, "rings"),
        ({"rings": [1, "x"]}, "rings"),
        ({"rings": [1, 6], "rings_by": "width"}, "ring_width"),
        ({"rings": [1, 6], "ring_width": "5 cm"}, "ring_width"),
        ({"rings": [900]}, "rings"),
        ({"tin": "round 23 cm", "portions": 900}, "portions"),
        ({"tin": "round 23 cm", "slab_grams": 900, "portion_grams": 0.95}, "portion_grams"),
        ({"tin": "round 23 cm", "wedges": 900}, "wedges"),
        ({"tin": "round 23 cm", "wedges": 4, "longest_side": "5 cm"}, "longest_side"),
    ],
)
def test_errors_of_a_query_name_its_parameter(call: Call, params: dict[str, Any], parameter: str) -> None:
    tin = "round 23 cm" if "rings" in params else "square 20 cm"
    answer = call("GET", "/v1/cuts", params={"tin": tin, **params})
    assert answer.status_code == 422
    assert answer.json()["errors"][0]["parameter"] == parameter


SEVERAL: list[tuple[dict[str, Any], dict[str, Any], set[str], set[str]]] = [
    (
        {"tin": "moon", "wedges": 8, "portions": 4, "trim": "1 g", "knife_width": "x"},
        {},
        {"/tin", "/portions", "/trim", "/knife_width"},
        {"tin", "portions", "trim", "knife_width"},
    ),
    (
        {
            "slab": "30 cm",
            "portion_size": "5 x 4 x 3 cm",
            "portion_shape": "round",
            "baked_depth": "3 g",
            "mix_grams": 900,
        },
        {},
        {"/slab", "/portion_size", "/portion_shape", "/baked_depth", "/bake_loss_percent"},
        {"slab", "portion_size", "portion_shape", "baked_depth", "bake_loss_percent"},
    ),
    (
        {
            "tin": "square 20 cm",
            "portions": 4,
            "slab_grams": 9,
            "mix_grams": 9,
            "longest_side": "9 g",
            "largest_mass": "9 cm",
        },
        {},
        {"/mix_grams", "/longest_side", "/largest_mass"},
        {"mix_grams", "longest_side", "largest_mass"},
    ),
    (
        {"tin": "moon", "rings": [1, 6], "rings_by": "width", "ring_width": "5 g"},
        {},
        {"/tin", "/ring_width"},
        {"tin", "ring_width"},
    ),
]


@pytest.mark.parametrize(("body", "flat", "pointers", "parameters"), SEVERAL, ids=range(len(SEVERAL)))
def test_every_error_is_reported_at_once(
    call: Call, body: dict[str, Any], flat: dict[str, Any], pointers: set[str], parameters: set[str]
) -> None:
    posted = call("POST", "/v1/cuts", json=body)
    got = call("GET", "/v1/cuts", params={name: value for name, value in (body | flat).items() if value is not None})
    page = call(
        "GET", "/cards/cuts", params={name: value for name, value in (body | flat).items() if value is not None}
    )
    assert (posted.status_code, got.status_code, page.status_code) == (422, 422, 422)
    assert {error["pointer"] for error in posted.json()["errors"]} == pointers
    assert {error["parameter"] for error in got.json()["errors"]} == parameters


def test_every_error_of_a_target_is_reported_at_once(call: Call) -> None:
    bad = {"tin": "moon", "cuts": {"portion_size": "5 cm", "trim": "1 g", "portion_shape": "round"}}
    good = {"tin": "square 20 cm", "cuts": {"portions": 16}}
    refused, answered = fits(call("POST", "/v1/cuts/batch", json={"targets": [bad, good]}))["targets"]
    assert {error["pointer"] for error in refused["problem"]["errors"]} >= {"/targets/0/tin"}
    assert answered["cuts"]["portions"] == 16


@pytest.mark.parametrize("wedges", range(2, 60))
def test_a_limit_equal_to_the_piece_is_kept(call: Call, wedges: int) -> None:
    params = {"tin": "round 30 cm", "slab_grams": 1_000, "wedges": wedges, "largest_mass": f"{1_000 / wedges:.13g} g"}
    assert fits(call("GET", "/v1/cuts", params=params))["portions"] == wedges


@pytest.mark.parametrize(
    "params",
    [
        {"portion_grams": 600, "slab_grams": 1_000},
        {"portion_grams": 110, "slab_grams": 1_000},
        {"portion_grams": 110, "slab_grams": 1_000, "knife_width": "5 mm"},
        {"portion_grams": 45, "slab_grams": 1_000, "knife_width": "3 mm", "trim": "6 mm"},
    ],
)
def test_an_alternative_of_wedges_is_answered_as_offered(call: Call, params: dict[str, Any]) -> None:
    answer = fits(call("GET", "/v1/cuts", params={"tin": "round 20 cm", **params}))
    for offer in answer["alternatives"]:
        others = {name: value for name, value in params.items() if name != "portion_grams"}
        again = fits(call("GET", "/v1/cuts", params={"tin": "round 20 cm", "wedges": offer["portions"], **others}))
        assert again["portions"] == offer["portions"] > 1
        assert again["portion"]["width_mm"] == offer["width_mm"]
        assert again["portion"]["grams"] == offer["grams"]


def test_searches_that_end_in_an_error_use_up_the_budget(call: Call) -> None:
    cuts = {"portion_size": "45 x 45 mm"}
    slow = {"targets": [{"tin": f"octagon {1_700 + i} x 50 mm", "cuts": cuts} for i in range(50)]}
    errors = [each["problem"]["errors"][0] for each in fits(call("POST", "/v1/cuts/batch", json=slow))["targets"]]
    assert (errors[0]["pointer"], errors[-1]["pointer"]) == ("/targets/0/cuts/portion_size", "/targets/49/cuts")
    assert "another request" in errors[-1]["message"]


written = st.floats(1e-6, 5_000).map(lambda mm: f"{mm:.6f} mm")
lengths = written | st.sampled_from(["0 mm", "-1 cm", "1 cup", "x", "9e9 mm", "50 mm", "20 mm"])
masses = st.floats(1e-9, 1e6, exclude_min=True)
counts = st.integers(1, 1_000)
tins = st.sampled_from(
    ["square 20 cm", "round 23 cm", "ring 25 x 8 cm", "hexagon 24 cm", "rectangle 1 x 2000 mm", "round 2000 mm"]
)
wishes = st.one_of(
    st.fixed_dictionaries(
        {"portions": counts}, optional={"portion_shape": st.sampled_from(["3:2", "1:20", ":", "1/3:1"])}
    ),
    st.fixed_dictionaries({"rows": counts | st.integers(1, 9), "columns": counts | st.integers(1, 9)}),
    st.fixed_dictionaries({"portion_size": st.sampled_from(["5 x 4 cm", "190 x 3 mm", "2000 x 2000 mm", "1 x 1 cm"])}),
    st.fixed_dictionaries({"portion_grams": masses}),
    st.fixed_dictionaries({"wedges": counts}),
    st.fixed_dictionaries(
        {
            "rings": st.lists(st.integers(1, 60), min_size=1, max_size=20),
            "rings_by": st.sampled_from(["equal_rings", "equal_pieces", "width"]),
        },
        optional={"ring_width": lengths},
    ),
)
others = st.fixed_dictionaries(
    {"tin": tins},
    optional={
        "slab_grams": masses,
        "trim": lengths,
        "knife_width": lengths,
        "longest_side": lengths,
        "largest_mass": st.just("60 g"),
        "drawing": st.booleans(),
    },
)
bodies = st.tuples(wishes, others).map(lambda parts: parts[0] | parts[1])


@LAW
@given(body=bodies)
def test_no_request_causes_a_server_error(call: Call, body: dict[str, Any]) -> None:
    answer = call("POST", "/v1/cuts", json=body)
    assert answer.status_code in {200, 422}, answer.text
    if answer.status_code == 200:
        fits(answer)
