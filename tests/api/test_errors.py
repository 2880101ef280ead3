"""No request causes a 5xx; every error response is problem+json and says what to do."""

import asyncio
import json
from typing import Annotated, Any

import httpx
import pytest
from fastapi import APIRouter, FastAPI
from fastapi import Path as PathParameter
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from api.settings import Settings
from api.wire import problems
from api.wire.routing import PureRoute
from tests.api.conftest import Call

JSON = {"content-type": "application/json"}
PROBLEM = "application/problem+json"


def refused(answer: Any, status: int) -> dict[str, Any]:
    """The problem document of an error, after its form is checked."""
    assert answer.status_code == status
    assert answer.headers["content-type"] == PROBLEM
    body: dict[str, Any] = answer.json()
    assert set(body) == {"type", "title", "status", "detail", "errors"}
    assert body["status"] == status
    assert body["type"].startswith("/problems/")
    return body


@pytest.mark.parametrize(
    ("raw", "status"),
    [
        pytest.param(b"", 400, id="empty"),
        pytest.param(b"{", 400, id="half an object"),
        pytest.param(b'{"a": 1,}', 400, id="trailing comma"),
        pytest.param(b"[1]", 422, id="an array"),
        pytest.param(b'"text"', 422, id="text"),
        pytest.param(b"null", 422, id="null"),
        pytest.param(b"\xff\xfe{}", 400, id="not UTF-8"),
        pytest.param(b"\xef\xbb\xbf{", 400, id="half an object after a byte-order mark"),
        pytest.param(b"[" * 100_000, 400, id="deep nesting"),
        pytest.param(b'{"items": [{"quantity": "1 us_cup", "g_per_ml": NaN, "to": "kg"}]}', 422, id="NaN"),
        pytest.param(b'{"items": [{"quantity": "1 us_cup", "g_per_ml": 1e400, "to": "kg"}]}', 422, id="1e400"),
        pytest.param(b'{"items": [{"quantity": "1 us_cup", "g_per_ml": -Infinity, "to": "kg"}]}', 422, id="-Infinity"),
        pytest.param(b'{"items": [{"quantity": "\\ud800", "to": "kg"}]}', 400, id="lone surrogate"),
        pytest.param(b'{"items": [{"quantity": "1 us_cup", "g_per_ml": true, "to": "kg"}]}', 422, id="true as number"),
        pytest.param(b'{"items": [], "items": 1}', 422, id="a key twice"),
    ],
)
@pytest.mark.parametrize("path", ["/v1/convert", "/v1/rescale", "/v1/eggs", "/v1/tins/factor", "/v1/tins/measure"])
def test_a_body_that_is_no_valid_json_object_is_refused(call: Call, path: str, raw: bytes, status: int) -> None:
    refused(call("POST", path, content=raw, headers=JSON), status)


def test_a_byte_order_mark_is_ignored(call: Call) -> None:
    # RFC 8259, section 8.1: a parser may ignore it. Windows tools write it.
    body = b'{"items": [{"quantity": "1 kg", "to": "g"}]}'
    answers = [call("POST", "/v1/convert", content=raw, headers=JSON) for raw in (body, b"\xef\xbb\xbf" + body)]
    assert answers[0].status_code == answers[1].status_code == 200
    assert answers[0].content == answers[1].content
    two = refused(call("POST", "/v1/convert", content=b"\xef\xbb\xbf" * 2 + body, headers=JSON), 400)
    assert two["type"] == "/problems/malformed_json"


@pytest.mark.parametrize("tiny", ["1e-400", "-1e-400", "0." + "0" * 320 + "1", "0." + "0" * 310 + "12e-9", "4e-310"])
def test_a_number_that_is_too_small_to_be_represented_is_refused(call: Call, tiny: str) -> None:
    tiny_row = f'{{"quantity": "1 us_cup", "g_per_ml": {tiny}, "to": "kg"}}'
    raw = f'{{"items": [{{"quantity": "1 g", "to": "kg"}}, {tiny_row}]}}'
    body = refused(call("POST", "/v1/convert", content=raw, headers=JSON), 422)
    (error,) = body["errors"]
    assert error["pointer"] == "/items/1/g_per_ml"
    assert "too small" in error["message"]


