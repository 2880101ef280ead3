"""`Accept` (RFC 9110, section 12.5.1): quality values, 406, and the precedence of `format`."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from api.wire.formats import negotiate
from tests.api.conftest import Call
from tests.api.samples import url_with

ACCEPTED = [
    (None, "application/json"),
    ("", "application/json"),
    ("*/*", "application/json"),
    ("application/*", "application/json"),
    ("text/*", "text/csv"),
    ("text/csv", "text/csv"),
    ("TEXT/CSV", "text/csv"),
    ("text/csv; charset=utf-8", "text/csv"),
    ("text/csv;q=0.5, application/json;q=0.4", "text/csv"),
    ("text/csv;q=0.4, application/json;q=0.5", "application/json"),
    ("text/csv, */*;q=0.1", "text/csv"),
    ("application/json;q=0, */*", "text/csv"),
    ("application/json, text/plain, */*", "application/json"),
    ("text/plain", "text/plain"),
    ("application/xml;q=0.9, application/json;q=0.8", "application/xml"),
    ("text/*;q=0.3, text/plain;q=0.7, */*;q=0.5", "text/plain"),
    ("image/png, text/csv;q=0.001", "text/csv"),
    ("image/png, */*;q=0.1", "application/json"),
    # What browsers send for a page: the answer is JSON.
    ("text/html,application/xhtml+xml,application/xml;q=0.9,*/*;q=0.8", "application/json"),
    # Malformed, so it is ignored.
    ("nonsense", "application/json"),
    (";;;,,,", "application/json"),
    ("text/csv;q=banana", "text/csv"),
    ("nonsense, text/csv", "text/csv"),
    ("image/png", None),
    ("text/html", None),
    ("application/json;q=0", None),
    ("*/*;q=0", None),
    ("text/csv;q=0, text/plain;q=0.0", None),
]


@pytest.mark.parametrize(("accept", "expected"), ACCEPTED)
def test_the_answer_has_an_accepted_format(call: Call, accept: str | None, expected: str | None) -> None:
    url = "/v1/convert?amount=1&unit=us_cup&to=ml"
    answer = call("GET", url, headers={} if accept is None else {"Accept": accept})
    assert "Accept" in answer.headers["vary"]
    if expected is None:
        assert answer.status_code == 406
        assert answer.headers["content-type"] == "application/problem+json"
        assert "application/json" in answer.json()["detail"]
        assert call("GET", url_with(url, format="csv"), headers={"Accept": accept}).status_code == 200
    else:
        assert answer.status_code == 200
        assert answer.headers["content-type"].partition(";")[0] == expected


def test_plain_text_is_offered_only_where_there_is_a_figure(call: Call) -> None:
    assert call("GET", "/v1/units", headers={"Accept": "text/plain"}).status_code == 406
    assert call("GET", "/v1/units?format=text&field=units.g.name", headers={"Accept": "image/png"}).text == "gram"


def test_answers_to_posts_have_an_accepted_format(call: Call) -> None:
    body = {"items": [{"quantity": "1 kg", "to": "g"}]}
    assert call("POST", "/v1/convert", json=body, headers={"Accept": "image/png"}).status_code == 406
    assert call("POST", "/v1/convert", json=body, headers={"Accept": "text/plain"}).status_code == 406
    assert call("POST", "/v1/convert?format=text", json=body).status_code == 422


@given(st.text(alphabet='atexlicvsjon*/;,=q0.159 "\\', max_size=60))
def test_any_accept_is_answered(call: Call, accept: str) -> None:
    answer = call("GET", "/v1/convert?amount=1&unit=g&to=kg", headers={"Accept": accept})
    assert answer.status_code in {200, 406}


def test_a_long_accept_header_costs_no_more_than_one_at_the_limit() -> None:
    offered = (("text/csv", "csv"), ("application/json", "json"))
    assert negotiate(", ".join(["image/png"] * 39 + ["text/csv"]), offered) == "csv"
    assert negotiate(", ".join(["image/png"] * 40 + ["text/csv"]), offered) is None
