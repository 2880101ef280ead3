"""JSON at its limits: deep, long, not finite, not UTF-8. It is refused with a short problem document, or read."""

import pytest

from tests.api.conftest import Call, call  # noqa: F401 - a fixture

MILLION = 1_000_000


def conversion_of(amount: bytes) -> bytes:
    return b'{"items": [{"quantity": "1 us_cup", "g_per_ml": %s, "to": "g"}]}' % amount


@pytest.mark.parametrize(
    ("body", "status"),
    [
        pytest.param(b"[" * 100 + b"]" * 100, 422, id="arrays, 100 deep"),
        pytest.param(b"[" * 1_000 + b"]" * 1_000, 400, id="arrays, 1,000 deep"),
        pytest.param(b"[" * (MILLION // 2) + b"]" * (MILLION // 2), 400, id="arrays, as deep as a body may be"),
        pytest.param(b"[" * MILLION, 400, id="arrays that do not end"),
        pytest.param(b'{"a":' * (MILLION // 6) + b"1" + b"}" * (MILLION // 6), 400, id="objects"),
        pytest.param(b'{"items": ' + b"[" * 150 + b"]" * 150 + b"}", 422, id="deep where a list belongs"),
        pytest.param(conversion_of(b"1e400"), 422, id="beyond a double"),
        pytest.param(conversion_of(b"-1e400"), 422, id="beyond a double, negative"),
        pytest.param(conversion_of(b"9" * 5_000), 400, id="5,000 digits"),
        pytest.param(conversion_of(b"9" * 900_000), 400, id="900,000 digits"),
        pytest.param(conversion_of(b"NaN"), 422, id="NaN"),
        pytest.param(conversion_of(b"01"), 400, id="a leading zero"),
        pytest.param(conversion_of(b"0x10"), 400, id="hexadecimal"),
        pytest.param(conversion_of(b'"' + b"9" * 900_000 + b'"'), 422, id="a long text"),
        pytest.param(b'{"items": [{"quantity": "1 g\\ud800", "to": "g"}]}', 400, id="half a surrogate pair"),
        pytest.param(b'{"items": [{"quantity": "1 g\x00", "to": "g"}]}', 400, id="a bare NUL"),
        pytest.param(b'{"items": [{"quantity": "1 g\xff", "to": "g"}]}', 400, id="no UTF-8"),
        pytest.param(b'{"items": [{"quantity": "1 g\xed\xa0\x80", "to": "g"}]}', 400, id="UTF-8 of a surrogate"),
        pytest.param(b'{"items": [{"quantity": "1 g\xc0\x80", "to": "g"}]}', 400, id="overlong UTF-8"),
        pytest.param('{"items": []}'.encode("utf-16"), 400, id="UTF-16"),
        pytest.param(b'{"items": [' + b"1," * 400_000 + b"1]}", 422, id="400,001 items"),
    ],
)
def test_extreme_json_is_refused(call: Call, body: bytes, status: int) -> None:  # noqa: F811
    refused = call("POST", "/v1/convert", content=body, headers={"Content-Type": "application/json"})
    assert refused.status_code == status
    assert refused.headers["content-type"] == "application/problem+json"
    assert len(refused.content) < 20_000  # the request is not echoed


@pytest.mark.parametrize(
    ("written", "degrees"),
    [
        (b"-0", 0.0),
        (b"-0.0", 0.0),
        (b"0." + b"9" * 900_000, 1.0),  # the nearest double
        (b"1" + b"0" * 300 + b"e-300", 1.0),
    ],
    ids=["-0", "-0.0", "a long decimal", "digits and exponent"],
)
def test_extreme_numbers_are_read(call: Call, written: bytes, degrees: float) -> None:  # noqa: F811
    body = b'{"setting": "180 celsius", "fan_offset_celsius": %s}' % written
    answer = call("POST", "/v1/oven", content=body, headers={"Content-Type": "application/json"})
    assert answer.status_code == 200
    assert answer.json()["fan_offset_celsius"] == degrees


def test_a_number_below_a_double_is_refused_and_not_read_as_zero(call: Call) -> None:  # noqa: F811
    content = conversion_of(b"1e-400")
    answer = call("POST", "/v1/convert", content=content, headers={"Content-Type": "application/json"})
    assert answer.status_code == 422
    assert [error["pointer"] for error in answer.json()["errors"]] == ["/items/0/g_per_ml"]


def test_an_escaped_nul_is_an_ordinary_character(call: Call) -> None:  # noqa: F811
    answer = call("POST", "/v1/convert", json={"items": [{"quantity": "1 g\0", "to": "g"}]})
    assert answer.json()["items"][0]["problem"]["status"] == 422