@pytest.mark.parametrize("zero", ["0", "0.0", "0e-400", "0." + "0" * 320])
def test_a_zero_is_zero_however_it_is_written(call: Call, zero: str) -> None:
    raw = f'{{"setting": "180 celsius", "fan_offset_celsius": {zero}}}'
    answer = call("POST", "/v1/oven", content=raw, headers=JSON).json()
    assert answer["fan_celsius"] == answer["celsius"]


def test_a_number_that_is_too_small_is_refused_in_a_query(call: Call) -> None:
    body = refused(call("GET", "/v1/convert?amount=1&unit=us_cup&to=g&g_per_ml=1e-400"), 422)
    assert {error["parameter"] for error in body["errors"]} == {"g_per_ml"}
    assert any("too small" in error["message"] for error in body["errors"])


def test_a_number_that_is_too_small_does_not_hide_other_errors(call: Call) -> None:
    raw = b'{"items": [{"quantity": "1 us_cup", "g_per_ml": 1e-400, "to": "kg"}], "surprise": 1}'
    body = refused(call("POST", "/v1/convert", content=raw, headers=JSON), 422)
    assert [error["pointer"] for error in body["errors"]] == ["/items/0/g_per_ml", "/surprise"]


@pytest.mark.parametrize("length", [81, 4_000, 20_000])
def test_a_path_parameter_is_validated_by_its_schema(call: Call, length: int) -> None:
    body = refused(call("GET", f"/v1/ingredients/{'flour ' * (length // 6 + 1)}"[: length + 16]), 422)
    (error,) = body["errors"]
    assert error["parameter"] == "ingredient_id"
    assert "80" in error["message"]


def test_an_unknown_name_in_the_path_is_reported_at_its_parameter(call: Call) -> None:
    (error,) = refused(call("GET", "/v1/ingredients/moon-dust"), 404)["errors"]
    assert error["parameter"] == "ingredient_id"


def test_a_typed_path_parameter_is_validated_and_converted() -> None:
    router = APIRouter(route_class=PureRoute)

    @router.get("/double/{number}")
    async def double(number: Annotated[int, PathParameter(ge=1, le=9)]) -> dict[str, int]:
        return {"double": 2 * number}

    api = FastAPI()
    api.state.settings = Settings()
    api.state.figures = "0"
    problems.install(api)
    api.include_router(router)

    async def ask(path: str) -> httpx.Response:
        async with httpx.AsyncClient(transport=httpx.ASGITransport(app=api), base_url="http://tinwright") as client:
            return await client.get(path)

    assert asyncio.run(ask("/double/7")).json() == {"double": 14}
    for wrong in ("0", "10", "seven", "7.5"):
        body = refused(asyncio.run(ask(f"/double/{wrong}?surprise=1&format=nonsense")), 422)
        assert {error["parameter"] for error in body["errors"]} >= {"number", "format"}


@pytest.mark.parametrize("length", [100, 990_000])
def test_a_long_field_name_is_cut_in_the_pointer(call: Call, length: int) -> None:
    name = "f" * length
    answer = call("POST", "/v1/convert", json={"items": [{"quantity": "1 g", "to": "kg"}], name: 1})
    (error,) = refused(answer, 422)["errors"]
    assert error["pointer"] == "/" + "f" * 79 + "…"
    assert len(answer.content) < 600
    (error,) = refused(call("GET", f"/v1/units?{name[:6_000]}=1"), 422)["errors"]
    assert error["parameter"] == "f" * 79 + "…"


@pytest.mark.parametrize("path", ["/v1/convert", "/v1/rescale", "/v1/eggs"])
def test_a_wrong_query_parameter_of_a_post_is_named_as_a_parameter(call: Call, path: str) -> None:
    errors = refused(call("POST", f"{path}?format=nonsense", json={}), 422)["errors"]
    assert {"parameter", "code", "message", "candidates"} == set(errors[0])
    assert errors[0]["parameter"] == "format"
    assert any(error.get("pointer") for error in errors[1:])


