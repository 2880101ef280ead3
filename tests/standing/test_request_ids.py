"""Request ids, and `traceparent` as W3C Trace Context (a W3C Recommendation) defines it; examples from memory."""

import httpx
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from api.app import create_app
from api.serving.request_ids import identify, trace_id_of
from api.settings import Settings
from tests.standing.asking import ask

APP = create_app(Settings())
TRACE, PARENT = b"4bf92f3577b34da6a3ce929d0e0e4736", b"00f067aa0ba902b7"


@pytest.mark.parametrize(
    ("value", "trace"),
    [
        # Section 3.2.2.5 "Examples of HTTP traceparent Headers": sampled and not sampled (from memory).
        (b"00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-01", "4bf92f3577b34da6a3ce929d0e0e4736"),
        (b"00-4bf92f3577b34da6a3ce929d0e0e4736-00f067aa0ba902b7-00", "4bf92f3577b34da6a3ce929d0e0e4736"),
        # Section 3.4 "Examples of HTTP traceparent and tracestate headers" (from memory).
        (b"00-0af7651916cd43dd8448eb211c80319c-b7ad6b7169203331-01", "0af7651916cd43dd8448eb211c80319c"),
        # Section 3.2.2.3: the trace id and the parent id must not be all zero.
        (b"00-" + b"0" * 32 + b"-" + PARENT + b"-01", None),
        (b"00-" + TRACE + b"-" + b"0" * 16 + b"-01", None),
        # Section 3.2.2.1: version 255 is invalid.
        (b"ff-" + TRACE + b"-" + PARENT + b"-01", None),
        # Section 3.2.2: version 00 has these four fields and no more; lower case; fixed widths.
        (b"00-" + TRACE + b"-" + PARENT + b"-01-more", None),
        (b"00-" + TRACE + b"-" + PARENT + b"-01-", None),
        (b"00-" + TRACE.upper() + b"-" + PARENT + b"-01", None),
        (b"00-" + TRACE[:-1] + b"-" + PARENT + b"-01", None),
        (b"00-" + TRACE + b"-" + PARENT + b"0-01", None),
        (b"0-" + TRACE + b"-" + PARENT + b"-01", None),
        (b"00-" + TRACE + b"-" + PARENT + b"-1", None),
        (b"00-" + TRACE + b"-" + PARENT, None),
        (b"00_" + TRACE + b"_" + PARENT + b"_01", None),
        (b"", None),
        # Section 4.3 "Versioning of traceparent": a later version is read as far as the first goes; whatever follows
        # the flags must begin with a dash.
        (b"cc-" + TRACE + b"-" + PARENT + b"-01", TRACE.decode()),
        (b"cc-" + TRACE + b"-" + PARENT + b"-01-what-the-future-will-be-like", TRACE.decode()),
        (b"cc-" + TRACE + b"-" + PARENT + b"-01.what-the-future-will-be-like", None),
        # All flags are to be passed over but the one known (section 3.2.2.4).
        (b"00-" + TRACE + b"-" + PARENT + b"-ff", TRACE.decode()),
    ],
)
def test_traceparent_is_read_as_the_recommendation_says(value: bytes, trace: str | None) -> None:
    assert trace_id_of(value) == trace


def test_several_traceparents_count_as_none() -> None:
    header = (b"traceparent", b"00-" + TRACE + b"-" + PARENT + b"-01")
    assert identify([header]).trace_id == TRACE.decode()
    assert identify([header, header]).trace_id is None


@given(st.binary(max_size=200))
@settings(deadline=None)
def test_every_value_gives_a_valid_identity(value: bytes) -> None:
    identity = identify([(b"x-request-id", value), (b"traceparent", value)])
    assert identity.request_id.isascii()
    assert identity.request_id.isprintable()
    assert 1 <= len(identity.request_id) <= 128
    assert identity.trace_id is None or len(identity.trace_id) == 32


@pytest.mark.parametrize("request_id", ["a", "0af7651916cd43dd", "bench-tablet.3:17", "Zm9v+/==", "x" * 128])
def test_a_well_formed_id_is_returned(request_id: str) -> None:
    assert ask(APP, "GET", "/v1/units", headers={"X-Request-ID": request_id}).headers["x-request-id"] == request_id


@pytest.mark.parametrize(
    "malformed", [b"", b"x" * 129, b"a b", b"a\tb", b'a","level":"x', b"<b>", b"caf\xe9", b"{}", b"a;b"]
)
def test_a_malformed_request_id_is_replaced(malformed: bytes) -> None:
    ids = ask(APP, "GET", "/v1/units", headers={"X-Request-ID": malformed}).headers.get_list("x-request-id")
    assert len(ids) == 1
    assert len(ids[0]) == 32
    assert int(ids[0], 16) >= 0


def test_generated_ids_differ() -> None:
    assert len({identify([]).request_id for _ in range(10_000)}) == 10_000


def answers() -> list[httpx.Response]:
    return [
        ask(APP, "GET", "/healthz"),
        ask(APP, "HEAD", "/v1/units"),
        ask(APP, "OPTIONS", "/v1/convert"),
        ask(APP, "GET", "/nowhere"),
        ask(APP, "DELETE", "/v1/convert"),
        ask(APP, "POST", "/v1/convert", content=b"x" * 1_000_001),
        ask(APP, "POST", "/v1/convert", json={}),
        ask(APP, "POST", "/v1/convert", content=b"{}"),
    ]


def test_every_answer_has_an_id_and_no_invented_trace_header() -> None:
    received = answers()
    assert [answer.status_code for answer in received] == [200, 200, 204, 404, 405, 413, 422, 415]
    assert len({answer.headers["x-request-id"] for answer in received}) == len(received)
    for answer in received:
        assert not {"traceparent", "tracestate", "traceresponse"} & set(answer.headers)