def test_a_wrong_field_of_a_post_is_named_as_a_parameter(call: Call) -> None:
    body = {"items": [{"quantity": "1 g", "to": "kg"}]}
    (error,) = refused(call("POST", "/v1/convert?format=csv&field=nonsense", json=body), 422)["errors"]
    assert error["parameter"] == "field"


def test_a_nan_is_found_by_its_place_and_not_echoed(call: Call) -> None:
    raw = b'{"items": [{"quantity": "1 g", "to": "kg"}, {"quantity": "1 us_cup", "g_per_ml": NaN, "to": "kg"}]}'
    body = refused(call("POST", "/v1/convert", content=raw, headers=JSON), 422)
    assert "nan" not in json.dumps(body).casefold().replace("finite", "")
    assert "/items/1/g_per_ml" in body["errors"][0]["pointer"]


def test_pointers_name_the_field_without_the_branches_of_unions(call: Call, formula: dict[str, Any]) -> None:
    formula["tin_shape"] = {"shape": "rectangle", "length": "20 cm"}
    formula["components"][0]["lines"][1]["quantity"] = 1
    body = refused(call("POST", "/v1/rescale", json={"formula": formula, "targets": [{"factor": 2}]}), 422)
    assert [error["pointer"] for error in body["errors"]] == [
        "/formula/tin_shape/width",
        "/formula/components/0/lines/1/quantity",
    ]


def test_all_errors_are_reported_at_once(call: Call, formula: dict[str, Any]) -> None:
    lines = formula["components"][0]["lines"]
    lines[0]["ingredient"] = "plain flowr"
    lines[2]["quantity"] = "4 cup"
    formula["tin"] = "triangle 20 cm"
    body = refused(call("POST", "/v1/rescale", json={"formula": formula, "targets": [{"tin": "square 20"}]}), 422)
    reported = {error["pointer"]: error["code"] for error in body["errors"]}
    assert reported == {
        "/formula/tin": "unreadable_tin",
        "/formula/components/0/lines/0/ingredient": "unknown_ingredient",
        "/formula/components/0/lines/2/quantity": "ambiguous_unit",
        "/targets/0/tin": "unreadable_tin",
    }
    flour = next(error for error in body["errors"] if error["code"] == "unknown_ingredient")
    assert flour["candidates"][0] == "plain-flour"


def test_input_is_never_echoed_raw(call: Call) -> None:
    marker = "zq<script>alert(1)</script>"
    for answer in (
        call("GET", "/v1/convert", params={"amount": marker, "unit": "g", "to": "kg"}),
        call("GET", "/v1/convert", params={"amount": "1", "unit": marker, "to": "kg"}),
        call("GET", "/v1/convert", params={"amount": "1", "unit": "us_cup", "to": "g", "ingredient": marker}),
        call("GET", f"/v1/ingredients/{marker[:9]}"),
        call("POST", "/v1/tins/measure", json={"tin_shape": {"shape": marker}}),
        call("POST", "/v1/tins/measure", json={"tin": marker}),
        call("GET", f"/{marker}"),
    ):
        assert answer.status_code in {404, 422}
        assert "script" not in answer.text
        assert "zq" not in answer.text


def test_unknown_paths_and_ids_get_a_404(call: Call) -> None:
    refused(call("GET", "/v2/rescale"), 404)
    body = refused(call("GET", "/v1/ingredients/no-such-thing"), 404)
    assert body["type"] == "/problems/unknown_ingredient"


@pytest.mark.parametrize(
    ("method", "path", "allow"),
    [
        ("PUT", "/v1/rescale", "GET, HEAD, OPTIONS, POST"),
        ("DELETE", "/v1/convert", "GET, HEAD, OPTIONS, POST"),
        ("PUT", "/v1/eggs", "GET, HEAD, OPTIONS, POST"),
        ("POST", "/v1/units", "GET, HEAD, OPTIONS"),
    ],
)
def test_a_405_allows_every_method_of_the_path(call: Call, method: str, path: str, allow: str) -> None:
    answer = call(method, path)
    refused(answer, 405)
    assert answer.headers["allow"] == allow


@pytest.mark.parametrize("kind", ["text/plain", "application/x-www-form-urlencoded", "", "application/jsonp"])
def test_other_media_types_are_refused(call: Call, kind: str) -> None:
    refused(call("POST", "/v1/convert", content=b"{}", headers={"content-type": kind}), 415)


def test_large_bodies_are_refused_with_and_without_a_declared_length(call: Call) -> None:
    refused(call("POST", "/v1/convert", content=b" " * 1_000_001, headers=JSON), 413)

    async def chunks() -> Any:
        for _ in range(11):
            yield b" " * 100_000

    refused(call("POST", "/v1/convert", content=chunks(), headers=JSON), 413)


def test_unknown_query_parameters_are_refused(call: Call) -> None:
    body = refused(call("GET", "/v1/convert?amount=1&unit=g&to=kg&ingredeint=flour"), 422)
    assert body["errors"] == [
        {
            "parameter": "ingredeint",
            "code": "unknown_field",
            "message": "There is no field of this name here; leave it out.",
        }
    ]


@pytest.mark.parametrize("path", ["/v1/convert", "/v1/rescale", "/v1/convert/columns", "/v1/label"])
def test_an_unknown_query_parameter_of_a_post_is_refused_as_a_parameter(call: Call, path: str) -> None:
    errors = refused(call("POST", f"{path}?fromat=csv", json={}), 422)["errors"]
    assert ("fromat", "unknown_field") in {(error.get("parameter"), error["code"]) for error in errors}
    assert any("pointer" in error for error in errors)


NULLS = {
    "an optional field": ({"items": [{"quantity": "1 g", "to": "kg", "packing": None}]}, "/items/0/packing"),
    "a required field": ({"items": [{"quantity": None, "to": "kg"}]}, "/items/0/quantity"),
    "an item": ({"items": [{"quantity": "1 g", "to": "kg"}, None]}, "/items/1"),
    "an unknown field": ({"items": [{"quantity": "1 g", "to": "kg"}], "a/b": None}, "/a~1b"),
}


@pytest.mark.parametrize("case", NULLS)
def test_null_is_refused_at_its_place(call: Call, case: str) -> None:
    body, pointer = NULLS[case]
    (error,) = refused(call("POST", "/v1/convert", json=body), 422)["errors"]
    assert (error["pointer"], error["code"]) == (pointer, "null_value")
    assert "leave" in error["message"]


def test_a_null_does_not_hide_other_errors(call: Call) -> None:
    rows: list[Any] = [{"quantity": "1 g", "to": "kg", "packing": None}, {"quantity": "1 g", "to": "moon"}, {}]
    errors = refused(call("POST", "/v1/convert", json={"items": rows}), 422)["errors"]
    assert {(error["pointer"], error["code"]) for error in errors} >= {
        ("/items/0/packing", "null_value"),
        ("/items/2/to", "missing_field"),
    }


def test_the_word_null_in_a_text_is_no_null(call: Call) -> None:
    body = {"items": [{"quantity": "1 g", "to": "kg"}, {"quantity": "1 g", "to": "null"}]}
    assert "null_value" not in call("POST", "/v1/convert", json=body).text


def test_many_nulls_are_listed_up_to_the_limit(call: Call) -> None:
    body = refused(call("POST", "/v1/convert", json={"items": [None] * 900}), 422)
    assert len(body["errors"]) == 50
    assert body["errors"][49]["pointer"] == "/items/49"


def test_an_error_of_the_schema_has_value_limit_and_candidates(call: Call) -> None:
    (error,) = refused(call("GET", "/v1/oven?setting=180 c&fan_offset_celsius=60"), 422)["errors"]
    assert (error["code"], error["value"]) == ("too_large", 60)
    assert error["limit"] < 60
    assert f"{error['limit']:g}" in error["message"]
    (error,) = refused(call("GET", "/v1/convert?amount=1&unit=g&to=kg&measures=moon"), 422)["errors"]
    assert (error["code"], set(error["candidates"])) == ("not_allowed", {"us", "uk", "metric", "au", "jp"})
    (error,) = refused(call("POST", "/v1/convert", json={"items": []}), 422)["errors"]
    assert (error["code"], error["limit"]) == ("too_few", 1)


def test_an_error_of_the_domain_has_value_limit_and_unit(call: Call) -> None:
    (error,) = refused(call("GET", "/v1/tins/measure?tin=square 900 cm"), 422)["errors"]
    assert (error["code"], error["value"], error["unit"]) == ("out_of_range", 9_000, "mm")
    assert error["limit"] < error["value"]
    (error,) = refused(call("GET", "/v1/oven?setting=900 c"), 422)["errors"]
    assert (error["value"], error["unit"]) == (900, "celsius")


def test_a_tin_without_its_shape_names_the_shape(call: Call) -> None:
    for tin, code in (({"length": "20 cm"}, "missing_field"), ({"shape": "moon"}, "not_allowed")):
        errors = refused(call("POST", "/v1/tins/measure", json={"tin_shape": tin}), 422)["errors"]
        assert (code, True) in {(error["code"], error["pointer"].endswith("/tin_shape/shape")) for error in errors}, (
            errors
        )


def test_a_parameter_given_twice_is_refused(call: Call) -> None:
    (error,) = refused(call("GET", "/v1/convert?amount=1&amount=2&unit=g&to=kg"), 422)["errors"]
    assert (error["parameter"], error["code"]) == ("amount", "wrong_type")
    assert "one value" in error["message"]


PARAMETERS = {
    *("amount", "unit", "to", "ingredient", "packing", "g_per_ml", "egg_class", "measures"),
    *("whole", "yolks", "whites", "class", "available"),
    *("tin", "filled_depth", "have", "want", "depth", "have_tins", "want_tins", "name", "x"),
}
SCRAPS = st.recursive(
    st.none()
    | st.booleans()
    | st.integers(-(10**20), 10**20)
    | st.floats()
    | st.text(max_size=12)
    | st.sampled_from(
        ["1 cup", "20 cm", "square 20 cm", "eu_m", "egg", "plain flour", "keep", "1/0", "9**9", "gn 1/1"]
    ),
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(st.text(max_size=8), inner, max_size=3),
    max_leaves=6,
)


def paths_in(value: Any, path: tuple[Any, ...] = ()) -> list[tuple[Any, ...]]:
    """Every place in a JSON document."""
    inner = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    return [path, *(place for key, part in inner for place in paths_in(part, (*path, key)))]


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(data=st.data())
def test_an_invalid_rescale_request_never_causes_a_server_error(
    call: Call, formula: dict[str, Any], data: st.DataObject
) -> None:
    request: Any = {
        "formula": json.loads(json.dumps(formula)),
        "targets": [{"tin_shape": {"shape": "round", "diameter": "23 cm", "depth": "5 cm"}}, {"factor": 2.0}],
        "measures": "uk",
        "scale_step": "1 g",
        "available_eggs": ["eu_l"],
    }
    *way, last = data.draw(st.sampled_from(paths_in(request)[1:]))
    place = request
    for key in way:
        place = place[key]
    place[last] = data.draw(SCRAPS)
    raw = json.dumps(request).encode("utf-8", "surrogatepass")
    answer = call("POST", "/v1/rescale", content=raw, headers=JSON)
    assert answer.status_code in {200, 400, 422}
    if answer.status_code != 200:
        refused(answer, answer.status_code)


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    path=st.sampled_from(["/v1/convert", "/v1/eggs", "/v1/tins/measure", "/v1/tins/factor", "/v1/ingredients"]),
    names=st.lists(
        st.sampled_from(sorted(PARAMETERS)),
        max_size=6,
    ),
    data=st.data(),
)
def test_any_query_string_is_answered(call: Call, path: str, names: list[str], data: st.DataObject) -> None:
    values = st.text(max_size=20) | st.sampled_from(
        ["1", "1 1/2", "us_cup", "g", "plain flour", "round 23 x 7 cm", "eu_m"]
    )
    params = [(name, data.draw(values).encode("utf-8", "replace").decode()) for name in names]
    answer = call("GET", path, params=params)
    assert answer.status_code in {200, 422}
